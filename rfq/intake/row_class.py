"""What kind of row it is: item, one-off, charge, sum, tax, remark."""

from __future__ import annotations

import re

from rfq.intake import row_words as say
from rfq.intake.cells import amount
from rfq.intake.matching import NOTHING, Known, Match, looks_like_part, split_revision
from rfq.intake.row import Row, RowKind
from rfq.intake.table import PRICES, TOTALS


def part_of(text: str, known: Known, *, tails: bool) -> Match:
    """Return the part a cell names; as printed where the request does not help."""
    body = re.sub(r"\s+", " ", text).strip()
    if not body:
        return NOTHING
    hit = known.find(body)
    if hit:
        return hit
    stem, revision = split_revision(body)
    worded = re.search(r"(?i)rev|ind|iss|ver|版|rew|\s/\s|/\w{1,2}$", body) is not None
    if revision and (tails or worded):
        body = stem
    else:
        revision = ""
    sure = 1.0 if not known.numbers else 0.3
    return Match(body, revision, sure, "as printed" if sure == 1.0 else "not a part of the request")


def classify(row: Row, part_text: str, known: Known, tails: bool, above: Row | None) -> None:
    """Give the row its kind, its part, and why it is read so."""
    priced = any(o.amount.values or o.total.values for o in row.offers) or any(
        o.amount.state in ("formula", "date", "error") for o in row.offers
    )
    counted = any(o.quantity.values and o.quantity_cell is not None for o in row.offers)
    said_no = any(o.amount.state in ("declined", "dash", "later") for o in row.offers)
    hit = known.find(part_text, loose=False) if part_text else NOTHING
    own = bool(hit) or looks_like_part(part_text)
    if hit.how == "inside the text" and (
        say.ONE_OFF.search(hit.rest) or say.charge_kind(hit.rest) not in ("other", "finish")
    ):
        own = False  # 'Tooling for SH-2007' names a part and is none
    words = part_text if part_text and not own else ""
    label = (words + " " + row.name).strip() if words else (row.name if not own else "")
    if not part_text and not label:
        label = row.label
    table_of_names = any("name" in c.heading.lower() or c.sure <= 0.8 for c in row.table.by("part"))
    if not own:
        for text in (
            [t.text for t in row.texts]
            if not part_text or not re.search(r"\d", part_text)
            else [label]
        ):
            if say.SUM.search(text) and not (part_text and re.search(r"\d{2}", part_text)):
                row.kind, row.reason = "sum", "a sum of other rows"
                return
        if (
            label
            and say.TAX.search(label)
            and (not part_text or not re.search(r"[A-Za-z]-?\d{3}", part_text))
        ):
            row.kind, row.reason = "tax", "tax on the sum"
            return
        if label and say.ONE_OFF.search(label):
            named = _named(row, known)
            row.match = named
            row.kind = "one-off" if priced or row.one_offs else "text"
            return
        kind = say.charge_kind(label) if label else "other"
        if kind != "other" and not (
            table_of_names and counted and kind in ("finish", "certificate")
        ):
            row.kind = "charge" if _any_amount(row) else "text"
            row.match = _named(row, known)
            return
        if say.HEAD_AGAIN.search(row.label):
            row.kind, row.reason = "left out", "a page number"
            return
    alternative = next((t.text for t in row.texts if say.ALTERNATIVE.search(t.text)), "")
    if (
        not alternative
        and "alternative" in row.by
        and amount(row.by["alternative"]).state == "words"
    ):
        alternative = row.by["alternative"].text
    if part_text and (own or priced or counted or said_no):
        row.match = part_of(part_text, known, tails=tails)
        again = above is not None and above.match.part == row.match.part
        if (
            own
            and row.name
            and again
            and say.ONE_OFF.search(row.name)
            and not say.ONE_OFF.search(above.name if above else "")
        ):
            row.kind = "one-off"
            return
        if alternative and alternative == part_text and not own:
            named = _named(row, known)
            row.match = named or (above.match if above else NOTHING)
        row.alternative = alternative
        row.further = again
        row.kind = _item_kind(row, priced, said_no, counted)
        return
    if (
        not part_text
        and above is not None
        and (priced or said_no)
        and (counted or alternative or _has_break(row))
    ):
        named = _named(row, known)
        if named and named.part != above.match.part:
            row.match = named
        else:
            row.match, row.further = above.match, True
            row.revision = row.revision or above.revision
        row.alternative = alternative or (
            above.alternative if not alternative and row.further else ""
        )
        row.kind = _item_kind(row, priced, said_no, counted)
        return
    if not part_text and priced:
        named = _named(row, known)
        if named:
            row.match, row.kind, row.alternative = named, "item", alternative
            return
        if not row.label:
            row.kind, row.reason = "sum", "an amount without any name, taken for a sum"
            return
        row.kind, row.reason = "left out", "an amount that names no part"
        return
    row.kind = "text"


def _item_kind(row: Row, priced: bool, said_no: bool, counted: bool) -> RowKind:
    if priced:
        return "item"
    if said_no:
        return "declined"
    return "no price" if counted or row.table.by(*PRICES, *TOTALS) else "text"


def _has_break(row: Row) -> bool:
    return any(o.column.quantity for o in row.offers)


def _any_amount(row: Row) -> bool:
    return any(o.amount.values or o.total.values for o in row.offers) or any(
        amount(cell).values for cell in row.table.grid.rows[row.number].values()
    )


def _named(row: Row, known: Known) -> Match:
    """A part number that the row's texts name ('Tooling for SH-2007')."""
    for cell in row.texts:
        hit = known.find(cell.text, loose=False)
        if hit:
            return hit
        if not known.numbers:
            found = re.search(
                r"(?i)(?:for|für|pour|per|para|dla|zu|to)\s+([A-Za-z]{1,5}[-_]?\d{2,}[\w-]*)",
                cell.text,
            )
            if found:
                stem, revision = split_revision(found[1])
                return Match(stem if revision else found[1], revision, 0.95, "named in the row")
    return NOTHING

# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""The rows of a table: items, further quantities, one-offs, sums, tax, charges, remarks.

Nothing is decided about numbers here; every row ends in exactly one class, and what is not read
says why.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Literal

from rfq.intake import row_words as say
from rfq.intake.cells import BLANK, Amount, amount
from rfq.intake.grid import Cell
from rfq.intake.matching import NOTHING, Known, Match, looks_like_part, split_revision
from rfq.intake.table import PRICES, TOTALS, Column, Table

RowKind = Literal[
    "item", "one-off", "charge", "sum", "tax", "declined", "no price", "text", "left out", "heading"
]


@dataclass(slots=True)
class Offer:
    """One price of a row before its number is settled."""

    cell: Cell | None
    amount: Amount
    column: Column
    quantity: Amount
    quantity_cell: Cell | None
    total: Amount = BLANK
    total_cell: Cell | None = None
    total_column: Column | None = None


@dataclass(slots=True)
class Row:
    """One classified row."""

    table: Table
    number: int
    kind: RowKind
    reason: str = ""
    match: Match = NOTHING
    part_cell: Cell | None = None
    revision: str = ""
    name: str = ""
    label: str = ""
    offers: list[Offer] = field(default_factory=list)
    by: dict[str, Cell] = field(default_factory=dict)  # meaning -> cell
    one_offs: list[tuple[Column, Cell, Amount]] = field(default_factory=list)
    elements: list[tuple[Column, Amount]] = field(default_factory=list)
    alternative: str = ""
    further: bool = False  # of the part above
    comments: list[tuple[Cell, str]] = field(default_factory=list)
    texts: list[Cell] = field(default_factory=list)


def read_rows(table: Table, known: Known) -> list[Row]:
    """Return the classified rows of a table, from top to bottom."""
    grid = table.grid
    merged: dict[tuple[int, int], Cell] = {}
    for r1, c1, r2, _ in grid.merges:
        origin = grid.cell(r1, c1)
        if origin and r2 > r1:
            for r in range(r1, min(r2, r1 + 500) + 1):
                merged[(r, c1)] = origin
    columns = [c for c in table.columns.values() if c.index not in grid.hidden_columns]
    tails = _tails_are_revisions(table)
    rows: list[Row] = []
    # a block headed by its part number: 'Part: SH-2007' above 'Quantity | Unit price'
    alone = not table.by("part")
    above = _subject(table, known, range(max(1, table.first - 4), table.first)) if alone else None
    edge = _edges(table)
    for number in sorted(r for r in grid.rows if table.first <= r <= table.last):
        if number in grid.hidden_rows:
            rows.append(Row(table, number, "left out", "the row is hidden"))
            continue
        cells = {
            c: cell for c, cell in grid.rows[number].items()
            if c not in grid.hidden_columns and edge[0] <= c <= edge[1]
        }  # fmt: skip
        if not cells:
            continue
        row = _row(table, number, cells, merged, columns, known, tails, above)
        if row.kind in ("item", "declined", "no price") and not row.further:
            above = row
        elif alone and row.kind == "text":
            above = _subject(table, known, range(number, number + 1)) or above
        rows.append(row)
    _figures_without_heading(table, rows, edge)
    return rows


def _subject(table: Table, known: Known, numbers: range) -> Row | None:
    """The part that a line above a table without a part column names; the last such line."""
    for number in reversed(numbers):
        cells = [c for _, c in sorted(table.grid.rows.get(number, {}).items()) if c.text.strip()]
        if number in table.head or not cells or len(cells) > 4 or number in table.grid.hidden_rows:
            continue
        text = " ".join(cell.text.strip() for cell in cells)
        named = sum(bool(known.find(c.text, loose=False)) or looks_like_part(c.text) for c in cells)
        if len(text) > 120 or named > 1:
            continue
        hit = known.find(text, loose=False)
        if not hit:
            body = re.sub(r"^[^:：]{2,30}[:：]\s*", "", text)
            labelled = body != text and re.search(r"\d", body) and not re.search("[:：]", body)
            if looks_like_part(body) or (labelled and len(body) < 30):
                hit = part_of(body, known, tails=False)
        if hit:
            row = Row(table, number, "item", match=hit, part_cell=cells[0])
            row.revision = hit.revision
            return row
    return None


def _figures_without_heading(table: Table, rows: list[Row], edge: tuple[int, int]) -> None:
    """Mark a table in which most items have a figure right of the part under no heading."""
    items = [row for row in rows if row.kind == "item"][:200]
    part = next((c.index for c in table.by("part")), 0)
    seen: dict[int, int] = {}
    for row in items:
        for c, cell in table.grid.rows[row.number].items():
            if (
                part < c <= edge[1]
                and c not in table.columns
                and c not in table.grid.hidden_columns
                and re.search(r"\d", cell.text)
            ):
                seen[c] = seen.get(c, 0) + 1
    table.unlabelled = bool(table.head) and any(
        n >= max(2, len(items) * 0.5) for n in seen.values()
    )


def _edges(table: Table) -> tuple[int, int]:
    """Columns that belong to the table: beside a second table on the same rows, only its own."""
    first, last = min(table.columns, default=1), max(table.columns, default=1)
    head = table.head[-1] if table.head else 0
    others = [
        c for c in table.grid.rows.get(head, {}) if c not in table.columns
    ]  # fmt: skip
    left = max((c for c in others if c < first), default=0)
    right = min((c for c in others if c > last), default=10**6)
    return left + 1, right - 1


def _tails_are_revisions(table: Table) -> bool:
    """Whether '-B' after a number is a revision: no revision column, and most numbers have it."""
    if table.by("revision"):
        return False
    parts = table.by("part")
    if not parts:
        return False
    texts = [
        text for r in range(table.first, table.last + 1)
        if (text := table.grid.text(r, parts[0].index)) and re.search(r"\d", text)
    ]  # fmt: skip
    tailed = sum(bool(split_revision(text)[1]) for text in texts)
    return bool(texts) and tailed >= len(texts) * 0.6


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


def _row(
    table: Table, number: int, cells: dict[int, Cell], merged: dict[tuple[int, int], Cell],
    columns: list[Column], known: Known, tails: bool, above: Row | None,
) -> Row:  # fmt: skip
    row = Row(table, number, "text")
    row.comments = [(cell, cell.comment) for cell in cells.values() if cell.comment]
    struck = {c for c, cell in cells.items() if "[struck out]" in cell.comment}
    if struck and len(struck) >= len(cells) * 0.6:
        row.kind, row.reason = "left out", "the row is struck out"
        return row
    row.texts = [
        cell for cell in cells.values()
        if cell.kind == "s" and cell.text and re.search(r"[^\W\d_]", cell.text)
    ]  # fmt: skip
    parts = table.by("part")
    part_column = parts[0].index if parts else 0
    row.part_cell = cells.get(part_column)
    if row.part_cell is None and (number, part_column) in merged:
        row.part_cell = merged[(number, part_column)]
    for column in columns:
        cell = cells.get(column.index)
        if cell is None and column.meaning in (
            "revision",
            "name",
            "one-off",
            "lead",
            "material",
            "quantity",
        ):
            cell = merged.get((number, column.index))
        if cell is not None and cell.text and column.meaning:
            row.by.setdefault(column.meaning, cell)
        if cell is None or column.index in struck:
            continue
        if column.meaning == "one-off":
            row.one_offs.append((column, cell, amount(cell)))
        elif column.meaning == "element" and amount(cell).values:
            row.elements.append((column, amount(cell)))
    row.offers = _offers(table, cells, columns, merged, number)
    part_text = row.part_cell.text.strip() if row.part_cell else ""
    row.name = row.by["name"].text if "name" in row.by else ""
    row.label = " ".join(dict.fromkeys(t.text.strip() for t in row.texts)) or part_text
    if "revision" in row.by:
        row.revision = (
            re.sub(r"(?i)^(?:rev|index|ind|issue)\W*", "", row.by["revision"].text).strip().upper()
        )
    _classify(row, part_text, known, tails, above)
    return row


def _offers(
    table: Table, cells: dict[int, Cell], columns: list[Column],
    merged: dict[tuple[int, int], Cell], number: int,
) -> list[Offer]:  # fmt: skip
    quantities = [c for c in columns if c.meaning == "quantity" and not c.quantity]
    prices = [c for c in columns if c.meaning in PRICES]
    totals = [c for c in columns if c.meaning in TOTALS]
    offers: list[Offer] = []
    for position, column in enumerate(prices):
        cell = cells.get(column.index)
        if column.quantity:
            quantity, quantity_cell = Amount((_decimal(column.quantity),)), None
        else:
            before = [q for q in quantities if q.index < column.index]
            pairs = len(quantities) == len(prices) and len(prices) > 1
            chosen = (
                quantities[position] if pairs else next(iter(reversed(before or quantities)), None)
            )
            if not pairs and quantities:
                chosen = quantities[0]
            quantity_cell = cells.get(chosen.index) if chosen else None
            if quantity_cell is None and chosen:
                quantity_cell = merged.get((number, chosen.index))
            quantity = amount(quantity_cell)
        total_column: Column | None = None
        if column.quantity:
            total_column = next((t for t in totals if t.quantity == column.quantity), None)
            if total_column is None and len(prices) == 1 and len(totals) == 1:
                total_column = totals[0]
        elif len(prices) == 1 and len(totals) == 1:
            total_column = totals[0]
        elif len(totals) == len(prices):
            total_column = totals[position]
        elif len(totals) == 1 and column.meaning != "lot price" and len(quantities) <= 1:
            total_column = totals[0]
        total_cell = cells.get(total_column.index) if total_column else None
        offers.append(
            Offer(cell, amount(cell), column, quantity, quantity_cell, amount(total_cell), total_cell, total_column)
        )  # fmt: skip
    if not prices:
        for column in totals:
            cell = cells.get(column.index)
            if column.quantity:
                quantity, quantity_cell = Amount((_decimal(column.quantity),)), None
            else:
                quantity_cell = cells.get(quantities[0].index) if quantities else None
                quantity = amount(quantity_cell)
            offers.append(
                Offer(None, BLANK, column, quantity, quantity_cell, amount(cell), cell, column)
            )
    lots = [o for o in offers if o.column.meaning == "lot price"]
    units = [o for o in offers if o.column.meaning in ("unit price", "price")]
    for lot in lots:
        twin = next((u for u in units if u.column.quantity == lot.column.quantity), None)
        if twin is not None and twin.total.state == "blank" and twin.amount.values:
            twin.total, twin.total_cell, twin.total_column = lot.amount, lot.cell, lot.column
            offers.remove(lot)
        elif twin is not None and not twin.amount.values:
            offers.remove(twin)
        elif twin is not None:
            offers.remove(lot)
    return offers


def _decimal(value: int):  # type: ignore[no-untyped-def]
    from decimal import Decimal

    return Decimal(value)


def _classify(row: Row, part_text: str, known: Known, tails: bool, above: Row | None) -> None:
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

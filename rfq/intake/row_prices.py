# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""Each row settled: its prices, or why there is none; rows that stand alone or are cut off."""

from __future__ import annotations

import re

from rfq.intake.grid import Book
from rfq.intake.money import base_in
from rfq.intake.numbers import Habit
from rfq.intake.row import Offer, Row
from rfq.intake.settle import settle
from rfq.intake.table import Table
from rfq.intake.terms_found import Terms
from rfq.intake.work import Work
from rfq.model.quote import Declined
from rfq.problems import Severity


def settle_row(work: Work, row: Row, style: Habit, terms: Terms) -> None:
    """Settle the offers of one row, or say why it has none."""
    if row.kind == "declined":
        offer = next((o for o in row.offers if o.amount.declined), None)
        cell = (offer.cell if offer else None) or row.part_cell
        if cell is None:
            return
        place = row.table.grid.place(work.file, cell)
        why = cell.text
        if "note" in row.by and row.by["note"] is not cell:
            why = f"{why}; {row.by['note'].text}"
        work.declined.append(Declined(part=row.match.part, reason=why[:300], place=place))
        if offer and offer.amount.state == "later":
            work.problem(
                "R037",
                f"'{cell.text}' stands in place of a price for {row.match.part}: the price is still to come; ask for it.",
                place,
                Severity.ASK,
                row.match.part,
            )
        elif offer and offer.amount.state == "dash":
            work.problem(
                "R037",
                f"A dash stands in place of a price for {row.match.part}; it is taken as not quoted.",
                place,
                Severity.NOTE,
                row.match.part,
            )
        return
    if row.kind == "no price":
        cell = row.part_cell or next(iter(row.table.grid.rows[row.number].values()))
        unread = next(
            (o.cell for o in row.offers if o.cell is not None and re.search(r"\d", o.cell.text)),
            None,
        )
        if unread is not None:
            work.problem(
                "R010",
                f"{row.match.part}: '{unread.text[:60]}' is no price that can be read; look at it and type the price in.",
                row.table.grid.place(work.file, unread),
                Severity.ASK,
                row.match.part,
            )
        elif not row.further:
            work.problem(
                "R036",
                f"{row.match.part} stands in the reply without a price; it counts as not answered.",
                row.table.grid.place(work.file, cell),
                Severity.NOTE,
                row.match.part,
            )
        return
    if row.kind in ("left out", "sum"):
        _nameless(work, row)
    if row.kind != "item":
        return
    said = terms.base if terms.base_place.sheet in ("", row.table.grid.name) else ""
    if any(s.place == terms.base_place and _MARK.match(s.text) for s in work.said):
        said = ""  # '* price per 100' speaks of the prices with that mark alone
    asked = work.known.quantities.get(row.match.part, ())
    if not any(o.quantity.values for o in row.offers) and not asked:
        common = _common_quantity(work, row.table)
        if common:
            asked = (common,)
    for offer in row.offers:
        state = offer.amount.state
        if state == "blank" and not offer.total.values:
            continue
        if state in ("declined", "dash", "later", "included"):
            cell = offer.cell
            if cell is not None:
                quantity = int(offer.quantity.values[0]) if offer.quantity.values else 0
                work.problem(
                    "R037",
                    f"{row.match.part}{f' at {quantity}' if quantity else ''}: '{cell.text}' stands in place of a price; no price is read there.",
                    row.table.grid.place(work.file, cell),
                    Severity.ASK if state == "later" else Severity.NOTE,
                    row.match.part,
                )
            continue
        marked = _by_mark(work, offer)
        work.settled.append(settle(row, offer, style, asked, marked if marked else said))


_MARK = re.compile(r"\s*(\*+|[†‡§¹²³]|\(?[1-9]\))\s*\S")


def _by_mark(work: Work, offer: Offer) -> str:
    """The base that a footnote gives the prices that carry its mark; '' for none."""
    text = offer.cell.text.strip() if offer.cell is not None else ""
    own = re.search(r"(?<=[\d\s€$£])(\*+|[†‡§¹²³]|\(?[1-9]\))$", text)
    if not own:
        return ""
    for said in work.said:
        mark = _MARK.match(said.text)
        if mark and mark[1] == own[1]:
            return base_in(said.text)
    return ""


def _nameless(work: Work, row: Row) -> None:
    """A row with quantity and price that names no part is asked about; sums have no quantity."""
    if "an amount" not in row.reason:
        return
    for offer in row.offers:
        cell = offer.cell
        if (
            cell is not None
            and offer.amount.values
            and offer.quantity_cell
            and offer.quantity.values
        ):
            work.problem(
                "R018",
                f"'{cell.text[:40]}' at {offer.quantity_cell.text[:20]} stands without a part number; say for which part it is or leave it out.",
                row.table.grid.place(work.file, cell),
                Severity.ASK,
            )


def _common_quantity(work: Work, table: Table) -> int:
    """A quantity stated once for the whole table ('Losgröße 25 Stück', in heading or title)."""
    from rfq.intake.headings import heading_quantity

    texts = [
        table.title,
        *(c.heading for c in table.columns.values()),
        *(s.text for s in work.said),
    ]
    for text in texts:
        if text and re.search(
            r"(?i)qty|quantity|batch|lot size|losgr|menge|stückzahl|quantité|quantità|cantidad|ilość|数量|批量|lotto di|lote de|lot de|for \d+ (?:pcs|pieces|sets)",
            text,
        ):
            found = heading_quantity(text)
            if found:
                return found
    return 0


def ask_about_lone(work: Work) -> None:
    """A price without a total in a table whose other prices all agree with theirs."""
    for table in work.tables:
        items = [s for s in work.settled if s.row.table is table]
        agreed = [s for s in items if any(" = " in words for words in s.evidence)]
        lone = [s for s in items if not s.doubts and s.total is None and s.each is not None]
        formula = any(s.offer.total.state == "formula" for s in items)
        if len(agreed) >= 3 and len(lone) <= len(items) * 0.25 and not formula:
            for item in lone:
                item.doubts.append(
                    (
                        "R012",
                        "no line total stands beside it, though the other lines have one; look whether the row is whole",
                    )
                )


def ask_about_cut(work: Work, book: Book) -> None:
    """A text file that ends inside its last row: the last price may have lost digits."""
    if book.kind != "csv" or not work.settled or not book.grids or book.text.endswith(("\n", "\r")):
        return
    last = work.settled[-1]
    grid = last.row.table.grid
    others = [s for s in work.settled[:-1] if s.row.table is last.row.table]
    if last.row.number != max(grid.rows, default=0) or not others:
        return
    cells = grid.rows[last.row.number]
    widths = [max(grid.rows[s.row.number]) for s in others]
    if max(cells) < min(widths) or (last.cell is not None and last.cell.column == max(cells)):
        last.doubts.append(
            (
                "R057",
                "the file ends inside this row, so digits may be missing; ask for the whole file",
            )
        )

"""The cell list of a draft: every cell of the file, what it was taken for, and how sure."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rfq.intake.grid import Book, Cell, address
from rfq.model.draft import DraftCell
from rfq.problems import Place

if TYPE_CHECKING:
    from rfq.intake.terms_found import Terms
    from rfq.intake.work import Work

_FIELDS = frozenset(DraftCell.model_fields)


def _cell(place: Place, cell: Cell, meaning: str, shown: str, sure: float) -> DraftCell:
    """A DraftCell without validation: a large sheet has tens of thousands, all from our own cells.

    Does what ``model_construct`` does without walking the fields one by one (a third of the time).
    """
    made = DraftCell.__new__(DraftCell)
    values = {
        "place": place, "raw": cell.text[:500], "meaning": meaning, "understood": shown,
        "sure": sure, "kind": cell.kind, "format": cell.format,
        "comment": cell.comment[-2000:],  # "struck out" stands last
    }  # fmt: skip
    object.__setattr__(made, "__dict__", values)
    object.__setattr__(made, "__pydantic_fields_set__", set(_FIELDS))
    object.__setattr__(made, "__pydantic_extra__", None)
    object.__setattr__(made, "__pydantic_private__", None)
    return made


_ROW_MEANING = {
    "sum": "left out",
    "tax": "tax",
    "text": "text",
    "left out": "left out",
    "one-off": "one-off",
    "charge": "charge",
}


def list_cells(work: Work, book: Book, terms: Terms) -> None:
    """Fill ``work.listed`` with a DraftCell for each cell that is not listed yet."""
    meaning_at: dict[tuple[str, str], tuple[str, float]] = {}
    reasons: dict[tuple[str, str], str] = {}
    rows = {(id(row.table.grid), row.number, id(row.table)): row for row in work.rows}
    for table in work.tables:
        grid = table.grid
        for r in table.head:
            for c, cell in grid.rows.get(r, {}).items():
                meaning_at[(grid.name, cell.address or address(r, c))] = ("heading", 1.0)
        for r in range(table.first, table.last + 1):
            row = rows.get((id(grid), r, id(table)))
            if row is None:
                continue
            for c, cell in grid.rows.get(r, {}).items():
                key = (grid.name, cell.address or address(r, c))
                column = table.columns.get(c)
                if row.kind in _ROW_MEANING:
                    if column is not None or key not in meaning_at:
                        meaning_at[key] = (_ROW_MEANING[row.kind], 1.0)
                        if row.reason:
                            reasons[key] = row.reason
                elif column is not None and column.meaning:
                    meaning_at[key] = (column.meaning, column.sure)
                elif key not in meaning_at:
                    meaning_at[key] = ("not used", 1.0)
    understood: dict[tuple[str, str], str] = {}
    for item in work.settled:
        priced = item.cell
        if priced is not None and item.each is not None:
            grid = item.row.table.grid
            understood[(grid.name, priced.address or address(priced.row, priced.column))] = (
                f"{item.printed} per {item.base}: {item.each.normalize():f} each at {item.quantity}"
            )
    for grid in book.grids:
        if grid.hidden:
            continue
        for r, cells in grid.rows.items():
            if r in grid.hidden_rows:
                continue
            for c, cell in cells.items():
                if not cell.text and not cell.comment:
                    continue
                place = grid.place(work.file, cell)
                key = (grid.name, cell.address or address(r, c))
                meaning, sure = meaning_at.get(key, ("text", 1.0))
                if c in grid.hidden_columns:
                    meaning, reasons[key] = "left out", "the column is hidden"
                shown = understood.get(key) or reasons.get(key, "")
                if place in terms.used:
                    meaning = "term" if meaning == "text" else meaning
                    shown = shown or terms.used[place]
                work.listed.append(_cell(place, cell, meaning, shown, sure))

"""A reply's own cells as a grid: columns by letter, rows by number, as in the file."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

from rfq.model.draft import DraftCell
from rfq.problems import Place
from rfq.tasks.review import Sheet, column_letters
from rfq.tui.cells import Bits, bits, plain, width
from rfq.tui.widgets.matrix import Column

_WIDEST = 26


class SheetGrid:
    """One sheet or page.

    Args:
        sheet: its cells.
    """

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        self._rows = sheet.rows

    @property
    def frozen(self) -> int:
        """The row's number stays."""
        return 1

    def __len__(self) -> int:
        return len(self._rows)

    @cached_property
    def columns(self) -> Sequence[Column]:
        """Row number, then the file's columns as wide as their text."""
        widths = [1] * (self.sheet.columns + 1)
        alone = {row for row in self._rows if self._count(row) == 1}
        for (row, column), cell in self.sheet.cells.items():
            if row in alone and self.sheet.columns > 1:
                continue  # a sentence over the table does not widen its column
            widths[column] = max(widths[column], min(_WIDEST, width(plain(cell.raw))))
        if self.sheet.columns == 1:
            widths[1] = 60
        letters = (
            Column(column_letters(index), max(3, widths[index]), grows=index == self.sheet.columns)
            for index in range(1, self.sheet.columns + 1)
        )
        return (Column("", 4, right=True), *letters)

    @cached_property
    def _per_row(self) -> dict[int, int]:
        found: dict[int, int] = {}
        for row, _ in self.sheet.cells:
            found[row] = found.get(row, 0) + 1
        return found

    def _count(self, row: int) -> int:
        return self._per_row.get(row, 0)

    def cell(self, row: int, column: int) -> Bits:
        """What stands in the file; a figure that is not sure is marked."""
        if column == 0:
            return bits(self._rows[row], "dim")
        found = self.sheet.cells.get((self._rows[row], column))
        if found is None:
            return ()
        doubtful = found.sure < 1 and found.meaning not in ("", "text")
        role = "query" if doubtful else "head" if found.meaning == "heading" else "plain"
        return bits(("?" if doubtful else "") + plain(found.raw), role)

    def at(self, row: int, column: int) -> DraftCell | None:
        """The cell at a place of the grid."""
        if row >= len(self._rows):
            return None
        return self.sheet.cells.get((self._rows[row], column))

    def find(self, place: Place) -> tuple[int, int] | None:
        """Row and column of the grid of a place in the file, or None."""
        for (row, column), cell in self.sheet.cells.items():
            if cell.place == place:
                return self._rows.index(row), column
        return None

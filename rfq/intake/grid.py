# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""A Grid: cells with addresses, whatever file they came from.

Every way in (workbook, CSV, PDF page, mail body, form) ends here, so that finding tables and
reading prices is written once.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from functools import lru_cache
from typing import Literal

from rfq.problems import Place

# text, number, date, truth value, error value, formula without a stored result
Kind = Literal["s", "n", "d", "b", "e", "f"]


@dataclass(slots=True)
class Cell:
    """One cell: what stands in it, and where.

    ``row`` and ``column`` are where the table reader sees it; ``place`` is where it stands in
    the file (they differ in a transposed table). ``text`` is what is printed, a number in plain
    digits, a date as 2026-12-31.
    """

    row: int
    column: int
    kind: Kind
    text: str
    format: str = ""
    comment: str = ""
    address: str = ""  # A1 form; '' on pages
    box: tuple[float, float, float, float] | None = None
    line: int = 0
    page: int = 0  # of a cell on a page; a table may run over several

    @property
    def number(self) -> Decimal | None:
        """The exact number of a numeric cell, else None."""
        return Decimal(self.text) if self.kind == "n" else None


@dataclass(slots=True)
class Grid:
    """A sheet, a CSV file or a page.

    Args:
        rows: row number (from 1) -> column number -> cell; blank cells are absent.
        merges: (first row, first column, last row, last column) of merged cells.
        hidden_rows, hidden_columns: not shown to a reader of the file.
    """

    name: str = ""
    rows: dict[int, dict[int, Cell]] = field(default_factory=dict)
    merges: list[tuple[int, int, int, int]] = field(default_factory=list)
    hidden: bool = False
    hidden_rows: set[int] = field(default_factory=set)
    hidden_columns: set[int] = field(default_factory=set)
    widths: dict[int, int] = field(default_factory=dict)  # fields of each row of a CSV
    page: int = 0
    height: float = 0.0

    def cell(self, row: int, column: int) -> Cell | None:
        """Return the cell, or None where it is blank."""
        return self.rows.get(row, {}).get(column)

    def put(self, cell: Cell) -> None:
        """Put a cell in its place."""
        self.rows.setdefault(cell.row, {})[cell.column] = cell

    def text(self, row: int, column: int) -> str:
        """Return a cell's text, '' where it is blank."""
        cell = self.cell(row, column)
        return cell.text.strip() if cell else ""

    def transposed(self) -> Grid:
        """Return the grid with rows and columns exchanged; places stay those of the file."""
        turned = Grid(self.name, page=self.page)
        turned.merges = [(c1, r1, c2, r2) for r1, c1, r2, c2 in self.merges]
        turned.hidden_rows, turned.hidden_columns = self.hidden_columns, self.hidden_rows
        for row in self.rows.values():
            for cell in row.values():
                turned.put(
                    Cell(
                        cell.column, cell.row, cell.kind, cell.text, cell.format, cell.comment,
                        cell.address or address(cell.row, cell.column), cell.box, cell.line, cell.page,
                    )
                )  # fmt: skip
        return turned

    def place(self, file: str, cell: Cell) -> Place:
        """Return where a cell stands in its file."""
        if self.page:
            return Place(file, page=cell.page or self.page, box=cell.box)
        return Place(file, sheet=self.name, cell=cell.address or address(cell.row, cell.column))


@dataclass(slots=True)
class Book:
    """All grids of one file, and notes of the reader (what was left out while opening)."""

    kind: str = ""
    grids: list[Grid] = field(default_factory=list)
    notes: list[tuple[str, str]] = field(default_factory=list)  # problem code, sentence
    properties: dict[str, str] = field(default_factory=dict)
    text: str = ""  # running text of a mail or letter


@lru_cache(maxsize=4096)
def letters(column: int) -> str:
    """Return a column's letters.

    >>> letters(1), letters(28)
    ('A', 'AB')
    """
    out = ""
    while column > 0:
        column, rest = divmod(column - 1, 26)
        out = chr(65 + rest) + out
    return out


def address(row: int, column: int) -> str:
    """Return a cell's address.

    >>> address(12, 6)
    'F12'
    """
    return f"{letters(column)}{row}"

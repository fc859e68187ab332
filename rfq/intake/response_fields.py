# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""Labels, headings and cells of our own response sheet, found by their text wherever they moved."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

from rfq.intake.cells import amount
from rfq.intake.grid import Book, Cell, Grid
from rfq.intake.matching import Known
from rfq.model import response as sheet
from rfq.model.codes import Scope
from rfq.model.draft import DraftCell
from rfq.problems import Place, Problem, Severity

EVENTS = (
    "order", "order confirmation", "deposit", "receipt of material", "first article approval",
    "drawing approval",
)  # fmt: skip


def key_of(text: str) -> str:
    """Return a label without case, signs and blanks."""
    return re.sub(r"[\s:]+", " ", text).strip().casefold()


class FilledSheet:
    """The cells of a filled response sheet by what they are."""

    def __init__(self, book: Book, file: str, request: Any, known: Known) -> None:
        self.file, self.request, self.known = file, request, known
        self.grid = next(
            g for g in book.grids for r in g.rows.values() for c in r.values()
            if c.kind == "s" and key_of(c.text) == key_of(sheet.MARK)
        )  # fmt: skip
        self.breakdown = next((g for g in book.grids if g.name == sheet.BREAKDOWN_SHEET), None)
        self.problems: list[Problem] = []
        self.cells: list[DraftCell] = []
        self.labels: dict[str, tuple[Cell, Cell | None]] = {}
        wanted = {key_of(t) for t in (sheet.MARK, *sheet.HEAD_LABELS, *sheet.TERMS)}
        wanted |= {key_of(sheet.SCOPE_LABEL + scope.value) for scope in Scope}
        self.head = self._head()
        for r, row in self.grid.rows.items():
            if r == self.head:
                continue
            for c, cell in row.items():
                key = key_of(cell.text)
                if cell.kind == "s" and key in wanted and key not in self.labels:
                    after = next((row[n] for n in sorted(row) if c < n <= c + 2), None)
                    if after is not None and key_of(after.text) in wanted:
                        after = None
                    self.labels[key] = (cell, after)

    def _head(self) -> int:
        names = {key_of(name) for name in sheet.COLUMNS}
        rows = sorted(self.grid.rows)
        return max(
            rows, key=lambda r: sum(key_of(c.text) in names for c in self.grid.rows[r].values()), default=0
        )  # fmt: skip

    def place(self, cell: Cell | None, grid: Grid | None = None) -> Place:
        """Return where a cell stands, or the sheet."""
        if cell is None:
            return Place(self.file, sheet=self.grid.name)
        return (grid or self.grid).place(self.file, cell)

    def value(self, label: str) -> Cell | None:
        """Return the cell right of a label."""
        found = self.labels.get(key_of(label))
        return found[1] if found else None

    def text(self, label: str) -> str:
        """Return the text right of a label."""
        cell = self.value(label)
        return cell.text.strip() if cell else ""

    def say(
        self,
        code: str,
        text: str,
        cell: Cell | None,
        severity: Severity = Severity.ASK,
        subject: str = "",
    ) -> None:
        """Add a problem with its place."""
        self.problems.append(Problem(code, text, self.place(cell), severity, subject=subject))

    def number(self, cell: Cell | None, what: str, part: str) -> Decimal | None:
        """The one number of a cell; anything else is said."""
        read = amount(cell)
        if read.state in ("blank", "dash"):
            return None
        if len(read.values) == 1 and not read.state and not read.percent and not read.words:
            return read.values[0]
        shown = cell.text[:60] if cell else ""
        why = "has two readings" if len(read.values) > 1 else "is no number"
        if read.state == "formula":
            why = "is a formula without a stored result"
        self.say(
            "R011" if len(read.values) > 1 else "R010",
            f"{part}: {what} '{shown}' {why}; write it as a plain number.",
            cell,
            subject=part,
        )
        return None

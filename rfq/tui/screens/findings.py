"""All findings: what is unclear, contradictory, missing, or dear for no reason."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType

from rfq.problems import Problem, Severity
from rfq.tui.cells import MARK, ROLE, bits, lines, problem_lines
from rfq.tui.screens.cards import TextCard
from rfq.tui.screens.stage import Explain, Stage
from rfq.tui.widgets.matrix import Column, Matrix, Rows

COLUMNS = (Column("", 5), Column("", 5), Column("about", 12), Column("finding", 40, grows=True))
_ORDER = {Severity.STOP: 0, Severity.ASK: 1, Severity.NOTE: 2}


def sorted_findings(found: tuple[Problem, ...]) -> list[Problem]:
    """Return findings, what stops first."""
    return sorted(found, key=lambda one: _ORDER[one.severity])


def finding_rows(found: list[Problem]) -> Rows:
    """Return findings as a list to show."""
    return Rows(
        COLUMNS,
        [
            [
                bits(MARK[one.severity], ROLE[one.severity]),
                bits(one.code, "dim"),
                bits(one.subject or one.place.file),
                bits(one.message),
            ]
            for one in found
        ],
    )


class FindingsScreen(Stage):
    """Findings of the request, and what the comparison and the estimates met."""

    NAME = "findings"
    HELP_NAME = "findings"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("j,enter", "jump", "jump", id="findings.jump", tooltip="Go to the field.")
    ]

    def body(self) -> ComposeResult:
        """The list and what is under the cursor."""
        yield Matrix(id="all-findings", empty="nothing found")
        yield Explain()

    def fill(self) -> None:
        """Show all that is known."""
        self.query_one(Matrix).show(finding_rows(self._found()))

    def answer(self) -> str:
        """How many of each kind."""
        if self.session.findings is None:
            return "findings   still looking"
        found = self._found()
        stops, asks = (
            sum(one.severity is kind for one in found) for kind in (Severity.STOP, Severity.ASK)
        )
        return f"findings   {stops} stop the request, {asks} to settle, {len(found)} in all"

    def _found(self) -> list[Problem]:
        session = self.session
        everything = (
            *(session.findings or ()),
            *session.estimate_problems,
            *session.comparison_problems,
            *session.here.problems,
        )
        return sorted_findings(tuple(dict.fromkeys(everything)))

    def _here(self) -> Problem | None:
        found = self._found()
        row = self.query_one(Matrix).row
        return found[row] if row < len(found) else None

    def on_matrix_moved(self) -> None:
        """Explain the finding under the cursor."""
        problem = self._here()
        rows: list[object] = [*problem_lines(problem)] if problem else [""]
        self.query_one(Explain).say(rows)

    def on_matrix_chosen(self) -> None:
        """Jump."""
        self.action_jump()

    def action_jump(self) -> None:
        """Go to the field the finding is about."""
        from rfq.tui.screens.jump import jump_to

        problem = self._here()
        if problem is not None:
            self.app.pop_screen()
            jump_to(self.rfq, problem)

    def show_why(self) -> None:
        """The finding in full."""
        problem = self._here()
        if problem is not None:
            self.app.push_screen(TextCard("why", lines(problem_lines(problem))))

    def copy_text(self) -> str:
        """The finding."""
        problem = self._here()
        return str(problem) if problem else ""

    def source_file(self) -> Path | None:
        """Its file."""
        problem = self._here()
        return self.session.folder / problem.place.file if problem and problem.place.file else None

"""Should-cost: what should this part cost, what is it made of, what would move it?"""

from __future__ import annotations

from pathlib import Path
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical

from rfq.model.estimate import Estimate
from rfq.tui import keys
from rfq.tui.cells import bit, bits, money
from rfq.tui.estimate_words import element_rows, element_words, why_rows
from rfq.tui.screens.assumptions import AssumptionsScreen
from rfq.tui.screens.cards import AskCard
from rfq.tui.screens.stage import NARROW, Explain, Stage
from rfq.tui.widgets.matrix import Column, Matrix, Rows

_ASTERISK = "* rests on common practice"
CAUTION = (
    "An estimate for talking about price; its times are not machine settings, which come from "
    f"the shop, the machine and the cutter maker.   {_ASTERISK}"
)
_LINES = (
    Column("part", 10), Column("pcs", 5, right=True), Column("middle", 9, right=True),
    Column("low", 9, right=True), Column("high", 9, right=True), Column("", 1),
)  # fmt: skip


def _elements(room: int) -> tuple[Column, ...]:
    """Columns of the elements; the bar is as long as there is room."""
    if room < NARROW:
        return (Column("element", 17), Column("", 8, right=True), Column("", 16, grows=True))
    return (
        Column("element", 24), Column("share", 9, right=True), Column("", 18),
        Column("how", 16, grows=True),
    )  # fmt: skip


class ShouldCostStage(Stage):
    """Lines at the left, the elements of the line under the cursor at the right."""

    NAME = "should-cost"
    HELP_NAME = "should-cost"
    BINDINGS: ClassVar[list[BindingType]] = keys.bindings("should-cost")

    def __init__(self) -> None:
        super().__init__()
        self._lines: list[tuple[str, int]] = []
        self._own: list[tuple[str, int]] = []  # at quantities asked for here

    def body(self) -> ComposeResult:
        """Lines, elements, lower pane."""
        with Horizontal(classes="halves"):
            with Vertical(id="cost-lines"):
                yield Matrix(id="lines", empty="estimating …")
            with Vertical(classes="half"):
                yield Matrix(id="elements", empty="")
        yield Explain()

    def on_mount(self) -> None:
        """Fill and focus the lines."""
        super().on_mount()
        self.query_one("#lines").focus()

    def fill(self) -> None:
        """The lines of the request, estimated or not."""
        session, found = self.session, self.session.estimates
        request = session.request
        lines_ = [(line.part, q) for line in (request.lines if request else ())
                  for q in line.quantities]  # fmt: skip
        for own in self._own:
            if own not in lines_:
                at = max((i for i, one in enumerate(lines_) if one[0] == own[0]), default=-1)
                lines_.insert(at + 1, own)
        self._lines = lines_
        matrix = self.query_one("#lines", Matrix)
        matrix.empty = "estimating …" if found is None else "no lines: the request asks for none"
        rows = []
        for number, quantity in self._lines if found is not None else ():
            estimate = self._estimate((number, quantity))
            rows.append(
                [
                    bits(number, "strong"),
                    bits(quantity),
                    bits(money(estimate.middle) if estimate else "none", "strong"),
                    bits(money(estimate.low) if estimate else ""),
                    bits(money(estimate.high) if estimate else ""),
                    bits("*" if estimate and estimate.marked else "", "dim"),
                ]
            )
        matrix.show(Rows(_LINES, rows))

    def _estimate(self, line: tuple[str, int]) -> Estimate | None:
        return self.session.full.get(line) or (self.session.estimates or {}).get(line)

    @property
    def line(self) -> tuple[str, int] | None:
        """Part and quantity under the cursor."""
        row = self.query_one("#lines", Matrix).row
        return self._lines[row] if row < len(self._lines) else None

    @property
    def here(self) -> Estimate | None:
        """The estimate under the cursor."""
        return self._estimate(self.line) if self.line else None

    def answer(self) -> str:
        """The band of the line under the cursor, in one line."""
        estimate = self.here
        if estimate is None:
            return "should-cost" + ("   estimating …" if self.session.estimates is None else "")
        part = self.session.project.parts.get(estimate.part)
        name = part.name if part else ""
        band = f"{money(estimate.middle)} {estimate.currency}"
        return (
            f"should-cost   {estimate.part} {name}, {estimate.quantity} pcs, {estimate.route}: "
            f"{band} ({money(estimate.low)} to {money(estimate.high)})"
        )

    def on_matrix_moved(self, event: Matrix.Moved) -> None:
        """Show the elements of the line, or explain the element."""
        if event.matrix.id == "lines":
            self._show_elements()
            self.say_answer()
            self._look_closer()
        self._explain()

    def on_descendant_focus(self) -> None:
        """The lower pane follows the side that has the focus."""
        if self.rfq.session is not None:
            self._explain()

    def _show_elements(self) -> None:
        estimate = self.here
        matrix = self.query_one("#elements", Matrix)
        if estimate is None:
            matrix.empty = self._why_none()
            matrix.show(Rows(_elements(self.size.width), ()))
            return
        bars = 16 if self.size.width < NARROW else 18
        matrix.show(Rows(_elements(self.size.width), element_rows(estimate, bars)))

    def _look_closer(self) -> None:
        """Compute steps, drivers and assumptions of the line under the cursor, once."""
        from rfq.tasks.what_if import estimate_with

        line, session = self.line, self.session
        estimate = self.here
        if line is None or estimate is None or estimate.steps:
            return
        part, here = session.project.parts[line[0]], session.here

        def have(done: Any) -> None:
            if done.value is not None and self.rfq.session is session:
                session.full[line] = done.value
                if self.is_attached and self.line == line:
                    self._show_elements()
                    self.say_answer()
                    self._explain()

        self.rfq.begin(
            "estimating", lambda _: estimate_with(here, part, line[1], {}), have,
            group="closer", quiet=True,
        )  # fmt: skip

    def _why_none(self) -> str:
        line = self.line
        for problem in self.session.estimate_problems:
            if line is not None and problem.subject == line[0]:
                return f"no should-cost: {problem.message}"
        return ""

    def _explain(self) -> None:
        estimate = self.here
        if estimate is None:
            self.query_one(Explain).say([(bit(self._why_none() or CAUTION),)])
            return
        rows: list[object] = []
        row = self.query_one("#elements", Matrix).row
        if self.query_one("#elements").has_focus and row < len(estimate.elements):
            rows.append(element_words(estimate, row))
        else:
            rows.append(
                (
                    bit(f"{estimate.part}: ", "strong"),
                    bit(f"basis {estimate.basis}; one-offs, once: "),
                    bit(", ".join(f"{n} {money(v)}" for n, v in estimate.one_off.items())),
                )
            )
        top = "; ".join(
            f"{one.name} {money(one.low)} to {money(one.high)}" for one in estimate.drivers[:3]
        )
        rows.append((bit("moves it most  ", "dim"), bit(top)))
        rows += [(bit("caution  ", "query"), bit(one)) for one in estimate.cautions[:3]]
        # An estimate of ours says the caution itself; then only the asterisk is left to explain.
        rows.append((bit(_ASTERISK if estimate.cautions else CAUTION, "dim"),))
        self.query_one(Explain).say(rows)

    def on_matrix_chosen(self, event: Matrix.Chosen) -> None:
        """From a line to its elements; from an element to why."""
        if event.matrix.id == "lines":
            self.query_one("#elements").focus()
            self._explain()
        else:
            self.show_why()

    def _with_estimate(self) -> Estimate | None:
        found = self.here
        if found is None or not found.assumptions:
            self.rfq.say(self._why_none() or "no estimate under the cursor yet", bad=True)
            return None
        return found

    def action_assume(self) -> None:
        """Change assumptions and see the price move."""
        estimate = self._with_estimate()
        if estimate is not None:
            self.app.push_screen(AssumptionsScreen(estimate))

    action_keep = action_assume
    action_reset = action_assume

    def action_savings(self) -> None:
        """What a change would save."""
        from rfq.tui.screens.savings import show_savings

        estimate = self._with_estimate()
        if estimate is not None:
            show_savings(self.rfq, estimate)

    def action_routes(self) -> None:
        """Other ways to make it."""
        from rfq.tui.screens.routes import show_routes

        estimate = self._with_estimate()
        if estimate is not None:
            show_routes(self.rfq, estimate)

    def action_drivers(self) -> None:
        """What moves the price."""
        from rfq.tui.screens.savings import show_drivers

        estimate = self._with_estimate()
        if estimate is not None:
            show_drivers(self.rfq, estimate)

    def action_quantity(self) -> None:
        """Estimate at another quantity."""
        from rfq.tasks.typed import number_typed
        from rfq.tasks.what_if import estimate_with

        line = self.line
        if line is None:
            return
        part = self.session.project.parts.get(line[0])
        if part is None:
            return

        def check(typed: str) -> tuple[bool, str]:
            number, said = number_typed(typed)
            if number is None:
                return False, said.words
            good = number == number.to_integral_value() and 0 < number <= 10_000_000
            return good, f"{number} pcs" if good else "a whole number of pieces"

        def answered(typed: str | None) -> None:
            number = number_typed(typed)[0] if typed else None
            if number is None:
                return
            wanted, here = int(number), self.session.here

            def have(done: Any) -> None:
                if done.value is None:
                    self.rfq.show_problems("no estimate", done.problems)
                    return
                self.session.full[part.number, wanted] = done.value
                self._own.append((part.number, wanted))
                self.refresh_stage()
                self.query_one("#lines", Matrix).go(self._lines.index((part.number, wanted)))

            self.rfq.begin("estimating", lambda _: estimate_with(here, part, wanted, {}), have)

        self.app.push_screen(AskCard(f"quantity of {part.number}", check=check), answered)

    def why(self) -> list[object]:
        """Every step with formula and source; those of the element under the cursor first."""
        estimate = self.here
        if estimate is None:
            return []
        wanted = ""
        row = self.query_one("#elements", Matrix).row
        if self.query_one("#elements").has_focus and row < len(estimate.elements):
            wanted = estimate.elements[row].name
        return why_rows(estimate, wanted)

    def copy_text(self) -> str:
        """The band."""
        estimate = self.here
        if estimate is None:
            return ""
        return (
            f"{estimate.part} x {estimate.quantity}: {money(estimate.low)} "
            f"[{money(estimate.middle)}] {money(estimate.high)} {estimate.currency}"
        )

    def source_file(self) -> Path | None:
        """The part's record."""
        line = self.line
        file = self.session.project.files.get(f"part:{line[0]}") if line else None
        return self.session.folder / file if file else None

"""Review of one reply: the file's own cells at the left, what was understood at the right."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, cast

from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical
from textual.screen import Screen
from textual.widgets import Static

from rfq.model.draft import Draft, DraftCell
from rfq.model.quote import Price
from rfq.problems import Place, Problem
from rfq.tui import keys
from rfq.tui.cells import Bits, bit, bits, lines, unit_price
from rfq.tui.screens import settle
from rfq.tui.screens.cards import TextCard
from rfq.tui.screens.replies import accept
from rfq.tui.screens.stage import Explain, follow_size
from rfq.tui.widgets.key_line import KeyLine
from rfq.tui.widgets.matrix import Column, Matrix, Rows
from rfq.tui.widgets.sheet import SheetGrid
from rfq.tui.widgets.status import Status

if TYPE_CHECKING:
    from rfq.tui.app import RfqApp

_PRICES = (
    Column("part", 10), Column("pcs", 5, right=True), Column("a piece", 11, right=True),
    Column("", 4), Column("per", 5), Column("", 4), Column("place", 8, grows=True),
)  # fmt: skip


class ReviewScreen(Screen[None]):
    """Cells and prices follow each other; at the foot the question and its evidence.

    Args:
        sha256: of the reply's file.
    """

    HELP_NAME: ClassVar[str] = "review"
    AUTO_FOCUS = "#prices"
    BINDINGS: ClassVar[list[BindingType]] = keys.bindings("review")

    def __init__(self, sha256: str) -> None:
        super().__init__()
        self.sha256 = sha256
        self._sheet = 0
        self._following = False

    @property
    def rfq(self) -> RfqApp:
        """The app."""
        return cast("RfqApp", self.app)

    @property
    def locked(self) -> bool:
        """Whether it is accepted already, and only looked at."""
        session = self.rfq.session
        return session is not None and any(
            quote.source.sha256 == self.sha256 for quote in session.project.quotes
        )

    @property
    def draft(self) -> Draft | None:
        """The draft as the session has it now."""
        session = self.rfq.session
        if session is None:
            return None
        return next((one for one in session.project.drafts if one.sha256 == self.sha256), None)

    def compose(self) -> ComposeResult:
        """Cells, prices, question."""
        yield Static("", markup=False, id="head")
        with Horizontal(classes="halves"):
            with Vertical(classes="half"):
                yield Matrix(by_cell=True, id="cells", empty="the file has no cells to show")
            with Vertical(classes="review-prices"):
                yield Matrix(id="prices", empty="no price was read")
        yield Explain()
        with Vertical(id="foot"):
            yield Status()
            yield KeyLine()

    def on_mount(self) -> None:
        """Fill; begin at the first question."""
        self.refresh_stage()
        prices = self.query_one("#prices", Matrix)
        prices.focus()
        prices.go(len(prices.grid) - 1)  # the next question after the last price is the first
        self.action_next_problem()
        if self.price is not None:
            self._show_place(self.price.place)
        self._explain()

    def on_resize(self, event: events.Resize) -> None:
        """Fold what does not fit."""
        follow_size(self, event)

    def refresh_stage(self) -> None:
        """Show the draft as it is now."""
        from rfq.tasks.review import questions_of, sheets_of

        draft = self.draft
        if not self.is_attached:
            return
        if draft is None:
            if self.app.screen is self:
                self.app.pop_screen()
            return
        asked = questions_of(draft)
        state = "accepted" if self.locked else f"{len(asked)} to settle" if asked else "all settled"
        self.query_one("#head", Static).update(
            lines(
                [
                    (bit(f"reply of {draft.shop or 'a shop not known'}   ", "strong"),
                     bit(f"{Path(draft.file).name}, {draft.form}")),
                    (bit(f"{len(draft.prices)} prices, {len(draft.declined)} declined; {state}"),),
                ]
            )
        )  # fmt: skip
        sheets = sheets_of(draft)
        self._sheet = min(self._sheet, max(0, len(sheets) - 1))
        cells = self.query_one("#cells", Matrix)
        if sheets:
            cells.show(SheetGrid(sheets[self._sheet]))
        open_ = {problem.place for problem in asked}
        self.query_one("#prices", Matrix).show(
            Rows(_PRICES, [_price_row(price, open_) for price in draft.prices])
        )

    def _cells_side(self) -> bool:
        return self.query_one("#cells").has_focus

    @property
    def price(self) -> Price | None:
        """The price under the cursor of the right side."""
        draft, row = self.draft, self.query_one("#prices", Matrix).row
        return draft.prices[row] if draft and row < len(draft.prices) else None

    @property
    def cell(self) -> DraftCell | None:
        """The cell under the cursor of the left side."""
        matrix = self.query_one("#cells", Matrix)
        grid = matrix.grid
        return grid.at(matrix.row, matrix.column) if isinstance(grid, SheetGrid) else None

    def on_matrix_moved(self, event: Matrix.Moved) -> None:
        """The other side follows; the foot explains."""
        if event.matrix.id == "prices" and event.matrix.has_focus:
            price = self.price
            if price is not None:
                self._show_place(price.place)
        elif event.matrix.id == "cells" and event.matrix.has_focus:
            self._follow_cell()
        self._explain()

    def _show_place(self, place: Place) -> None:
        from rfq.tasks.review import sheets_of

        draft = self.draft
        if draft is None:
            return
        matrix = self.query_one("#cells", Matrix)
        for number, sheet in enumerate(sheets_of(draft)):
            grid = SheetGrid(sheet)
            found = grid.find(place)
            if found is not None:
                if number != self._sheet:
                    self._sheet = number
                    matrix.show(grid)
                matrix.go(*found)
                return

    def _follow_cell(self) -> None:
        cell, draft = self.cell, self.draft
        if cell is None or draft is None:
            return
        for row, price in enumerate(draft.prices):
            if price.place == cell.place:
                self.query_one("#prices", Matrix).go(row)
                return

    def problem_here(self) -> Problem | None:
        """The question about what is under the cursor, else the first one."""
        from rfq.tasks.review import questions_of

        draft = self.draft
        if draft is None:
            return None
        asked = questions_of(draft)
        price = self.price
        place = self.cell.place if self._cells_side() and self.cell else None
        places = [one for one in (place, price.place if price else None) if one is not None]
        for problem in asked:
            if problem.place in places:
                return problem
        return asked[0] if asked else None

    def _explain(self) -> None:
        rows: list[object] = []
        cell, price, problem = self.cell, self.price, self.problem_here()
        if self._cells_side() and cell is not None:
            rows.append(
                (bit(f"{cell.place}: ", "dim"), bit(f"'{cell.raw}'", "strong"),
                 bit(f"   {cell.meaning}   {cell.understood}   sure {cell.sure:.0%}"))
            )  # fmt: skip
        elif price is not None:
            sure = "sure" if price.sure and price.each is not None else "not sure"
            rows.append(
                (bit(f"{price.part} x {price.quantity}: ", "strong"),
                 bit(f"{price.each} {price.currency} a piece, net; printed {price.printed} per "
                     f"{price.per}; {sure}   "), bit(str(price.place), "dim"))
            )  # fmt: skip
            if price.evidence:
                rows.append((bit("read so  ", "dim"), bit(price.evidence)))
        if problem is not None:
            rows.append((bit("settle   ", "query"), bit(problem.message)))
            if problem.why:
                rows.append((bit("because  ", "dim"), bit(problem.why)))
            if not self.locked:
                rows.append((bit("         s settles it   e types the price   c the column   "
                                 "x next question", "dim"),))  # fmt: skip
        self.query_one(Explain).say(rows or [""])

    def on_matrix_chosen(self, event: Matrix.Chosen) -> None:
        """Correct the price; or say what the column means."""
        if event.matrix.id == "prices":
            self.action_fix()
        else:
            self.action_column()

    def action_side(self) -> None:
        """Cells or prices."""
        self.query_one("#prices" if self._cells_side() else "#cells").focus()
        self._explain()

    def action_next_problem(self) -> None:
        """Go to the next price that has to be settled."""
        from rfq.tasks.review import questions_of

        draft = self.draft
        if draft is None:
            return
        places = {problem.place for problem in questions_of(draft)}
        matrix = self.query_one("#prices", Matrix)
        count = len(draft.prices)
        for step in range(1, count + 1):
            row = (matrix.row + step) % count
            if draft.prices[row].place in places:
                matrix.go(row)
                self._show_place(draft.prices[row].place)
                return

    def action_fix(self) -> None:
        """Type the price anew."""
        if self._free() and self.price is not None:
            settle.type_price(self, self.price)

    def action_settle(self) -> None:
        """Answer the question at the foot."""
        if self._free():
            settle.settle(self)

    def action_column(self) -> None:
        """Say what a column means."""
        if self._free():
            settle.say_column(self)

    def action_accept(self) -> None:
        """Accept the draft."""
        draft = self.draft
        if self._free() and draft is not None:
            accept(self, draft)

    def _free(self) -> bool:
        if self.locked:
            self.rfq.say("this reply is accepted; u takes the last change back", bad=True)
        return not self.locked

    def show_why(self) -> None:
        """How each cell was understood."""
        draft = self.draft
        if draft is not None:
            rows: list[object] = [
                (bit(f"{one.place}  ", "dim"), bit(f"'{one.raw}'"),
                 bit(f"  {one.meaning} {one.understood}", "dim"))
                for one in draft.cells
                if one.meaning
            ]  # fmt: skip
            self.app.push_screen(TextCard("how each cell was understood", lines(rows)))

    def copy_text(self) -> str:
        """The question."""
        problem = self.problem_here()
        return str(problem) if problem else ""

    def source_file(self) -> Path | None:
        """The reply as received."""
        draft, session = self.draft, self.rfq.session
        return session.folder / draft.file if draft and session else None


def _price_row(price: Price, open_: set[Place]) -> list[Bits]:
    sure = price.sure and price.each is not None and price.place not in open_
    return [
        bits(price.part, "strong"),
        bits(price.quantity),
        bits(
            unit_price(price.each) if price.each is not None else "?", "plain" if sure else "query"
        ),
        bits(price.currency or "?"),
        bits(price.per, "dim"),
        bits("" if sure else "ask", "query"),
        bits(price.place.cell or price.place.path or f"page {price.place.page}", "dim"),
    ]

"""Compare: which price is low, which is odd, and why?"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any, ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import Input

from rfq.model.comparison import Line, PriceCell
from rfq.tui import comparison_words as words
from rfq.tui import keys
from rfq.tui.cells import bit, lines, money
from rfq.tui.comparison_grid import SORTS, ComparisonGrid, View, is_odd
from rfq.tui.screens.cards import ChoiceCard, TextCard, YesCard
from rfq.tui.screens.stage import Explain, Stage
from rfq.tui.widgets.matrix import Matrix


class CompareStage(Stage):
    """Lines by shops; below them everything about the price under the cursor."""

    NAME = "compare"
    HELP_NAME = "compare"
    BINDINGS: ClassVar[list[BindingType]] = keys.bindings("compare")

    def __init__(self) -> None:
        super().__init__()
        self.view = View()
        self._made: tuple[object, View, int] | None = None

    def body(self) -> ComposeResult:
        """Filter, matrix, lower pane."""
        yield Input(placeholder="show only lines that match", id="filter")
        yield Matrix(by_cell=True, id="prices", empty="comparing …")
        yield Explain()

    def on_mount(self) -> None:
        """Fill and focus the matrix."""
        super().on_mount()
        self.query_one(Matrix).focus()

    @property
    def grid(self) -> ComparisonGrid | None:
        """What the matrix shows."""
        grid = self.query_one(Matrix).grid
        return grid if isinstance(grid, ComparisonGrid) else None

    def fill(self) -> None:
        """Show the comparison; nothing is made anew where nothing changed."""
        matrix = self.query_one(Matrix)
        comparison = self.session.comparison
        if comparison is None:
            matrix.empty = self.session.comparison_note or "comparing …"
            from rfq.tui.widgets.matrix import Rows

            matrix.show(Rows((), ()))
            self._made = None
            return
        room = self.size.width
        made = (comparison, self.view, room)
        if self._made is not None and self._made[0] is comparison and self._made[1:] == made[1:]:
            return
        self._made = made
        matrix.empty = "no line matches: + shows all"
        matrix.show(ComparisonGrid(comparison, self.view, room))

    def on_resize(self, event: events.Resize) -> None:
        """Fold the band where the screen is narrow."""
        super().on_resize(event)
        if self.rfq.session is not None:
            self.fill()

    def answer(self) -> str:
        """What is odd, in one line."""
        comparison = self.session.comparison
        if comparison is None:
            return f"compare   {self.session.comparison_note or 'comparing …'}"
        head, _, said = words.headline(comparison).partition(": ")
        view = self.view
        notes = [
            note
            for note, on in (
                (f"only '{view.words}'", view.words),
                ("only odd", view.odd_only),
                ("smaller quantity", view.quantity == "half"),
                ("larger quantity", view.quantity == "double"),
                (f"hidden: {', '.join(sorted(view.hidden))}", view.hidden),
                ("without one-offs", not view.one_offs),
                ("dates", view.dates),
                (view.sort, view.sort != SORTS[0]),
            )
            if on
        ]
        return head + (f" [{', '.join(notes)}]: " if notes else ": ") + said

    @property
    def here(self) -> tuple[Line, PriceCell] | None:
        """Line and price under the cursor."""
        grid, matrix = self.grid, self.query_one(Matrix)
        if grid is None:
            return None
        cell = grid.price(matrix.row, matrix.column)
        return (grid.lines[matrix.row], cell) if cell is not None else None

    @property
    def _currency(self) -> str:
        return self.session.comparison.currency if self.session.comparison else ""

    def on_matrix_moved(self) -> None:
        """Explain what is under the cursor."""
        grid, matrix, found = self.grid, self.query_one(Matrix), self.here
        explain = self.query_one(Explain)
        if grid is None or not len(grid):
            explain.say([""])
        elif found is not None:
            explain.say(words.pane(*found, self._currency))
        elif matrix.row == len(grid.lines) and grid.shops:
            shop = grid.shops[max(0, matrix.column - grid.frozen)]
            explain.say(words.shop_words(shop, self._currency))
        else:
            explain.say([(bit("nothing was asked of this shop for this line", "dim"),)])

    def on_matrix_chosen(self) -> None:
        """Everything about the price."""
        self.action_details()

    def action_details(self) -> None:
        """Everything about the price under the cursor."""
        found = self.here
        if found is None:
            self._card("shop", self.query_one(Explain).rows)
            return
        line, cell = found
        self._card(
            f"{cell.shop}, {line.part} {line.revision} {line.name}, {line.quantity} pcs",
            words.details(line, cell, self._currency),
        )

    def show_why(self) -> None:
        """The bridge of the price, step by step."""
        self.action_details()

    def _card(self, title: str, rows: list[object]) -> None:
        self.app.push_screen(TextCard(title, lines(rows)))

    def action_plot(self) -> None:
        """The line's prices on one scale."""
        grid, row = self.grid, self.query_one(Matrix).row
        if grid is None or row >= len(grid.lines):
            return
        line = grid.lines[row]
        room = max(20, min(60, self.size.width - 60))
        self._card(
            f"{line.part} {line.name}, {line.quantity} pcs",
            words.dots(line, self._currency, room),
        )

    def action_totals(self) -> None:
        """Totals of like sets and what decides."""
        comparison = self.session.comparison
        if comparison is not None:
            self._card("totals of like lines, and what decides", words.totals(comparison))

    def _look(self, **changed: Any) -> None:
        self.view = replace(self.view, **changed)
        self.refresh_stage()

    def action_sort(self) -> None:
        """Another order of the lines."""
        at = SORTS.index(self.view.sort)
        self.app.push_screen(
            ChoiceCard("order of the lines", [(one,) for one in SORTS], at=at),
            lambda index: self._look(sort=SORTS[index]) if index is not None else None,
        )

    def action_odd_only(self) -> None:
        """Only lines with a price to ask about, or all."""
        self._look(odd_only=not self.view.odd_only)

    def action_quantity(self, which: str) -> None:
        """Smaller quantity, larger quantity, all: in turn."""
        following = {"": which, "half": "double", "double": ""}
        self._look(quantity=following[self.view.quantity])

    def action_without_one_offs(self) -> None:
        """With or without one-off charges."""
        self._look(one_offs=not self.view.one_offs)

    def action_dates(self) -> None:
        """Comparable dates in place of prices."""
        self._look(dates=not self.view.dates)

    def action_hide(self) -> None:
        """Hide the shop under the cursor."""
        grid, matrix = self.grid, self.query_one(Matrix)
        place = matrix.column - (grid.frozen if grid else 0)
        if grid is not None and len(grid.shops) > 1 and 0 <= place < len(grid.shops):
            self._look(hidden=self.view.hidden | {grid.shops[place].shop})

    def action_show_all(self) -> None:
        """All shops and lines."""
        self.view = View()
        field = self.query_one("#filter", Input)
        field.value = ""
        field.remove_class("open")
        self.refresh_stage()

    def action_filter(self) -> None:
        """Show the filter."""
        field = self.query_one("#filter", Input)
        field.add_class("open")
        field.focus()

    def on_input_changed(self, event: Input.Changed) -> None:
        """Filter as it is typed."""
        self._look(words=event.value)

    def on_input_submitted(self) -> None:
        """Back to the matrix."""
        self.query_one("#filter", Input).set_class(bool(self.view.words), "open")
        self.query_one(Matrix).focus()

    def action_next_odd(self) -> None:
        """Go to the next price to ask about, line by line, round and round."""
        grid, matrix = self.grid, self.query_one(Matrix)
        if grid is None or not grid.lines:
            return
        count = len(grid.shops)
        begin = matrix.row * count + matrix.column - grid.frozen
        for step in range(1, len(grid.lines) * count + 1):
            row, place = divmod((begin + step) % (len(grid.lines) * count), count)
            cell = grid.price(row, place + grid.frozen)
            if cell is not None and is_odd(cell):
                matrix.go(row, place + grid.frozen)
                return
        self.rfq.say("no price to ask about")

    def action_ask(self) -> None:
        """Put the question on record, as it would go out."""
        found = self.here
        if found is None or not found[1].question:
            self.rfq.say("there is no question about this price", bad=True)
            return
        line, cell = found
        asked = {(one.to_shop, one.question) for one in self.session.project.clarifications}
        if (cell.shop, cell.question.strip()) in asked:
            self.rfq.say(f"this question to {cell.shop} is on record already (6 shows it)")
            return

        def answered(yes: bool | None) -> None:
            if yes:
                from rfq.tasks.questions import ask

                self.rfq.change(
                    "storing",
                    lambda here: ask(
                        here.folder, cell.question, to_shop=cell.shop, part=line.part, kind="price"
                    ),
                    lambda done: self.rfq.say(
                        f"question to {cell.shop} is on record (u takes it back)"
                    ),
                )

        self.app.push_screen(YesCard(f"Put to {cell.shop}?", [cell.question]), answered)

    def action_round(self) -> None:
        """Another round."""
        from rfq.tui.background import compare

        session = self.session
        request = session.request
        if request is None:
            return
        numbers = sorted({quote.round for quote in session.project.quotes
                          if quote.request == request.id})  # fmt: skip

        def chosen(index: int | None) -> None:
            if index is not None:
                session.round_ = numbers[index]
                compare(self.rfq, session)

        self.app.push_screen(
            ChoiceCard("round", [(f"round {number}",) for number in numbers]), chosen
        )

    def copy_text(self) -> str:
        """The price and what is said of it."""
        found = self.here
        if found is None:
            return ""
        line, cell = found
        said = f"; {cell.question}" if cell.question else ""
        return (
            f"{cell.shop}, {line.part} x {line.quantity}: {money(cell.comparable)} "
            f"{self._currency}{said}"
        )

    def source_file(self) -> Path | None:
        """The reply the price came from."""
        found = self.here
        if found is None:
            return None
        for quote in self.session.project.quotes:
            if quote.shop == found[1].shop and quote.state == "standing":
                return self.session.folder / quote.source.path
        return None

"""A field for a number or an amount of money, with the value it was understood as beside it.

A field that only lets digits and points through would turn ``41,20`` into 4120; here everything
may be typed, and the number as read stands beside it before enter is pressed.
"""

from __future__ import annotations

from decimal import Decimal

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.message import Message
from textual.widgets import Input, Static

from rfq.tui.cells import text


class NumberInput(Horizontal):
    """An input and, beside it, what was understood."""

    DEFAULT_CSS = """
    NumberInput { height: 3; }
    NumberInput > Input { width: 24; }
    NumberInput > Static { width: 1fr; padding: 1 1; }
    """

    class Typed(Message):
        """The text changed; number is None where it is none, or may be two."""

        def __init__(self, number: Decimal | None, words: str) -> None:
            super().__init__()
            self.number = number
            self.words = words

    class Left(Message):
        """Enter was pressed on a number."""

    def compose(self) -> ComposeResult:
        """The field and what was understood."""
        yield Input(id="number")
        yield Static("", markup=False, id="number-understood")

    def begin(self, value: str) -> None:
        """Put a value in, selected, and the cursor with it."""
        field = self.query_one(Input)
        with self.prevent(Input.Changed):
            field.value = value
        field.select_on_focus = True
        field.focus()
        self._understand(value)

    def on_input_changed(self, event: Input.Changed) -> None:
        """Say what was understood so far."""
        event.stop()
        number, words = self._understand(event.value)
        self.post_message(self.Typed(number, words))

    def _understand(self, typed: str) -> tuple[Decimal | None, str]:
        from rfq.tasks.typed import number_typed

        number, said = number_typed(typed)
        self.query_one("#number-understood", Static).update(
            text(f"{'=' if said.good else '!'} {said.words}")
        )
        return number, said.words

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Leave with a number only."""
        event.stop()
        if self._understand(event.value)[0] is not None:
            self.post_message(self.Left())

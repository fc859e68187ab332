"""Small windows over a stage: a text, a question with typed answer, a choice, yes or no."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar, Generic, TypeVar

from rich.text import Text
from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from rfq.tui.cells import bits, text
from rfq.tui.screens.stage import SHORT, follow_size
from rfq.tui.widgets.matrix import Column, Matrix, Rows

R = TypeVar("R")


class Card(ModalScreen[R], Generic[R]):
    """A framed window; escape leaves it without an answer."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "back", id="card.back", tooltip="Close without an answer.")
    ]
    HELP_NAME: ClassVar[str] = "cards"

    def __init__(self, title: str) -> None:
        super().__init__()
        self._title = title

    def compose(self) -> ComposeResult:
        """Title, inside, keys."""
        with Vertical(id="card"):
            yield Static(text(self._title), markup=False, id="card-title")
            yield from self.inside()
            yield Static(text(self.keys_said()), markup=False, classes="keys")

    def inside(self) -> ComposeResult:
        """What the window holds."""
        raise NotImplementedError

    def keys_said(self) -> str:
        """The keys in words."""
        return "escape back"

    def on_resize(self, event: events.Resize) -> None:
        """Fold what does not fit."""
        follow_size(self, event)

    def action_leave(self) -> None:
        """Close without an answer."""
        self.dismiss(None)


class TextCard(Card[None]):
    """A text to read; ``y`` copies it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("y", "copy_all", "copy", id="card.copy", tooltip="Copy the text."),
        Binding("enter", "leave", "back", show=False),
    ]

    def __init__(self, title: str, content: Text) -> None:
        super().__init__(title)
        self.content = content

    def inside(self) -> ComposeResult:
        """The text in a scroll."""
        with VerticalScroll():
            yield Static(self.content, markup=False, id="card-text")

    def keys_said(self) -> str:
        """The keys in words."""
        return "arrows scroll   y copy   escape back"

    def action_copy_all(self) -> None:
        """Copy the text."""
        self.app.copy_to_clipboard(self.content.plain)


class AskCard(Card[str]):
    """A question with a typed answer, checked as it is typed.

    Args:
        title: the question. value: what stands there first.
        check: typed text -> (whether it will do, what was understood or what is wrong).
    """

    def __init__(
        self,
        title: str,
        value: str = "",
        *,
        check: Callable[[str], tuple[bool, str]] | None = None,
        placeholder: str = "",
    ) -> None:
        super().__init__(title)
        self.value = value
        self.check = check
        self.placeholder = placeholder

    def inside(self) -> ComposeResult:
        """The field and what was understood."""
        yield Input(self.value, placeholder=self.placeholder, id="ask")
        yield Static("", markup=False, classes="understood", id="understood")

    def keys_said(self) -> str:
        """The keys in words."""
        return "enter takes it   escape back"

    def on_mount(self) -> None:
        """Say at once what the value means."""
        self.query_one(Input).focus()
        self._understand(self.value)

    def on_input_changed(self, event: Input.Changed) -> None:
        """Say what was understood so far."""
        self._understand(event.value)

    def _understand(self, typed: str) -> bool:
        if self.check is None:
            return True
        good, said = self.check(typed)
        self.query_one("#understood", Static).update(text(("= " if good else "! ") + said))
        return good

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Take the answer, if it will do."""
        if self._understand(event.value):
            self.dismiss(event.value)


class ChoiceCard(Card[int]):
    """One of several, by arrows and enter, or by typing part of it.

    Args:
        choices: rows of text; several columns where given as tuples.
        filtered: show a field that filters the rows.
    """

    def __init__(
        self,
        title: str,
        choices: Sequence[tuple[str, ...]],
        *,
        heads: Sequence[str] = (),
        filtered: bool = False,
        at: int = 0,
    ) -> None:
        super().__init__(title)
        self.choices = choices
        self.heads = heads
        self.filtered = filtered
        self.at = at
        self._kept: list[int] = list(range(len(choices)))

    def inside(self) -> ComposeResult:
        """The list, and a filter above it."""
        if self.filtered:
            yield Input(placeholder="type to filter", id="choice-filter")
        yield Matrix(id="choices", empty="nothing matches")

    def keys_said(self) -> str:
        """The keys in words."""
        return "arrows, enter chooses   escape back"

    def on_mount(self) -> None:
        """Fill the list; the window is as high as it needs to be."""
        most = 10 if self.app.size.height < SHORT else 18
        self.query_one(Matrix).styles.height = min(most, len(self.choices) + 1)
        self._fill("")
        self.query_one(Matrix).go(self.at)
        self.query_one(Input if self.filtered else Matrix).focus()

    def _fill(self, wanted: str) -> None:
        words = wanted.lower().split()
        self._kept = [
            index
            for index, choice in enumerate(self.choices)
            if all(word in " ".join(choice).lower() for word in words)
        ]
        count = max((len(choice) for choice in self.choices), default=1)
        heads = [*self.heads, *[""] * count][:count]
        widths = [
            max([len(heads[i]), *(len(choice[i]) for choice in self.choices if i < len(choice))])
            for i in range(count)
        ]
        columns = [Column(heads[i], min(widths[i], 48), grows=i == count - 1) for i in range(count)]
        rows = [
            [bits(self.choices[i][c] if c < len(self.choices[i]) else "") for c in range(count)]
            for i in self._kept
        ]
        self.query_one(Matrix).show(Rows(columns, rows))

    def on_input_changed(self, event: Input.Changed) -> None:
        """Filter."""
        self._fill(event.value)

    def on_key(self, event: events.Key) -> None:
        """Arrows work while the filter has the focus; a letter goes to the next such choice."""
        if not self.filtered and event.character and event.character.isalnum():
            self._go_to_letter(event.character.lower())
            event.stop()
        if self.filtered and event.key in ("up", "down", "pageup", "pagedown"):
            matrix = self.query_one(Matrix)
            step = {"up": -1, "down": 1, "pageup": -10, "pagedown": 10}[event.key]
            matrix.go(matrix.row + step)
            event.stop()

    def _go_to_letter(self, letter: str) -> None:
        matrix = self.query_one(Matrix)
        count = len(self._kept)
        for step in range(1, count + 1):
            row = (matrix.row + step) % count
            if self.choices[self._kept[row]][0].lower().startswith(letter):
                matrix.go(row)
                return

    def on_input_submitted(self) -> None:
        """Choose what is under the cursor."""
        self._choose()

    def on_matrix_chosen(self) -> None:
        """Choose what is under the cursor."""
        self._choose()

    def _choose(self) -> None:
        if self._kept:
            self.dismiss(self._kept[self.query_one(Matrix).row])


class YesCard(Card[bool]):
    """A yes or no question; ``y`` is yes, escape and ``n`` are no."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("y", "yes", "yes", id="card.yes", tooltip="Yes."),
        Binding("n", "leave", "no", id="card.no", tooltip="No."),
    ]

    def __init__(self, title: str, rows: Sequence[str] = ()) -> None:
        super().__init__(title)
        self.rows = rows

    def inside(self) -> ComposeResult:
        """What is at stake."""
        with VerticalScroll():
            yield Static(
                Text("\n").join(text(row) for row in self.rows), markup=False, id="card-text"
            )

    def keys_said(self) -> str:
        """The keys in words."""
        return "y yes   n no"

    def action_yes(self) -> None:
        """Yes."""
        self.dismiss(True)

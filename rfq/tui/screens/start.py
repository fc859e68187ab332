"""Where there is no project: the demo, a new one, or one that lies elsewhere."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.screen import Screen
from textual.widgets import Static

from rfq.tui.cells import bits, text
from rfq.tui.screens.offers import ask_demo, ask_new, ask_open
from rfq.tui.widgets.key_line import KeyLine
from rfq.tui.widgets.matrix import Column, Matrix, Rows
from rfq.tui.widgets.status import Status

if TYPE_CHECKING:
    from rfq.tui.app import RfqApp

_OFFERS = (
    ("demo", "copy an invented project to a folder and look around"),
    ("new", "begin an empty project in a folder"),
    ("open", "open a project that lies in another folder"),
)


class StartScreen(Screen[None]):
    """First start."""

    HELP_NAME: ClassVar[str] = "start"

    def compose(self) -> ComposeResult:
        """Three offers."""
        with Vertical(id="start"):
            yield Static("", markup=False, id="start-words")
            yield Matrix(id="offers")
        with Vertical(id="foot"):
            yield Status()
            yield KeyLine()

    def on_mount(self) -> None:
        """Say which folder was looked at."""
        app = cast("RfqApp", self.app)
        self.query_one("#start-words", Static).update(
            text(
                f"{app.folder.resolve()} holds no project. Ask shops for quotations of your parts, "
                "compare what comes back, know what each part should cost. Choose with the "
                "arrows and enter."
            )
        )
        rows = [[bits(name, "strong"), bits(words)] for name, words in _OFFERS]
        matrix = self.query_one(Matrix)
        matrix.show(Rows((Column("", 6), Column("", 40, grows=True)), rows))
        matrix.focus()

    def on_matrix_chosen(self) -> None:
        """Do what was chosen."""
        app = cast("RfqApp", self.app)
        (ask_demo, ask_new, ask_open)[self.query_one(Matrix).row](app)

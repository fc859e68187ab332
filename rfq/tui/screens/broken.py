"""A project whose records cannot be read: what is wrong and on which line of which file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.screen import Screen
from textual.widgets import Static

from rfq.tui.cells import bit, lines, problem_lines
from rfq.tui.widgets.key_line import KeyLine
from rfq.tui.widgets.status import Status

if TYPE_CHECKING:
    from rfq.tui.app import RfqApp


class BrokenScreen(Screen[None]):
    """The problems, and a way to try again once the files are mended."""

    HELP_NAME: ClassVar[str] = "broken"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("r", "again", "read again", id="broken.again", tooltip="Read the files again.")
    ]

    def compose(self) -> ComposeResult:
        """The problems in a scroll."""
        with VerticalScroll(id="body"):
            yield Static("", markup=False, id="broken-words")
        with Vertical(id="foot"):
            yield Status()
            yield KeyLine()

    def on_screen_resume(self) -> None:
        """Show what is wrong now."""
        app = cast("RfqApp", self.app)
        rows: list[object] = [
            (bit(f"{app.folder} cannot be read as it is; nothing was changed.", "strong"),),
            (bit("Mend the lines below in an editor, then press r.", "dim"),),
            "",
        ]
        for problem in app.broken:
            rows += problem_lines(problem)
        self.query_one("#broken-words", Static).update(lines(rows))

    def source_file(self) -> Path | None:
        """The file of the first problem."""
        app = cast("RfqApp", self.app)
        return app.folder / app.broken[0].place.file if app.broken else None

    def action_again(self) -> None:
        """Read the folder again."""
        app = cast("RfqApp", self.app)
        app.open_folder(app.folder)

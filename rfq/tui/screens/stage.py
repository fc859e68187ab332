"""What every stage has: head, body, words, footer; and how it follows the session."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, cast

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.screen import Screen
from textual.widgets import Static

from rfq.tui.cells import lines
from rfq.tui.session import STAGES, Session
from rfq.tui.widgets.head import Head
from rfq.tui.widgets.key_line import KeyLine
from rfq.tui.widgets.status import Status

if TYPE_CHECKING:
    from rfq.tui.app import RfqApp

NARROW = 100  # columns below which the side pane gives way
SHORT = 30  # lines below which the lower pane folds to one line
TALL = 42  # lines above which it may be taller


def follow_size(screen: Screen[Any], size_of: events.Resize) -> None:
    """Tell the style sheet whether the terminal is narrow or short."""
    screen.set_class(size_of.size.width < NARROW, "narrow")
    screen.set_class(size_of.size.height < SHORT, "short")
    screen.set_class(size_of.size.height > TALL, "tall")


class Explain(Static):
    """The lower pane: what is under the cursor, always in the same place."""

    def __init__(self, id: str = "explain", classes: str = "explain") -> None:
        super().__init__(markup=False, id=id, classes=classes)
        self.rows: list[object] = []

    def say(self, rows: list[object]) -> None:
        """Show lines; the first must stand for all where there is room for one only."""
        self.rows = rows
        self.update(lines(rows))


class Stage(Screen[None]):
    """A stage of the job.

    Class attributes:
        NAME: the stage's word. HELP_NAME: its help page.
    """

    NAME: ClassVar[str] = "parts"
    HELP_NAME: ClassVar[str] = ""

    @property
    def rfq(self) -> RfqApp:
        """The app."""
        return cast("RfqApp", self.app)

    @property
    def session(self) -> Session:
        """The session; a stage is only shown while there is one."""
        session = self.rfq.session
        assert session is not None
        return session

    def compose(self) -> ComposeResult:
        """Head, body, words and footer."""
        yield Head(STAGES, self.NAME)
        with Vertical(id="body"):
            yield from self.body()
        with Vertical(id="foot"):
            yield Status()
            yield KeyLine()

    def body(self) -> ComposeResult:
        """What the stage shows."""
        raise NotImplementedError

    def fill(self) -> None:
        """Show the session as it is now."""
        raise NotImplementedError

    def answer(self) -> str:
        """The screen's question answered in one line."""
        raise NotImplementedError

    def on_mount(self) -> None:
        """Fill for the first time."""
        self.refresh_stage()

    def on_screen_resume(self) -> None:
        """Show what changed while another stage was looked at."""
        self.refresh_stage()
        self.query_one(Status).say(self.rfq.last_words[0], bad=self.rfq.last_words[1])

    def refresh_stage(self) -> None:
        """Fill and answer again, if this stage is the one that is shown."""
        if self.rfq.session is None or not self.is_mounted or not self.is_attached:
            return
        if self.app.screen_stack and self not in self.app.screen_stack:
            return  # the resume event does it when it is shown
        self.fill()
        self.say_answer()

    def say_answer(self) -> None:
        """Show the answer and what waits in the head."""
        session = self.session
        request = session.request
        name = session.project.settings.name
        where = f"{name}, request {request.id}" if request else name
        waiting = session.waiting()
        waits = waiting.get(self.NAME, 0)
        answer = self.answer()
        if waits:
            answer += f"   {waits} wait{'s' if waits == 1 else ''} for you"
        self.query_one(Head).say(answer, where, waiting)

    def on_resize(self, event: events.Resize) -> None:
        """Fold what does not fit."""
        follow_size(self, event)

    def turn(self, left: str, right: str) -> None:
        """Go to the other side; where only one has room, show it in place of the first."""
        to_right = not self.query_one(right).has_focus
        self.set_class(to_right, "turned")
        self.call_after_refresh(self.query_one(right if to_right else left).focus)

    def show_why(self) -> None:
        """Show where the figure under the cursor comes from."""
        rows = self.why()
        if not rows:
            self.rfq.say("there is no figure under the cursor")
            return
        from rfq.tui.screens.cards import TextCard

        self.app.push_screen(TextCard("why", lines(rows)))

    def why(self) -> list[object]:
        """Lines: formula, inputs, sources, place."""
        return []

    def copy_text(self) -> str:
        """What ``y`` copies."""
        return ""

    def source_file(self) -> Path | None:
        """The file behind what is under the cursor."""
        return None

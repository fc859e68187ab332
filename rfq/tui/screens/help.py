"""F1: a page for the screen that is shown, and its keys from the table of keys."""

from __future__ import annotations

from importlib.resources import files

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Markdown

from rfq.tui.keys import KEYS
from rfq.tui.screens.cards import Card


def page(name: str) -> str:
    """Return the help page of a screen with its keys, as Markdown."""
    home = files("rfq.tui") / "help"
    found = home / f"{name}.md"
    words = (found if found.is_file() else home / "everywhere.md").read_text(encoding="utf-8")
    rows = [
        f"| {key.keys.split(',')[0]} | {key.tip} |"
        for key in (*KEYS.get(name, ()), *KEYS["everywhere"])
    ]
    return words + "\n\n## Keys\n\n| key | what it does |\n|---|---|\n" + "\n".join(rows) + "\n"


class HelpCard(Card[None]):
    """The page in a scroll."""

    def __init__(self, name: str) -> None:
        super().__init__("help")
        self.name_ = name

    def inside(self) -> ComposeResult:
        """The page."""
        with VerticalScroll():
            yield Markdown(page(self.name_), open_links=False)

    def on_mount(self) -> None:
        """Let the arrows scroll at once."""
        self.query_one(VerticalScroll).focus()

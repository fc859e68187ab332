"""The line above the footer: what was done last, or what is going on and how to stop it."""

from __future__ import annotations

from textual.widgets import Static

from rfq.tui.cells import text


class Status(Static):
    """One line of words."""

    def __init__(self) -> None:
        super().__init__(markup=False, id="status")

    def say(self, words: str, *, bad: bool = False) -> None:
        """Show words; trouble begins with a sign, so that it is not told by colour alone."""
        self.set_class(bad, "bad")
        self.update(text(f"! {words}" if bad else words))

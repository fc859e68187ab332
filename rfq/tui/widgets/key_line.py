"""The last line: the keys of the screen, as many as fit, the help key always.

Textual's own footer makes a widget of every key, which costs a third of the start; this is one.
"""

from __future__ import annotations

from rich.text import Text
from textual.binding import Binding
from textual.widgets import Static

from rfq.tui.cells import width

_NAMES = {
    "slash": "/", "plus": "+", "minus": "-", "question_mark": "?", "delete": "del",
    "escape": "esc",
}  # fmt: skip


class KeyLine(Static):
    """Keys and what they do, from the bindings of the screen and the app."""

    def __init__(self) -> None:
        super().__init__(markup=False, id="keys")

    def hints(self) -> list[tuple[str, str]]:
        """Return key and words of what is shown, the screen's own first."""
        found: list[tuple[str, str]] = []
        for owner in (self.screen, self.app):
            for binding in owner.BINDINGS:
                if isinstance(binding, Binding) and binding.show:
                    key = binding.key.split(",")[0]
                    found.append((_NAMES.get(key, key), binding.description))
        return found

    def render(self) -> Text:
        """As many keys as fit; the last, help, always."""
        hints = self.hints()
        room = (self.size.width or 80) - 2
        last = hints[-1]
        left = room - width(" ".join(last))
        shown = []
        for key, words in hints[:-1]:
            need = width(key) + 1 + width(words) + 2
            if need > left:
                shown.append(("…", ""))
                break
            shown.append((key, words))
            left -= need
        line = Text(no_wrap=True)
        for key, words in (*shown, last):
            line.append(key, "bold")
            line.append(f" {words}  " if words else "  ", "dim")
        line.rstrip()
        return line

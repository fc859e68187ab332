"""Letters as they were written, shown exactly as they read."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from rfq.tui.cells import bit, lines
from rfq.tui.screens.cards import TextCard

if TYPE_CHECKING:
    from rfq.tui.app import RfqApp


def show_letters(app: RfqApp, letters: tuple[Any, ...], written: tuple[Path, ...]) -> None:
    """Show letters to shops: subject, text, and where the files lie. None is sent by us."""
    rows: list[object] = []
    for one in letters:
        rows.append((bit(f"to {one.shop}: {one.letter.subject}", "strong"),))
        rows += ["", *one.letter.body.splitlines(), ""]
    rows.append((bit("Nothing is mailed: send it yourself. u takes the letters back.", "dim"),))
    rows += [(bit(str(path), "dim"),) for path in written if path.suffix in (".eml", ".txt")]
    app.push_screen(TextCard("letters as they read", lines(rows)))

"""Plain text (a pasted mail, a .txt file): fixed-width tables and sentences."""

from __future__ import annotations

from typing import Any

from rfq.intake.assemble import draft_of
from rfq.intake.columns import find_tables
from rfq.intake.grid import Book, Grid
from rfq.intake.letter import grids_of_text, text_lines
from rfq.intake.lexicon import Lexicon
from rfq.intake.matching import Known
from rfq.problems import Reading


def read_plain_text(
    text: str, file: str, sha256: str, known: Known, words: Lexicon, context: dict[str, Any],
    *, kind: str = "text", path: str = "",
) -> Reading[Any]:  # fmt: skip
    """Return the draft of running text.

    Args:
        text: the text itself.
        file, sha256: name and hash of the file it stands in.
        known, words, context: see ``assemble.draft_of``.
        kind: form of the draft.
        path: mail part, for places.
    """
    book = Book(kind, text=text)
    grids = [g for g in grids_of_text(text, words) if find_tables(g, words, known)]
    covered: set[int] = set()
    for grid in grids:
        tables = find_tables(grid, words, known)
        lines = _line_numbers(text)
        kept = Grid(grid.name)
        for table in tables:
            last = table.last
            for r in [*table.head, *range(table.first, last + 1)]:
                for cell in grid.rows.get(r, {}).values():
                    kept.put(cell)
                if r in grid.rows and r <= len(lines) and (len(grid.rows[r]) > 1 or r in table.head):
                    covered.add(lines[r - 1])
        kept.name = "text"
        book.grids.append(kept)
    said = [line for line in text_lines(text, file, path) if line.place.line not in covered]
    if book.grids:
        # lines below a table are rows of it already; they are not said twice
        inside = {c.text for g in book.grids for r in g.rows.values() for c in r.values() if len(r) == 1}
        said = [line for line in said if line.text not in inside]
    return Reading(draft_of(book, file, sha256, known, words, extra=said, **context))


def _line_numbers(text: str) -> list[int]:
    """Line numbers of the lines that hold anything, in order (a grid's rows skip blank ones)."""
    return [n for n, line in enumerate(text.expandtabs(8).splitlines(), 1) if line.strip()]

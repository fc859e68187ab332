"""Plain text (a pasted mail, a .txt file): fixed-width tables and sentences."""

from __future__ import annotations

from typing import Any

from rfq.intake.assemble import draft_of
from rfq.intake.columns import find_tables
from rfq.intake.grid import Book, Grid
from rfq.intake.layout import grid_of, rows_of, words_of_text
from rfq.intake.lexicon import Lexicon
from rfq.intake.matching import Known
from rfq.intake.terms_found import Said
from rfq.problems import Place, Reading, TooMuch

_MOST_CHARACTERS = 300_000  # of running text; a long mail has a tenth of it


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
    Raises:
        TooMuch: it is longer than anyone writes.
    """
    if len(text) > _MOST_CHARACTERS:
        raise TooMuch(
            f"{file} holds running text of {len(text):,} characters; up to "
            f"{_MOST_CHARACTERS:,} are read."
        )
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
                if (
                    r in grid.rows
                    and r <= len(lines)
                    and (len(grid.rows[r]) > 1 or r in table.head)
                ):
                    covered.add(lines[r - 1])
        kept.name = "text"
        book.grids.append(kept)
    said = [line for line in text_lines(text, file, path) if line.place.line not in covered]
    if book.grids:
        # lines below a table are rows of it already; they are not said twice
        inside = {
            c.text for g in book.grids for r in g.rows.values() for c in r.values() if len(r) == 1
        }
        said = [line for line in said if line.text not in inside]
    return Reading(draft_of(book, file, sha256, known, words, extra=said, **context))


def _line_numbers(text: str) -> list[int]:
    """Line numbers of the lines that hold anything, in order (a grid's rows skip blank ones)."""
    return [n for n, line in enumerate(text.expandtabs(8).splitlines(), 1) if line.strip()]


def grids_of_text(text: str, words: Lexicon) -> list[Grid]:
    """Return fixed-width text as a grid, if it holds anything like a table."""
    rows = rows_of(words_of_text(text))
    if sum(len(row) >= 3 for row in rows) < 2:
        return []
    return [grid_of(rows, words, 0)]


def text_lines(text: str, file: str, path: str = "") -> list[Said]:
    """Return running text as lines with their place."""
    return [
        Said(line.strip(), Place(file, line=number, path=path))
        for number, line in enumerate(text.splitlines(), 1)
        if line.strip()
    ]

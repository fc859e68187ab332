"""Plain text tables: figures right, words left, cut to the terminal's width."""

from __future__ import annotations

import shutil
import sys
import unicodedata
from collections.abc import Sequence
from decimal import Decimal


def width(text: str) -> int:
    """Return the columns a text takes on a terminal (wide characters take two)."""
    return sum(
        0 if unicodedata.combining(char) else 2 if unicodedata.east_asian_width(char) in "WF" else 1
        for char in text
    )


def cut(text: str, room: int) -> str:
    """Return the text, shortened with an ellipsis where it does not fit."""
    if width(text) <= room:
        return text
    out = ""
    for char in text:
        if width(out + char) > room - 1:
            break
        out += char
    return out + "…"


def money(amount: Decimal | float | None, digits: int = 2) -> str:
    """Return money with a fixed place for the decimal point; a dash where there is none.

    >>> money(Decimal("1234.5"))
    '1 234.50'
    """
    if amount is None:
        return "–"
    return f"{Decimal(str(amount)):,.{digits}f}".replace(",", " ")


def table(
    heads: Sequence[str],
    rows: Sequence[Sequence[str]],
    *,
    right: Sequence[int] = (),
    room: int | None = None,
) -> list[str]:
    """Return the lines of a table.

    Args:
        heads: column heads.
        rows: cells as text, one sequence a row.
        right: indices of columns set to the right.
        room: columns to fit into; None: the terminal's, at least 80, and no bound at all where
            the output goes to a file or another program.
    """
    if room is None:
        terminal = sys.stdout.isatty()
        room = max(80, shutil.get_terminal_size((120, 40)).columns) if terminal else 10_000
    count = len(heads)
    widths = [max([width(heads[i])] + [width(row[i]) for row in rows]) for i in range(count)]
    while sum(widths) + 2 * (count - 1) > room and max(widths) > 12:
        widths[widths.index(max(widths))] -= 1

    def line(cells: Sequence[str]) -> str:
        out = []
        for i, cell in enumerate(cells):
            cell = cut(cell, widths[i])
            gap = " " * (widths[i] - width(cell))
            out.append(gap + cell if i in right else cell + gap)
        return "  ".join(out).rstrip()

    return [line(heads), "  ".join("─" * w for w in widths), *(line(row) for row in rows)]

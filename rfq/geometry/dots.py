"""A view as rows of text: each character is a cell of two by four dots (Unicode's braille block).

For a terminal, whose characters are about twice as tall as wide: the dots then stand in a square
grid and a circle stays round.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from math import ceil, floor
from typing import Final

from rfq.geometry.shape import Point2, View

_BITS: Final = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""Bit of each dot by its row and column in the cell, Unicode chapter 21.1."""

_BLANK: Final = 0x2800
MOST: Final = 400
"""Columns and rows beyond which no terminal goes."""


def text_drawing(view: View, columns: int, rows: int, *, hidden: bool = False) -> tuple[str, ...]:
    """Return a view drawn into a field of text, centred, to one scale both ways.

    Args:
        view: what to draw.
        columns, rows: size of the field in characters, 1 to ``MOST``.
        hidden: dot the hidden edges in, every third dot.
    Returns:
        ``rows`` strings of ``columns`` characters; blanks where nothing is drawn.
    """
    columns, rows = min(max(columns, 1), MOST), min(max(rows, 1), MOST)
    across, down = 2 * columns - 1, 4 * rows - 1
    wide, tall = view.size_mm
    if wide <= 0 and tall <= 0:
        return (" " * columns,) * rows
    scale = min(across / wide if wide > 0 else down, down / tall if tall > 0 else across)
    left, foot = (across - wide * scale) / 2, (down - tall * scale) / 2

    def spot(point: Point2) -> Point2:
        return (
            left + (point[0] - view.low[0]) * scale,
            down - foot - (point[1] - view.low[1]) * scale,
        )

    cells = [[0] * columns for _ in range(rows)]

    def mark(dots: Iterable[tuple[int, int]]) -> None:
        for x, y in dots:
            if 0 <= x <= across and 0 <= y <= down:
                cells[y // 4][x // 2] |= _BITS[y % 4][x % 2]

    for lines, every in ((view.hidden, 3), (view.visible, 1)) if hidden else ((view.visible, 1),):
        for line in lines:
            spots = [spot(point) for point in line]
            for start, end in pairwise(spots):
                mark(list(_straight(start, end))[::every])
    return tuple("".join(chr(_BLANK + cell) if cell else " " for cell in row) for row in cells)


def _straight(start: Point2, end: Point2) -> Iterable[tuple[int, int]]:
    """The dots of a straight line, both ends among them.

    Halves go up: rounded to the even neighbour, every other dot of a line would fall on its last.
    """
    steps = max(1, ceil(max(abs(end[0] - start[0]), abs(end[1] - start[1]))))
    for step in range(steps + 1):
        share = step / steps
        yield (
            floor(start[0] + (end[0] - start[0]) * share + 0.5),
            floor(start[1] + (end[1] - start[1]) * share + 0.5),
        )

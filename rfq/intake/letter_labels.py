"""Prices as labels with values below each other: "Part number: SB-110", "Unit price: 12.50 EUR"."""

from __future__ import annotations

import re

from rfq.intake.grid import Cell, Grid
from rfq.intake.lexicon import Lexicon
from rfq.intake.table import PRICES, TOTALS

_PAIR = re.compile(r"^\W{0,3}([^\W\d_][^:=]{0,40}?)\s*[:=]\s*(\S.{0,80})$")
_USED = {"part", "revision", "name", "quantity", "material", "lead", "one-off", *PRICES, *TOTALS}


def labelled(text: Grid, words: Lexicon) -> Grid | None:
    """Return the blocks of labels as a table, a row a part, and take them out of the text.

    Args:
        text: the sentences of a page, one a row.
        words: heading lexicon.
    """
    blocks: list[list[tuple[int, str, str, str]]] = []  # row, meaning, label, value
    for row in sorted(text.rows):
        pair = _PAIR.match(text.text(row, 1))
        read = words.read(pair[1]) if pair else None
        meaning = read.meaning if read and read.sure >= 0.9 and read.meaning in _USED else ""
        if meaning == "part":
            blocks.append([])
        if pair and meaning and blocks and meaning not in {m for _, m, _, _ in blocks[-1]}:
            blocks[-1].append((row, meaning, pair[1], pair[2]))
        elif blocks and blocks[-1] and row - blocks[-1][-1][0] > 2:
            blocks.append([])
    whole = [
        b
        for b in blocks
        if b and b[0][1] == "part" and {m for _, m, _, _ in b} & {*PRICES, *TOTALS}
    ]
    if not whole:
        return None
    grid = Grid(f"page {text.page}, labels", page=text.page)
    columns: dict[str, int] = {}
    for number, block in enumerate(whole, 2):
        for row, meaning, label, value in block:
            if meaning not in columns:
                columns[meaning] = len(columns) + 1
                grid.put(Cell(1, columns[meaning], "s", label, page=text.page))
            old = text.rows.pop(row)[1]
            grid.put(Cell(number, columns[meaning], "s", value, box=old.box, page=old.page))
    return grid

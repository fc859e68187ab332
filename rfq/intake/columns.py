"""Tables in a grid: where the headings stand and where the rows end.

Headings may take up to three rows and be merged; two tables may stand side by side.
"""

from __future__ import annotations

import re

from rfq.intake.cells import amount
from rfq.intake.grid import Grid
from rfq.intake.headings import WEIGHT, head_columns, head_score
from rfq.intake.lexicon import Lexicon
from rfq.intake.matching import Known, looks_like_part
from rfq.intake.numbers import figure
from rfq.intake.refine import refine
from rfq.intake.table import PARTS, PRICES, TOTALS, Column, Table


def _is_headish(grid: Grid, row: int, known: Known) -> bool:
    """Whether a row could be the second or third row of a heading."""
    cells = [c for i, c in grid.rows.get(row, {}).items() if i not in grid.hidden_columns]
    if not cells:
        return False
    for cell in cells:
        if cell.kind in ("f", "b", "d"):
            return False
        if cell.kind == "n":
            number = cell.number
            if number is None or number != number.to_integral_value() or number <= 0:
                return False
        elif known.find(cell.text, loose=False) or (
            re.search(r"\d[.,]\d{1,2}(?!\d)", cell.text)
            and not re.search(r"[a-z]{3}", cell.text, re.I)
        ):
            return False
    return True


def find_tables(grid: Grid, words: Lexicon, known: Known) -> list[Table]:
    """Return the tables of a grid by their headings, from top to bottom."""
    rows = [r for r in sorted(grid.rows) if r not in grid.hidden_rows]
    heads: list[tuple[float, tuple[int, ...], dict[int, Column]]] = []
    position = 0
    promising = _promising(grid, rows, words)
    while position < len(rows):
        best: tuple[float, tuple[int, ...], dict[int, Column]] = (0.0, (), {})
        if position in promising:
            for depth in (1, 2, 3):
                block = tuple(rows[position : position + depth])
                if len(block) < depth or block[-1] - block[0] >= depth + 1:
                    break
                if depth > 1 and not _is_headish(grid, block[-1], known):
                    break
                if _is_data(grid, block[-1], known):
                    break
                if depth == 1 and not _mostly_text(grid, block[0]):
                    columns: dict[int, Column] = {}
                    score = 0.0
                else:
                    columns = head_columns(grid, block, words)
                    score = head_score(columns)
                if score > best[0] + (0.9 if depth > 1 else 0.0):
                    best = (score, block, columns)
        if best[1]:
            heads.append(best)
            position += len(best[1])
        else:
            position += 1
    tables: list[Table] = []
    for number, (_, block, columns) in enumerate(heads):
        last = heads[number + 1][1][0] - 1 if number + 1 < len(heads) else (rows[-1] if rows else 0)
        for part in _side_by_side(columns):
            table = Table(grid, block, block[-1] + 1, last, part, _title(grid, block[0]))
            refine(table, words, known)
            tables.append(table)
    return tables


def _promising(grid: Grid, rows: list[int], words: Lexicon) -> set[int]:
    """Positions of rows in which at least one cell reads as a heading that matters."""
    found: set[int] = set()
    cache: dict[str, bool] = {}
    for position, row in enumerate(rows):
        for c, cell in grid.rows[row].items():
            if cell.kind != "s" or c in grid.hidden_columns or len(cell.text) > 90:
                continue
            text = cell.text
            hit = cache.get(text)
            if hit is None:
                short = len(text) <= 60 and not re.search(
                    r"\d{2,}[-./]?\d{2,}|[:：]\s*[\w-]{0,9}[-– ]?\d{2,}", text
                )
                hit = cache[text] = short and words.read(text).meaning in WEIGHT
            if hit:
                found.add(position)
                break
    return found


def _is_data(grid: Grid, row: int, known: Known) -> bool:
    """Whether a row holds a part number and a figure, or a price: then it is no heading."""
    cells = [c for i, c in grid.rows[row].items() if i not in grid.hidden_columns]
    named = any(
        c.kind == "s" and (looks_like_part(c.text) or known.find(c.text, loose=False))
        for c in cells
    )
    figures = 0
    for cell in cells:
        read = amount(cell)
        if read.values:
            figures += 1
            # '3.1 certificate EUR' is a heading and no figure
            if (
                read.values[0] % 1
                and len(cell.text) < 25
                and not re.search("[^\\W\\d]{5}", cell.text)
            ):
                return True
    return named and figures > 0


def _mostly_text(grid: Grid, row: int) -> bool:
    cells = [c for i, c in grid.rows[row].items() if i not in grid.hidden_columns]
    text = sum(
        cell.kind == "s" and not re.fullmatch(r"[\d.,\s€$£%-]+", cell.text) for cell in cells
    )
    numbers = [c for c in cells if c.kind == "n" or re.fullmatch(r"[\d.,\s]+", c.text)]
    whole = all((figure(c.text).values or (0.5,))[0] % 1 == 0 for c in numbers)
    return text >= 2 and (text >= len(cells) * 0.5 or (whole and text >= 2))


def _side_by_side(columns: dict[int, Column]) -> list[dict[int, Column]]:
    """Split headings that repeat: two tables beside each other, or blocks of a turned form."""
    groups: list[dict[int, Column]] = [{}]
    for index in sorted(columns):
        column = columns[index]
        group = groups[-1]
        has_part = any(c.meaning in ("part", "shop part", "name") for c in group.values())
        has_price = any(c.meaning in (*PRICES, *TOTALS, "break") for c in group.values())
        starts = column.meaning in ("part", "position") or (
            column.meaning in ("shop part", "name")
            and any(c.meaning == column.meaning for c in group.values())
        )
        repeats = any(c.meaning == column.meaning for c in group.values()) or (
            column.meaning == "position" and has_part
        )
        if starts and has_part and has_price and repeats:
            groups.append({})
        groups[-1][index] = column
    if len(groups) > 1 and not all(
        any(c.meaning in (*PRICES, *TOTALS) for c in group.values())
        and any(c.meaning in PARTS for c in group.values())
        for group in groups
    ):
        return [columns]
    return groups


def _title(grid: Grid, row: int) -> str:
    """Text of a lone cell in the two rows above a heading."""
    for above in (row - 1, row - 2):
        cells = [c for c in grid.rows.get(above, {}).values() if c.text.strip()]
        if len(cells) == 1 and cells[0].kind == "s" and len(cells[0].text) < 100:
            return cells[0].text
    return ""

# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""A table of rows that no heading covers, its columns told by their content alone."""

from __future__ import annotations

from itertools import pairwise

from rfq.intake.cells import amount
from rfq.intake.grid import Grid
from rfq.intake.matching import Known, looks_like_part
from rfq.intake.table import Column, Table


def table_without_head(grid: Grid, taken: set[int], known: Known) -> Table | None:
    """Return a table of rows that no heading covers, its columns told by their content."""
    rows = [r for r in sorted(grid.rows) if r not in taken and r not in grid.hidden_rows]
    picked: list[tuple[int, int]] = []
    for r in rows:
        cells = grid.rows[r]
        part = next(
            (c for c in sorted(cells) if cells[c].kind == "s" and known.find(cells[c].text, loose=False)), 0
        )  # fmt: skip
        if not part:
            part = next(
                (c for c in sorted(cells) if cells[c].kind == "s" and looks_like_part(cells[c].text)), 0
            )  # fmt: skip
        numbers = [c for c in cells if c != part and amount(cells[c]).values]
        if part and numbers and len(cells) >= 2:
            picked.append((r, part))
    if not picked or (len(picked) < 2 and not known.numbers):
        return None
    part_column = max({p for _, p in picked}, key=[p for _, p in picked].count)
    body = [r for r, p in picked if p == part_column]
    columns = {part_column: Column(part_column, "part", 0.7)}
    figures: dict[int, list[tuple[int, object]]] = {}
    for r in body:
        for c, cell in grid.rows[r].items():
            read = amount(cell)
            if c != part_column and read.values:
                figures.setdefault(c, []).append((r, read))
    full = [c for c, found in figures.items() if len(found) >= max(1, len(body) * 0.5)]
    full.sort()
    values = {c: {r: amount(grid.rows[r][c]) for r, _ in figures[c]} for c in full}
    whole = [
        c for c in full
        if all(a.values[0] % 1 == 0 and not a.currencies and 0 < a.values[0] < 1_000_000 for a in values[c].values())
    ]  # fmt: skip

    def is_count(column: int) -> bool:
        found = [int(a.values[0]) for a in values[column].values()]
        steps = {b - a for a, b in pairwise(found)}
        return len(found) > 2 and len(steps) == 1 and steps <= {1, 10} and found[0] in (1, 10)

    counts = [c for c in whole if c < part_column and is_count(c)]
    for c in counts:
        columns[c] = Column(c, "position", 0.8)
    quantities = [c for c in whole if c not in counts]
    best: tuple[int, int, int, int] | None = None
    for q in quantities:
        for p in full:
            for t in full:
                if len({q, p, t}) == 3:
                    good = sum(
                        r in values[p] and r in values[t]
                        and any(
                            abs(a * b - d) < max(abs(d) / 5000, a * 0 + 1 / type(d)(100))
                            for a in values[q][r].values for b in values[p][r].values for d in values[t][r].values
                        )
                        for r in values[q]
                    )  # fmt: skip
                    if good >= max(1, len(body) * 0.6) and (
                        best is None or (good, -t) > (best[0], -best[3])
                    ):
                        best = (good, q, p, t)
    if best:
        columns[best[1]] = Column(best[1], "quantity", 0.85)
        columns[best[2]] = Column(best[2], "unit price", 0.85)
        columns[best[3]] = Column(best[3], "total", 0.85)
    else:
        rest = [c for c in full if c not in counts]
        if rest and len(rest) >= 2 and rest[0] in quantities:
            columns[rest[0]] = Column(rest[0], "quantity", 0.6)
            columns[rest[1]] = Column(rest[1], "price", 0.6)
        elif rest:
            columns[rest[-1]] = Column(rest[-1], "price", 0.5)
    for c in {c for r in body for c in grid.rows[r]} - set(columns):
        columns[c] = Column(c, "", 0.5)
    return Table(grid, (), body[0], max(body), dict(sorted(columns.items())))

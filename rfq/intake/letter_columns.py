# ruff: noqa: E501 - patterns and whole sentences stand on one line
"""Columns of a table on a page: ruled or parted by white, and the headings that belong to them.

Headings keep their order; each takes the column it stands over, is aligned with, or that lies
before the next heading. Where a heading fits two columns alike, that is a doubt.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from rfq.intake.cells import Amount, text_amount
from rfq.intake.grid import Cell, Grid
from rfq.intake.headings import heading_quantity
from rfq.intake.letter_lines import Line, Page, Piece, Word, box_of
from rfq.intake.matching import looks_like_part

CENTS = re.compile(r"\d[.,]\d\d(?!\d)")


_PRICE_WORD = re.compile(
    r"(?i)pri[cx]|preis|prezz|preci|cen[ay]|价|價|€|\$|£|\b(?:eur|usd|chf|pln|gbp)\b"
)


@dataclass(slots=True)
class Span:
    """A column: its edges, and the heading lines over it."""

    x0: float
    x1: float


def figure_in(text: str) -> Amount | None:
    """Return a piece of text as an amount or what stands for one; None for other words."""
    if len(text) > 40 or (looks_like_part(text) and re.search(r"[A-Za-z]", text)):
        return None
    read = text_amount(text)
    if read.values and len(re.sub(r"[\W\d_]", "", read.words)) <= 3:
        return read
    return read if read.state in ("declined", "dash", "later", "included") else None


def stack_of(block: Sequence[Line]) -> list[list[Piece]]:
    """Pieces of several lines that stand over each other."""
    stacks: list[list[Piece]] = []
    for depth, line in enumerate(reversed(block)):
        for piece in line.pieces:
            if depth and _over_breaks(piece, stacks):
                continue
            over = [
                s
                for s in stacks
                if min(max(p.x1 for p in s), piece.x1) - max(min(p.x0 for p in s), piece.x0) > 0
            ]
            if over:
                for stack in over:
                    stack.insert(0, piece)
            else:
                stacks.append([piece])
    return sorted(stacks, key=lambda s: min(p.x0 for p in s))


def _over_breaks(piece: Piece, stacks: Sequence[Sequence[Piece]]) -> bool:
    """Whether a heading stands between two quantities: it is that of them all."""
    middle = (piece.x0 + piece.x1) / 2
    breaks = [s[-1] for s in stacks if heading_quantity(s[-1].text)]
    if any(
        p.x0 < piece.x1 and piece.x0 < p.x1
        for s in stacks
        for p in s
        if not heading_quantity(s[-1].text)
    ):
        return False
    if any(p.x1 <= middle for p in breaks) and any(p.x0 >= middle for p in breaks):
        return True
    if not _PRICE_WORD.search(piece.text):
        return False
    # at the left of the first quantity, with nothing between
    after = [s[-1] for s in stacks if s[-1].x0 >= middle]
    return len(breaks) > 1 and bool(after) and min(after, key=lambda p: p.x0) in breaks


def ruled_columns(
    pages: Sequence[Page], lines: Sequence[Line], at: int, rows: Sequence[int]
) -> list[Span]:
    """Columns between upright rules that run from the heading through the rows."""
    page = pages[lines[at].page - 1]
    here = [i for i in rows if lines[i].page == page.number]
    if not here:
        return []
    top, bottom = lines[at].y0, lines[here[-1]].y1
    found: dict[int, float] = {}
    for x, y0, y1 in page.upright:
        overlap = min(y1, bottom) - max(y0, top)
        if overlap > 0:
            key = round(x / 2)
            near = next((k for k in (key - 1, key, key + 1) if k in found), key)
            found[near] = max(found.get(near, 0.0), 0.0) + overlap
    xs = sorted(k * 2.0 for k, length in found.items() if length > 0.55 * (bottom - top))
    if len(xs) < 3:
        return []
    left = min(p.x0 for i in (at, *here) for p in lines[i].pieces)
    right = max(p.x1 for i in (at, *here) for p in lines[i].pieces)
    if left < xs[0] - 3:
        xs.insert(0, left - 1)
    if right > xs[-1] + 3:
        xs.append(right + 1)
    return [Span(a, b) for a, b in pairwise(xs) if b - a > 4]


def white_columns(lines: Sequence[Line], rows: Sequence[int], head: Sequence[Line]) -> list[Span]:
    """Columns parted by white that (nearly) no full row crosses."""
    counts = sorted(len(lines[i].pieces) for i in rows)
    usual = counts[len(counts) * 3 // 4]
    full = [i for i in rows if len(lines[i].pieces) >= max(2, 0.6 * usual)]
    edges: list[tuple[float, int]] = []
    for i in full:
        for piece in lines[i].pieces:
            edges += [(piece.x0, 1), (piece.x1, -1)]
    most = len(full) // 12
    edges.sort()
    spans: list[Span] = []
    level = 0
    start = 0.0
    for x, step in edges:
        before = level
        level += step
        if before <= most < level:
            start = x
        elif before > most >= level:
            spans.append(Span(start, x))
    merged: list[Span] = []
    for span in spans:
        if merged and span.x0 - merged[-1].x1 < 1.5:
            merged[-1].x1 = span.x1
        else:
            merged.append(span)
    return _one_heading_one_column(merged, lines, full, head)


def _one_heading_one_column(
    spans: list[Span], lines: Sequence[Line], full: Sequence[int], head: Sequence[Line]
) -> list[Span]:
    """Join neighbours under one heading that are never both filled ('no quote' beside figures)."""
    last = head[-1].pieces
    out: list[Span] = []
    for span in spans:
        if out:
            before = out[-1]
            both = any(
                any(inside(p, before) for p in lines[i].pieces) and any(inside(p, span) for p in lines[i].pieces)
                for i in full
            )  # fmt: skip
            shared = any(p.x0 <= before.x1 and p.x1 >= span.x0 for p in last)
            between = any(before.x1 - 1 <= (p.x0 + p.x1) / 2 <= span.x0 + 1 for p in last)
            if not both and (shared or between):
                before.x1 = span.x1
                continue
        out.append(Span(span.x0, span.x1))
    return out


def inside(piece: Piece, span: Span) -> bool:
    """Whether a piece stands over or under a column."""
    return min(piece.x1, span.x1) - max(piece.x0, span.x0) > 0


def with_headings(
    spans: list[Span], head: Sequence[Line]
) -> tuple[list[Span], list[list[int]], str]:
    """Return (columns, heading pieces' columns by line, doubt).

    Headings keep their order; each takes the column it stands over, is aligned with, or that
    lies before the next heading. A heading over no column gets one of its own.
    """
    stacks = stack_of(head)
    boxes = [(min(p.x0 for p in s[-1:]), max(p.x1 for p in s[-1:])) for s in stacks]
    pairs, near = _match(boxes, spans)
    doubt = ""
    extra: list[Span] = []
    for k, (x0, x1) in enumerate(boxes):
        if k not in pairs:
            wide = [s for s in spans if min(x1, s.x1) - max(x0, s.x0) > 0]
            if not wide:
                extra.append(Span(x0, x1))
            elif len(stacks[k]) == 1 or heading_quantity(stacks[k][-1].text):
                text = " ".join(p.text for p in stacks[k])
                doubt = (
                    doubt
                    or f"the heading '{text[:40]}' and another stand over the same figures; look which is which"
                )
        elif pairs[k] in near:
            s = spans[pairs[k]]
            text = " ".join(p.text for p in stacks[k])
            if min(x1, s.x1) - max(x0, s.x0) < -2:
                doubt = (
                    doubt
                    or f"the heading '{text[:40]}' doesn't stand over one column alone; look which figures it means"
                )
    spans = sorted([*spans, *extra], key=lambda s: s.x0)
    for one, two in pairwise(spans):
        if two.x0 < one.x1:
            middle = (two.x0 + one.x1) / 2
            one.x1 = two.x0 = middle
    boxes_pairs, _ = _match(boxes, spans)
    by_line: list[list[int]] = []
    for line in head:
        columns = []
        for piece in line.pieces:
            own = next((k for k, s in enumerate(stacks) if any(p is piece for p in s[-1:])), None)
            if own is not None and own in boxes_pairs:
                columns.append(boxes_pairs[own])
            else:
                columns.append(_nearest(piece, spans))
        by_line.append(columns)
    return spans, by_line, doubt


def _nearest(piece: Piece, spans: Sequence[Span]) -> int:
    def apart(k: int) -> float:
        s = spans[k]
        return max(piece.x0, s.x0) - min(piece.x1, s.x1)

    return min(range(len(spans)), key=apart)


def _match(
    boxes: Sequence[tuple[float, float]], spans: Sequence[Span]
) -> tuple[dict[int, int], set[int]]:
    """Return ({heading: column} in order, columns that a rival heading fits nearly as well)."""
    n, m = len(boxes), len(spans)

    def fit(i: int, k: int) -> float:
        x0, x1 = boxes[i]
        s = spans[k]
        apart = max(x0, s.x0) - min(x1, s.x1)
        if apart > 110:
            return -1.0
        score = 100.0 - max(apart, 0.0) + min(max(-apart, 0.0), 40.0)
        edge = min(abs(x0 - s.x0), abs(x1 - s.x1), abs((x0 + x1 - s.x0 - s.x1) / 2))
        if edge < 3.5:
            score += 150.0
        after = boxes[i + 1][0] if i + 1 < n else 1e9
        before = boxes[i - 1][1] if i else -1e9
        if x0 - 4 <= s.x0 and s.x1 <= after + 2:
            score += 50.0
        if s.x1 <= x1 + 4 and s.x0 >= before - 2:
            score += 40.0
        return score

    best = [[0.0] * (m + 1) for _ in range(n + 1)]
    for i in range(n - 1, -1, -1):
        for k in range(m - 1, -1, -1):
            value = fit(i, k)
            best[i][k] = max(
                best[i + 1][k], best[i][k + 1], value + best[i + 1][k + 1] if value > 0 else 0.0
            )
    pairs: dict[int, int] = {}
    i = k = 0
    while i < n and k < m:
        value = fit(i, k)
        if value > 0 and abs(best[i][k] - (value + best[i + 1][k + 1])) < 1e-9:
            pairs[i] = k
            i, k = i + 1, k + 1
        elif best[i][k] == best[i + 1][k]:
            i += 1
        else:
            k += 1
    near = {
        k
        for i, k in pairs.items()
        if any(j != i and j not in pairs and fit(j, k) > fit(i, k) - 60 for j in range(n))
    }
    return pairs, near


def put_head(
    grid: Grid, head: Sequence[Line], spans: Sequence[Span], columns: Sequence[Sequence[int]]
) -> None:
    """Put the heading lines into the first rows of the grid; one over several quantities is spread."""
    rows: list[dict[int, list[Word]]] = []
    for line, places in zip(head, columns, strict=True):
        cells: dict[int, list[Word]] = {}
        for piece, column in zip(line.pieces, places, strict=True):
            cells.setdefault(column + 1, []).extend(piece.words)
        rows.append(cells)
    lowest = rows[-1]
    quantities = {c for c, ws in lowest.items() if heading_quantity(" ".join(w.text for w in ws))}
    if len(rows) > 1 and len(quantities) >= 2:
        # a heading over several quantities: spread it over all that have no other above
        upper: dict[int, list[Word]] = {}
        for cells in rows[:-1]:
            for column, ws in cells.items():
                upper.setdefault(column, []).extend(ws)
        put_cells(grid, 1, upper)
        for column in sorted(upper):
            if column in quantities or _over(upper[column], quantities, spans):
                run = _run(column, quantities, set(upper) - {column})
                if len(run) > 1 or run != [column]:
                    cell = grid.rows[1].pop(column)
                    cell.column = run[0]
                    grid.put(cell)
                    grid.merges.append((1, run[0], 1, run[-1]))
        put_cells(grid, 2, lowest)
        return
    joined: dict[int, list[Word]] = {}
    for cells in rows:
        for column, ws in cells.items():
            joined.setdefault(column, []).extend(ws)
    put_cells(grid, 1, joined)


def _over(words: Sequence[Word], quantities: set[int], spans: Sequence[Span]) -> bool:
    x0, x1 = min(w.x0 for w in words), max(w.x1 for w in words)
    return any(min(x1, spans[c - 1].x1) - max(x0, spans[c - 1].x0) > 0 for c in quantities)


def _run(column: int, quantities: set[int], others: set[int]) -> list[int]:
    """Neighbouring quantity columns around a heading that have no heading of their own."""
    start = column if column in quantities else min(quantities, key=lambda q: abs(q - column))
    run = [start]
    for step in (-1, 1):
        c = start + step
        while c in quantities and c not in others:
            run.append(c)
            c += step
    return sorted(run)


def put_cells(grid: Grid, row: int, cells: dict[int, list[Word]]) -> None:
    """Put words into the cells of a row."""
    for column, words in cells.items():
        grid.put(cell_of(row, column, words))


def cell_of(row: int, column: int, words: Sequence[Word]) -> Cell:
    """Return words as a cell with their box."""
    text = " ".join(w.text for w in words)
    same = [w for w in words if w.page == words[0].page]
    return Cell(row, column, "s", text, box=box_of(same), page=words[0].page)

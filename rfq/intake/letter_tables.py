"""Tables on pages: where their headings stand, where their columns part, which lines are rows.

Ruled lines decide where there are any; else the white between the figures of the rows. The grid
that comes out is read by the same machinery as a workbook's sheet. What the page leaves open
(a heading beside its column, a row whose part stands nowhere near) is a doubt on those rows.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from rfq.intake import row_words as say
from rfq.intake.cells import Amount, text_amount
from rfq.intake.columns import PARTS, PRICES, TOTALS, heading_quantity, looks_like_part
from rfq.intake.grid import Cell, Grid
from rfq.intake.letter_lines import Line, Page, Piece, Word, box_of
from rfq.intake.lexicon import Lexicon
from rfq.intake.matching import Known
from rfq.intake.money import currencies_in

_HEAD = {*PRICES, *TOTALS, *PARTS, "quantity", "position", "revision", "one-off", "lead", "unit",
         "material", "currency", "price base", "discount"}  # fmt: skip


_PRICE_WORD = re.compile(r"(?i)pri[cx]|preis|prezz|preci|cen[ay]|价|價|€|\$|£|\b(?:eur|usd|chf|pln|gbp)\b")
_CENTS = re.compile(r"\d[.,]\d\d(?!\d)")


@dataclass(slots=True)
class Span:
    """A column: its edges, and the heading lines over it."""

    x0: float
    x1: float


@dataclass(slots=True)
class Found:
    """A table: its grid, the lines used, and (row, sentence) of what is doubtful."""

    grid: Grid
    lines: set[int] = field(default_factory=set)  # positions in the list of lines
    doubts: list[tuple[int, str]] = field(default_factory=list)  # row 0: the whole table


def figure_in(text: str) -> Amount | None:
    """Return a piece of text as an amount or what stands for one; None for other words."""
    if len(text) > 40 or (looks_like_part(text) and re.search(r"[A-Za-z]", text)):
        return None
    read = text_amount(text)
    if read.values and len(re.sub(r"[\W\d_]", "", read.words)) <= 3:
        return read
    return read if read.state in ("declined", "dash", "later", "included") else None


def find_on_pages(pages: Sequence[Page], lines: Sequence[Line], words: Lexicon, known: Known) -> list[Found]:
    """Return the tables under headings, in the order of the pages.

    Args:
        pages: for their ruled lines.
        lines: all lines that are no running heads, in order.
        words: heading lexicon.
        known: part numbers asked for.
    """
    heads = _heads(lines, words, known)
    found: list[Found] = []
    number = 0
    while number < len(heads):
        at, depth = heads[number]
        # a heading repeated on the next page belongs to the table before
        repeats: list[tuple[int, int]] = []
        follow = number + 1
        while follow < len(heads) and _same_head(lines, heads[number], heads[follow]):
            repeats.append(heads[follow])
            follow += 1
        end = heads[follow][0] if follow < len(heads) else len(lines)
        skip = {i for start, deep in repeats for i in range(start, start + deep)}
        table = _table(pages, lines, at, depth, end, skip, words, known)
        if table is not None:
            table.lines |= skip
            found.append(table)
        number = follow
    return found


def find_bare(pages: Sequence[Page], lines: Sequence[Line], free: Sequence[int], known: Known) -> list[Found]:
    """Return runs of lines with several pieces and figures that no heading covers.

    The common machinery tells their columns by content, or reads them turned.

    Args:
        pages, lines: as for ``find_on_pages``.
        free: positions of lines in no table yet.
        known: part numbers asked for.
    """
    runs: list[list[int]] = [[]]
    for i in free:
        if len(lines[i].pieces) < 2:
            continue
        last = runs[-1][-1] if runs[-1] else None
        near = last is not None and lines[last].page == lines[i].page and lines[i].y0 - lines[last].y1 < 2.2 * lines[i].size
        if last is not None and not near:
            runs.append([])
        runs[-1].append(i)
    found = []
    for run in runs:
        pieces = [p for i in run for p in lines[i].pieces]
        named = any(_is_part(p.text, known) for p in pieces)
        figures = sum((r := figure_in(p.text)) is not None and bool(r.values) for p in pieces)
        if len(run) < 2 or not named or figures < 2:
            continue
        rows = [i for i in run if any(figure_in(p.text) is not None for p in lines[i].pieces)]
        spans = _ruled(pages, lines, run[0], rows) or _white(lines, run, [lines[run[0]]])
        if len(spans) < 2:
            continue
        page = lines[run[0]].page
        table = Found(Grid(f"page {page}, lines from {run[0] + 1}", page=page), set(run))
        for number, i in enumerate(run, 1):
            _cells(table.grid, number, _split(lines[i], spans, full=True))
        first = table.grid.rows[1]
        turned = len(first) > 1 and 1 not in first and all(_is_part(c.text, known) for c in first.values())
        if turned:
            # parts side by side under an empty corner
            table.grid.put(Cell(1, 1, "s", "Part number", page=page))
        found.append(table)
    return found


def _heads(lines: Sequence[Line], words: Lexicon, known: Known) -> list[tuple[int, int]]:
    """Position and depth of each heading of a price table."""
    heads: list[tuple[int, int]] = []
    at = 0
    while at < len(lines):
        depth = _head_depth(lines, at, words, known)
        if depth:
            heads.append((at, depth))
        at += depth or 1
    return heads


def head_lines(lines: Sequence[Line], words: Lexicon, known: Known) -> list[Line]:
    """Return the lines that are headings of price tables."""
    return [lines[at + i] for at, depth in _heads(lines, words, known) for i in range(depth)]


def _same_head(lines: Sequence[Line], one: tuple[int, int], other: tuple[int, int]) -> bool:
    def text(head: tuple[int, int]) -> list[str]:
        return [lines[head[0] + i].text for i in range(head[1])]

    return lines[other[0]].page > lines[one[0]].page and text(one) == text(other)


def _is_data(line: Line, known: Known) -> bool:
    """Whether a line holds a price or a part number with figures: no heading."""
    figures = 0
    named = False
    for piece in line.pieces:
        read = figure_in(piece.text)
        if read is not None and read.values:
            if any(v % 1 for v in read.values) or read.currencies or _CENTS.search(piece.text):
                return True
            figures += 1
        named = named or looks_like_part(piece.text) or bool(known.find(piece.text, loose=False))
    return named and figures > 0


def _head_depth(lines: Sequence[Line], at: int, words: Lexicon, known: Known) -> int:
    """How many lines from here on are the heading of a price table; 0: none."""
    if len(lines[at].pieces) < 2 and not _spanning_head(lines[at], words):
        return 0
    best, most = 0, 0.0
    for depth in (1, 2, 3, 4):
        block = lines[at : at + depth]
        if len(block) < depth or block[-1].page != block[0].page or _is_data(block[-1], known):
            break
        if depth > 1:
            gap = block[-1].y0 - block[-2].y1
            if gap > 0.8 * block[-1].size or not _headish(block[-1], known):
                break
        score = _head_score(block, words)
        if score > most + (0.5 if depth > 1 else 0.0):
            best, most = depth, score
    return best


def _spanning_head(line: Line, words: Lexicon) -> bool:
    return bool(line.pieces) and len(line.text) < 60 and words.read(line.text).meaning in (*PRICES, "quantity") and words.read(line.text).sure > 0.85


def _headish(line: Line, known: Known) -> bool:
    for piece in line.pieces:
        text = piece.text
        if len(text) > 45 or (text.endswith(".") and len(text.split()) > 3):
            return False
        if known.find(text, loose=False) or (looks_like_part(text) and not heading_quantity(text)):
            return False
        read = figure_in(text)
        if read is not None and (_CENTS.search(text) or any(v % 1 or v <= 0 for v in read.values)):
            return False
        if read is not None and read.state:
            return False
    return True


def _stack(block: Sequence[Line]) -> list[list[Piece]]:
    """Pieces of several lines that stand over each other."""
    stacks: list[list[Piece]] = []
    for depth, line in enumerate(reversed(block)):
        for piece in line.pieces:
            if depth and _over_breaks(piece, stacks):
                continue
            over = [
                s for s in stacks
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
    if any(p.x0 < piece.x1 and piece.x0 < p.x1 for s in stacks for p in s if not heading_quantity(s[-1].text)):
        return False
    if any(p.x1 <= middle for p in breaks) and any(p.x0 >= middle for p in breaks):
        return True
    if not _PRICE_WORD.search(piece.text):
        return False
    # at the left of the first quantity, with nothing between
    after = [s[-1] for s in stacks if s[-1].x0 >= middle]
    return len(breaks) > 1 and bool(after) and min(after, key=lambda p: p.x0) in breaks


def _head_score(block: Sequence[Line], words: Lexicon) -> float:
    stacks = _stack(block)
    if len(stacks) < 2:
        return 0.0
    meanings: list[str] = []
    breaks = 0
    dull = 0
    for stack in stacks:
        text = " ".join(p.text for p in stack)
        read = words.read(text)
        if len(stack) > 1 and not read.meaning:
            read = words.read(stack[-1].text)
        if heading_quantity(stack[-1].text):
            breaks += 1
        if read.meaning in _HEAD and read.sure >= 0.6 and len(text) < 60:
            meanings.append(read.meaning)
        elif currencies_in(text) and len(text) < 25:
            meanings.append("price")
        elif not heading_quantity(stack[-1].text):
            dull += 1
    priced = any(m in PRICES or m in TOTALS for m in meanings) or breaks >= 2
    named = any(m in PARTS for m in meanings) or "quantity" in meanings or "position" in meanings
    if not priced or not named or dull > len(meanings) + breaks:
        return 0.0
    return len(set(meanings)) + breaks - 0.5 * dull


def _table(
    pages: Sequence[Page], lines: Sequence[Line], at: int, depth: int, end: int, skip: set[int],
    words: Lexicon, known: Known,
) -> Found | None:  # fmt: skip
    head = lines[at : at + depth]
    body = [i for i in range(at + depth, end) if i not in skip]
    rows = _row_lines(lines, body, known, len(_stack(head)))
    if not rows:
        return None
    spans = _ruled(pages, lines, at, rows) or _white(lines, rows, head)
    spans, assigned, doubt = _with_headings(spans, head)
    rows = _until(lines, body, rows, spans)
    last = max(rows)
    table = Found(Grid(f"page {head[0].page}, table at line {at + 1}", page=head[0].page))
    _put_head(table.grid, head, spans, assigned)
    inside = [i for i in body if i <= last]
    table.lines = set(range(at, at + depth)) | set(inside)
    _put_rows(table, pages, lines, inside, set(rows), spans, depth, known)
    _name_rows(table, lines, at, inside, known)
    if doubt:
        table.doubts.append((0, doubt))
    return table


def _row_lines(lines: Sequence[Line], body: Sequence[int], known: Known, wide: int) -> list[int]:
    """Lines with at least two pieces of which one is a figure, up to where they end."""
    rows: list[int] = []
    quiet = 0
    for i in body:
        line = lines[i]
        figures = sum(figure_in(p.text) is not None for p in line.pieces)
        named = any(known.find(p.text, loose=False) or looks_like_part(p.text) for p in line.pieces)
        last = lines[rows[-1]] if rows else line
        # far below the last row and naming no part: a foot of the page
        foot = not named and last.page == line.page and line.y0 - last.y1 > 5 * line.size
        if not foot and len(line.pieces) >= 2 and figures and (figures >= 2 or named or rows or wide <= 3):
            rows.append(i)
            quiet = 0
        else:
            quiet += 1
            if quiet > 14 and rows:
                break
    return rows


def _ruled(pages: Sequence[Page], lines: Sequence[Line], at: int, rows: Sequence[int]) -> list[Span]:
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
    return [Span(a, b) for a, b in zip(xs, xs[1:], strict=False) if b - a > 4]


def _white(lines: Sequence[Line], rows: Sequence[int], head: Sequence[Line]) -> list[Span]:
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
                any(_inside(p, before) for p in lines[i].pieces) and any(_inside(p, span) for p in lines[i].pieces)
                for i in full
            )  # fmt: skip
            shared = any(p.x0 <= before.x1 and p.x1 >= span.x0 for p in last)
            between = any(before.x1 - 1 <= (p.x0 + p.x1) / 2 <= span.x0 + 1 for p in last)
            if not both and (shared or between):
                before.x1 = span.x1
                continue
        out.append(Span(span.x0, span.x1))
    return out


def _inside(piece: Piece, span: Span) -> bool:
    return min(piece.x1, span.x1) - max(piece.x0, span.x0) > 0


def _with_headings(spans: list[Span], head: Sequence[Line]) -> tuple[list[Span], list[list[int]], str]:
    """Return (columns, heading pieces' columns by line, doubt).

    Headings keep their order; each takes the column it stands over, is aligned with, or that
    lies before the next heading. A heading over no column gets one of its own.
    """
    stacks = _stack(head)
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
                doubt = doubt or f"the heading '{text[:40]}' and another stand over the same figures; look which is which"
        elif pairs[k] in near:
            s = spans[pairs[k]]
            text = " ".join(p.text for p in stacks[k])
            if min(x1, s.x1) - max(x0, s.x0) < -2:
                doubt = doubt or f"the heading '{text[:40]}' doesn't stand over one column alone; look which figures it means"
    spans = sorted([*spans, *extra], key=lambda s: s.x0)
    for one, two in zip(spans, spans[1:], strict=False):
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


def _match(boxes: Sequence[tuple[float, float]], spans: Sequence[Span]) -> tuple[dict[int, int], set[int]]:
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
        k for i, k in pairs.items()
        if any(j != i and j not in pairs and fit(j, k) > fit(i, k) - 60 for j in range(n))
    }
    return pairs, near


def _until(lines: Sequence[Line], body: Sequence[int], rows: Sequence[int], spans: Sequence[Span]) -> list[int]:
    """Rows whose figures stand in the table's columns; the table ends where they end."""
    left, right = spans[0].x0 - 12, spans[-1].x1 + 12
    kept = [
        i for i in rows
        if any(
            figure_in(p.text) is not None and any(_inside(p, s) for s in spans) and p.x0 > left and p.x1 < right
            for p in lines[i].pieces
        )
    ]  # fmt: skip
    # a sum may stand alone with its figure under the last column
    return kept or list(rows)


def _put_head(grid: Grid, head: Sequence[Line], spans: Sequence[Span], columns: Sequence[Sequence[int]]) -> None:
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
        _cells(grid, 1, upper)
        for column in sorted(upper):
            if column in quantities or _over(upper[column], quantities, spans):
                run = _run(column, quantities, set(upper) - {column})
                if len(run) > 1 or run != [column]:
                    cell = grid.rows[1].pop(column)
                    cell.column = run[0]
                    grid.put(cell)
                    grid.merges.append((1, run[0], 1, run[-1]))
        _cells(grid, 2, lowest)
        return
    joined: dict[int, list[Word]] = {}
    for cells in rows:
        for column, ws in cells.items():
            joined.setdefault(column, []).extend(ws)
    _cells(grid, 1, joined)


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


def _cells(grid: Grid, row: int, cells: dict[int, list[Word]]) -> None:
    for column, words in cells.items():
        grid.put(_cell(row, column, words))


def _cell(row: int, column: int, words: Sequence[Word]) -> Cell:
    text = " ".join(w.text for w in words)
    same = [w for w in words if w.page == words[0].page]
    return Cell(row, column, "s", text, box=box_of(same), page=words[0].page)


def _put_rows(
    table: Found, pages: Sequence[Page], lines: Sequence[Line], inside: Sequence[int], rows: set[int],
    spans: Sequence[Span], depth: int, known: Known,
) -> None:  # fmt: skip
    grid = table.grid
    number = max(grid.rows)
    line_of: dict[int, list[int]] = {}  # grid row -> lines
    last: int | None = None
    for i in inside:
        line = lines[i]
        cells = _split(line, spans, full=i in rows)
        if not cells:
            continue
        if i not in rows and last is not None and _continues(pages, lines, i, line_of[last][-1], cells, grid, last, known):
            for column, words in cells.items():
                old = grid.rows[last].get(column)
                if old is None:
                    grid.put(_cell(last, column, words))
                else:
                    fresh = _cell(last, column, words)
                    old.text = f"{old.text} {fresh.text}"
                    if old.box and fresh.box and old.page == fresh.page:
                        a, b = old.box, fresh.box
                        old.box = (min(a[0], b[0]), min(a[1], b[1]), max(a[2], b[2]), max(a[3], b[3]))
            line_of[last].append(i)
            continue
        number += 1
        _cells(grid, number, cells)
        line_of[number] = [i]
        last = number
    _fill_parts(table, pages, lines, line_of, rows, spans, known)


def _split(line: Line, spans: Sequence[Span], *, full: bool) -> dict[int, list[Word]]:
    """The words of a line by column; a sentence or a label over several columns stays whole."""
    bounds = [(a.x1 + b.x0) / 2 for a, b in zip(spans, spans[1:], strict=False)]
    cells: dict[int, list[Word]] = {}
    for piece in line.pieces:
        over = [k for k, s in enumerate(spans) if _inside(piece, s)]
        words_only = figure_in(piece.text) is None
        if len(over) <= 1 or (words_only and len(line.pieces) <= 2 and not _several(piece, spans, over)):
            middle = (piece.x0 + piece.x1) / 2
            column = over[0] if over else sum(middle > b for b in bounds)
            cells.setdefault(column + 1, []).extend(piece.words)
            continue
        for word in piece.words:
            column = sum((word.x0 + word.x1) / 2 > b for b in bounds)
            cells.setdefault(column + 1, []).extend([word])
    if not full and len(line.pieces) == 1 and len(cells) > 1:
        return {min(cells): list(line.pieces[0].words)}
    return cells


def _several(piece: Piece, spans: Sequence[Span], over: Sequence[int]) -> bool:
    """Whether a piece over several columns is their cells run together, and not one label."""
    return sum(bool(re.search(r"\d", w.text)) for w in piece.words) >= len(over)


def _continues(
    pages: Sequence[Page], lines: Sequence[Line], i: int, before: int, cells: dict[int, list[Word]],
    grid: Grid, last: int, known: Known,
) -> bool:  # fmt: skip
    """Whether a line is the second line of the row above: words only, close below, no rule between."""
    line, above = lines[i], lines[before]
    text = line.text
    if line.page != above.page or line.y0 - above.y1 > 0.55 * line.size:
        return False
    if any(figure_in(" ".join(w.text for w in ws)) is not None for ws in cells.values()):
        return False
    if any(y for x0, x1, y in pages[line.page - 1].level if above.y1 - 3 <= y <= line.y0 + 3 and x0 <= line.pieces[0].x0 + 3 and x1 >= line.pieces[0].x0 + 6):
        return False
    if say.SUM.search(text) or say.TAX.search(text) or say.ONE_OFF.search(text) or say.ALTERNATIVE.search(text):
        return False
    if say.charge_kind(text) != "other" and re.search(r"\d", text):
        return False
    if any(looks_like_part(" ".join(w.text for w in ws)) or known.find(" ".join(w.text for w in ws), loose=False) for ws in cells.values()):
        return False
    return all(c in grid.rows[last] for c in cells) and len(text) < 90


def _fill_parts(
    table: Found, pages: Sequence[Page], lines: Sequence[Line], line_of: dict[int, list[int]],
    rows: set[int], spans: Sequence[Span], known: Known,
) -> None:  # fmt: skip
    """Give rows the part number that stands beside their group and not in their own line."""
    grid = table.grid
    priced = [r for r in sorted(line_of) if line_of[r][0] in rows and not _apart(grid, r)]
    column = _part_column(grid, priced, known)
    if not column:
        return
    has = [r for r in priced if _is_part(grid.text(r, column), known)]
    if not has or len(has) == len(priced):
        return
    groups = _ruled_groups(pages, lines, line_of, priced, spans[column - 1])
    if len(has) == 1:
        alike = _figures(grid, has[0])
        groups = [[r for r in priced if r == has[0] or abs(_figures(grid, r) - alike) <= 1]]
    elif not groups:
        groups = _counted_groups(grid, priced, has, column)
    clean = bool(groups) and all(sum(r in has for r in group) == 1 for group in groups)
    if clean:
        for group in groups:
            own = next(r for r in group if r in has)
            if own != group[0] and group[0] not in has:
                cell = grid.rows[own].pop(column)
                cell.row = group[0]
                grid.rows[group[0]][column] = cell
            if len(group) > 1:
                grid.merges.append((group[0], column, group[-1], column))
        return
    _repeat_parts(grid, priced, has, column)
    first = next((r for r in priced if any(_money(grid, r, c) for c in grid.rows[r] if c != column)), 0)
    if first and first < min(has):
        for row in priced:
            if row not in has:
                table.doubts.append((row, "the part number stands beside several lines; look to which part this line belongs"))


def _figures(grid: Grid, row: int) -> int:
    return sum(figure_in(cell.text) is not None for cell in grid.rows[row].values())


def _repeat_parts(grid: Grid, priced: Sequence[int], has: Sequence[int], column: int) -> None:
    """Let a part stand for the rows below it that say the same in words, or nothing."""
    for k, row in enumerate(has):
        end = has[k + 1] if k + 1 < len(has) else max(priced) + 1
        last = row
        for r in (p for p in priced if row < p < end):
            words = {
                c: cell.text for c, cell in grid.rows[r].items() if figure_in(cell.text) is None
            }
            if any(text != grid.text(row, c) for c, text in words.items()):
                break
            last = r
        if last > row:
            grid.merges.append((row, column, last, column))


def _apart(grid: Grid, row: int) -> bool:
    """Whether a row is a sum, tax or a charge, which belongs to no group."""
    texts = [cell.text for cell in grid.rows[row].values() if re.search(r"[^\W\d_]{2}", cell.text)]
    return any(
        shape.search(text) for text in texts for shape in (say.SUM, say.TAX, say.ONE_OFF)
    ) or any(say.charge_kind(text) in ("freight", "packing", "discount", "minimum order", "surcharge") for text in texts)


def _name_rows(table: Found, lines: Sequence[Line], at: int, inside: Sequence[int], known: Known) -> None:
    """Where no column holds part numbers, the line above the table (or above its rows) names one."""
    grid = table.grid
    body = [r for r in sorted(grid.rows) if r > (2 if any(m[0] == 1 for m in grid.merges) else 1)]
    if _part_column(grid, body, known):
        only = [r for r in body if any(_money(grid, r, c) for c in grid.rows[r])]
        if _part_column(grid, only, known):
            return
    now: tuple[list[Word], str] | None = None
    for i in range(at - 1, max(at - 4, -1), -1):
        named = part_words(lines[i], known)
        if len(named) == 1:
            now = named[0]
        if named or _is_data(lines[i], known):
            break
    column = max((c for row in grid.rows.values() for c in row), default=0) + 1
    placed = False
    for r in body:
        cells = grid.rows[r]
        priced = any(_money(grid, r, c) for c in cells)
        if not priced:
            top = min((c.box[1] for c in cells.values() if c.box), default=0.0)
            page = next(iter(cells.values())).page
            line = next((lines[i] for i in inside if lines[i].page == page and abs(lines[i].y0 - top) < 2), None)
            named = part_words(line, known) if line else []
            if len(named) == 1:
                now = named[0]
            continue
        if now is not None and not _apart(grid, r):
            grid.put(Cell(r, column, "s", now[1], box=box_of(now[0]), page=now[0][0].page))
            placed = True
    if placed:
        grid.put(Cell(max(r for r in grid.rows if r < body[0]), column, "s", "Part number", page=grid.page))


def part_words(line: Line, known: Known) -> list[tuple[list[Word], str]]:
    """Return the part numbers a line names, each with its words and its revision."""
    words = [w for piece in line.pieces for w in piece.words]
    found: dict[str, tuple[list[Word], str]] = {}
    for k, word in enumerate(words):
        text = word.text.strip(".,;:()")
        match = known.find(text, loose=False) if known.numbers else None
        if match or (not known.numbers and looks_like_part(text) and re.search(r"[A-Za-z]", text)):
            tail = words[k + 1 : k + 3]
            worded = len(tail) == 2 and re.fullmatch(r"(?i)\W*(?:rev(?:ision)?|index|ind|issue|indice|rew)\W*", tail[0].text)
            own = [word, *tail] if worded else [word]
            text = f"{text} Rev {tail[1].text.strip('.,;:()')}" if worded else text
            found.setdefault(match.part if match else text, (own, text))
    return list(found.values())


def _money(grid: Grid, row: int, column: int) -> bool:
    read = figure_in(grid.text(row, column))
    return read is not None and bool(read.values)


def _is_part(text: str, known: Known) -> bool:
    return bool(text) and (bool(known.find(text, loose=False)) or looks_like_part(text))


def _part_column(grid: Grid, rows: Sequence[int], known: Known) -> int:
    hits: dict[int, int] = {}
    for r in rows:
        for c in grid.rows.get(r, {}):
            if _is_part(grid.text(r, c), known):
                hits[c] = hits.get(c, 0) + 1
    return max(hits, key=lambda c: hits[c], default=0)


def _ruled_groups(
    pages: Sequence[Page], lines: Sequence[Line], line_of: dict[int, list[int]], order: Sequence[int], span: Span
) -> list[list[int]]:
    """Groups of rows between level rules that cross the part's column; none where few are ruled."""
    middle = (span.x0 + span.x1) / 2
    groups: list[list[int]] = []
    crossed = 0
    for r in order:
        line = lines[line_of[r][0]]
        if groups:
            above = lines[line_of[groups[-1][-1]][-1]]
            rules = [
                y for x0, x1, y in pages[line.page - 1].level
                if x0 - 2 <= middle <= x1 + 2 and above.y1 - 4 <= y <= line.y0 + 4
            ] if line.page == above.page else [0.0]  # fmt: skip
            if not rules:
                groups[-1].append(r)
                continue
            crossed += 1
        groups.append([r])
    return groups if crossed >= max(1, len(groups) - 1) and len(groups) > 1 else []


def _counted_groups(grid: Grid, priced: Sequence[int], has: Sequence[int], column: int) -> list[list[int]]:
    """Groups by their quantities: a new group begins where the quantity falls.

    Only where a part stands below the first row of its group; else the usual reading (a part
    heads the rows below it) needs no help.
    """
    whole: dict[int, dict[int, int]] = {}
    for r in priced:
        for c in grid.rows[r]:
            if c == column:
                continue
            read = figure_in(grid.text(r, c))
            if read is not None and len(read.values) >= 1 and not read.currencies and read.values[0] % 1 == 0 and read.values[0] > 0:
                whole.setdefault(c, {})[r] = int(read.values[0])
    counts = next((whole[c] for c in sorted(whole) if len(whole[c]) == len(priced) and len(set(whole[c].values())) < len(priced)), None)
    if counts is None:
        return []
    groups: list[list[int]] = []
    for r in priced:
        if groups and counts[r] > counts[groups[-1][-1]]:
            groups[-1].append(r)
        else:
            groups.append([r])
    late = any(r in has and r != group[0] for group in groups for r in group)
    return groups if late else []


def holds_prices(grid: Grid, words: Lexicon, known: Known) -> bool:
    """Whether the common machinery finds prices in a grid, as it stands or turned."""
    from rfq.intake.columns import find_tables, table_without_head
    from rfq.intake.rows import read_rows

    for one in (grid, grid.transposed()):
        if any(row.kind == "item" for t in find_tables(one, words, known) for row in read_rows(t, known)):
            return True
    bare = table_without_head(grid, set(), known)
    return bare is not None and any(row.kind == "item" for row in read_rows(bare, known))

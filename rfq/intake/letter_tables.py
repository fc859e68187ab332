# ruff: noqa: E501 - patterns and whole sentences stand on one line
"""Tables on pages: where their headings stand, and where they end.

Ruled lines decide where there are any; else the white between the figures of the rows. The grid
that comes out is read by the same machinery as a workbook's sheet. What the page leaves open
(a heading beside its column, a row whose part stands nowhere near) is a doubt on those rows.
"""

from __future__ import annotations

from collections.abc import Sequence

from rfq.intake.grid import Cell, Grid
from rfq.intake.headings import heading_quantity
from rfq.intake.letter_columns import (
    CENTS,
    Span,
    figure_in,
    inside,
    put_cells,
    put_head,
    ruled_columns,
    stack_of,
    white_columns,
    with_headings,
)
from rfq.intake.letter_lines import Line, Page
from rfq.intake.letter_rows import Found, is_data, is_part, name_rows, put_rows, split_line
from rfq.intake.lexicon import Lexicon
from rfq.intake.matching import Known, looks_like_part
from rfq.intake.money import currencies_in
from rfq.intake.table import PARTS, PRICES, TOTALS

_HEAD = {*PRICES, *TOTALS, *PARTS, "quantity", "position", "revision", "one-off", "lead", "unit",
         "material", "currency", "price base", "discount"}  # fmt: skip


def find_on_pages(
    pages: Sequence[Page], lines: Sequence[Line], words: Lexicon, known: Known
) -> list[Found]:
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


def find_bare(
    pages: Sequence[Page], lines: Sequence[Line], free: Sequence[int], known: Known
) -> list[Found]:
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
        near = (
            last is not None
            and lines[last].page == lines[i].page
            and lines[i].y0 - lines[last].y1 < 2.2 * lines[i].size
        )
        if last is not None and not near:
            runs.append([])
        runs[-1].append(i)
    found = []
    for run in runs:
        pieces = [p for i in run for p in lines[i].pieces]
        named = any(is_part(p.text, known) for p in pieces)
        figures = sum((r := figure_in(p.text)) is not None and bool(r.values) for p in pieces)
        if len(run) < 2 or not named or figures < 2:
            continue
        rows = [i for i in run if any(figure_in(p.text) is not None for p in lines[i].pieces)]
        spans = ruled_columns(pages, lines, run[0], rows) or white_columns(
            lines, run, [lines[run[0]]]
        )
        if len(spans) < 2:
            continue
        page = lines[run[0]].page
        table = Found(Grid(f"page {page}, lines from {run[0] + 1}", page=page), set(run))
        for number, i in enumerate(run, 1):
            put_cells(table.grid, number, split_line(lines[i], spans, full=True))
        first = table.grid.rows[1]
        turned = (
            len(first) > 1
            and 1 not in first
            and all(is_part(c.text, known) for c in first.values())
        )
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


def _head_depth(lines: Sequence[Line], at: int, words: Lexicon, known: Known) -> int:
    """How many lines from here on are the heading of a price table; 0: none."""
    if len(lines[at].pieces) < 2 and not _spanning_head(lines[at], words):
        return 0
    best, most = 0, 0.0
    for depth in (1, 2, 3, 4):
        block = lines[at : at + depth]
        if len(block) < depth or block[-1].page != block[0].page or is_data(block[-1], known):
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
    return (
        bool(line.pieces)
        and len(line.text) < 60
        and words.read(line.text).meaning in (*PRICES, "quantity")
        and words.read(line.text).sure > 0.85
    )


def _headish(line: Line, known: Known) -> bool:
    for piece in line.pieces:
        text = piece.text
        if len(text) > 45 or (text.endswith(".") and len(text.split()) > 3):
            return False
        if known.find(text, loose=False) or (looks_like_part(text) and not heading_quantity(text)):
            return False
        read = figure_in(text)
        if read is not None and (CENTS.search(text) or any(v % 1 or v <= 0 for v in read.values)):
            return False
        if read is not None and read.state:
            return False
    return True


def _head_score(block: Sequence[Line], words: Lexicon) -> float:
    stacks = stack_of(block)
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
    rows = _row_lines(lines, body, known, len(stack_of(head)))
    if not rows:
        return None
    spans = ruled_columns(pages, lines, at, rows) or white_columns(lines, rows, head)
    spans, assigned, doubt = with_headings(spans, head)
    rows = _until(lines, body, rows, spans)
    last = max(rows)
    table = Found(Grid(f"page {head[0].page}, table at line {at + 1}", page=head[0].page))
    put_head(table.grid, head, spans, assigned)
    inside = [i for i in body if i <= last]
    table.lines = set(range(at, at + depth)) | set(inside)
    put_rows(table, pages, lines, inside, set(rows), spans, depth, known)
    name_rows(table, lines, at, inside, known)
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
        if (
            not foot
            and len(line.pieces) >= 2
            and figures
            and (figures >= 2 or named or rows or wide <= 3)
        ):
            rows.append(i)
            quiet = 0
        else:
            quiet += 1
            if quiet > 14 and rows:
                break
    return rows


def _until(
    lines: Sequence[Line], body: Sequence[int], rows: Sequence[int], spans: Sequence[Span]
) -> list[int]:
    """Rows whose figures stand in the table's columns; the table ends where they end."""
    left, right = spans[0].x0 - 12, spans[-1].x1 + 12
    kept = [
        i for i in rows
        if any(
            figure_in(p.text) is not None and any(inside(p, s) for s in spans) and p.x0 > left and p.x1 < right
            for p in lines[i].pieces
        )
    ]  # fmt: skip
    # a sum may stand alone with its figure under the last column
    return kept or list(rows)


def holds_prices(grid: Grid, words: Lexicon, known: Known) -> bool:
    """Whether the common machinery finds prices in a grid, as it stands or turned."""
    from rfq.intake.bare_table import table_without_head
    from rfq.intake.columns import find_tables
    from rfq.intake.rows import read_rows

    for one in (grid, grid.transposed()):
        if any(
            row.kind == "item"
            for t in find_tables(one, words, known)
            for row in read_rows(t, known)
        ):
            return True
    bare = table_without_head(grid, set(), known)
    return bare is not None and any(row.kind == "item" for row in read_rows(bare, known))

# ruff: noqa: E501 - patterns and whole sentences stand on one line
"""Rows of a table on a page: lines to cells, wrapped lines joined, the part each row belongs to.

A part number may stand beside the first, the middle or every line of its group, in a line above
the rows or in the title; where none of these is plain, the rows carry a doubt.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from rfq.intake import row_words as say
from rfq.intake.grid import Cell, Grid
from rfq.intake.letter_columns import CENTS, Span, cell_of, figure_in, inside, put_cells
from rfq.intake.letter_lines import Line, Page, Piece, Word, box_of
from rfq.intake.matching import Known, looks_like_part


@dataclass(slots=True)
class Found:
    """A table: its grid, the lines used, and (row, sentence) of what is doubtful."""

    grid: Grid
    lines: set[int] = field(default_factory=set)  # positions in the list of lines
    doubts: list[tuple[int, str]] = field(default_factory=list)  # row 0: the whole table


def put_rows(
    table: Found, pages: Sequence[Page], lines: Sequence[Line], inside: Sequence[int], rows: set[int],
    spans: Sequence[Span], depth: int, known: Known,
) -> None:  # fmt: skip
    """Put the lines of a table into its grid, below the heading."""
    grid = table.grid
    number = max(grid.rows)
    line_of: dict[int, list[int]] = {}  # grid row -> lines
    last: int | None = None
    for i in inside:
        line = lines[i]
        cells = split_line(line, spans, full=i in rows)
        if not cells:
            continue
        if (
            i not in rows
            and last is not None
            and _continues(pages, lines, i, line_of[last][-1], cells, grid, last, known)
        ):
            for column, words in cells.items():
                old = grid.rows[last].get(column)
                if old is None:
                    grid.put(cell_of(last, column, words))
                else:
                    fresh = cell_of(last, column, words)
                    old.text = f"{old.text} {fresh.text}"
                    if old.box and fresh.box and old.page == fresh.page:
                        a, b = old.box, fresh.box
                        old.box = (
                            min(a[0], b[0]),
                            min(a[1], b[1]),
                            max(a[2], b[2]),
                            max(a[3], b[3]),
                        )
            line_of[last].append(i)
            continue
        number += 1
        put_cells(grid, number, cells)
        line_of[number] = [i]
        last = number
    _fill_parts(table, pages, lines, line_of, rows, spans, known)


def split_line(line: Line, spans: Sequence[Span], *, full: bool) -> dict[int, list[Word]]:
    """The words of a line by column; a sentence or a label over several columns stays whole."""
    bounds = [(a.x1 + b.x0) / 2 for a, b in pairwise(spans)]
    cells: dict[int, list[Word]] = {}
    for piece in line.pieces:
        over = [k for k, s in enumerate(spans) if inside(piece, s)]
        words_only = figure_in(piece.text) is None
        if len(over) <= 1 or (
            words_only and len(line.pieces) <= 2 and not _several(piece, spans, over)
        ):
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
    if any(
        y
        for x0, x1, y in pages[line.page - 1].level
        if above.y1 - 3 <= y <= line.y0 + 3
        and x0 <= line.pieces[0].x0 + 3
        and x1 >= line.pieces[0].x0 + 6
    ):
        return False
    if (
        say.SUM.search(text)
        or say.TAX.search(text)
        or say.ONE_OFF.search(text)
        or say.ALTERNATIVE.search(text)
    ):
        return False
    if say.charge_kind(text) != "other" and re.search(r"\d", text):
        return False
    if any(
        looks_like_part(" ".join(w.text for w in ws))
        or known.find(" ".join(w.text for w in ws), loose=False)
        for ws in cells.values()
    ):
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
    has = [r for r in priced if is_part(grid.text(r, column), known)]
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
    first = next(
        (r for r in priced if any(_money(grid, r, c) for c in grid.rows[r] if c != column)), 0
    )
    if first and first < min(has):
        for row in priced:
            if row not in has:
                table.doubts.append(
                    (
                        row,
                        "the part number stands beside several lines; look to which part this line belongs",
                    )
                )


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
    ) or any(
        say.charge_kind(text) in ("freight", "packing", "discount", "minimum order", "surcharge")
        for text in texts
    )


def name_rows(
    table: Found, lines: Sequence[Line], at: int, inside: Sequence[int], known: Known
) -> None:
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
        if named or is_data(lines[i], known):
            break
    column = max((c for row in grid.rows.values() for c in row), default=0) + 1
    placed = False
    for r in body:
        cells = grid.rows[r]
        priced = any(_money(grid, r, c) for c in cells)
        if not priced:
            top = min((c.box[1] for c in cells.values() if c.box), default=0.0)
            page = next(iter(cells.values())).page
            line = next(
                (lines[i] for i in inside if lines[i].page == page and abs(lines[i].y0 - top) < 2),
                None,
            )
            named = part_words(line, known) if line else []
            if len(named) == 1:
                now = named[0]
            continue
        if now is not None and not _apart(grid, r):
            grid.put(Cell(r, column, "s", now[1], box=box_of(now[0]), page=now[0][0].page))
            placed = True
    if placed:
        grid.put(
            Cell(
                max(r for r in grid.rows if r < body[0]), column, "s", "Part number", page=grid.page
            )
        )


def part_words(line: Line, known: Known) -> list[tuple[list[Word], str]]:
    """Return the part numbers a line names, each with its words and its revision."""
    words = [w for piece in line.pieces for w in piece.words]
    found: dict[str, tuple[list[Word], str]] = {}
    for k, word in enumerate(words):
        text = word.text.strip(".,;:()")
        match = known.find(text, loose=False) if known.numbers else None
        if match or (not known.numbers and looks_like_part(text) and re.search(r"[A-Za-z]", text)):
            tail = words[k + 1 : k + 3]
            worded = len(tail) == 2 and re.fullmatch(
                r"(?i)\W*(?:rev(?:ision)?|index|ind|issue|indice|rew)\W*", tail[0].text
            )
            own = [word, *tail] if worded else [word]
            text = f"{text} Rev {tail[1].text.strip('.,;:()')}" if worded else text
            found.setdefault(match.part if match else text, (own, text))
    return list(found.values())


def _money(grid: Grid, row: int, column: int) -> bool:
    read = figure_in(grid.text(row, column))
    return read is not None and bool(read.values)


def is_part(text: str, known: Known) -> bool:
    """Whether a text is a part number asked for, or has the shape of one."""
    return bool(text) and (bool(known.find(text, loose=False)) or looks_like_part(text))


def _part_column(grid: Grid, rows: Sequence[int], known: Known) -> int:
    hits: dict[int, int] = {}
    for r in rows:
        for c in grid.rows.get(r, {}):
            if is_part(grid.text(r, c), known):
                hits[c] = hits.get(c, 0) + 1
    return max(hits, key=lambda c: hits[c], default=0)


def _ruled_groups(
    pages: Sequence[Page],
    lines: Sequence[Line],
    line_of: dict[int, list[int]],
    order: Sequence[int],
    span: Span,
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


def _counted_groups(
    grid: Grid, priced: Sequence[int], has: Sequence[int], column: int
) -> list[list[int]]:
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
            if (
                read is not None
                and len(read.values) >= 1
                and not read.currencies
                and read.values[0] % 1 == 0
                and read.values[0] > 0
            ):
                whole.setdefault(c, {})[r] = int(read.values[0])
    counts = next(
        (
            whole[c]
            for c in sorted(whole)
            if len(whole[c]) == len(priced) and len(set(whole[c].values())) < len(priced)
        ),
        None,
    )
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


def is_data(line: Line, known: Known) -> bool:
    """Whether a line holds a price or a part number with figures: no heading."""
    figures = 0
    named = False
    for piece in line.pieces:
        read = figure_in(piece.text)
        if read is not None and read.values:
            if any(v % 1 for v in read.values) or read.currencies or CENTS.search(piece.text):
                return True
            figures += 1
        named = named or looks_like_part(piece.text) or bool(known.find(piece.text, loose=False))
    return named and figures > 0

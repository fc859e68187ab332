"""Tables on a ``Sheet``: wrapped cells, figures aligned at the point, heads repeated."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Final, Literal

from rfq.documents.fonts import BOLD, REGULAR, clip, ems, wrap
from rfq.documents.look import BODY, LABEL, Sheet, Style

PAD: Final = 3.0
_LEAD: Final = re.compile(r"^[^\d]*[\d' ]*")


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its head, its share of the width, how its cells stand.

    ``point`` puts the figures' decimal points under each other.
    """

    title: str
    share: float
    align: Literal["left", "right", "centre", "point"] = "left"


@dataclass(frozen=True, slots=True)
class Drawn:
    """A cell that draws itself: called with the sheet, left edge, top edge and width."""

    height: float
    draw: Callable[[Sheet, float, float, float], None]


Cell = str | Drawn


@dataclass(frozen=True, slots=True)
class Row:
    """A row; ``changed`` puts a bar beside it, ``strong`` prints it bold."""

    cells: Sequence[Cell]
    changed: bool = False
    strong: bool = False
    keep: bool = False  # on one page with the row that follows


@dataclass(slots=True)
class _Set:
    """A row as set: its wrapped lines and its height."""

    row: Row
    lines: list[list[str]]
    height: float
    faces: str = REGULAR


@dataclass(slots=True)
class Grid:
    """A table's geometry on a sheet, kept between rows."""

    columns: Sequence[Column]
    style: Style = BODY
    lefts: list[float] = field(default_factory=list)
    widths: list[float] = field(default_factory=list)


def table(
    sheet: Sheet,
    columns: Sequence[Column],
    rows: Iterable[Row],
    *,
    style: Style = Style(8, REGULAR, 10.2),  # noqa: B008 - frozen
    width: float | None = None,
) -> None:
    """Draw a table at the sheet's present height, over as many pages as it takes."""
    total = sum(column.share for column in columns)
    room = width if width is not None else sheet.right - sheet.left
    widths = [room * column.share / total for column in columns]
    lefts, x = [], sheet.left
    for one in widths:
        lefts.append(x)
        x += one
    grid = Grid(columns, style, lefts, widths)
    ready = [_set(row, grid) for row in rows]
    points = [_point(ready, place, column) * style.size for place, column in enumerate(columns)]
    heads = [
        wrap(column.title, one - 2 * PAD, LABEL.size, BOLD)
        for column, one in zip(columns, widths, strict=True)
    ]
    high = max(len(lines) for lines in heads) * LABEL.leading + 2 * PAD
    first = ready[0].height if ready else 0.0
    if sheet.room < high + min(first, 120.0):
        sheet.new_page()
    _head(sheet, grid, heads, high)
    for place, one_row in enumerate(ready):
        wanted = one_row.height
        if one_row.row.keep and place + 1 < len(ready):
            wanted += ready[place + 1].height
        if sheet.room < wanted and (sheet.room < 60 or wanted < 200):
            sheet.new_page()
            _head(sheet, grid, heads, high)
        while sheet.room < one_row.height:
            rest = _part(one_row, sheet.room, grid)
            _draw(sheet, one_row, grid, points)
            sheet.new_page()
            _head(sheet, grid, heads, high)
            one_row = rest
        _draw(sheet, one_row, grid, points)
    sheet.rule(lefts[0], sheet.y, lefts[0] + room, sheet.y, 0.6)


def _set(row: Row, grid: Grid) -> _Set:
    style = grid.style
    face = BOLD if row.strong else REGULAR
    lines: list[list[str]] = []
    high = style.leading
    for cell, width in zip(row.cells, grid.widths, strict=True):
        if isinstance(cell, str):
            broken = wrap(cell, width - 2 * PAD, style.size, face) if cell else []
            lines.append(broken)
            if len(broken) > 1:
                high = max(high, len(broken) * style.leading)
        else:
            lines.append([])
            high = max(high, cell.height)
    return _Set(row, lines, high + 2 * PAD - 2, face)


def _part(one: _Set, room: float, grid: Grid) -> _Set:
    """Cut a row taller than the page: keep what fits, return the rest."""
    fits = max(1, int((room - 2 * PAD) / grid.style.leading))
    rest_lines = [lines[fits:] for lines in one.lines]
    one.lines = [lines[:fits] for lines in one.lines]
    longest = max(len(lines) for lines in rest_lines)
    one.height = min(room, one.height)
    blank = Row([""] * len(one.lines), one.row.changed, one.row.strong)
    return _Set(blank, rest_lines, max(1, longest) * grid.style.leading + 2 * PAD - 2, one.faces)


def _before(text: str) -> str:
    """The part of a figure before its decimal point."""
    found = _LEAD.match(text)
    return text[: found.end()] if found and any(c.isdigit() for c in found.group()) else text


def _point(ready: list[_Set], place: int, column: Column) -> float:
    """Ems from a column's right edge to its decimal points."""
    if column.align != "point":
        return 0.0
    widest = 0.0
    for one in ready:
        for line in one.lines[place]:
            widest = max(widest, ems(line, one.faces) - ems(_before(line), one.faces))
    return widest


def _head(sheet: Sheet, grid: Grid, heads: list[list[str]], high: float) -> None:
    left, right = grid.lefts[0], grid.lefts[-1] + grid.widths[-1]
    sheet.box(left, sheet.y - high, right - left, high, line=0, grey=0.9)
    sheet.rule(left, sheet.y, right, sheet.y, 0.8)
    style = Style(LABEL.size, BOLD, LABEL.leading)
    for column, x, width, lines in zip(grid.columns, grid.lefts, grid.widths, heads, strict=True):
        y = sheet.y - PAD - 6
        for line in lines:
            if column.align in ("right", "point"):
                sheet.text(x + width - PAD, y, line, style, "right")
            elif column.align == "centre":
                sheet.text(x + width / 2, y, line, style, "centre")
            else:
                sheet.text(x + PAD, y, line, style)
            y -= LABEL.leading
    sheet.y -= high
    sheet.rule(left, sheet.y, right, sheet.y, 0.6)


def _draw(sheet: Sheet, one: _Set, grid: Grid, points: list[float]) -> None:
    style = grid.style if one.faces == REGULAR else Style(grid.style.size, BOLD, grid.style.leading)
    top = sheet.y
    first = top - PAD - style.size + 1.2
    for place, column in enumerate(grid.columns):
        x, width = grid.lefts[place], grid.widths[place]
        cell = one.row.cells[place]
        if not isinstance(cell, str):
            cell.draw(sheet, x + PAD, top - PAD + 1, width - 2 * PAD)
            continue
        y = first
        for line in one.lines[place]:
            if column.align == "point":
                before = ems(_before(line), style.face) * style.size
                sheet.text(x + width - PAD - points[place] - before, y, line, style)
            elif column.align == "right":
                sheet.text(x + width - PAD, y, line, style, "right")
            elif column.align == "centre":
                sheet.text(x + width / 2, y, line, style, "centre")
            else:
                sheet.text(x + PAD, y, line, style)
            y -= style.leading
    sheet.y = top - one.height
    if one.row.changed:
        sheet.change_bar(sheet.y, one.height)
    left, right = grid.lefts[0], grid.lefts[-1] + grid.widths[-1]
    sheet.rule(left, sheet.y, right, sheet.y, 0.25)


def facts(
    sheet: Sheet,
    pairs: Sequence[tuple[str, str]],
    *,
    label: float = 96.0,
    changed: frozenset[str] = frozenset(),
) -> None:
    """Draw label and text pairs, the texts wrapped; empty texts left out.

    Two neighbours that are short enough share a line.
    """
    left = [(name, text) for name, text in pairs if text]
    half = (sheet.right - sheet.left) / 2
    while left:
        name, text = left.pop(0)
        if _short(text, half - label) and left and _short(left[0][1], half - label):
            second = left.pop(0)
            sheet.need(BODY.leading)
            sheet.y -= BODY.leading
            _fact(sheet, sheet.left, name, text, label)
            _fact(sheet, sheet.left + half, second[0], second[1], label)
            if name in changed or second[0] in changed:
                sheet.change_bar(sheet.y, BODY.leading)
        else:
            lines = wrap(text, sheet.right - sheet.left - label, BODY.size, REGULAR)
            sheet.need(min(len(lines), 3) * BODY.leading)
            for place, line in enumerate(lines):
                sheet.need(BODY.leading)
                sheet.y -= BODY.leading
                _fact(sheet, sheet.left, "" if place else name, line, label)
                if name in changed:
                    sheet.change_bar(sheet.y, BODY.leading)
        sheet.y -= 1.5


def _short(text: str, room: float) -> bool:
    return "\n" not in text and ems(text) * BODY.size <= room - 8


def _fact(sheet: Sheet, x: float, name: str, line: str, label: float) -> None:
    style = Style(BODY.size, BOLD)
    sheet.text(x, sheet.y + 3, clip(name, label - 6, BODY.size, BOLD), style)
    sheet.text(x + label, sheet.y + 3, line)

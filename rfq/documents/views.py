"""Outlines of a measured model on paper: side by side, to one scale, with overall dimensions.

Numbered places stand as balloons in rows above their view, a leader to each.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, hypot, pi, sin
from typing import Final

from rfq.documents.look import LABEL, SMALL, Sheet
from rfq.documents.symbols import balloon

Polyline = Sequence[tuple[float, float]]
GAP: Final = 34.0  # points between views, room for a dimension
TALLEST: Final = 190.0
RING: Final = 6.2  # radius of a balloon, points
PITCH: Final = 17.0  # between balloons of a row, and between rows


@dataclass(frozen=True, slots=True)
class Pin:
    """A numbered place in a view, in mm from its lower left corner; critical: a double ring."""

    text: str
    x_mm: float
    y_mm: float
    critical: bool = False


@dataclass(frozen=True, slots=True)
class View:
    """One view: outlines in mm, its lower left corner at (0, 0).

    Args:
        name: 'front', 'top', 'right' ...
        visible, hidden: polylines in mm. width_mm, height_mm: overall dimensions.
        pins: numbered places, drawn as balloons.
    """

    name: str
    visible: tuple[Polyline, ...]
    hidden: tuple[Polyline, ...]
    width_mm: float
    height_mm: float
    pins: tuple[Pin, ...] = ()


def draw_views(sheet: Sheet, views: Sequence[View]) -> None:
    """Draw views in a row at the present height, to one scale, hidden edges dashed."""
    views = [view for view in views if view.width_mm > 0 and view.height_mm > 0]
    if not views:
        return
    room = sheet.right - sheet.left - GAP * len(views)
    scale = min(
        room / sum(view.width_mm for view in views),
        TALLEST / max(view.height_mm for view in views),
    )
    high = max(view.height_mm for view in views) * scale
    above = max(_rows(view, scale) for view in views) * PITCH
    sheet.need(high + above + 80)
    sheet.heading("Views")
    top = sheet.y - 4 - above
    x = sheet.left
    for view in views:
        wide, tall = view.width_mm * scale, view.height_mm * scale
        foot = top - high + (high - tall) / 2
        for line in view.hidden:
            points = [(x + a * scale, foot + b * scale) for a, b in line]
            sheet.path(points, width=0.35, dash=(3, 1.6))
        for line in view.visible:
            sheet.path([(x + a * scale, foot + b * scale) for a, b in line], width=0.8)
        _balloons(sheet, view, x, foot, scale)
        if view.name != "isometric":  # its outline is no dimension of the part
            _across(sheet, x, x + wide, foot - 12, f"{view.width_mm:.1f}", foot)
            _upright(sheet, x + wide + 10, foot, foot + tall, f"{view.height_mm:.1f}", x + wide)
        sheet.text(x + wide / 2, foot - 24, view.name, SMALL, "centre")
        x += wide + GAP
    sheet.y = top - high - 28
    sheet.paragraph(
        "Overall dimensions in mm, measured on the model; for recognition, not to scale. "
        "The drawing's dimensions govern.",
        LABEL,
    )


def _in_a_row(view: View, scale: float) -> int:
    """How many balloons fit above a view and half the gap on each side of it."""
    return max(1, int((view.width_mm * scale + GAP - 6) / PITCH))


def _rows(view: View, scale: float) -> int:
    return -(-len(view.pins) // _in_a_row(view, scale))


def _balloons(sheet: Sheet, view: View, x: float, foot: float, scale: float) -> None:
    """Balloons above the view, each with a leader to a dot at its place."""
    if not view.pins:
        return
    spots = [(x + pin.x_mm * scale, foot + pin.y_mm * scale) for pin in view.pins]
    most = _in_a_row(view, scale)
    half = PITCH * (min(len(spots), most) - 1) / 2
    least, largest = x + half, max(x + half, x + view.width_mm * scale - half)
    mean = sum(spot[0] for spot in spots) / len(spots)
    places = _places(spots, min(max(mean, least), largest), most)
    line = foot + view.height_mm * scale + 4 + RING
    for (across, row), spot, pin in zip(places, spots, view.pins, strict=True):
        middle = (across, line + row * PITCH)
        away = (spot[0] - middle[0], spot[1] - middle[1])
        far = hypot(*away) or 1.0
        start = (middle[0] + away[0] / far * RING, middle[1] + away[1] / far * RING)
        sheet.path([start, spot], width=0.35)
        sheet.path([(spot[0] + a, spot[1] + b) for a, b in _DOT], closed=True, filled=True)
        balloon(sheet, *middle, pin.text, critical=pin.critical)


_DOT: Final = tuple((1.2 * cos(n * pi / 4), 1.2 * sin(n * pi / 4)) for n in range(8))


def _places(
    spots: Sequence[tuple[float, float]], middle: float, most: int
) -> list[tuple[float, int]]:
    """Where the balloons stand: across in points and row, in the order of ``spots``.

    Rows fill from the places on the left; within a row the order is that of the places, so that
    leaders do not cross but by a steep one. A row shifts by half a pitch against the one below,
    whose balloons its leaders pass between.
    """
    order = sorted(range(len(spots)), key=lambda n: spots[n])
    rows = -(-len(order) // most)
    found: dict[int, tuple[float, int]] = {}
    for row in range(rows):
        mine = order[row::rows]
        shift = PITCH / 2 if row % 2 else 0.0
        left = middle - PITCH * (len(mine) - 1) / 2 + shift
        lefts = [left + PITCH * n for n in range(len(mine))]
        for n, place in zip(mine, lefts, strict=True):
            found[n] = (place, row)
    return [found[n] for n in range(len(spots))]


def _across(sheet: Sheet, x0: float, x1: float, y: float, text: str, foot: float) -> None:
    sheet.rule(x0, foot - 2, x0, y - 2, 0.3)
    sheet.rule(x1, foot - 2, x1, y - 2, 0.3)
    sheet.rule(x0, y, x1, y, 0.3)
    _tick(sheet, x0, y)
    _tick(sheet, x1, y)
    sheet.text((x0 + x1) / 2, y + 1.5, text, LABEL, "centre")


def _upright(sheet: Sheet, x: float, y0: float, y1: float, text: str, edge: float) -> None:
    sheet.rule(edge + 2, y0, x + 2, y0, 0.3)
    sheet.rule(edge + 2, y1, x + 2, y1, 0.3)
    sheet.rule(x, y0, x, y1, 0.3)
    _tick(sheet, x, y0)
    _tick(sheet, x, y1)
    sheet.text(x + 2, (y0 + y1) / 2 - 2, text, LABEL)


def _tick(sheet: Sheet, x: float, y: float) -> None:
    sheet.rule(x - 1.8, y - 1.8, x + 1.8, y + 1.8, 0.6)

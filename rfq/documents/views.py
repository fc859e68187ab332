"""Outlines of a measured model on paper: side by side, to one scale, with overall dimensions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from rfq.documents.look import LABEL, SMALL, Sheet

Polyline = Sequence[tuple[float, float]]
GAP: Final = 34.0  # points between views, room for a dimension
TALLEST: Final = 190.0


@dataclass(frozen=True, slots=True)
class View:
    """One view: outlines in mm, its lower left corner at (0, 0).

    Args:
        name: 'front', 'top', 'right' ...
        visible, hidden: polylines in mm. width_mm, height_mm: overall dimensions.
    """

    name: str
    visible: tuple[Polyline, ...]
    hidden: tuple[Polyline, ...]
    width_mm: float
    height_mm: float


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
    sheet.need(high + 80)
    sheet.heading("Views")
    top = sheet.y - 4
    x = sheet.left
    for view in views:
        wide, tall = view.width_mm * scale, view.height_mm * scale
        foot = top - high + (high - tall) / 2
        for line in view.hidden:
            points = [(x + a * scale, foot + b * scale) for a, b in line]
            sheet.path(points, width=0.35, dash=(3, 1.6))
        for line in view.visible:
            sheet.path([(x + a * scale, foot + b * scale) for a, b in line], width=0.8)
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

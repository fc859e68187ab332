"""Where a place of the model is pinned: which view shows it, and where in that view."""

from __future__ import annotations

from dataclasses import dataclass

from rfq.geometry.shape import MeasuredShape, Point2, ViewName
from rfq.geometry.vectors import Vector, dot, negative

EYES: dict[ViewName, Vector] = {
    "front": (0.0, -1.0, 0.0),
    "top": (0.0, 0.0, 1.0),
    "side": (1.0, 0.0, 0.0),
}
"""Direction from the part to the eye; the order in which a view is preferred."""

FACING = 0.9
"""Cosine from which a face or a bore is looked at straight enough to be told by its view."""


@dataclass(frozen=True, slots=True)
class Pin:
    """A view and a place in it, as shares 0 to 1 from its left and from its bottom."""

    view: ViewName
    share: Point2


def toward_eye(axis: Vector) -> Vector:
    """One of ``axis`` and its opposite: the one that faces an eye of the drawing.

    >>> toward_eye((0.0, 0.0, -1.0)), toward_eye((0.0, 1.0, 0.0))
    ((0.0, 0.0, 1.0), (0.0, -1.0, 0.0))
    """
    most = max(EYES.values(), key=lambda eye: abs(dot(eye, axis)))
    return axis if dot(most, axis) >= 0 else negative(axis)


def view_for(direction: Vector | None) -> ViewName:
    """The view that looks at a face, or else the first that sees it edge-on.

    Args:
        direction: outward normal of the face or axis of the bore (see ``toward_eye``); None: not
            known, then the front view.

    >>> view_for((0.0, 0.0, 1.0)), view_for((0.0, 0.0, -1.0)), view_for(None)
    ('top', 'front', 'front')
    """
    if direction is None:
        return "front"
    for name, eye in EYES.items():
        if dot(eye, direction) > FACING:
            return name
    return next((n for n, eye in EYES.items() if abs(dot(eye, direction)) < 1 - FACING), "front")


def pin(shape: MeasuredShape, point: Vector | None, direction: Vector | None) -> Pin | None:
    """Where a point is pinned on the drawn shape; None where it has no place or was not drawn.

    Args:
        shape: measured with its views.
        point: in the model, mm.
        direction: from where to look, as for ``view_for``.
    """
    if point is None:
        return None
    wanted = view_for(direction)
    view = next((one for one in shape.views if one.name == wanted), None)
    if view is None:
        return None
    x, y = (min(1.0, max(0.0, share)) for share in view.share(point))
    return Pin(wanted, (round(x, 4), round(y, 4)))

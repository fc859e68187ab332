"""Three-component vectors as plain tuples: all the measuring needs, without an array library."""

from __future__ import annotations

from math import acos, degrees, sqrt

Vector = tuple[float, float, float]
"""A point or a direction, millimetres or unitless."""

PARALLEL = 1.0 - 1e-7
"""Cosine above which two directions count as one (0.026 degrees)."""


def add(a: Vector, b: Vector, scale: float = 1.0) -> Vector:
    """``a + scale * b``.

    >>> add((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), 2.0)
    (1.0, 2.0, 0.0)
    """
    return (a[0] + scale * b[0], a[1] + scale * b[1], a[2] + scale * b[2])


def subtract(a: Vector, b: Vector) -> Vector:
    """``a - b``."""
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def dot(a: Vector, b: Vector) -> float:
    """The scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vector, b: Vector) -> Vector:
    """The vector product.

    >>> cross((1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    (0.0, 0.0, 1.0)
    """
    return (
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    )


def length(a: Vector) -> float:
    """Euclidean length."""
    return sqrt(dot(a, a))


def unit(a: Vector) -> Vector:
    """The direction of ``a``; the null vector stays null."""
    size = length(a)
    return (a[0] / size, a[1] / size, a[2] / size) if size > 1e-12 else (0.0, 0.0, 0.0)


def negative(a: Vector) -> Vector:
    """``-a``, without negative zeros (they would show in files)."""
    return (0.0 - a[0], 0.0 - a[1], 0.0 - a[2])


def parallel(a: Vector, b: Vector) -> bool:
    """Whether two unit directions lie on one line, either way round."""
    return abs(dot(a, b)) > PARALLEL


def same(a: Vector, b: Vector) -> bool:
    """Whether two unit directions point the same way."""
    return dot(a, b) > PARALLEL


def line_direction(a: Vector) -> Vector:
    """One of ``a`` and ``-a``, always the same one: the first clear component is positive.

    >>> line_direction((0.0, -1.0, 0.0))
    (0.0, 1.0, 0.0)
    """
    for component in a:
        if abs(component) > 1e-6:
            return a if component > 0 else negative(a)
    return a


def foot(point: Vector, direction: Vector) -> Vector:
    """The point next to the origin of the line through ``point`` along unit ``direction``."""
    return add(point, direction, -dot(point, direction))


def across(direction: Vector) -> tuple[Vector, Vector]:
    """Two unit directions that make a right-handed frame with unit ``direction``."""
    least = min(range(3), key=lambda axis: abs(direction[axis]))
    helper: Vector = tuple(1.0 if axis == least else 0.0 for axis in range(3))  # type: ignore[assignment]
    first = unit(cross(direction, helper))
    return first, cross(direction, first)


def angle_deg(a: Vector, b: Vector) -> float:
    """Angle between two unit directions, degrees.

    >>> round(angle_deg((1.0, 0.0, 0.0), (0.0, 1.0, 0.0)), 6)
    90.0
    """
    return degrees(acos(max(-1.0, min(1.0, dot(a, b)))))


def rounded(a: Vector, digits: int = 4) -> Vector:
    """Rounded for keeping in a file; never a negative zero."""
    return (round(a[0], digits) + 0.0, round(a[1], digits) + 0.0, round(a[2], digits) + 0.0)

"""Where the part can be held: flats facing away from each other, and a round outside."""

from __future__ import annotations

from collections import defaultdict
from math import pi

from rfq.geometry.facts import Face
from rfq.geometry.shape import FlatPair, Turning
from rfq.geometry.vectors import (
    Vector,
    add,
    dot,
    foot,
    length,
    line_direction,
    negative,
    parallel,
    rounded,
    same,
    subtract,
)

_OUTERMOST_MM = 0.05
_AXIS_MM = 0.02
MOST_PAIRS = 40
_LEAST_SHARE = 0.2
"""Share of the area below which an axis says nothing about the part."""


def _flats(faces: list[Face]) -> list[tuple[Vector, list[tuple[float, float, list[Face]]]]]:
    """Planes by outward normal: for each normal, (offset, area, faces) of every plane."""
    directions: list[tuple[Vector, list[Face]]] = []
    for face in faces:
        if face.kind != "plane":
            continue
        for normal, members in directions:
            if same(normal, face.normal):
                members.append(face)
                break
        else:
            directions.append((face.normal, [face]))
    grouped = []
    for normal, members in directions:
        planes: dict[float, list[Face]] = defaultdict(list)
        for face in members:
            planes[round(dot(face.middle, normal), 3)].append(face)
        levels = [
            (offset, sum(f.area_mm2 for f in level), level) for offset, level in planes.items()
        ]
        grouped.append((normal, levels))
    return grouped


def _overlap(a: list[Face], b: list[Face], normal: Vector) -> bool:
    """Whether the two levels lie over each other, seen along the normal (by their boxes)."""
    for axis in ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)):
        if abs(dot(axis, normal)) > 0.999:
            continue
        spans = []
        for level in (a, b):
            places = [dot(p, axis) for face in level for p in face.outline]
            spans.append((min(places, default=0.0), max(places, default=0.0)))
        if min(spans[0][1], spans[1][1]) <= max(spans[0][0], spans[1][0]):
            return False
    return True


def flat_pairs(faces: list[Face]) -> tuple[FlatPair, ...]:
    """Parallel flats that face outward with material between, largest first."""
    flats = _flats(faces)
    outline = [p for face in faces for p in face.outline]
    pairs = []
    for place, (normal, levels) in enumerate(flats):
        opposite = next((ls for n, ls in flats[place + 1 :] if same(n, negative(normal))), [])
        if not opposite:
            continue
        top = max((dot(p, normal) for p in outline), default=0.0)
        bottom = max((-dot(p, normal) for p in outline), default=0.0)
        for offset, area, level in levels:
            for other_offset, other_area, other in opposite:
                distance = offset + other_offset  # the opposite's offset is along its own normal
                if distance <= 0.01 or not _overlap(level, other, normal):
                    continue
                outermost = top - offset < _OUTERMOST_MM and bottom - other_offset < _OUTERMOST_MM
                pairs.append(
                    FlatPair(
                        rounded(normal),
                        round(distance, 3),
                        round(min(area, other_area), 3),
                        outermost,
                        (rounded(level[0].middle, 3), rounded(other[0].middle, 3)),
                    )
                )
    pairs.sort(key=lambda p: (-p.area_mm2, p.distance_mm, p.normal))
    return tuple(pairs[:MOST_PAIRS])


def turning_of(faces: list[Face], area_mm2: float) -> Turning | None:
    """The axis with the largest area of revolution about it, or None where there is no axis."""
    axes: list[tuple[Vector, Vector, float]] = []
    for face in faces:
        if face.kind not in ("cylinder", "cone", "torus"):
            continue
        point = foot(face.axis_point, face.axis)
        for place, (axis, where, area) in enumerate(axes):
            if parallel(axis, face.axis) and length(subtract(where, point)) < _AXIS_MM:
                axes[place] = (axis, where, area + face.area_mm2)
                break
        else:
            axes.append((face.axis, point, face.area_mm2))
    if not axes:
        return None
    axis, where, _ = max(axes, key=lambda a: a[2])
    about = [face for face in faces if coaxial(face, axis, where)]
    share = sum(face.area_mm2 for face in about)
    if share < _LEAST_SHARE * area_mm2:
        return None
    reach = max((_radius(p, axis, where) for f in faces for p in f.outline), default=0.0)
    outer = max(
        (
            _radius(p, axis, where)
            for face in about
            if not face.concave and face.kind in ("cylinder", "cone", "torus")
            for p in face.outline
        ),
        default=0.0,
    )
    places = [dot(p, axis) for face in faces for p in face.outline]
    low, high = min(places, default=0.0), max(places, default=0.0)
    return Turning(
        axis=rounded(axis, 6),
        position=rounded(add(where, axis, (low + high) / 2), 3),
        diameter_mm=round(2 * reach, 3),
        length_mm=round(high - low, 3),
        share=round(share / area_mm2, 4) if area_mm2 else 0.0,
        round_outside=outer > 0 and outer >= reach - 0.02,
    )


def coaxial(face: Face, axis: Vector, where: Vector) -> bool:
    """Whether a face is of revolution about the axis through ``where`` (a flat across it too)."""
    if face.kind == "plane":
        return parallel(face.normal, axis) and _about(face, axis, where)
    if face.kind == "sphere":
        return _radius(face.axis_point, axis, where) < _AXIS_MM
    if face.kind in ("cylinder", "cone", "torus"):
        point = foot(face.axis_point, line_direction(axis))
        on_axis = length(subtract(foot(where, line_direction(axis)), point)) < _AXIS_MM
        return parallel(face.axis, axis) and on_axis
    return False


def _about(face: Face, axis: Vector, where: Vector) -> bool:
    """Whether a flat across the axis is a disc or ring about it: its rim is a circle about it."""
    rim = max((_radius(p, axis, where) for p in face.outline), default=0.0)
    round_mm = sum(
        edge.length_mm
        for edge in face.edges
        if abs(_radius(edge.middle, axis, where) - rim) < _AXIS_MM
    )
    return rim > 0 and round_mm > 0.9 * 2 * pi * rim


def _radius(point: Vector, axis: Vector, where: Vector) -> float:
    arm = subtract(point, where)
    return length(add(arm, axis, -dot(arm, axis)))

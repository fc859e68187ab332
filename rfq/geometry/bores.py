"""Concave cylinders: full bores, inner corners and floor fillets, told apart by their ends.

Cylinders on one axis with one radius that touch along it are one feature. More than 350 degrees of
wall make a bore. An end is open where the next face looks away from the feature (a plain face, a
countersink) and closed where it looks back into it (a floor, a shoulder, a drill point).
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from rfq.geometry.facts import Face, Sight
from rfq.geometry.shape import Bore, InnerRadius
from rfq.geometry.vectors import Vector, add, dot, length, negative, parallel, rounded, subtract

FULL_TURN_DEG = 350.0
"""Wall above which a concave cylinder is a bore; the rest is lost to slots and split faces."""

_TOUCH_MM = 1e-3
_AXIS_MM = 2e-3


@dataclass(slots=True)
class Round:
    """Concave cylinder faces that make one feature."""

    axis: Vector
    axis_point: Vector
    radius_mm: float
    low: float
    high: float
    turn_deg: float
    faces: list[Face]
    open_high: bool
    open_low: bool

    @property
    def full(self) -> bool:
        """Whether it is a bore."""
        return self.turn_deg > FULL_TURN_DEG

    @property
    def depth_mm(self) -> float:
        """Length along the axis."""
        return self.high - self.low

    @property
    def middle(self) -> Vector:
        """Middle of the axis (a bore), or a point of the wall (a fillet)."""
        if self.full:
            return add(self.axis_point, self.axis, (self.low + self.high) / 2)
        return self.faces[0].middle


def _coverage(faces: list[Face]) -> float:
    """Degrees of the turn covered by all patches together, overlaps counted once."""
    spans = []
    for face in faces:
        if face.turn_deg >= 360.0 - 1e-6:
            return 360.0
        start = face.turn_start_deg % 360.0
        spans.append((start, start + face.turn_deg))
        spans.append((start - 360.0, start - 360.0 + face.turn_deg))
    covered, reached = 0.0, 0.0
    for start, end in sorted(spans):
        start, end = max(start, reached), min(end, 360.0)
        if end > start:
            covered += end - start
            reached = end
    return covered


def _ends_open(own_faces: list[Face], faces: list[Face], feature: Round) -> None:
    """Settle whether the upper and the lower end are open, by the faces met there."""
    own = {face.index for face in own_faces}
    axis = feature.axis
    votes = {1: 0.0, -1: 0.0}
    for face in own_faces:
        for edge in face.edges:
            across = edge.other(face.index)
            if across in own:
                continue
            place = dot(edge.middle, axis)
            normal = edge.normal_across(face.index)
            at_end = min(place - feature.low, feature.high - place) < 0.25 * feature.depth_mm
            if not at_end and abs(dot(normal, axis)) < 0.3:
                continue  # a side of the patch, not an end
            end = 1 if place - feature.low > feature.high - place else -1
            looks = end * dot(normal, axis)
            if abs(looks) < 0.05 and faces[across].samples:  # tangent: a fillet, by its middle
                looks = end * dot(faces[across].samples[0][1], axis)
            votes[end] += edge.length_mm * ((looks > 0.05) - (looks < -0.05))
    feature.open_high, feature.open_low = votes[1] >= 0, votes[-1] >= 0


def find_rounds(faces: list[Face]) -> list[Round]:
    """All concave cylindrical features; ``faces`` is the whole part, by index."""
    by_radius: dict[float, list[Face]] = defaultdict(list)
    for face in faces:
        if face.kind == "cylinder" and face.concave:
            near = next((r for r in by_radius if abs(r - face.radius_mm) < _AXIS_MM / 2), None)
            by_radius[face.radius_mm if near is None else near].append(face)
    rounds = []
    for radius, alike in by_radius.items():
        lines: list[list[Face]] = []
        for face in alike:
            for line in lines:
                gap = length(subtract(line[0].axis_point, face.axis_point))
                if gap < _AXIS_MM and parallel(line[0].axis, face.axis):
                    line.append(face)
                    break
            else:
                lines.append([face])
        for line in lines:
            rounds.extend(_features(radius, line, faces))
    return rounds


def _features(radius: float, line: list[Face], faces: list[Face]) -> list[Round]:
    """Split the faces of one axis where they do not touch along it."""
    stretches: list[list[Face]] = []
    reached = 0.0
    for face in sorted(line, key=lambda f: f.along):
        if stretches and face.along[0] <= reached + _TOUCH_MM:
            stretches[-1].append(face)
            reached = max(reached, face.along[1])
        else:
            stretches.append([face])
            reached = face.along[1]
    features = []
    for stretch in stretches:
        # fillets that only share an axis (two corners of a slot) stay apart
        groups = [stretch] if _coverage(stretch) > FULL_TURN_DEG else _connected(stretch)
        for group in groups:
            feature = Round(
                axis=group[0].axis,
                axis_point=group[0].axis_point,
                radius_mm=radius,
                low=min(f.along[0] for f in group),
                high=max(f.along[1] for f in group),
                turn_deg=_coverage(group),
                faces=group,
                open_high=True,
                open_low=True,
            )
            _ends_open(group, faces, feature)
            features.append(feature)
    return features


def _connected(stretch: list[Face]) -> list[list[Face]]:
    """Faces grouped by shared edges."""
    left = {face.index: face for face in stretch}
    groups = []
    while left:
        _, seed = left.popitem()
        group, queue = [seed], [seed]
        while queue:
            face = queue.pop()
            for edge in face.edges:
                neighbour = left.pop(edge.other(face.index), None)
                if neighbour is not None:
                    group.append(neighbour)
                    queue.append(neighbour)
        groups.append(sorted(group, key=lambda f: f.index))
    return sorted(groups, key=lambda group: group[0].index)


def bores_of(rounds: list[Round]) -> tuple[Bore, ...]:
    """Full bores, twins together, by diameter and depth."""
    twins: dict[tuple[float, float, bool, Vector, Vector], list[Vector]] = defaultdict(list)
    for feature in rounds:
        if not feature.full:
            continue
        through = feature.open_high and feature.open_low
        opens = feature.axis if feature.open_high else negative(feature.axis)
        key = (
            round(2 * feature.radius_mm, 4),
            round(feature.depth_mm, 3),
            through,
            rounded(feature.axis),
            rounded(opens),
        )
        twins[key].append(rounded(feature.middle))
    return tuple(
        Bore(*key, positions=tuple(sorted(places))) for key, places in sorted(twins.items())
    )


def _reached_from_a_side(feature: Round, faces: list[Face], sight: Sight) -> bool:
    """Whether one of the flats a fillet runs into is a step's floor: the way off it is free."""
    own = {face.index for face in feature.faces}
    for face in feature.faces:
        if not face.samples:
            continue
        point, outward = face.samples[0]
        for edge in face.edges:
            beside = faces[edge.other(face.index)]
            if edge.turn != "smooth" or beside.index in own or beside.kind != "plane":
                continue
            if not sight.blocked(add(point, outward, 5e-3), beside.normal):
                return True
    return False


def inner_radii_of(rounds: list[Round], faces: list[Face], sight: Sight) -> tuple[InnerRadius, ...]:
    """Fillets by kind and radius, smallest first; bores are not among them.

    Args:
        rounds: the concave cylinders.
        faces: the part, by index.
        sight: rays against the part, to tell a step from a corner.
    """
    found: dict[tuple[float, str], list[tuple[float, Vector, Vector]]] = defaultdict(list)
    for feature in rounds:
        if feature.full:
            continue
        kind = "corner" if feature.open_high or feature.open_low else "floor"
        both = feature.open_high and feature.open_low
        if both and _reached_from_a_side(feature, faces, sight):
            kind = "step"
        depth = 0.0 if kind == "floor" else round(feature.depth_mm, 3)
        found[round(feature.radius_mm, 4), kind].append((depth, feature.middle, feature.axis))
    for face in faces:
        if face.kind in ("torus", "sphere") and face.concave:
            radius = face.minor_radius_mm if face.kind == "torus" else face.radius_mm
            found[round(radius, 4), "blend"].append((0.0, face.middle, face.axis))
    radii = []
    for (radius, kind), places in sorted(found.items()):
        depth, position, axis = max(places)
        radii.append(
            InnerRadius(radius, kind, len(places), depth, rounded(position), rounded(axis))  # type: ignore[arg-type]
        )
    return tuple(radii)

"""From how many sides a cutter must come: the fewest directions that reach every face.

A direction reaches a face when, from each of a few points of it, the way out is free and the face
does not lean over. A wall is reached from above as well as a floor. Greedy cover: the direction
that reaches most of what is left comes first, ties go to the larger area. It is an estimate of
three-axis set-ups, not a plan: holding, tilted heads and angle heads are the shop's.
"""

from __future__ import annotations

from rfq.geometry.bores import Round
from rfq.geometry.clamping import coaxial
from rfq.geometry.facts import Face, Sight
from rfq.geometry.shape import Access, Turning
from rfq.geometry.vectors import Vector, add, dot, negative, rounded, same

_LEAN = -2e-3
_MOST_DIRECTIONS = 14
_AXES: tuple[Vector, ...] = (
    (0.0, 0.0, 1.0),
    (0.0, 0.0, -1.0),
    (1.0, 0.0, 0.0),
    (-1.0, 0.0, 0.0),
    (0.0, 1.0, 0.0),
    (0.0, -1.0, 0.0),
)


def directions_of(faces: list[Face], rounds: list[Round]) -> list[Vector]:
    """Directions worth trying: axes of bores, normals of the large flats, the model's axes."""
    weighed: list[tuple[float, Vector]] = []

    def weigh(direction: Vector, area: float) -> None:
        for place, (sum_, known) in enumerate(weighed):
            if same(known, direction):
                weighed[place] = (sum_ + area, known)
                return
        weighed.append((area, direction))

    for axis in _AXES:
        weigh(axis, 0.0)
    for face in faces:
        if face.kind == "plane":
            weigh(face.normal, face.area_mm2)
    for feature in rounds:
        area = sum(face.area_mm2 for face in feature.faces)
        if feature.open_high:
            weigh(feature.axis, area)
        if feature.open_low:
            weigh(negative(feature.axis), area)
    weighed.sort(key=lambda w: (-w[0], rounded(w[1])))
    return [direction for _, direction in weighed[:_MOST_DIRECTIONS]]


def _reaches(face: Face, direction: Vector, sight: Sight, points: int) -> bool:
    samples = face.samples[:points]
    if any(dot(normal, direction) < _LEAN for _, normal in samples):
        return False
    # a little off the face, or a wall would be met by the ray along it
    return bool(samples) and not any(
        sight.blocked(add(point, normal, 5e-3), direction) for point, normal in samples
    )


def access_of(
    faces: list[Face],
    rounds: list[Round],
    turning: Turning | None,
    turned: bool,
    sight: Sight,
    most_rays: int,
) -> Access:
    """The fewest directions that reach all faces.

    Args:
        faces: the part.
        rounds: its concave cylinders, whose axes are tried.
        turning: the axis of revolution, if any.
        turned: whether the part is held in a lathe, so that faces about the axis are done there.
        sight: rays against the part.
        most_rays: bound on the rays, by looking at fewer points a face and fewer directions.
    """
    todo = [face for face in faces if face.samples]
    if turned and turning:
        todo = [f for f in todo if not coaxial(f, turning.axis, turning.position)]
    directions = directions_of(faces, rounds)
    points = max(1, min(3, most_rays // max(1, len(todo) * len(directions) // 2)))
    if len(todo) * len(directions) > 4 * most_rays:
        directions = directions[: max(6, 4 * most_rays // len(todo))]
    reached = {
        place: {f.index for f in todo if _reaches(f, direction, sight, points)}
        for place, direction in enumerate(directions)
    }
    left = {face.index for face in todo}
    chosen: list[Vector] = []
    while left:
        place = max(
            reached,
            key=lambda p: (
                len(reached[p] & left),
                round(sum(faces[i].area_mm2 for i in reached[p] & left), 3),
                -p,
            ),
        )
        gained = reached[place] & left
        if not gained:
            break
        chosen.append(rounded(directions[place], 6))
        left -= gained
    return Access(
        directions=tuple(chosen),
        lathe_setups=2 if turned else 0,
        unreached=len(left),
        unreached_positions=tuple(rounded(faces[i].middle, 3) for i in sorted(left)[:8]),
    )

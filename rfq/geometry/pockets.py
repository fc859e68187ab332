"""Pockets and thin walls: straight lines from face to face, outside and inside the material.

A pocket is a flat floor with a wall that looks across it to another wall. Its depth is the lower of
the two walls, its width the way between them. A wall is thin where two faces lie back to back.
"""

from __future__ import annotations

from rfq.geometry.bores import Round
from rfq.geometry.facts import Face, Sight
from rfq.geometry.shape import Pocket, Wall
from rfq.geometry.vectors import Vector, add, dot, negative, rounded, subtract, unit

MOST_POCKETS = 50
_LIFT_MM = 0.02
_FACING = 0.85
"""Cosine of the angle (about 30 degrees) within which two faces count as facing each other."""


def find_pockets(faces: list[Face], rounds: list[Round], sight: Sight) -> tuple[Pocket, ...]:
    """Pockets by depth over width, the most slender first; blind flat bores are not among them."""
    in_bore = {face.index for feature in rounds if feature.full for face in feature.faces}
    found: dict[tuple[Vector, Vector], Pocket] = {}
    for floor in faces:
        if floor.kind != "plane" or not floor.samples:
            continue
        best: Pocket | None = None
        for wall, middle in _walls(floor, faces):
            if wall.index in in_bore:
                continue
            pocket = _across(floor, wall, middle, faces, sight)
            if pocket and (best is None or pocket.slenderness > best.slenderness):
                best = pocket
        if best:
            found[best.position, best.opens] = best
    ordered = sorted(found.values(), key=lambda p: (-p.slenderness, p.position))
    return tuple(ordered[:MOST_POCKETS])


def _walls(floor: Face, faces: list[Face]) -> list[tuple[Face, Vector]]:
    """Faces that rise from a floor, straight or over one fillet, with a point where they start."""
    walls: dict[int, tuple[Face, Vector]] = {}
    for edge in floor.edges:
        neighbour = faces[edge.other(floor.index)]
        if edge.turn == "concave":
            walls.setdefault(neighbour.index, (neighbour, edge.middle))
        elif edge.turn == "smooth" and neighbour.concave:
            for further in neighbour.edges:
                wall = faces[further.other(neighbour.index)]
                upright = abs(dot(further.normal_across(neighbour.index), floor.normal)) < 0.2
                if wall.index != floor.index and further.turn == "smooth" and upright:
                    walls.setdefault(wall.index, (wall, further.middle))
    flat = [w for w in walls.values() if w[0].samples and w[0].kind == "plane"]
    # a round wall is looked across only where there is no flat one: else it is a corner's fillet
    return flat or [w for w in walls.values() if w[0].samples and w[0].kind == "cylinder"]


def _height(wall: Face, floor: Face) -> float:
    base = dot(floor.middle, floor.normal)
    return max((dot(p, floor.normal) - base for p in wall.outline), default=0.0)


def _across(
    floor: Face, wall: Face, start: Vector, faces: list[Face], sight: Sight
) -> Pocket | None:
    height = _height(wall, floor)
    if height < 0.2:
        return None
    # the normal of the wall where the floor meets it, held level with the floor
    normal = next(
        (e.normal_across(e.other(wall.index)) for e in wall.edges if e.middle == start),
        wall.samples[0][1],
    )
    normal = unit(subtract(normal, _times(floor.normal, dot(normal, floor.normal))))
    level = dot(start, floor.normal) - dot(floor.middle, floor.normal)
    if height <= level + 0.01:
        return None

    def across(share: float) -> float | None:
        """Way to the far wall at a share of this wall's height."""
        lift = (height - level) * share
        origin = add(add(start, floor.normal, lift), normal, _LIFT_MM)
        hit = sight.first(origin, normal)
        facing = hit is not None and dot(hit.normal, normal) < -_FACING
        return hit.distance + _LIFT_MM if hit is not None and facing else None

    ways = [across(0.05), None, across(0.98)]
    if ways[2] is None:
        ways[1] = across(0.5)
    open_ways = [way for way in ways if way is not None]
    if not open_ways:
        return None
    width = min(open_ways)
    depth = height
    if ways[2] is None:  # the far wall is lower: its top by halving
        low, high = (0.5, 0.98) if ways[1] is not None else (0.05, 0.5)
        for _ in range(8):
            share = (low + high) / 2
            low, high = (low, share) if across(share) is None else (share, high)
        depth = level + (height - level) * low
    roofed = sight.blocked(add(start, add(floor.normal, normal), 0.05), floor.normal)
    if roofed:  # roofed over: a cross hole or an undercut, not a pocket
        return None
    return Pocket(round(depth, 3), round(width, 3), rounded(floor.normal), rounded(floor.middle, 3))


def _times(a: Vector, scale: float) -> Vector:
    return (a[0] * scale, a[1] * scale, a[2] * scale)


def thinnest_wall(
    faces: list[Face], rounds: list[Round], sight: Sight, most_rays: int
) -> Wall | None:
    """The smallest way through the material between two faces that lie back to back.

    Args:
        faces: the part.
        rounds: its bores, from which the way to each flat beside them is looked at exactly.
        sight: rays against the part.
        most_rays: bound on the rays; beyond it fewer points a face are looked at.
    """
    per_face = max(1, min(4, most_rays // max(1, len(faces))))
    shots: list[tuple[Vector, Vector]] = []
    for face in faces:
        shots.extend((p, negative(n)) for p, n in face.samples[:per_face])
    normals = {rounded(f.normal) for f in faces if f.kind == "plane"}
    for feature in rounds:
        if not feature.full or len(shots) > most_rays:
            continue
        middle = feature.middle
        for normal in sorted(normals):
            if abs(dot(normal, feature.axis)) < 1e-6:
                shots.append((add(middle, normal, feature.radius_mm), normal))
    best: Wall | None = None
    for origin, inward in shots[: 2 * most_rays]:
        # from just inside, so that the face itself is not met
        hit = sight.first(add(origin, inward, 1e-3), inward)
        if hit is None or dot(hit.normal, inward) < _FACING:
            continue
        thickness = hit.distance + 1e-3
        if best is None or thickness < best.thickness_mm - 1e-6:
            best = Wall(thickness, origin, inward)
    if best is None:
        return None
    return Wall(round(best.thickness_mm, 4), rounded(best.position, 3), rounded(best.normal))

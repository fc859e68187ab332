"""Faces and edges as plain values, so that what is concluded from them needs no kernel.

``faces`` fills them from the kernel; ``bores``, ``pockets``, ``clamping`` and ``reach`` conclude.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, Protocol

from rfq.geometry.shape import SurfaceKind
from rfq.geometry.vectors import Vector


@dataclass(slots=True)
class Edge:
    """Where two faces meet: which two, how long, and how the material turns there.

    ``convex`` is an outer edge (to be broken), ``concave`` an inner corner, ``smooth`` a tangent
    one. Normals point out of the material, at the edge's middle.
    """

    faces: tuple[int, int]
    length_mm: float
    middle: Vector
    normals: tuple[Vector, Vector]
    turn: Literal["convex", "concave", "smooth"]

    def other(self, face: int) -> int:
        """The face across the edge."""
        return self.faces[1] if self.faces[0] == face else self.faces[0]

    def normal_across(self, face: int) -> Vector:
        """The normal, at the edge, of the face across it."""
        return self.normals[1] if self.faces[0] == face else self.normals[0]


@dataclass(slots=True)
class Face:
    """One face of the part.

    ``axis`` and ``axis_point`` belong to cylinders, cones, tori (and the point to spheres);
    ``normal`` to planes. ``turn_deg`` is the angle a cylinder's or torus's patch covers about its
    axis, from ``turn_start_deg`` in a frame fixed by the axis alone; ``along`` the reach of a
    cylinder along its axis, measured from the axis point nearest the origin. ``samples`` are a few
    points inside the patch with their outward normals.
    """

    index: int
    kind: SurfaceKind
    area_mm2: float
    samples: tuple[tuple[Vector, Vector], ...]
    normal: Vector = (0.0, 0.0, 0.0)
    axis: Vector = (0.0, 0.0, 0.0)
    axis_point: Vector = (0.0, 0.0, 0.0)
    radius_mm: float = 0.0
    minor_radius_mm: float = 0.0
    concave: bool = False
    along: tuple[float, float] = (0.0, 0.0)
    turn_start_deg: float = 0.0
    turn_deg: float = 0.0
    outline: tuple[Vector, ...] = ()  # points of its edges
    edges: list[Edge] = field(default_factory=list)

    @property
    def middle(self) -> Vector:
        """A point inside the patch."""
        return self.samples[0][0] if self.samples else (0.0, 0.0, 0.0)


class Seen(Protocol):
    """What a ray met."""

    @property
    def distance(self) -> float:
        """Millimetres from the origin of the ray."""

    @property
    def normal(self) -> Vector:
        """Outward normal of what was met."""


class Sight(Protocol):
    """Straight lines through the part; ``rays.Rays`` in the kernel, a stand-in in tests."""

    shot: int

    def first(self, origin: Vector, direction: Vector, start: float = 1e-4) -> Seen | None:
        """What a ray meets first beyond ``start`` mm, or None."""

    def blocked(self, origin: Vector, direction: Vector, start: float = 1e-4) -> bool:
        """Whether a ray meets anything beyond ``start`` mm."""

"""What a STEP model tells about a part, as plain frozen values without the kernel.

All lengths are millimetres whatever the file was drawn in, areas mm², volumes mm³, directions unit
vectors in the model's own axes. Positions are points of the model, so that a designer can find the
face; ``View.project`` takes them onto a drawing.

``MeasuredShape`` goes through JSON and back without loss (``as_json``, ``from_json``).
"""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from typing import Literal

from rfq.geometry.vectors import Vector, dot

Point2 = tuple[float, float]
ViewName = Literal["top", "front", "side", "isometric"]
SurfaceKind = Literal["plane", "cylinder", "cone", "torus", "sphere", "free-form", "other"]
SURFACE_KINDS: tuple[SurfaceKind, ...] = (
    "plane",
    "cylinder",
    "cone",
    "torus",
    "sphere",
    "free-form",
    "other",
)


@dataclass(frozen=True, slots=True)
class Surface:
    """All faces of one kind: how many, and their area in mm²."""

    kind: SurfaceKind
    faces: int
    area_mm2: float


@dataclass(frozen=True, slots=True)
class Body:
    """A solid of the file and how often it stands in it; ``number`` picks it for measuring."""

    number: int
    name: str
    count: int
    volume_mm3: float
    area_mm2: float
    box_mm: Vector


@dataclass(frozen=True, slots=True)
class Bore:
    """A full cylindrical hole (more than 350 degrees of wall), and all its twins.

    ``depth_mm`` is the length of the cylinder itself; ``through`` says that neither end is closed
    by a floor, a shoulder or a drill point. ``opens`` is the direction in which a blind one is
    reached (out of the material); of a through bore, one of the two.
    """

    diameter_mm: float
    depth_mm: float
    through: bool
    axis: Vector
    opens: Vector
    positions: tuple[Vector, ...]  # middle of each bore's axis

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.positions)


@dataclass(frozen=True, slots=True)
class InnerRadius:
    """Concave fillets of one radius and one kind.

    ``corner``: walls all round, only a cutter along the axis makes it, no larger than the radius;
    ``depth_mm`` is the deepest, along the axis. ``step``: open at both ends and from a side too, so
    it may be cut along the axis or with a cutter's own corner radius; depth along the axis.
    ``floor``: closed at both ends, the cutter's corner or ball makes it. ``blend``: torus or
    sphere. Depth is 0 where it says nothing (floor, blend).
    """

    radius_mm: float
    kind: Literal["corner", "step", "floor", "blend"]
    count: int
    depth_mm: float
    position: Vector  # of the deepest
    axis: Vector


@dataclass(frozen=True, slots=True)
class FlatPair:
    """Two parallel flats that face away from each other: where a vice can hold.

    ``area_mm2`` is the smaller of the two; ``outermost`` says that nothing of the part stands out
    beyond either flat.
    """

    normal: Vector
    distance_mm: float
    area_mm2: float
    outermost: bool
    positions: tuple[Vector, Vector]


@dataclass(frozen=True, slots=True)
class Pocket:
    """A floor between walls: how deep, how wide at the narrowest, and how it opens."""

    depth_mm: float
    width_mm: float
    opens: Vector
    position: Vector

    @property
    def slenderness(self) -> float:
        """Depth over width."""
        return self.depth_mm / self.width_mm if self.width_mm else 0.0


@dataclass(frozen=True, slots=True)
class Wall:
    """The thinnest place between two faces that lie back to back."""

    thickness_mm: float
    position: Vector
    normal: Vector


@dataclass(frozen=True, slots=True)
class Turning:
    """How much of the part is a body of revolution, about which axis.

    ``share`` is the area of all faces of revolution about the axis over the whole area;
    ``round_outside`` says that the outermost faces belong to it, so that a chuck can hold it.
    """

    axis: Vector
    position: Vector
    diameter_mm: float
    length_mm: float
    share: float
    round_outside: bool


@dataclass(frozen=True, slots=True)
class Access:
    """Directions from which a cutter must come (out of the part), fewest that reach every face.

    ``lathe_setups`` counts two for a turned part (both ends), whose faces of revolution are then
    left out of ``directions``. ``unreached`` faces are reached straight from no direction tried:
    undercuts, or a fourth and fifth axis.
    """

    directions: tuple[Vector, ...]
    lathe_setups: int
    unreached: int
    unreached_positions: tuple[Vector, ...] = ()

    @property
    def setups(self) -> int:
        """Set-ups altogether, at least one."""
        return max(1, len(self.directions) + self.lathe_setups)


@dataclass(frozen=True, slots=True)
class View:
    """A drawing of the part with hidden lines apart: polylines in millimetres, y upwards.

    The plane's axes go through the model's origin, so a point of the model is drawn at
    ``project(point)``.
    """

    name: ViewName
    x_axis: Vector
    y_axis: Vector
    low: Point2
    high: Point2
    visible: tuple[tuple[Point2, ...], ...]
    smooth: tuple[tuple[Point2, ...], ...]  # visible tangent edges: thin, or left out
    hidden: tuple[tuple[Point2, ...], ...]

    def project(self, point: Vector) -> Point2:
        """Where a point of the model lies in this view, mm."""
        return (dot(point, self.x_axis), dot(point, self.y_axis))

    def share(self, point: Vector) -> Point2:
        """Where a point lies in the drawn rectangle, 0 to 1 from its left and from its bottom."""
        x, y = self.project(point)
        width, height = self.size_mm
        return (
            (x - self.low[0]) / width if width else 0.5,
            (y - self.low[1]) / height if height else 0.5,
        )

    @property
    def size_mm(self) -> Point2:
        """Width and height of what is drawn."""
        return (self.high[0] - self.low[0], self.high[1] - self.low[1])


@dataclass(frozen=True, slots=True)
class PmiCandidate:
    """A dimension or tolerance written in the file as meaning, not only as a drawing.

    A candidate for a callout: nothing is taken over until the user accepts it. ``plus`` and
    ``minus`` are deviations with their sign (``-0.1``), None where the file gives none; ``lower``
    and ``upper`` are limits where it gives a range. ``datums`` in their order, with modifiers as
    written by ISO 5459 (``B(M)``).
    """

    family: Literal["dimension", "tolerance"]
    kind: str  # 'diameter', 'angle', 'flatness', ...
    value: float
    unit: Literal["mm", "deg"]
    plus: float | None = None
    minus: float | None = None
    lower: float | None = None
    upper: float | None = None
    fit: str = ""
    diameter_zone: bool = False
    material_condition: Literal["", "M", "L"] = ""
    modifiers: tuple[str, ...] = ()
    datums: tuple[str, ...] = ()
    faces: int = 0  # how many faces it speaks of
    position: Vector | None = None  # middle of the first of them
    direction: Vector | None = None  # its outward normal, or its axis turned toward an eye
    name: str = ""  # as the file calls it


@dataclass(frozen=True, slots=True)
class Pmi:
    """All the meaning found, and an honest count of what was not understood."""

    candidates: tuple[PmiCandidate, ...] = ()
    datums: tuple[str, ...] = ()
    datum_records: int = 0
    not_understood: tuple[str, ...] = ()  # one sentence each

    @property
    def dimensions(self) -> tuple[PmiCandidate, ...]:
        """The candidates that are dimensions."""
        return tuple(c for c in self.candidates if c.family == "dimension")

    @property
    def tolerances(self) -> tuple[PmiCandidate, ...]:
        """The candidates that are geometrical tolerances."""
        return tuple(c for c in self.candidates if c.family == "tolerance")


@dataclass(frozen=True, slots=True)
class MeasuredShape:
    """A part as its STEP model gives it; see the module's docstring for units and axes."""

    file: str
    sha256: str
    unit: str  # what the file was drawn in, as it says
    bodies: tuple[Body, ...]
    body: int  # the one measured; 0 is everything in the file
    solids: int
    open_edges: int  # edges with only one face: above 0 the solid is not closed
    faces_lost: int  # faces the file describes that are in no solid
    volume_mm3: float
    volume_in_file_mm3: float | None  # the file's own validation figure
    area_mm2: float
    centre_mm: Vector
    box_mm: Vector
    box_low_mm: Vector
    oriented_box_mm: Vector  # long, middle, short
    file_box_mm: Vector  # of everything in the file, construction geometry too
    surfaces: tuple[Surface, ...]
    bores: tuple[Bore, ...]
    inner_radii: tuple[InnerRadius, ...]
    smallest_concave_radius_mm: float | None  # of all concave cylinders, bores among them
    concave_cylinders: int
    pockets: tuple[Pocket, ...]  # most slender first
    thinnest_wall: Wall | None
    convex_edge_mm: float
    flat_pairs: tuple[FlatPair, ...]  # largest first
    turning: Turning | None
    access: Access
    pmi: Pmi
    views: tuple[View, ...]

    @property
    def turned(self) -> bool:
        """Whether the part is a turned one: round outside and mostly of revolution."""
        return self.turning is not None and self.turning.round_outside and self.turning.share >= 0.6

    @property
    def free_form_share(self) -> float:
        """Area of free-form and unnamed faces over the whole area, 0 to 1."""
        free = sum(s.area_mm2 for s in self.surfaces if s.kind in ("free-form", "other"))
        return free / self.area_mm2 if self.area_mm2 else 0.0

    @property
    def box_to_part(self) -> float:
        """Volume of the smallest box over the part's own: the least that is bought for it."""
        long, middle, short = self.oriented_box_mm
        return long * middle * short / self.volume_mm3

    @property
    def holes(self) -> int:
        """How many full bores there are."""
        return sum(bore.count for bore in self.bores)

    def faces(self, kind: SurfaceKind) -> int:
        """How many faces of one kind there are."""
        return sum(s.faces for s in self.surfaces if s.kind == kind)

    @property
    def source(self) -> str:
        """What every measured figure says about where it is from."""
        return f"from model {self.file}, sha256 {self.sha256[:12]}"


def as_json(shape: MeasuredShape) -> str:
    """The shape as one JSON text, the same for the same shape."""
    return json.dumps(asdict(shape), separators=(",", ":"), sort_keys=True)


def from_json(text: str | bytes) -> MeasuredShape:
    """The shape again, every type checked.

    Raises:
        ValueError: the text is not what ``as_json`` writes (pydantic's error is one).
    """
    from pydantic import TypeAdapter  # heavy: only where a shape is read back

    return TypeAdapter(MeasuredShape).validate_json(text)

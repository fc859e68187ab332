"""A measured shape as the figures a person would type, to be shown beside what they typed.

Nothing is taken over here: a task shows both (``beside``) and the user accepts figure by figure or
all at once. What a model cannot tell (material, temper, finish, which tolerances matter) is never
filled in.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Literal

from rfq.geometry.shape import InnerRadius, MeasuredShape
from rfq.geometry.vectors import length, parallel, subtract
from rfq.model.part import Hole, Shape

LEAST_CLAMPING_MM2 = 200.0
"""Flats below this are no hold for a vice; common practice, no source."""

LARGEST_DRILLED_MM = 40.0
"""Bores above this are bored or milled and count with the volume; common practice, no source."""

MOST_SETUPS = 12
"""What the typed entry takes; beyond it the count is left to the user."""


@dataclass(frozen=True, slots=True)
class Beside:
    """One figure twice: as typed and as measured; ``None`` where there is none."""

    field: str
    typed: Any
    measured: Any

    @property
    def differs(self) -> bool:
        """Whether the user has something to decide: by more than 0.5 %, or one is missing."""
        if isinstance(self.typed, Decimal) and isinstance(self.measured, Decimal):
            return abs(self.typed - self.measured) > Decimal("0.005") * abs(self.measured)
        return bool(self.typed != self.measured)


def _mm(value: float, digits: int = 3) -> Decimal:
    """A length as a decimal without trailing zeros."""
    return Decimal(f"{value:.{digits}f}").normalize() + Decimal(0)


def _positive(value: float, digits: int = 3) -> Decimal | None:
    """The decimal, or None for what rounds to nothing."""
    number = _mm(value, digits)
    return number if number > 0 else None


def deciding_radius(shape: MeasuredShape) -> InnerRadius | None:
    """The inner radius that limits the cutter: of corners the smallest, else of steps."""
    for kind in ("corner", "step"):
        radii = [r for r in shape.inner_radii if r.kind == kind]
        if radii:
            return min(radii, key=lambda r: (r.radius_mm, -r.depth_mm))
    return None


def clamping_flats(shape: MeasuredShape) -> bool:
    """Whether a vice finds two outermost parallel flats to hold, or a chuck a round outside."""
    held = any(p.outermost and p.area_mm2 >= LEAST_CLAMPING_MM2 for p in shape.flat_pairs)
    return held or shape.turned


def part_kind(shape: MeasuredShape) -> Literal["prismatic", "turned", "mill-turn"]:
    """Turned, turned with milled features, or prismatic."""
    if not shape.turned:
        return "prismatic"
    return "mill-turn" if shape.access.directions else "turned"


def drilled_holes(shape: MeasuredShape) -> tuple[Hole, ...]:
    """Bores that are drilled one by one; those about a turned part's axis are turned."""
    holes = []
    for bore in shape.bores:
        positions = list(bore.positions)
        if shape.turned and shape.turning and parallel(bore.axis, shape.turning.axis):
            axis = shape.turning
            positions = [
                p
                for p in positions
                if length(_off_axis(subtract(p, axis.position), axis.axis)) > 0.05
            ]
        if positions and bore.diameter_mm <= LARGEST_DRILLED_MM:
            holes.append(
                Hole(
                    diameter_mm=_mm(bore.diameter_mm),
                    depth_mm=_mm(bore.depth_mm),
                    count=len(positions),
                    through=bore.through,
                )
            )
    return tuple(holes)


def _off_axis(arm: tuple[float, float, float], axis: tuple[float, float, float]) -> Any:
    along = sum(a * b for a, b in zip(arm, axis, strict=True))
    return tuple(a - along * b for a, b in zip(arm, axis, strict=True))


def typed_figures(shape: MeasuredShape, density_kg_per_m3: float | None = None) -> Shape:
    """The typed entry a model gives, marked 'from model' with its hash.

    Args:
        shape: the measured part.
        density_kg_per_m3: of the part's material; None leaves the finished mass to the user.

    Returns:
        An entry with everything a model can tell; what it cannot stays as it is by default.
    """
    long, middle, short = shape.oriented_box_mm
    kind = part_kind(shape)
    radius = deciding_radius(shape)
    pocket = shape.pockets[0] if shape.pockets else None
    figures: dict[str, Any] = {
        "kind": kind,
        "length_mm": _positive(long),
        "width_mm": _positive(middle),
        "height_mm": _positive(short),
        "surface_area_dm2": _positive(shape.area_mm2 / 1e4, 4),
        "free_form_share": _mm(min(1.0, shape.free_form_share), 4),
        "edge_length_m": _positive(shape.convex_edge_mm / 1000, 4),
        "parallel_clamping_faces": clamping_flats(shape),
        "holes": drilled_holes(shape),
        "source": "from model",
        "model_sha256": shape.sha256,
    }
    if shape.access.setups <= MOST_SETUPS:
        figures["setups"] = shape.access.setups
    if kind != "prismatic" and shape.turning:
        figures["diameter_mm"] = _positive(shape.turning.diameter_mm)
        figures["length_mm"] = _positive(shape.turning.length_mm)
        figures["width_mm"] = figures["height_mm"] = None
    if density_kg_per_m3 is not None:
        figures["finished_mass_kg"] = _positive(shape.volume_mm3 * density_kg_per_m3 / 1e9, 6)
    if radius:
        figures["smallest_inner_radius_mm"] = _mm(radius.radius_mm)
        figures["inner_radius_depth_mm"] = _positive(radius.depth_mm)
        figures["inner_corners"] = min(radius.count, 1000)
    if shape.thinnest_wall and shape.thinnest_wall.thickness_mm < 0.5 * short:  # else it is solid
        figures["thinnest_wall_mm"] = _positive(shape.thinnest_wall.thickness_mm)
    if pocket:
        figures["pocket_depth_mm"] = _positive(pocket.depth_mm)
        figures["pocket_width_mm"] = _positive(pocket.width_mm)
    return Shape(**figures)


def beside(typed: Shape | None, measured: Shape) -> tuple[Beside, ...]:
    """Every figure the model gives next to the typed one, in the entry's order."""
    given = typed or Shape()
    rows = []
    for name in Shape.model_fields:
        if name in ("source", "model_sha256", "measured", "stock_form", "stock_mm", "axes"):
            continue  # where it is from, and what a model does not tell
        value = getattr(measured, name)
        if value in (None, ()):
            continue
        # a figure that equals the entry's default is not written; taken from a model it stands
        stands = name in given.model_fields_set or given.source == "from model"
        own = getattr(given, name) if stands else None
        rows.append(Beside(name, own, value))
    return tuple(rows)


def accept(typed: Shape | None, measured: Shape, fields: tuple[str, ...] | None = None) -> Shape:
    """The entry with the accepted figures from the model.

    Args:
        typed: the user's entry, or None.
        measured: from ``typed_figures``.
        fields: names to take over; None takes all the model gives.

    Returns:
        The entry; its source is the model only once nothing typed stands against it. Until then
        ``measured`` names the figures that are the model's, as long as the model is the same.
    """
    taken = {
        row.field: row.measured
        for row in beside(typed, measured)
        if fields is None or row.field in fields
    }
    # the kind and its sizes go together: a turned part needs its diameter
    own = {name: getattr(typed, name) for name in typed.model_fields_set} if typed else {}
    if not taken:
        return Shape(**own)
    whole = Shape(**{**own, **taken})
    earlier = (
        {name for name in typed.measured if getattr(whole, name) == getattr(measured, name)}
        if typed and typed.model_sha256 == measured.model_sha256
        else set()
    )
    if not any(row.differs for row in beside(whole, measured)):
        names: tuple[str, ...] = ()
        source = measured.source
    else:
        names = tuple(n for n in Shape.model_fields if n in taken or n in earlier)
        source = "typed"
    mark = {"source": source, "model_sha256": measured.model_sha256, "measured": names}
    return whole.model_copy(update=mark)

"""What in the shape costs without need: small corners, slender pockets, no hold, stock, set-ups.

Each finding says where it is (a point of the model and a size), what is there and what would cost
less, so that the designer finds the face and decides. What it saves in money is worked out by the
cost engine from the changed typed entry; here stand the geometry and its plain ratios.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi
from typing import Literal

from rfq.geometry.shape import InnerRadius, MeasuredShape, Pocket
from rfq.geometry.typed import LEAST_CLAMPING_MM2, clamping_flats
from rfq.geometry.vectors import PARALLEL, Vector, dot, parallel
from rfq.problems import Place, Problem, Severity

CUTTERS_MM = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0, 32.0)
"""Diameters of stocked end mills; common practice, no source."""

SLENDER = 4.0
"""Depth over cutter diameter from which a cutter is long and slow; common practice, no source."""

POCKET_SLENDER = 3.0
"""Depth over width from which a pocket is deep for its width; common practice, no source."""

ALLOWANCE_MM = 2.0
"""Skimmed off each side of a billet to come clean; common practice, no source."""

JUST_ABOVE = 0.06
"""Share of a stock size within which a part that needs the next one is worth a look."""

CAUTION = (
    "a changed corner, wall or size of a part that carries load, pressure or people goes back to"
    " the responsible engineer first"
)

Kind = Literal["corner radius", "deep pocket", "no clamping faces", "stock size", "set-ups"]


@dataclass(frozen=True, slots=True)
class ShapeSaving:
    """A change to the shape that would make it cheaper.

    ``ratio`` is how many times more work the present shape takes at that place (cutter area,
    stock volume, set-ups); 1.0 where nothing is claimed. ``direction`` is from where to look.
    """

    kind: Kind
    message: str
    present_mm: float
    proposed_mm: float
    ratio: float
    count: int = 1
    position: Vector | None = None
    direction: Vector | None = None

    @property
    def seen(self) -> str:
        """From where to look for it: 'along z' for a corner, else 'from +z'; '' if not known."""
        if self.direction is None:
            return ""
        words = side(self.direction)
        return words.replace("from +", "along ") if self.kind == "corner radius" else words

    def as_problem(self, part: str, file: str) -> Problem:
        """The finding as `rfq check` shows it."""
        code = {
            "corner radius": "G020",
            "deep pocket": "G021",
            "no clamping faces": "G022",
            "stock size": "G023",
            "set-ups": "G024",
        }[self.kind]
        where = f"at {_spot(self.position)}" if self.position else ""
        place = Place(file, path=where)
        return Problem(code, self.message, place, Severity.NOTE, why=CAUTION, subject=part)


def _spot(point: Vector) -> str:
    return ", ".join(f"{axis} {value:.1f}" for axis, value in zip("xyz", point, strict=True))


def cutter_for(radius_mm: float) -> float:
    """The largest stocked cutter that still sweeps a corner: below twice its radius.

    >>> cutter_for(5.0), cutter_for(3.3)
    (8.0, 6.0)
    """
    fitting = [d for d in CUTTERS_MM if d < 2 * radius_mm - 1e-6]
    return max(fitting) if fitting else round(1.8 * radius_mm, 2)


def next_corner(radius_mm: float) -> tuple[float, float] | None:
    """The next cutter up, and the corner it wants: its radius and a tenth, to the half millimetre.

    >>> next_corner(5.0), next_corner(30.0)
    ((10.0, 5.5), None)
    """
    larger = [d for d in CUTTERS_MM if d > cutter_for(radius_mm)]
    if not larger:
        return None
    wanted = larger[0] / 2 * 1.1
    return larger[0], -(-wanted // 0.5) * 0.5


def shape_savings(
    shape: MeasuredShape,
    stock_sizes_mm: Sequence[float] = (),
    allowance_mm: float = ALLOWANCE_MM,
) -> tuple[ShapeSaving, ...]:
    """All findings on a shape, corners first.

    Args:
        shape: the measured part.
        stock_sizes_mm: standard thicknesses or diameters the stock comes in; empty: not looked at.
        allowance_mm: taken off each side of the stock.
    """
    found = [saving for radius in shape.inner_radii if (saving := _corner(radius))]
    found.sort(key=lambda s: -s.ratio * s.count)
    found += [s for p in shape.pockets if (s := _pocket(p))]
    found += [s for s in (_hold(shape), _setups(shape)) if s]
    found += _stock(shape, stock_sizes_mm, allowance_mm)
    return tuple(found)


def _corner(radius: InnerRadius) -> ShapeSaving | None:
    if radius.kind != "corner":
        return None
    cutter, better = cutter_for(radius.radius_mm), next_corner(radius.radius_mm)
    slender = radius.depth_mm / cutter
    if better is None or slender < 2.0:  # shallow corners: a small cutter costs little
        return None
    next_cutter, wanted = better
    many = f"{radius.count} inner corners" if radius.count > 1 else "an inner corner"
    long = f", {slender:.1f} times its diameter: a long cutter, slow" if slender > SLENDER else ""
    return ShapeSaving(
        "corner radius",
        f"{many} of R{radius.radius_mm:g} at most {radius.depth_mm:g} deep (one at"
        f" {_spot(radius.position)}) take{'' if radius.count > 1 else 's'} a cutter of"
        f" {cutter:g} mm{long}; R{wanted:g} lets {next_cutter:g} mm in",
        radius.radius_mm,
        wanted,
        round((next_cutter / cutter) ** 2, 3),  # removal at one speed and shape of cut, (D/d)²
        radius.count,
        radius.position,
        radius.axis,
    )


def _pocket(pocket: Pocket) -> ShapeSaving | None:
    if pocket.slenderness < POCKET_SLENDER:
        return None
    wanted = pocket.depth_mm / POCKET_SLENDER
    return ShapeSaving(
        "deep pocket",
        f"the pocket with its floor at {_spot(pocket.position)} is {pocket.depth_mm:g} deep and"
        f" {pocket.width_mm:g} wide, {pocket.slenderness:.1f} to 1; {wanted:.1f} wide, or open at"
        " a side, takes an ordinary cutter",
        pocket.width_mm,
        round(wanted, 1),
        round(pocket.slenderness / POCKET_SLENDER, 3),
        1,
        pocket.position,
        pocket.opens,
    )


def _hold(shape: MeasuredShape) -> ShapeSaving | None:
    if clamping_flats(shape):
        return None
    best = max((p.area_mm2 for p in shape.flat_pairs if p.outermost), default=0.0)
    have = f"the largest pair has {best:.0f} mm²" if best else "there is none"
    return ShapeSaving(
        "no clamping faces",
        "no two parallel outer flats are large enough for a vice, and no round outside for a"
        f" chuck ({have}); two flats of {LEAST_CLAMPING_MM2:.0f} mm² or a lug to cut off last"
        " save a fixture",
        best,
        LEAST_CLAMPING_MM2,
        1.0,
    )


def _setups(shape: MeasuredShape) -> ShapeSaving | None:
    access = shape.access
    fewest = access.lathe_setups + 1 if access.lathe_setups else 2
    if access.setups <= fewest and not access.unreached:
        return None
    extra = access.directions[fewest - access.lathe_setups :]
    sides = "; ".join(_side_and_place(shape, direction) for direction in extra) or "none more"
    undercut = (
        f"; {access.unreached} faces are reached straight from no side"
        f" (one at {_spot(access.unreached_positions[0])})"
        if access.unreached and access.unreached_positions
        else ""
    )
    return ShapeSaving(
        "set-ups",
        f"the shape is cut from {access.setups} sides where {fewest} would be the fewest"
        f" (more than those: {sides}){undercut}; what lies on those sides could move",
        float(access.setups),
        float(fewest),
        round(access.setups / fewest, 3),
        1,
        access.unreached_positions[0]
        if access.unreached_positions
        else next((there[1] for d in extra if (there := _reached_from(shape, d))), None),
        extra[0] if extra else None,
    )


def _side_and_place(shape: MeasuredShape, direction: Vector) -> str:
    """'from -x, for the bore of 16 at x -63.0, y 0.0, z 48.0'."""
    there = _reached_from(shape, direction)
    return side(direction) + (f", for {there[0]} at {_spot(there[1])}" if there else "")


def _reached_from(shape: MeasuredShape, direction: Vector) -> tuple[str, Vector] | None:
    """A feature that opens to a side, in words and where: what asks for that set-up."""
    for bore in shape.bores:
        if dot(bore.opens, direction) > PARALLEL or (
            bore.through and parallel(bore.axis, direction)
        ):
            nearest = max(bore.positions, key=lambda spot: dot(spot, direction))
            return f"the bore of {bore.diameter_mm:g}", nearest
    for pocket in shape.pockets:
        if dot(pocket.opens, direction) > PARALLEL:
            return f"the pocket {pocket.depth_mm:g} deep", pocket.position
    for radius in shape.inner_radii:
        if radius.depth_mm and parallel(radius.axis, direction):
            return f"the R{radius.radius_mm:g}", radius.position
    return None


def side(direction: Vector) -> str:
    """A direction in words: 'from +x', or its components."""
    for place, axis in enumerate("xyz"):
        if abs(direction[place]) > 0.9999:
            return f"from {'+' if direction[place] > 0 else '-'}{axis}"
    return "from ({:.2f} {:.2f} {:.2f})".format(*direction)


def _stock(
    shape: MeasuredShape, sizes_mm: Sequence[float], allowance_mm: float
) -> list[ShapeSaving]:
    """Whether a little less lets the part come out of the next smaller stock."""
    sizes = sorted(sizes_mm)
    if shape.turned and shape.turning:
        present, name = shape.turning.diameter_mm, "diameter"
        section = pi / 4
    else:
        present, name, section = shape.oriented_box_mm[2], "thickness", 1.0
    need = present + 2 * allowance_mm
    above = next((size for size in sizes if size >= need - 1e-9), None)
    below = max((size for size in sizes if size < need - 1e-9), default=None)
    if above is None or below is None or need - below > JUST_ABOVE * below:
        return []
    wanted = below - 2 * allowance_mm
    power = 2 if section < 1 else 1
    return [
        ShapeSaving(
            "stock size",
            f"{present:g} mm {name} with {allowance_mm:g} mm a side to clean up needs stock of"
            f" {above:g} mm; {need - below:.1f} mm less ({wanted:g}) comes out of {below:g} mm",
            present,
            round(wanted, 3),
            round((above / below) ** power, 3),
        )
    ]

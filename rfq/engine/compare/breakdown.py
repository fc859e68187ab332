"""A shop's cost breakdown over its lines: implied rate per hour, implied material price per kg.

One shop works at much the same rate and buys at much the same price on all parts; a line that
stands out was probably read differently, so it is asked about.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import pi, prod
from statistics import median

from rfq.engine.standards.materials import find
from rfq.model.codes import BREAKDOWN_OF
from rfq.model.estimate import Estimate
from rfq.model.part import Part
from rfq.model.quote import Breakdown
from rfq.problems import Problem, Severity

#: A line is asked about when its implied figure is off the shop's median by this factor, on
#: three lines or more; small pieces of stock cost more a kg, so material has more room.
#: Common practice, no source.
FAR_RATE = 1.5
FAR_MATERIAL = 2.5
LEAST_LINES = 3


@dataclass(frozen=True, slots=True)
class Implied:
    """What one breakdown implies, in project currency; None where it can't be told."""

    part: str
    quantity: int
    rate_per_hour: float | None
    material_per_kg: float | None


def implied(breakdown: Breakdown, factor: float, part: Part, estimate: Estimate | None) -> Implied:
    """Return the rate per hour and the material price per kg behind a breakdown.

    Args:
        breakdown: elements a piece, in the quote's currency.
        factor: project currency for one unit of it.
        part, estimate: for the mass of the stock.
    """
    work = float(breakdown.elements.get("set-up", 0)) + float(breakdown.elements.get("run", 0))
    hours = float(breakdown.hours or 0)
    mass = stock_mass_kg(part, estimate)
    material = float(breakdown.elements.get("material", 0))
    return Implied(
        breakdown.part,
        breakdown.quantity,
        work * factor / hours if hours > 0 and work > 0 else None,
        material * factor / mass if mass and material > 0 else None,
    )


def stock_mass_kg(part: Part, estimate: Estimate | None) -> float | None:
    """Return the mass of stock a piece, as our estimate has it, else of its block or bar.

    The user's own stock size where there is one, else the part's outer size; None where size or
    density isn't known. The finished mass would not do: chips are bought as well.
    """
    if estimate is not None:
        for step in estimate.steps:
            if step.unit == "kg" and step.element == "stock":
                return step.value
    shape, material = part.shape, find(part.material).value
    if shape is None or material is None:
        return None
    size: tuple[Decimal | None, ...]
    if shape.kind == "prismatic":
        size = shape.stock_mm or (shape.length_mm, shape.width_mm, shape.height_mm)
    else:
        size = shape.stock_mm or (shape.diameter_mm, shape.length_mm)
    sides = [float(side) for side in size if side is not None]
    if len(sides) != len(size):
        return None
    volume_mm3 = prod(sides) if len(sides) == 3 else pi / 4 * sides[0] ** 2 * sides[1]
    return volume_mm3 * 1e-9 * material.density_kg_m3


def ours_in_five(elements: Mapping[str, float]) -> dict[str, float]:
    """Return our elements folded into the five a shop is asked for.

    Overhead and margin are spread in proportion, as a shop's rates contain them.

    >>> five = ours_in_five({"stock": 6.0, "run": 2.0, "overhead and margin": 4.0})
    >>> five["material"], five["run"]
    (9.0, 3.0)
    """
    five: dict[str, float] = {}
    for name, value in elements.items():
        if name in BREAKDOWN_OF:
            five[BREAKDOWN_OF[name]] = five.get(BREAKDOWN_OF[name], 0.0) + value
    direct = sum(five.values())
    whole = sum(elements.values())
    return {name: value * whole / direct for name, value in five.items()} if direct > 0 else {}


def medians(found: Sequence[Implied]) -> tuple[float | None, float | None]:
    """Return a shop's usual rate per hour and material price per kg."""
    rates = [one.rate_per_hour for one in found if one.rate_per_hour is not None]
    prices = [one.material_per_kg for one in found if one.material_per_kg is not None]
    return (median(rates) if rates else None), (median(prices) if prices else None)


def inconsistent(
    found: Sequence[Implied], shop: str, materials: Mapping[str, str]
) -> list[Problem]:
    """Return the questions on lines whose implied figures stand out within one shop.

    Material prices are compared within one material only. Give lines of one quantity a part: at
    small lots a dealer's minimum makes every kg dear.

    Args:
        found: of one shop, all lines.
        shop: its id.
        materials: part -> designation of its material.
    """
    problems = []
    for one, usual in _far(found, [one.rate_per_hour for one in found], FAR_RATE):
        problems.append(
            Problem(
                "N040",
                f"{one.part}, {one.quantity} pcs: set-up and run over its hours give "
                f"{one.rate_per_hour:.0f} an hour, {usual:.0f} on the shop's other lines; ask "
                "which hours it counted.",
                severity=Severity.ASK,
                subject=shop,
            )
        )
    for material in sorted({materials.get(one.part, "") for one in found}):
        same = [one for one in found if materials.get(one.part, "") == material]
        for one, usual in _far(same, [one.material_per_kg for one in same], FAR_MATERIAL):
            problems.append(
                Problem(
                    "N041",
                    f"{one.part}, {one.quantity} pcs: its material comes to "
                    f"{one.material_per_kg:.2f} a kg, {usual:.2f} on the shop's other parts of "
                    f"{material}; ask which material and stock size it counted.",
                    severity=Severity.ASK,
                    subject=shop,
                )
            )
    return problems


def _far(
    found: Sequence[Implied], values: Sequence[float | None], factor: float
) -> list[tuple[Implied, float]]:
    known = [(one, value) for one, value in zip(found, values, strict=True) if value is not None]
    if len(known) < LEAST_LINES:
        return []
    out = []
    for one, value in known:
        usual = median(other for rest, other in known if rest is not one)
        if value > usual * factor or value < usual / factor:
            out.append((one, usual))
    return out

"""Stock: what is bought for a part, its mass, net cost, and pieces from a bar.

Forms: handbook and common practice. Lengths in mm, masses in kg, density in kg/m3.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rfq.engine.cost.arrays import Real
from rfq.engine.cost.errors import require


def billet_mm3(length_mm: float, width_mm: float, height_mm: float, allowance_mm: float) -> float:
    """Volume of a billet with an allowance a on each face: (L + 2a)(W + 2a)(H + 2a), mm3.

    >>> billet_mm3(100, 100, 100, 5)
    1331000.0
    """
    require(min(length_mm, width_mm, height_mm) > 0, "length_mm", "sizes must be above zero")
    a = 2.0 * allowance_mm
    return float((length_mm + a) * (width_mm + a) * (height_mm + a))


def mass_kg(volume_mm3: Real, density_kg_per_m3: Real) -> Real:
    """Mass V rho, kg.

    >>> mass_kg(1331000.0, 4430.0)
    5.89633
    """
    return volume_mm3 * density_kg_per_m3 / 1e9


def net_cost(stock_kg: Real, part_kg: Real, price_per_kg: Real, scrap_share: Real) -> Real:
    """Material of one piece less what its chips bring: m_s p - (m_s - m_f) p s, EUR.

    Raises:
        EstimateError: the part is heavier than its stock.

    >>> net_cost(5.89633, 0.350, 60.0, 0.08)
    327.157416
    """
    require(
        np.asarray(stock_kg) >= np.asarray(part_kg),
        "finished_mass_kg",
        "the finished part is heavier than its stock; check the mass, the sizes or the material",
    )
    return stock_kg * price_per_kg - (stock_kg - part_kg) * price_per_kg * scrap_share


def pieces_per_bar(
    bar_mm: float, end_loss_mm: float, length_mm: float, allowance_mm: float, kerf_mm: float
) -> int:
    """Pieces from a bar: floor((L_bar - end loss + kerf) / (L + allowance + kerf)).

    >>> pieces_per_bar(3000, 60, 45, 2, 2.5)
    59
    """
    require(length_mm > 0, "length_mm", "length_mm must be above zero")
    return math.floor((bar_mm - end_loss_mm + kerf_mm) / (length_mm + allowance_mm + kerf_mm))


def next_size_mm(least_mm: float, sizes: tuple[float, ...]) -> float:
    """The next standard size that is not below ``least_mm``; beyond the table rounded up to 10.

    >>> next_size_mm(41.0, (30, 40, 45, 50)), next_size_mm(203.0, (30, 200))
    (45.0, 210.0)
    """
    found = [size for size in sizes if size >= least_mm - 1e-9]
    return float(min(found)) if found else math.ceil(least_mm / 10.0 - 1e-9) * 10.0


#: Plate and flat thickness, mm. Aluminium: EN 485 plate, from memory, a stock list seen;
#: steel: EN 10058 and cut plate, from memory; titanium and nickel: inch plate, from memory.
PLATE_MM: dict[str, tuple[float, ...]] = {
    "aluminium": (
        6, 8, 10, 12, 15, 16, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 120, 130, 150,
        160, 180, 200,
    ),
    "steel": (
        5, 6, 8, 10, 12, 15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 120, 130, 140,
        150, 160, 180, 200,
    ),
    "titanium": (6.35, 9.5, 12.7, 19, 25.4, 31.8, 38, 50.8, 63.5, 76, 101.6, 127, 152.4),
    "plastic": (
        5, 6, 8, 10, 12, 15, 16, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 120, 150,
    ),
}  # fmt: skip
#: Round bar, mm. EN 755 extruded, EN 10060 and EN 10278 steel, from memory; plastics by 5 mm.
ROUND_MM: dict[str, tuple[float, ...]] = {
    "aluminium": (
        6, 8, 10, 12, 14, 15, 16, 18, 20, 22, 25, 28, 30, 32, 35, 40, 45, 50, 55, 60, 65, 70, 75,
        80, 90, 100, 110, 120, 130, 140, 150, 160, 180, 200,
    ),
    "steel": (
        6, 8, 10, 12, 13, 14, 15, 16, 18, 20, 22, 24, 25, 26, 27, 28, 30, 32, 35, 36, 38, 40, 42,
        45, 48, 50, 52, 55, 60, 63, 65, 70, 75, 80, 85, 90, 95, 100, 110, 120, 130, 140, 150, 160,
        180, 200,
    ),
    "titanium": (
        6.35, 8, 9.5, 12.7, 16, 19, 22, 25.4, 31.8, 38, 44.5, 50.8, 63.5, 76, 88.9, 101.6, 127,
        152.4,
    ),
    "plastic": (
        6, 8, 10, 12, 15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 120, 130, 140,
        150, 160, 180, 200,
    ),
}  # fmt: skip
_SERIES = {
    "aluminium": "aluminium",
    "copper alloy": "aluminium",
    "titanium": "titanium",
    "nickel": "titanium",
    "plastic": "plastic",
}
BAR_MM = 3000.0
BAR_END_MM = 60.0
KERF_MM = 2.5


@dataclass(frozen=True, slots=True)
class Stock:
    """The stock of one piece.

    Args:
        sizes_mm: length, width, height; or diameter, length.
        volume_mm3: volume charged to a piece, with kerf and bar remnant.
        cut_mm2: section that is sawn.
        form: plate, round bar, ...
        standard: sizes are from a stock table (proposed) or the user's own.
    """

    sizes_mm: tuple[float, ...]
    volume_mm3: float
    cut_mm2: float
    form: str
    standard: bool


def own_stock(sizes_mm: tuple[float, ...], turned: bool) -> Stock:
    """The user's own stock: diameter and length, or length, width and height.

    >>> own_stock((50.0, 40.0, 30.0), False).volume_mm3
    60000.0
    """
    require(min(sizes_mm) > 0, "stock_mm", "stock sizes must be above zero")
    if len(sizes_mm) == 2:
        diameter, length = sizes_mm
        section = math.pi / 4.0 * diameter**2
        return Stock(sizes_mm, section * length, section, "round bar", False)
    a, b, c = sorted(sizes_mm, reverse=True)
    if turned:
        return Stock(sizes_mm, a * b * c, b * c, "block", False)
    return Stock((a, b, c), a * b * c, b * c, "block", False)


def proposed_stock(
    sizes_mm: tuple[float, float, float],
    diameter_mm: float,
    length_mm: float,
    turned: bool,
    family: str,
    form: str | None = None,
    allowance_mm: float = 2.0,
) -> Stock:
    """The stock a shop would order: next standard thickness or diameter, the rest sawn.

    Args:
        sizes_mm: envelope, largest first.
        diameter_mm, length_mm: of a turned part.
        family: material family, for the series of sizes.
        form: form named in the entry; 'round bar' takes a round for a prismatic part too.
        allowance_mm: each face of a billet.

    >>> proposed_stock((100.0, 60.0, 28.0), 0.0, 100.0, False, "aluminium").sizes_mm
    (104.0, 64.0, 35.0)
    >>> proposed_stock((80.0, 40.0, 40.0), 40.0, 80.0, True, "steel").sizes_mm[0]
    42.0
    """
    series = _SERIES.get(family, "steel")
    if turned:
        diameter = next_size_mm(diameter_mm + 1.5, ROUND_MM[series])
        section = math.pi / 4.0 * diameter**2
        pieces = pieces_per_bar(BAR_MM, BAR_END_MM, length_mm, 2.0, KERF_MM)
        per_piece = BAR_MM / pieces if pieces >= 3 else length_mm + 2.0 + KERF_MM + 30.0
        return Stock((diameter, length_mm + 2.0), section * per_piece, section, "round bar", True)
    a, b, c = sizes_mm
    if form in ("round bar", "rod"):
        diameter = next_size_mm(math.hypot(b, c) + 1.0, ROUND_MM[series])
        section = math.pi / 4.0 * diameter**2
        length = a + 2.0 * allowance_mm
        return Stock((diameter, length), section * (length + KERF_MM), section, form, True)
    height = next_size_mm(c + 1.0, PLATE_MM[series])
    length, width = a + 2.0 * allowance_mm, b + 2.0 * allowance_mm
    volume = (length + KERF_MM) * (width + KERF_MM) * height
    return Stock((length, width, height), volume, width * height, form or "plate", True)

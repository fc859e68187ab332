"""Stock: what is bought for a part, its mass, net cost, and pieces from a bar.

Forms: handbook and common practice. Lengths in mm, masses in kg, density in kg/m3.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rfq.engine.cost.arrays import Real
from rfq.engine.cost.errors import require
from rfq.engine.standards import stock_sizes
from rfq.model.codes import StockForm


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


def shelf_mm(least_mm: float, family: str, form: StockForm) -> float:
    """The next size on the shelf that is not below ``least_mm``; beyond it rounded up to 10 mm.

    Source: ``rfq.engine.standards.stock_sizes`` (from memory of stockists' lists).

    >>> shelf_mm(41.0, "aluminium wrought", "plate"), shelf_mm(203.0, "aluminium wrought", "plate")
    (45.0, 210.0)
    """
    # an alloy made for casting or printing is sawn from the plain alloy's sizes
    plain = family.removesuffix("cast").removesuffix("printed").strip()
    found = stock_sizes.next_size_mm(least_mm, stock_sizes.sizes_mm(plain, form))
    return found if found is not None else math.ceil(least_mm / 10.0 - 1e-9) * 10.0


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

    >>> proposed_stock((100.0, 60.0, 28.0), 0.0, 100.0, False, "aluminium wrought").sizes_mm
    (104.0, 64.0, 30.0)
    >>> proposed_stock((80.0, 40.0, 40.0), 40.0, 80.0, True, "steel carbon").sizes_mm[0]
    42.0
    """
    if turned:
        diameter = shelf_mm(diameter_mm + 1.5, family, "round bar")
        section = math.pi / 4.0 * diameter**2
        pieces = pieces_per_bar(BAR_MM, BAR_END_MM, length_mm, 2.0, KERF_MM)
        per_piece = BAR_MM / pieces if pieces >= 3 else length_mm + 2.0 + KERF_MM + 30.0
        return Stock((diameter, length_mm + 2.0), section * per_piece, section, "round bar", True)
    a, b, c = sizes_mm
    if form in ("round bar", "rod"):
        diameter = shelf_mm(math.hypot(b, c) + 1.0, family, "round bar")
        section = math.pi / 4.0 * diameter**2
        length = a + 2.0 * allowance_mm
        return Stock((diameter, length), section * (length + KERF_MM), section, form, True)
    height = shelf_mm(c + 1.0, family, "plate")
    length, width = a + 2.0 * allowance_mm, b + 2.0 * allowance_mm
    volume = (length + KERF_MM) * (width + KERF_MM) * height
    return Stock((length, width, height), volume, width * height, form or "plate", True)

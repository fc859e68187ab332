"""Stock: what is bought for a part, its mass, net cost, and pieces from a bar.

Forms: handbook and common practice. Lengths in mm, masses in kg, density in kg/m3.
"""

from __future__ import annotations

import math

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

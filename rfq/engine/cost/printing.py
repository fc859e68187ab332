"""Laser powder-bed printing: rate, build hours, and the cost of a piece on a plate.

Sources: the cost forms of Ruffo, Tuck and Hague 2006, Baumers 2012 and Rickenbacher 2013 (from
memory) agree on machine hours from volume and layers, shared by what lies on the plate.
"""

from __future__ import annotations

import numpy as np

from rfq.engine.cost.arrays import Real
from rfq.engine.cost.errors import require


def theoretical_rate_cm3_per_h(speed_mm_per_s: Real, hatch_mm: Real, layer_mm: Real) -> Real:
    """Melting rate v h t x 3.6, cm3/h; 0.4 to 0.7 of it is left after jumps and contours.

    >>> theoretical_rate_cm3_per_h(1200.0, 0.14, 0.03)
    18.144
    """
    return 3.6 * speed_mm_per_s * hatch_mm * layer_mm


def build_h(
    volume_cm3: Real, rate_cm3_per_h: Real, layers: Real, recoat_s: Real, sharing: Real
) -> Real:
    """Machine hours of one piece: V / r + layers x t / 3600 / N.

    Args:
        sharing: pieces that share the plate's recoating, at least 1.

    >>> build_h(90.9, 18.0, 2000.0, 9.0, 1.0)
    10.05
    """
    require(np.asarray(sharing) >= 1, "sharing", "at least one piece lies on a plate")
    return volume_cm3 / rate_cm3_per_h + layers * recoat_s / 3600.0 / sharing


def powder_cost(
    volume_cm3: Real, density_kg_per_m3: float, waste: Real, price_per_kg: Real
) -> Real:
    """Powder of one piece: V rho (1 + w) p, EUR.

    >>> powder_cost(90.9, 4430.0, 0.10, 180.0)
    79.733
    """
    return volume_cm3 * density_kg_per_m3 / 1e6 * (1.0 + waste) * price_per_kg


def printed_cost(
    volume_cm3: float,
    supports: float,
    density_kg_per_m3: float,
    rate_cm3_per_h: float,
    powder_per_kg: float,
    waste: float,
    machine_per_h: float,
    setup: float,
    layers: float,
    recoat_s: float,
    pieces: int,
    post: float,
) -> float:
    """Cost of one printed piece before margin, EUR.

    Formula: V_b = V (1 + s); powder + hours x rate + set-up / N + post.

    >>> printed_cost(350/4.43, .15, 4430, 18, 180, .1, 33.275, 135, 2000, 9, 1, 110)
    659.0307
    """
    built = volume_cm3 * (1.0 + supports)
    hours = build_h(built, rate_cm3_per_h, layers, recoat_s, float(pieces))
    powder = powder_cost(built, density_kg_per_m3, waste, powder_per_kg)
    return float(powder + hours * machine_per_h + setup / pieces + post)

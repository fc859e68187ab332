"""Lots: set-ups spread over pieces, yield, economic lot, break-even, published batch models.

Money in EUR unless the caller means another currency; times as named.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from rfq.engine.cost.arrays import Real
from rfq.engine.cost.errors import require


def unit_cost(once: Real, each: Real, quantity: Real) -> Real:
    """Cost of one piece with what is paid once: F / N + v.

    >>> float(unit_cost(860.0, 95.0, 10))
    181.0
    """
    require(np.asarray(quantity) >= 1, "quantity", "a quantity is a whole number of at least 1")
    return once / np.asarray(quantity, dtype=float) + each


def lot_hours(setup_h: float, cycle_min: float, quantity: int) -> float:
    """Hours of a lot: set-up + N cycle / 60.

    Source: Ostwald and McLaren, Cost Analysis and Estimating, ch. 7 (answers seen).

    >>> lot_hours(1.5, 0.50, 75)
    2.125
    """
    require(quantity >= 1, "quantity", "a quantity is a whole number of at least 1")
    return setup_h + quantity * cycle_min / 60.0


def good_part_cost(cost: Real, good_share: Real, scrap_credit: Real = 0.0) -> Real:
    """Cost of a good piece: (c - s (1 - Y)) / Y.

    >>> good_part_cost(95.0, 0.9)
    105.5556
    """
    share = np.asarray(good_share)
    require((share > 0) & (share <= 1), "good_share", "a yield lies above 0 and not above 1")
    return (cost - scrap_credit * (1.0 - good_share)) / good_share


def rolled_yield(shares: Iterable[float]) -> float:
    """Yield of a chain of steps: their product.

    >>> rolled_yield([0.99, 0.98, 0.97, 0.995])
    0.93638853
    """
    return math.prod(shares)


def start_quantity(quantity: int, good_share: float) -> int:
    """Pieces to start for N good ones: ceil(N / Y).

    >>> start_quantity(95, 0.95)
    100
    """
    require(0 < good_share <= 1, "good_share", "a yield lies above 0 and not above 1")
    return math.ceil(quantity / good_share - 1e-9)


def economic_lot(yearly: float, order_cost: float, holding_per_piece: float) -> float:
    """Economic lot sqrt(2 D S / h) of Harris 1913 and Andler 1929 (from memory).

    >>> economic_lot(1000.0, 120.0, 6.0)
    200.0
    """
    require(holding_per_piece > 0, "holding_per_piece", "holding a piece must cost something")
    return math.sqrt(2.0 * yearly * order_cost / holding_per_piece)


def crossing(once_1: float, each_1: float, once_2: float, each_2: float) -> float | None:
    """Quantity where two processes cost the same: (F2 - F1) / (v1 - v2); None if one rules.

    >>> crossing(0.0, 526.31, 21000.0, 21.29)
    41.5825
    """
    if each_1 == each_2:
        return None
    found = (once_2 - once_1) / (each_1 - each_2)
    return found if found > 0 else None


def batch_model_cost(
    mass_kg: float,
    material_per_kg: float,
    scrap_share: float,
    tooling: float,
    quantity: int,
    rate_per_h: float,
    overhead_per_h: float,
    capital: float,
    write_off_h: float,
    load_share: float,
) -> float:
    """Ashby's batch process cost of one piece.

    Formula: m Cm / (1 - f) + Ct / n + (1 / rate)(Cc / (L t_wo) + C_oh). Source: Ashby,
    Materials Selection in Mechanical Design (equation from memory, its variables seen).

    >>> batch_model_cost(0.5, 4, 0.3, 1000, 100, 10, 60, 200_000, 43_800, 0.5)
    19.7703849
    """
    require(quantity >= 1, "quantity", "a quantity is a whole number of at least 1")
    hourly = capital / (load_share * write_off_h) + overhead_per_h
    return (
        mass_kg * material_per_kg / (1.0 - scrap_share) + tooling / quantity + hourly / rate_per_h
    )


def relative_model_cost(
    volume_mm3: float, material_per_mm3: float, basic_cost: float, relative_cost: float
) -> float:
    """Manufacturing cost of Swift and Booker's form: V Cmt + Pc Rc (form from memory).

    >>> relative_model_cost(25_000, 0.00067, 12.0, 1.8)
    38.35
    """
    return volume_mm3 * material_per_mm3 + basic_cost * relative_cost

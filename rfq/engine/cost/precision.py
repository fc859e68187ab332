# mypy: disable-error-code=no-any-return
"""What a tolerance and a texture cost: multipliers, and the exponent behind them.

Sources: reciprocal-power form of Sutherland and Roth 1975 (from memory); the exponent is
calibrated on a seen trade rule (0.001 in costs 30 to 50 % more than 0.005 in). The larger of
tolerance and texture multiplier is applied per face (Swift and Booker, from memory).
"""

from __future__ import annotations

import math

import numpy as np

from rfq.engine.cost.arrays import Array, Real
from rfq.engine.cost.errors import require

#: Extra work by Ra in um: (ra, multiplier); common practice.
TEXTURE_STEPS: tuple[tuple[float, float], ...] = (
    (0.1, 4.0),
    (0.2, 2.5),
    (0.4, 1.7),
    (0.8, 1.25),
    (1.6, 1.05),
    (3.2, 1.0),
)


def tightening_exponent(extra_share: float, times_tighter: float) -> float:
    """Exponent k that makes a tolerance ``times_tighter`` cost ``extra_share`` more.

    >>> tightening_exponent(0.3, 5.0)
    0.1630161
    """
    require(times_tighter > 1, "times_tighter", "times_tighter must be above 1")
    return math.log(1.0 + extra_share) / math.log(times_tighter)


def tolerance_multiplier(tolerance_um: Real, reference_um: Real, power: Real) -> Real:
    """Work multiplier (T / T_ref)^-k of a tolerance against IT12 at its size; at least 1.

    Args:
        tolerance_um: width of the tolerance, above zero.
        reference_um: IT12 at the same size.
        power: k, 0.25 to 0.40 on the finishing and inspection share.

    Raises:
        EstimateError: a tolerance of zero.

    >>> float(tolerance_multiplier(21.0, 210.0, 0.4))
    2.5118864
    """
    require(np.asarray(tolerance_um) > 0, "tolerance_um", "a tolerance must be above zero")
    ratio = np.minimum(np.asarray(tolerance_um) / np.asarray(reference_um), 1.0)
    return np.power(ratio, -np.asarray(power))


def texture_multiplier(ra_um: float) -> float:
    """Work multiplier of a roughness Ra, straight between the steps in ln Ra (common practice).

    >>> texture_multiplier(6.3), texture_multiplier(1.6), texture_multiplier(0.4)
    (1.0, 1.05, 1.7)
    """
    require(ra_um > 0, "ra_um", "a roughness must be above zero")
    logs = [math.log(ra) for ra, _ in TEXTURE_STEPS]
    return float(np.interp(math.log(ra_um), logs, [factor for _, factor in TEXTURE_STEPS]))


def share_out(weights: Array, total: float) -> tuple[Array, float]:
    """Cheapest split of a sum of tolerances when each costs B / T: T_i, and the least sum B/T.

    Formula: T_i = T sqrt(B_i) / sum sqrt(B) (Lagrange; Chase and Greenwood's form, from memory).

    >>> share_out(np.array([1.0, 2.0, 4.0]), 0.1)[1]
    194.85281
    """
    require(total > 0, "total", "the sum of tolerances must be above zero")
    roots = np.sqrt(np.asarray(weights, dtype=float))
    parts = total * roots / roots.sum()
    return parts, float(np.sum(weights / parts))

# mypy: disable-error-code=no-any-return
"""Learning curves: Crawford's unit curve and Wright's cumulative average. Never mix the two.

Sources: T. P. Wright 1936; M. Wideman, Learning Curve Mathematics, appendix 2 (seen). In this
model learning touches manual minutes and set-ups only, never the time at the spindle.
"""

from __future__ import annotations

import math

import numpy as np

from rfq.engine.cost.arrays import Array, Real
from rfq.engine.cost.errors import require


def exponent(rate: Real) -> Real:
    """Exponent b = ln L / ln 2 of a learning rate L (0.8: each doubling takes 80 %).

    >>> float(exponent(0.8))
    -0.3219281
    """
    require(
        (np.asarray(rate) > 0) & (np.asarray(rate) <= 1),
        "rate",
        "a learning rate lies above 0 and not above 1 (0.9 is 90 %)",
    )
    return np.log(rate) / math.log(2.0)


def rate_from(first: float, later: float, unit: float) -> float:
    """Learning rate from the first and a later unit: 2^(ln(y_x / y_1) / ln x).

    >>> rate_from(95.0, 71.0, 4)
    0.8645047
    """
    require(first > 0 and later > 0 and unit > 1, "unit", "two times and a later unit are needed")
    return float(2.0 ** (math.log(later / first) / math.log(unit)))


def unit_time(first: Real, rate: Real, unit: Real) -> Real:
    """Crawford: time of unit x, y_x = y_1 x^b.

    >>> float(unit_time(100.0, 0.8, 4.0))
    64.0
    """
    return first * np.power(unit, exponent(rate))


def unit_total(first: float, rate: float, units: int) -> float:
    """Crawford: time of the first x units together, by summation.

    >>> unit_total(100.0, 0.8, 10)
    631.5373
    """
    x: Array = np.arange(1, units + 1, dtype=float)
    return float(first * np.sum(np.power(x, exponent(rate))))


def average_factor(rate: Real, units: Real) -> Real:
    """Crawford: mean time of the first N units over that of the first.

    Exact for N = 1; else the midpoint integral [(N + .5)^(1+b) - .5^(1+b)] / ((1 + b) N),
    scaled to give 1 at N = 1; within 3 % of the sum for rates of 0.8 and above.

    >>> float(average_factor(1.0, 50.0)), float(average_factor(0.9, 1.0))
    (1.0, 1.0)
    """
    power = 1.0 + np.asarray(exponent(rate))
    count = np.asarray(units, dtype=float)
    low = np.power(0.5, power)
    return (np.power(count + 0.5, power) - low) / (np.power(1.5, power) - low) / count


def cumulative_average(first: float, rate: float, units: float) -> float:
    """Wright: mean time of the first x units, y_1 x^b.

    >>> cumulative_average(100.0, 0.8, 4)
    64.0
    """
    return float(first * units ** float(exponent(rate)))


def cumulative_unit(first: float, rate: float, unit: int) -> float:
    """Wright: time of unit x alone, T(x) - T(x - 1) with T = y_1 x^(1+b).

    >>> cumulative_unit(100.0, 0.8, 2)
    60.0
    """
    power = 1.0 + float(exponent(rate))
    return float(first * (unit**power - (unit - 1) ** power))


def exponential_fit(quantities: Array, prices: Array) -> tuple[float, float, float]:
    """Least squares of ln p = ln a + b ln q: (a, b, R2). For spotting odd breaks only.

    >>> exponential_fit(np.array([1.0, 5, 20, 100]), np.array([480.0, 210, 118, 82]))
    (430.19854, -0.38638, 0.96944)
    """
    x, y = np.log(quantities), np.log(prices)
    slope = float(np.sum((x - x.mean()) * (y - y.mean())) / np.sum((x - x.mean()) ** 2))
    level = float(y.mean() - slope * x.mean())
    rest = float(np.sum((y - level - slope * x) ** 2))
    return math.exp(level), slope, 1.0 - rest / float(np.sum((y - y.mean()) ** 2))


def fixed_and_variable(quantities: Array, prices: Array) -> tuple[float, float]:
    """Least squares of p = F / q + v: (F, v); F is what a shop recovers once.

    >>> fixed_and_variable(np.array([1.0, 5, 20, 100]), np.array([480.0, 210, 118, 82]))
    (384.65232, 101.33452)
    """
    x = 1.0 / np.asarray(quantities, dtype=float)
    y = np.asarray(prices, dtype=float)
    fixed = float(np.sum((x - x.mean()) * (y - y.mean())) / np.sum((x - x.mean()) ** 2))
    return fixed, float(y.mean() - fixed * x.mean())

# mypy: disable-error-code=no-any-return
"""The rate of a machine and of a shop, tool life, and selling rates by region.

Sources: elements of VDI 3258 (from memory; their list confirmed in a German forum); Taylor's
tool life with Groover's examples; regional rates: common practice on two seen trade articles.
"""

from __future__ import annotations

import math

import numpy as np

from rfq.engine.cost.arrays import Real
from rfq.engine.cost.errors import require


def machine_rate_per_h(
    price: float,
    residual: float,
    life_years: float,
    interest: float,
    floor_m2: float,
    floor_per_m2: float,
    maintenance: float,
    hours: float,
    power_kw: float = 0.0,
    load: float = 0.0,
    energy_per_kwh: float = 0.0,
) -> float:
    """Machine-hour rate without the operator, EUR/h.

    Formula: [(P - R) / L + (P + R) / 2 i + A a + P m] / h + kW u p.

    Args:
        interest, maintenance, load: shares.
        hours: productive hours a year.

    Source: elements of VDI 3258, from memory.

    >>> machine_rate_per_h(280_000, 28_000, 8, .05, 24, 96, .04, 2400, 30, .35, .20)
    24.06
    """
    require(hours > 0, "hours", "productive hours a year must be above zero")
    require(life_years > 0, "life_years", "a machine's life must be above zero")
    yearly = (
        (price - residual) / life_years
        + (price + residual) / 2.0 * interest
        + floor_m2 * floor_per_m2
        + price * maintenance
    )
    return yearly / hours + power_kw * load * energy_per_kwh


def loaded_rate_per_h(fixed_per_year: float, hours: float, energy_per_h: float) -> float:
    """Rate at a given load: fixed costs a year over the hours worked, and energy, EUR/h.

    Source: solved example in a German study forum (seen).

    >>> loaded_rate_per_h(182_000, 1600, 5.0)
    118.75
    """
    require(hours > 0, "hours", "hours must be above zero")
    return fixed_per_year / hours + energy_per_h


def shop_rate_per_h(
    machine_per_h: Real, operators: Real, labour_per_h: Real, overhead: Real
) -> Real:
    """Shop's cost rate: (machine + operators x labour)(1 + overhead), EUR/h.

    >>> shop_rate_per_h(24.06, 0.6, 38.0, 0.22)
    57.1692
    """
    return (machine_per_h + operators * labour_per_h) * (1.0 + overhead)


def selling_factor(selling_and_general: Real, profit: Real) -> Real:
    """Selling price over cost: (1 + SG&A)(1 + profit).

    >>> selling_factor(0.12, 0.08)
    1.2096
    """
    return (1.0 + selling_and_general) * (1.0 + profit)


def cheapest_tool_life_min(
    exponent: float, change_min: float, tool_cost: float, rate_per_min: float
) -> float:
    """Tool life of least cost (Taylor): (1/n - 1)(t_ct + Ct / M), minutes.

    >>> cheapest_tool_life_min(0.125, 2.0, 3.0, 0.5)
    56.0
    """
    return (1.0 / exponent - 1.0) * (change_min + tool_cost / rate_per_min)


def taylor_speed(constant: float, exponent: float, life_min: float) -> float:
    """Cutting speed for a tool life: C / T^n, m/min.

    >>> taylor_speed(70.0, 0.125, 56.0)
    42.32281
    """
    require(life_min > 0, "life_min", "a tool life must be above zero")
    return constant / life_min**exponent


def taylor_piece(
    constant: float,
    exponent: float,
    speed_m_per_min: float,
    cutting_min: float,
    handling_min: float,
    change_min: float,
    tool_cost: float,
    rate_per_min: float,
    whole_pieces: bool = True,
) -> tuple[float, float]:
    """Minutes and cost of one piece at a speed, tool changes spread over an edge's pieces.

    Source: Groover, Fundamentals of Modern Manufacturing, economics of machining.

    Args:
        whole_pieces: an edge makes a whole number of pieces (at least one).

    >>> taylor_piece(70, .125, 50.0, 12.566371, 5, 2, 3, .5)
    (19.566, 12.783)
    """
    life = (constant / speed_m_per_min) ** (1.0 / exponent)
    pieces = life / cutting_min
    if whole_pieces:
        pieces = max(1.0, float(math.floor(pieces)))
    minutes = handling_min + cutting_min + change_min / pieces
    return minutes, rate_per_min * minutes + tool_cost / pieces


#: Countries by region of like rates; common practice. The first names the region.
REGIONS: dict[str, tuple[str, ...]] = {
    "DE": ("DE", "AT", "CH", "LI", "LU", "DK", "SE", "NO", "FI", "IS"),
    "FR": ("FR", "IT", "ES", "BE", "NL", "GB", "IE", "PT"),
    "PL": ("PL", "CZ", "HU", "SK", "SI", "EE", "LV", "LT", "HR", "RO", "BG"),
    "TR": ("TR",),
    "CN": ("CN", "TW"),
    "IN": ("IN",),
    "US": ("US", "CA"),
}

#: Selling rates EUR/h by region: (3-axis low, typical, high), (5-axis low, typical, high).
#: Source: common practice on a seen trade article of 2025 (USD/h: China 15-75, eastern Europe
#: 35-90, western Europe and US 65-200) and a seen market guide of 2026 (US).
RATES_BY_REGION: dict[str, tuple[tuple[float, float, float], tuple[float, float, float]]] = {
    "DE": ((65.0, 85.0, 110.0), (90.0, 120.0, 170.0)),
    "FR": ((45.0, 62.0, 85.0), (65.0, 90.0, 130.0)),
    "PL": ((35.0, 45.0, 60.0), (55.0, 72.0, 95.0)),
    "TR": ((25.0, 35.0, 50.0), (40.0, 55.0, 80.0)),
    "CN": ((18.0, 25.0, 45.0), (32.0, 45.0, 75.0)),
    "IN": ((12.0, 18.0, 30.0), (22.0, 32.0, 50.0)),
    "US": ((70.0, 90.0, 120.0), (110.0, 140.0, 190.0)),
}


def region_of(country: str) -> str | None:
    """The region of like rates a country belongs to, or None where we have no table.

    >>> region_of("CZ"), region_of("BR")
    ('PL', None)
    """
    return next((region for region, members in REGIONS.items() if country in members), None)


def region_rate_ratio(country: str, reference: str) -> float:
    """Typical machine rate of a shop's country over the reference region's; 1 where unknown.

    Args:
        country: the shop's country (ISO 3166 letters).
        reference: region of the should-cost (``Rates.region``).

    Source: common practice, table RATES_BY_REGION; the geometric mean of 3 and 5 axes.

    >>> region_rate_ratio("PL", "DE")
    0.5636
    """
    here, there = region_of(country), region_of(reference)
    if here is None or there is None:
        return 1.0
    typical = [
        float(np.sqrt(three[1] * five[1]))
        for three, five in (RATES_BY_REGION[here], RATES_BY_REGION[there])
    ]
    return typical[0] / typical[1]

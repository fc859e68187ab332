"""ISO 14253-1: whether a measured value proves that a limit is kept, or is not.

Source: ISO 14253-1, from memory. Edition 2017: conformance is proven when its probability is at
least 95 %, which for one limit means a guard band g = 1.65 u with u = U/2 (expanded uncertainty
U at k = 2). Editions 1998 and 2013: the guard band is U itself. The guard bands hold while U is
small against the tolerance; where they would overlap nothing can be proven.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from math import erf, sqrt
from typing import Literal

from rfq.engine.standards.limits import Length, Limits, exact

Edition = Literal["2017", "2013", "1998"]
Decision = Literal["conforms", "does not conform", "neither"]
#: One-sided 95 % point of the normal distribution as the standard prints it.
ONE_SIDED_95 = Decimal("1.65")
RULES: dict[str, str] = {
    "2017": "ISO 14253-1:2017, guard band g = 1.65 u (95 % conformance probability), u = U/2",
    "2013": "ISO 14253-1:2013, guard band g = U (k = 2)",
    "1998": "ISO 14253-1:1998, guard band g = U (k = 2)",
}


@dataclass(frozen=True, slots=True)
class Judgement:
    """What a measurement shows.

    Args:
        decision: 'conforms' and 'does not conform' are proven; 'neither' is.
        guard_mm: guard band used.
        probability: that the true value lies within the limits (normal, u = U/2).
        rule: edition and formula in words.
    """

    decision: Decision
    guard_mm: Decimal
    probability: float
    rule: str


def guard_band_mm(expanded_uncertainty_mm: Length, edition: Edition = "2017") -> Decimal:
    """The guard band of an edition, mm.

    Args:
        expanded_uncertainty_mm: U at k = 2, not negative.
    Raises:
        ValueError: a negative uncertainty.

    >>> guard_band_mm(Decimal("0.004")), guard_band_mm(Decimal("0.004"), "2013")
    (Decimal('0.00330'), Decimal('0.004'))
    """
    expanded = exact(expanded_uncertainty_mm)
    if expanded < 0:
        raise ValueError(f"an uncertainty of {expanded} mm is negative; write 0 or more")
    return ONE_SIDED_95 * expanded / 2 if edition == "2017" else expanded


def judge(
    value_mm: Length,
    limits: Limits,
    expanded_uncertainty_mm: Length,
    edition: Edition = "2017",
) -> Judgement:
    """Whether a value proves that limits are kept.

    Args:
        value_mm: measured. limits: asked. expanded_uncertainty_mm: U at k = 2.
        edition: of ISO 14253-1.

    >>> bore = Limits(Decimal(25), Decimal("25.021"), "25 H7", Decimal(25))
    >>> judge(Decimal("25.010"), bore, Decimal("0.004")).decision
    'conforms'
    >>> judge(Decimal("25.020"), bore, Decimal("0.004")).decision
    'neither'
    >>> judge(Decimal("25.030"), bore, Decimal("0.004")).decision
    'does not conform'
    """
    value, guard = exact(value_mm), guard_band_mm(expanded_uncertainty_mm, edition)
    probability = _probability(value, limits, exact(expanded_uncertainty_mm))
    decision: Decision = "neither"
    if limits.lower_mm + guard <= value <= limits.upper_mm - guard:
        decision = "conforms"
    elif value < limits.lower_mm - guard or value > limits.upper_mm + guard:
        decision = "does not conform"
    return Judgement(decision, guard, probability, RULES[edition])


def acceptance_zone(
    limits: Limits, expanded_uncertainty_mm: Length, edition: Edition = "2017"
) -> Limits | None:
    """Where a measured value must lie to prove conformance; None when nothing can prove it.

    >>> bore = Limits(Decimal(25), Decimal("25.021"), "25 H7", Decimal(25))
    >>> zone = acceptance_zone(bore, Decimal("0.004"))
    >>> zone.lower_mm, zone.upper_mm
    (Decimal('25.00330'), Decimal('25.01770'))
    """
    guard = guard_band_mm(expanded_uncertainty_mm, edition)
    lower, upper = limits.lower_mm + guard, limits.upper_mm - guard
    if lower > upper:
        return None
    return Limits(lower, upper, f"{limits.basis}, {RULES[edition]}", limits.nominal_mm)


def _probability(value: Decimal, limits: Limits, expanded: Decimal) -> float:
    if expanded == 0:
        return 1.0 if limits.lower_mm <= value <= limits.upper_mm else 0.0
    standard = float(expanded) / 2

    def below(limit: Decimal) -> float:
        if limit.is_infinite():
            return 1.0
        return 0.5 * (1 + erf(float(limit - value) / (standard * sqrt(2))))

    return below(limits.upper_mm) - below(limits.lower_mm)

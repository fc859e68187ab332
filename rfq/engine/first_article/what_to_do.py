"""What follows from a verdict; the responsible engineer decides."""

from __future__ import annotations

from decimal import Decimal
from typing import Final

from rfq.engine.standards.conformance import ONE_SIDED_95, Edition
from rfq.engine.standards.limits import Limits

WHAT_TO_DO: Final = {
    "failed": "the engineer decides: rework, a new piece, or a concession in writing",
    "undecided": "measure again by better means; nothing is rejected on this",
    "missing": "ask for the missing results",
    "passed": "",
}
LOADED: Final = (
    "The part carries load, pressure or people: a concession is the responsible (licensed, where "
    "the law says so) engineer's to give, in writing."
)
DISPOSITIONS: Final = {
    "accept": "accepted as it is",
    "concession": "accepted with a concession",
    "rework": "to be reworked and shown again",
    "replace": "a new first article",
}


def needed_uncertainty(value: Decimal, limits: Limits, edition: Edition) -> Decimal:
    """Return the greatest expanded uncertainty at which a value would prove something.

    >>> bore = Limits(Decimal(25), Decimal("25.021"), "25 H7", Decimal(25))
    >>> needed_uncertainty(Decimal("25.020"), bore, "2013")
    Decimal('0.001')
    """
    distance = min(abs(value - limits.lower_mm), abs(limits.upper_mm - value))
    return 2 * distance / ONE_SIDED_95 if edition == "2017" else distance


def to_measure_again(uncertainty: Decimal, unit: str) -> str:
    """Return what a value that is neither proven asks for."""
    if uncertainty <= 0:
        return (
            "the value lies on the limit: no measurement can prove it; measure another piece, or "
            "the engineer decides"
        )
    shown = f"{uncertainty:.2g}"
    return (
        f"measure again by means with an expanded uncertainty of at most {shown} {unit}; nothing "
        "is rejected on this"
    )

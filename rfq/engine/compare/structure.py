"""What a price says against itself: its own breakdown does not add up to it.

Arithmetic comes before statistics: a one-off that stands in the unit price and is charged apart
as well hides in the spread of totals at any quantity, but not in the shop's own breakdown.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from rfq.model.codes import BREAKDOWN
from rfq.model.comparison import Slip
from rfq.model.quote import Price, Quote

# Elements are printed rounded; below this share of the price a gap is rounding.
# Common practice, no source.
ROUNDING = Decimal("0.005")
# How near the gap has to come to a one-off's share to be named after it.
NEAR = Decimal("0.03")


@dataclass(frozen=True, slots=True)
class Gap:
    """A price above or below the sum of its own breakdown.

    Args:
        amount: price less sum, a piece, in the price's currency.
        summed: the sum of the breakdown.
        one_off: the one-off whose share a piece the gap equals, or None.
    """

    amount: Decimal
    summed: Decimal
    one_off: Decimal | None


def gap_of(price: Price, quote: Quote) -> Gap | None:
    """Return the gap between a price and its complete breakdown, or None where there is none.

    Args:
        price: with its part, quantity and one-off.
        quote: the quote it stands in.
    """
    if price.each is None:
        return None
    for breakdown in quote.breakdowns:
        if breakdown.part != price.part or breakdown.quantity != price.quantity:
            continue
        if not set(BREAKDOWN) <= set(breakdown.elements):
            return None  # an element left blank is no arithmetic
        summed = sum(breakdown.elements.values(), Decimal(0))
        amount = price.each - summed
        if not summed or abs(amount) <= max(ROUNDING * price.each, Decimal("0.02")):
            return None
        share = price.one_off / price.quantity if price.one_off else None
        near = share is not None and abs(amount - share) <= max(NEAR * share, Decimal("0.02"))
        return Gap(amount, summed, price.one_off if near else None)
    return None


def slip_of(gap: Gap, price: Price) -> Slip | None:
    """Return the slip a gap names, or None where it only has to be asked about."""
    if gap.one_off is None or price.each is None:
        return None
    return Slip(
        name="one-off inside the unit price and charged apart as well",
        factor=float(price.each / gap.summed),
        fit=1.0,
        next_best="an element left out of the breakdown",
        reason=f"{gap.one_off} over {price.quantity} pcs is the difference",
    )


def reason_of(gap: Gap, price: Price) -> str:
    """Return the arithmetic in words."""
    said = (
        f"{price.each} {price.currency} a piece, but its own breakdown adds up to {gap.summed}: "
        f"{abs(gap.amount)} {'more' if gap.amount > 0 else 'less'}"
    )
    if gap.one_off is not None:
        said += f", which is the one-off of {gap.one_off} over {price.quantity} pcs"
    return said


def question_of(gap: Gap, price: Price) -> str:
    """Return the question to the shop, with its own figures only."""
    start = f"Part {price.part}, {price.quantity} pcs, {price.each} {price.currency}: "
    if gap.one_off is not None:
        return (
            f"{start}does the price of one piece contain the one-off of {gap.one_off} that is "
            "charged apart? Please quote it once."
        )
    return f"{start}your breakdown adds up to {gap.summed}; which of the two holds?"

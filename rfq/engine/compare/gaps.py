"""States of a cell: why there is a price, or none; and which prices may not be ranked."""

from __future__ import annotations

from datetime import date

from rfq.engine.normalise.offers import Offered, PartOffer, Standing, exceptions_on
from rfq.model.codes import CellState
from rfq.model.part import Part
from rfq.model.quote import Quote


def state_of(
    part: str, asked: frozenset[str], stands: Standing, offer: PartOffer | None
) -> CellState:
    """Return the state of one part at one shop; expiry is a matter of the day, not of this.

    Args:
        part: part number.
        asked: parts the shop was asked for.
        stands: what stands of the shop.
        offer: its standing offer for the part, or None.
    """
    if offer is not None and offer.prices:
        return CellState.QUOTED
    if offer is not None and offer.declined is not None:
        return CellState.DECLINED
    if part not in asked:
        return CellState.NOT_ASKED
    if stands.withdrawn:
        return CellState.WITHDRAWN
    return CellState.NO_ANSWER


def expired(quote: Quote, as_of: date) -> bool:
    """Return whether an offer has ended before a day; one without an end has not."""
    return quote.terms.valid_until is not None and quote.terms.valid_until < as_of


def why_not_ranked(offered: Offered, quote: Quote, part: Part, as_of: date, revision: int) -> str:
    """Return why a quoted price may not be ranked, in words; '' where it may.

    Args:
        offered: the line at the shop.
        quote: where its price comes from.
        part: at the revision that is asked for.
        as_of: day of the comparison.
        revision: of the request, as the round asks it.
    """
    if expired(quote, as_of):
        return f"the offer ended on {quote.terms.valid_until}"
    if not offered.binding.price.each:
        return "the price is zero; ask what is meant"
    if offered.open_items:
        return "not known: " + "; ".join(offered.open_items)
    if quote.revision < revision:
        return f"it answers revision {quote.revision} of the request, and {revision} is asked"
    printed = offered.binding.price.revision
    if printed and printed != part.revision:
        return f"it is for revision {printed} of the part, and {part.revision} is asked"
    for taken in exceptions_on(quote, part.number) if quote.exceptions else ():
        where = f" ({taken.callout})" if taken.callout else ""
        if taken.state == "open":
            return f"an exception is not decided yet: {taken.text}{where}"
        if taken.state == "refused" and taken.cost_each is None:
            return (
                f"an exception was refused, so the price is for another part: {taken.text}{where}"
            )
    return ""

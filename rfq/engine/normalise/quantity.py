"""Which of a shop's quantity breaks binds for the quantity we need, and what buying up would do.

Between two breaks the lower break's unit price binds until the shop confirms another; that is
the one that is ranked. A lot price holds only at its lot size. Below the lowest break there is
no price, unless the shop stated a minimum order quantity: then that many are bought.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from rfq.model.quote import Price


class Bound(StrEnum):
    """How a price came to stand for a quantity."""

    EXACT = "exact"
    LOWER_BREAK = "lower break"
    MINIMUM = "minimum order quantity"
    BELOW = "below the lowest break"
    LOT = "lot price at another size"


@dataclass(frozen=True, slots=True)
class Binding:
    """The price that binds, and the pieces that have to be bought (at least the need)."""

    price: Price
    bought: int
    how: Bound

    @property
    def firm(self) -> bool:
        """Whether the shop is bound to this price at this quantity."""
        return self.how not in (Bound.BELOW, Bound.LOT)


def bind(prices: Sequence[Price], quantity: int) -> Binding | None:
    """Return the price that binds at a quantity, or None where there is no price at all.

    Args:
        prices: one shop's prices of one part, alternatives left out, rising by quantity.
        quantity: pieces needed.
    """
    below = None
    for price in prices:
        if price.quantity > quantity:
            break
        if price.per != "lot" or price.quantity == quantity:
            below = price
    if below is not None:
        bought = max(quantity, below.minimum_quantity or 0)
        if bought > quantity:
            return Binding(below, bought, Bound.MINIMUM)
        exact = below.quantity == quantity
        return Binding(below, quantity, Bound.EXACT if exact else Bound.LOWER_BREAK)
    if not prices:
        return None
    lowest = prices[0]
    if lowest.per == "lot":
        return Binding(lowest, max(quantity, lowest.quantity), Bound.LOT)
    if lowest.minimum_quantity is not None:
        return Binding(lowest, max(quantity, lowest.minimum_quantity), Bound.MINIMUM)
    return Binding(lowest, quantity, Bound.BELOW)


def affine(
    quantity_1: int, each_1: Decimal, quantity_2: int, each_2: Decimal
) -> tuple[Decimal, Decimal]:
    """Return F and v of C(q) = F + v q through two breaks.

    A guess for a question, never a price: total cost is near affine in the quantity.

    >>> affine(10, Decimal(40), 50, Decimal(26))
    (Decimal('175.0'), Decimal('22.5'))
    """
    total_1, total_2 = quantity_1 * each_1, quantity_2 * each_2
    slope = (total_2 - total_1) / (quantity_2 - quantity_1)
    return total_1 - slope * quantity_1, slope


def target_question(prices: Sequence[Price], quantity: int) -> Decimal | None:
    """Return the affine guess of a unit price between two breaks, in the quoted currency.

    None outside the breaks, at a break, between lot prices, across two currencies, and where
    the guess isn't below the price that binds.
    """
    plain = [price for price in prices if price.per != "lot" and price.each is not None]
    lower = [price for price in plain if price.quantity < quantity]
    upper = [price for price in plain if price.quantity >= quantity]
    if not lower or not upper or upper[0].quantity == quantity:
        return None
    below, above = lower[-1], upper[0]
    if below.currency != above.currency or below.each is None or above.each is None:
        return None
    fixed, each = affine(below.quantity, below.each, above.quantity, above.each)
    guess = (fixed + each * quantity) / quantity
    return guess if _ZERO < guess < below.each else None


@dataclass(frozen=True, slots=True)
class BuyingUp:
    """A larger break that costs less in all than the quantity needed."""

    price: Price
    total: Decimal  # of the larger break
    plain_total: Decimal  # of the quantity needed


def buying_up(
    prices: Sequence[Price], binding: Binding, spare_worth: Decimal = Decimal(0)
) -> BuyingUp | None:
    """Return the larger break that beats the binding price in total, or None.

    Args:
        prices: as for ``bind``.
        binding: what binds at the quantity needed.
        spare_worth: what a spare is worth to us, as a share of its price (0 to 1).
    """
    need = binding.price
    if not binding.firm or need.each is None:
        return None
    plain = need.each * binding.bought + (need.one_off or _ZERO)
    best = None
    for price in prices:
        if price.quantity <= binding.bought or price.each is None:
            continue
        if price.currency != need.currency:
            continue
        bought = max(price.quantity, price.minimum_quantity or 0)
        total = price.each * bought + (price.one_off or _ZERO)
        worth = spare_worth * price.each * (bought - binding.bought)
        if total - worth < plain and (best is None or total - worth < best[0]):
            best = (total - worth, BuyingUp(price, total, plain))
    return None if best is None else best[1]


_ZERO = Decimal(0)

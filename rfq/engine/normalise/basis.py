"""What the shop's figure means: price base, tax and line discount; and whether it adds up.

Arithmetic comes before every judgement: quantity x unit = line total costs nothing and is the
strongest detector of slips.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from rfq.model.codes import TaxState
from rfq.model.money import extends_to, last_digit, minor_digits
from rfq.model.quote import Price, Quote

_PIECES = {"1": 1, "10": 10, "100": 100, "1000": 1000, "dozen": 12}
_ZERO = Decimal(0)
_ONE = Decimal(1)


@dataclass(frozen=True, slots=True)
class NetPrice:
    """One piece in the quoted currency: printed, less tax, less the line's discount.

    ``printed + tax + discount`` is the net price. ``doubt`` is a question where the figures of
    the reply do not fit each other, else empty.
    """

    printed: Decimal
    tax: Decimal
    discount: Decimal
    doubt: str = ""

    @property
    def net(self) -> Decimal:
        """Net price of one piece."""
        return self.printed + self.tax + self.discount


def per_piece(
    printed: Decimal, per: str, quantity: int, weight_kg: Decimal | None = None
) -> Decimal | None:
    """Return the printed amount for one piece, or None where the base leaves it open.

    Args:
        printed: amount as printed, for the whole base.
        per: '1', '10', '100', '1000', 'dozen', 'lot' (of ``quantity`` pieces) or 'kg'.
        quantity: pieces of the lot.
        weight_kg: of one piece; needed for a price by weight.

    >>> per_piece(Decimal("250"), "lot", 50), per_piece(Decimal("12"), "dozen", 50)
    (Decimal('5'), Decimal('1'))
    >>> per_piece(Decimal("8"), "kg", 50) is None
    True
    """
    if per == "lot":
        return printed / quantity
    if per == "kg":
        return None if weight_kg is None else printed * weight_kg
    pieces = _PIECES.get(per)
    return None if pieces is None else printed / pieces


def tax_of(price: Price, quote: Quote) -> tuple[TaxState, Decimal | None]:
    """Return the tax state of a price and its rate, the line's own word before the reply's."""
    if price.tax != "not stated":
        return price.tax, price.tax_percent if price.tax_percent is not None else (
            quote.terms.tax_percent
        )
    return quote.terms.tax, quote.terms.tax_percent


def net_price(price: Price, quote: Quote) -> NetPrice:
    """Return what one piece costs net, and how that follows from what was printed.

    ``Price.each`` is the shop's net price of one piece. Where the printed figure says how it
    came about (tax inside, a line discount), the way is kept so that the bridge can show it;
    a figure typed in without taking the tax out is caught here.
    """
    each = price.each if price.each is not None else _ZERO
    if price.printed is None:
        return NetPrice(each, _ZERO, _ZERO)
    printed = per_piece(price.printed, price.per, price.quantity, price.weight_kg)
    if printed is None:
        return NetPrice(each, _ZERO, _ZERO)
    state, percent = tax_of(price, quote)
    if printed == each and state != "included" and not price.discount_percent:
        return NetPrice(each, _ZERO, _ZERO)  # by far the commonest case
    taxed = 1 + percent / 100 if state == "included" and percent else _ONE
    kept = 1 - (price.discount_percent or _ZERO) / 100
    # what was already taken out of ``each``, and what therefore is still to come off
    ways = ((kept / taxed, _ONE, _ONE), (1 / taxed, _ONE, kept), (kept, taxed, _ONE),
            (_ONE, taxed, kept))  # fmt: skip
    taken, tax_left, discount_left = min(ways, key=lambda way: abs(printed * way[0] - each))
    slack = max(last_digit(each), Decimal(1).scaleb(-minor_digits(price.currency))) / 2
    if abs(printed * taken - each) > slack:
        doubt = (
            f"{price.printed} per {price.per} gives {printed.normalize():f} a piece, "
            f"but {each} was taken; say which is meant"
        )
        return NetPrice(each, _ZERO, _ZERO, doubt)
    net = each / tax_left * discount_left
    without_tax = printed / taxed
    return NetPrice(printed, without_tax - printed, net - without_tax)


def adds_up(price: Price, net: NetPrice) -> bool:
    """Return whether the line total of the reply follows from quantity and unit price.

    The total may stand for the printed or the net price, with or without the one-off charge;
    tolerance as in ``rfq.model.money.extends_to``.
    """
    if price.line_total is None:
        return True
    unit = price.each if price.each is not None else net.net
    for each in (unit, net.net, net.printed):
        for apart in (_ZERO, price.one_off or _ZERO):
            if extends_to(each, price.quantity, price.line_total - apart, price.currency):
                return True
    if price.printed is None:
        return False
    base = _PIECES.get(price.per)
    if base is None:
        return price.per == "lot" and price.printed == price.line_total
    half = last_digit(price.printed) / 2 * price.quantity / base
    half += Decimal(1).scaleb(-minor_digits(price.currency)) / 2
    return abs(price.printed * price.quantity / base - price.line_total) <= half

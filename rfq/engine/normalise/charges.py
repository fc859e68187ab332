"""A shop's charges apart from its unit prices, sorted by the bridge step they belong to."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from rfq.model.quote import Charge, Price, Quote
from rfq.problems import Problem, Severity

#: Bridge step of each kind of charge.
STEP_OF = {
    "one-off": "one-offs",
    "tooling": "one-offs",
    "first article": "one-offs",
    "finish": "charges apart",
    "certificate": "charges apart",
    "other": "charges apart",
    "packing": "packing",
    "freight": "carriage",
    "insurance": "insurance",
    "surcharge": "surcharge",
    "discount": "discount",
    "minimum order": "minimum order value",
}


@dataclass(frozen=True, slots=True)
class Due:
    """One charge as it falls on a line.

    Args:
        step: the bridge step it belongs to.
        name: as the shop names it.
        amount: in ``currency``; 0 where ``percent`` counts.
        percent: of the parts' price.
        per: a piece, a line, a kilogram, or the whole order (shared by value of goods).
        place: where it stands.
    """

    step: str
    name: str
    amount: Decimal
    percent: Decimal
    currency: str
    per: Literal["piece", "line", "kg", "order"]
    place: str


@dataclass(frozen=True, slots=True)
class MinimumOrder:
    """A least value of an order: ``fee`` is due below it, or the difference where there is none."""

    below: Decimal
    fee: Decimal | None
    currency: str
    place: str


@dataclass(frozen=True, slots=True)
class Charges:
    """The charges of one quote: on single parts, on every part, on the order."""

    of_part: dict[str, tuple[Due, ...]]
    of_every: tuple[Due, ...]
    minimum: MinimumOrder | None
    covers_carriage: bool  # the shop charges carriage itself

    def on(self, part: str) -> tuple[Due, ...]:
        """All charges that touch a part's line."""
        own = self.of_part.get(part)
        return self.of_every if own is None else own + self.of_every


def charges_of(quote: Quote) -> Charges:
    """Return a quote's charges sorted by what they fall on.

    An order discount that stands both as a term and as a charge is taken once.
    """
    of_part: dict[str, list[Due]] = {}
    of_every: list[Due] = []
    minimum = None
    carriage = False
    order_discount = quote.terms.order_discount_percent
    for charge in quote.charges:
        if charge.kind == "minimum order" and charge.below is not None:
            currency = charge.currency or quote.currency
            minimum = MinimumOrder(charge.below, charge.amount, currency, str(charge.place))
            continue
        if _repeats(charge, quote.terms.order_discount_percent):
            continue
        carriage = carriage or charge.kind == "freight"
        due = _due(charge, quote.currency)
        if charge.part:
            of_part.setdefault(charge.part, []).append(due)
        else:
            of_every.append(due)
    if order_discount:
        place = str(quote.terms.places.get("order_discount_percent", ""))
        of_every.append(
            Due("discount", "discount on the order", _ZERO, -order_discount, "", "piece", place)
        )
    return Charges(
        {part: tuple(dues) for part, dues in of_part.items()}, tuple(of_every), minimum, carriage
    )


def _repeats(charge: Charge, order_discount: Decimal | None) -> bool:
    """Whether a charge is the order discount of the terms once more."""
    percent = charge.percent
    if charge.kind != "discount" or charge.part or percent is None:
        return False
    return order_discount is not None and abs(percent) == order_discount


def _due(charge: Charge, currency: str) -> Due:
    amount, percent = charge.amount or _ZERO, charge.percent or _ZERO
    if charge.amount is not None:
        percent = _ZERO
    if charge.kind == "discount":
        amount, percent = -abs(amount), -abs(percent)
    per: Literal["piece", "line", "kg", "order"]
    if charge.per in ("piece", "kg"):
        per = "piece" if charge.per == "piece" else "kg"
    else:
        per = "line" if charge.part or charge.per == "part" else "order"
    return Due(
        STEP_OF[charge.kind],
        charge.name,
        amount,
        percent,
        charge.currency or currency,
        per,
        str(charge.place),
    )


def counted_twice(price: Price, dues: tuple[Due, ...]) -> Due | None:
    """Return the charge that repeats the price's own one-off, or None."""
    if not price.one_off:
        return None
    for due in dues:
        same = due.amount == price.one_off and due.currency == price.currency
        if due.step == "one-offs" and due.per == "line" and same:
            return due
    return None


def twice_problem(price: Price, due: Due, shop: str) -> Problem:
    """Return the question about a one-off that stands both in the line and apart."""
    return Problem(
        "N021",
        f"The one-off of {price.one_off} {price.currency} for {price.part} stands both in the line "
        f"and as '{due.name}'; it is counted once until the shop says otherwise.",
        place=price.place,
        severity=Severity.ASK,
        subject=shop,
    )


def surcharge_each(
    index_now: Decimal, index_base: Decimal, gross_weight_kg: Decimal, share: Decimal = Decimal(1)
) -> Decimal:
    """Return a material surcharge a piece: (index now - index base) x gross weight x share.

    >>> surcharge_each(Decimal("2.75"), Decimal("2.30"), Decimal("2.4"))
    Decimal('1.080')
    """
    return (index_now - index_base) * gross_weight_kg * share


_ZERO = Decimal(0)

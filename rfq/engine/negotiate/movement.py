"""What moved from one round to the next: two bridges of a line differenced, step by step.

A lower price is a concession only as far as it is not another scope, other terms, another
exchange rate or another quantity break. Steps that follow the price by a percentage (duty,
insurance, payment terms) belong to the concession as far as they follow it. The five parts add
up to the whole movement, to the last digit.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from rfq.model.comparison import Comparison, Line, PriceCell

CONCESSION: Final = "concession"
SCOPE: Final = "scope"
TERMS: Final = "terms"
CURRENCY: Final = "currency"
QUANTITY: Final = "quantity"
KINDS: Final = (CONCESSION, SCOPE, TERMS, CURRENCY, QUANTITY)

#: Where each step of the bridge belongs; those of the price itself are the concession.
_OF: Final[Mapping[str, str]] = {
    "quoted price": CONCESSION,
    "tax": CONCESSION,
    "discount": CONCESSION,
    "surcharge": CONCESSION,
    "one-offs": CONCESSION,
    "minimum order quantity": QUANTITY,
    "minimum order value": QUANTITY,
    "charges apart": SCOPE,
    "packing": SCOPE,
    "exceptions": SCOPE,
    "missing scope": SCOPE,
    "carriage": TERMS,
    "insurance": TERMS,
    "duty": TERMS,
    "broker": TERMS,
    "bank": TERMS,
    "payment terms": TERMS,
}
_PRICE: Final = ("quoted price", "tax", "discount", "surcharge")
_CONCEDED: Final = (*_PRICE, "one-offs")
_GOODS: Final = (*_CONCEDED, "charges apart", "minimum order quantity", "minimum order value")
_FOLLOWS: Final = ("insurance", "duty", "payment terms")
_ZERO: Final = Decimal(0)


@dataclass(frozen=True, slots=True)
class Movement:
    """How one comparable price moved, project currency a piece; below zero it fell.

    Args:
        before, after: comparable prices. parts: kind -> amount; they sum to after - before.
        words: what moved, largest first.
    """

    part: str
    quantity: int
    shop: str
    before: Decimal
    after: Decimal
    parts: Mapping[str, Decimal]

    @property
    def whole(self) -> Decimal:
        """After minus before."""
        return self.after - self.before

    @property
    def concession(self) -> Decimal:
        """The part that is a real change of price."""
        return self.parts[CONCESSION]

    @property
    def words(self) -> str:
        """What moved, in words, largest first."""
        moved = sorted(
            ((kind, amount) for kind, amount in self.parts.items() if abs(amount) >= _CENT),
            key=lambda one: -abs(one[1]),
        )
        return ", ".join(f"{kind} {amount:+.2f}" for kind, amount in moved) or "unchanged"


_CENT: Final = Decimal("0.005")


def movements(
    before: Comparison, after: Comparison, exchange: tuple[Mapping[str, Decimal], ...] = ()
) -> tuple[Movement, ...]:
    """Return how every price with a bridge in both rounds moved.

    Args:
        before, after: two rounds of one request.
        exchange: (before, after): currency -> project currency a unit; () where both comparisons
            use the same rates, as they do when both are made on one day.
    """
    lines = {(line.part, line.quantity): line for line in before.lines}
    found = []
    for line in after.lines:
        older = lines.get((line.part, line.quantity))
        if older is None:
            continue
        cells = {cell.shop: cell for cell in older.prices}
        for cell in line.prices:
            was = cells.get(cell.shop)
            if was is not None and was.comparable is not None and cell.comparable is not None:
                found.append(_moved(line, was, cell, exchange))
    return tuple(found)


def _moved(
    line: Line, was: PriceCell, now: PriceCell, exchange: tuple[Mapping[str, Decimal], ...]
) -> Movement:
    assert was.comparable is not None and now.comparable is not None
    old, new = _steps(was), _steps(now)
    parts = dict.fromkeys(KINDS, _ZERO)
    for name in {*old, *new} & set(_OF):
        parts[_OF[name]] += new.get(name, _ZERO) - old.get(name, _ZERO)
    _follow(old, new, parts)
    _currency(was, now, old, exchange, parts)
    if _break_of(was) != _break_of(now):
        # Another break binds: what the price itself moved by is the quantity's.
        parts[QUANTITY] += parts[CONCESSION]
        parts[CONCESSION] = _ZERO
    whole = now.comparable - was.comparable
    _divide(parts, whole)
    return Movement(line.part, line.quantity, now.shop, was.comparable, now.comparable, parts)


def _follow(
    old: Mapping[str, Decimal], new: Mapping[str, Decimal], parts: dict[str, Decimal]
) -> None:
    """Move what only follows the price by its percentage from the terms to the concession."""
    moved = sum((new.get(name, _ZERO) - old.get(name, _ZERO) for name in _CONCEDED), _ZERO)
    goods = sum((old.get(name, _ZERO) for name in _GOODS), _ZERO)
    for name in _FOLLOWS:
        if not (old.get(name) and new.get(name)):
            continue
        base = goods
        if name != "payment terms":  # insurance and duty are taken of what arrives
            base += sum((old.get(step, _ZERO) for step in ("packing", "carriage")), _ZERO)
        if base:
            follows = old[name] * moved / base
            parts[TERMS] -= follows
            parts[CONCESSION] += follows


def _currency(
    was: PriceCell,
    now: PriceCell,
    old: Mapping[str, Decimal],
    exchange: tuple[Mapping[str, Decimal], ...],
    parts: dict[str, Decimal],
) -> None:
    """The old price at the new rate, less the old price: what the exchange alone did."""
    if len(exchange) != 2 or was.quoted is None or now.quoted is None:
        return
    code = was.quoted.currency
    first, second = exchange[0].get(code), exchange[1].get(code)
    if code != now.quoted.currency or not first or not second or first == second:
        return
    price_was = sum((old.get(name, _ZERO) for name in _CONCEDED), _ZERO)
    moved = price_was * (second / first - 1)
    parts[CURRENCY] += moved
    parts[CONCESSION] -= moved


def _divide(parts: dict[str, Decimal], whole: Decimal) -> None:
    """Scale to accepted parts (the bridge's last step) and give the rounding to the largest."""
    summed = sum(parts.values(), _ZERO)
    if summed and whole:
        for kind in parts:
            parts[kind] = (parts[kind] * whole / summed).quantize(Decimal("0.000001"))
    largest = max(parts, key=lambda kind: abs(parts[kind]))
    parts[largest] += whole - sum(parts.values(), _ZERO)


def _steps(cell: PriceCell) -> dict[str, Decimal]:
    found: dict[str, Decimal] = {}
    for step in cell.bridge:
        found[step.step] = found.get(step.step, _ZERO) + step.amount
    return found


def _break_of(cell: PriceCell) -> int:
    return cell.quoted.quantity if cell.quoted is not None else 0

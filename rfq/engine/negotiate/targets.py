"""Target prices: where a price ought to end up, when there is ground to say so.

The target is our middle (overhead and margin are in it), moved by what the shop's own breakdown
shows: what it buys itself, material and finish, it knows better than we do, so its figures for
these two take the place of ours. There is no target where the price lies inside the band, where
the should-cost rests on typed figures and the shop gave no breakdown, or where a slip has to be
cleared up first. What is left without this shop is the next best offer.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_UP, Decimal
from typing import Final

from rfq.model.codes import BREAKDOWN_OF, Verdict
from rfq.model.comparison import Band, Comparison, Line, PriceCell

#: Elements a shop pays others for: its own figure is the better one.
BOUGHT: Final = ("material", "finish")
#: Steps of the bridge that do not move with the unit price.
_FIXED: Final = (
    "one-offs", "charges apart", "minimum order value", "carriage", "broker", "bank",
    "exceptions", "missing scope",
)  # fmt: skip
_ZERO: Final = Decimal(0)


@dataclass(frozen=True, slots=True)
class Target:
    """A target for one price, or why there is none.

    Args:
        comparable: the price as it is. target: comparable; None where there is none.
        quoted, quoted_target: one piece in the shop's own currency and terms, for the letter.
        why: what the target rests on, or why there is none.
        next_best: shop and comparable price left if this one walks away; ours alone to know.
        gain: what reaching it saves on the line's quantity.
    """

    part: str
    quantity: int
    shop: str
    comparable: Decimal
    target: Decimal | None
    quoted: Decimal | None
    quoted_target: Decimal | None
    currency: str
    why: str
    next_best: tuple[str, Decimal] | None
    gain: Decimal = _ZERO

    @property
    def key(self) -> str:
        """Name to tick it by."""
        return f"target:{self.part}/{self.quantity}"


def targets(
    comparison: Comparison, quoted_each: Mapping[tuple[str, int, str], Decimal]
) -> tuple[Target, ...]:
    """Return a target, or the reason for none, for every ranked or rankable price.

    Args:
        comparison: of the round.
        quoted_each: (part, quantity, shop) -> net price of one piece in the shop's currency.
    """
    found = []
    for line in comparison.lines:
        for cell in line.prices:
            if cell.comparable is None:
                continue
            each = quoted_each.get((line.part, line.quantity, cell.shop))
            found.append(_target(line, cell, each))
    return tuple(found)


def next_best(line: Line, shop: str) -> tuple[str, Decimal] | None:
    """Return the cheapest ranked offer of another shop, or None."""
    others = [
        (cell.comparable, cell.shop)
        for cell in line.prices
        if cell.shop != shop and cell.ranked and cell.comparable is not None
    ]
    if not others:
        return None
    price, name = min(others)
    return name, price


def _target(line: Line, cell: PriceCell, each: Decimal | None) -> Target:
    assert cell.comparable is not None
    amount, why = _amount(line.should_cost, cell)
    quoted_target = _as_quoted(cell, each, amount) if amount is not None else None
    if amount is not None and quoted_target is None and each is not None:
        amount, why = None, "what does not go with the unit price is above the target already"
    gain = (cell.comparable - amount) * line.quantity if amount is not None else _ZERO
    return Target(
        part=line.part,
        quantity=line.quantity,
        shop=cell.shop,
        comparable=cell.comparable,
        target=amount,
        quoted=each,
        quoted_target=quoted_target,
        currency=cell.quoted.currency if cell.quoted else "",
        why=why,
        next_best=next_best(line, cell.shop),
        gain=gain,
    )


def _amount(band: Band | None, cell: PriceCell) -> tuple[Decimal | None, str]:
    assert cell.comparable is not None
    if band is None:
        return None, "no should-cost"
    if cell.verdict in (Verdict.QUERY, Verdict.LIKELY_ERROR):
        return None, "the price is odd: ask first, talk about price afterwards"
    if cell.comparable <= band.high:
        side = "below" if cell.comparable < band.low else "inside"
        return None, f"the price lies {side} the band"
    if band.basis == "typed" and not cell.elements:
        return None, "the should-cost rests on typed figures alone"
    moved, words = _moved(band, cell)
    target = band.middle + moved
    if target >= cell.comparable:
        return None, f"the shop's own breakdown carries the price ({words})"
    return target, f"our middle{f', moved by {words}' if words else ''}"


def _moved(band: Band, cell: PriceCell) -> tuple[Decimal, str]:
    """What the shop's own figures for what it buys add to our middle."""
    if not cell.elements or not band.elements:
        return _ZERO, ""
    ours = ours_in_five(band)
    moved, words = _ZERO, []
    for name in BOUGHT:
        own = cell.elements.get(name)
        if own and name in ours:
            by = Decimal(str(round(own - ours[name], 4)))
            moved += by
            words.append(f"its {name} {by:+.2f}")
    return moved, ", ".join(words)


def ours_in_five(band: Band) -> dict[str, float]:
    """Return our elements folded into the five a shop is asked for, overhead spread over them.

    They sum to our middle.
    """
    five: dict[str, float] = {}
    for name, value in band.elements.items():
        if name in BREAKDOWN_OF:
            five[BREAKDOWN_OF[name]] = five.get(BREAKDOWN_OF[name], 0.0) + value
    whole = sum(five.values())
    factor = float(band.middle) / whole if whole > 0 else 0.0
    return {name: value * factor for name, value in five.items()}


def _as_quoted(cell: PriceCell, each: Decimal | None, target: Decimal) -> Decimal | None:
    """The unit price, in the shop's terms, that makes the comparable price the target.

    Rounded up to three figures: a target is a plain figure, and no printed should-cost.
    """
    assert cell.comparable is not None
    if each is None:
        return None
    fixed = sum((step.amount for step in cell.bridge if step.step in _FIXED), _ZERO)
    if target <= fixed or cell.comparable <= fixed:
        return None
    exact = each * (target - fixed) / (cell.comparable - fixed)
    return plain_figure(exact)


def plain_figure(amount: Decimal) -> Decimal:
    """Return an amount rounded up to three figures.

    >>> plain_figure(Decimal("130.731")), plain_figure(Decimal("9.0412"))
    (Decimal('131'), Decimal('9.05'))
    """
    step = Decimal(1).scaleb(amount.adjusted() - 2)
    rounded = amount.quantize(step, rounding=ROUND_UP)
    return Decimal(f"{rounded:f}")

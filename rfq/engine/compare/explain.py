"""The reason of a verdict and the question to the shop, in plain words.

A reason is for us and may weigh the other shops' prices. A question goes to one shop: the
functions that word it are handed that shop's own figures and nothing else.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from rfq.engine.compare.by_element import WORDS, ElementFinding
from rfq.engine.compare.judgement import ERROR, OUTSIDE, NamedSlip
from rfq.engine.compare.slips import Explanation, candidates, explain, name_of, question_for
from rfq.engine.normalise.basis import tax_of
from rfq.model.comparison import Band, Slip
from rfq.model.quote import Price, Quote

_FIGURE = re.compile(r"\d+(?:\.\d+)?")
_CENT, _FOUR_PLACES = Decimal("0.01"), Decimal("0.0001")


@dataclass(frozen=True, slots=True)
class Finding:
    """A verdict put into words; ``slip`` None where no mistake is named."""

    slip: Slip | None
    reason: str
    question: str


def quoted_words(price: Price) -> str:
    """Return a price as the shop printed it.

    >>> quoted_words(Price(part="P", quantity=25, printed=Decimal("41.20"), currency="EUR"))
    '41.20 EUR'
    """
    amount = price.printed if price.printed is not None else price.each
    per = "" if price.per == "1" else f" per {price.per}"
    return f"{amount} {price.currency}{per}"


def finding(
    verdict: str,
    named: NamedSlip | None,
    price: Price,
    quantity: int,
    comparable: Decimal,
    band: Band | None,
    expected: tuple[Decimal, Decimal] | None,
    *,
    alone: bool,
    adds_up: bool,
    between_breaks: bool = False,
    other: tuple[Explanation | None, Explanation | None] = (None, None),
) -> Finding:
    """Return a verdict in words.

    Args:
        verdict: one of the four.
        named: the likeliest slip, or None.
        price: the shop's own price.
        quantity: pieces of the line.
        comparable: the comparable price.
        band: our should-cost, or None.
        expected: where price level and band lead, low and high.
        alone: no other shop has a price for the line.
        adds_up: whether quantity x unit price is the printed line total.
        between_breaks: the price is of a smaller quantity; the likeliest reason to be above.
        other: what the facts at hand explain (breaks, tax, one-off), best and next.
    """
    place = _place_in(comparable, band)
    leads = "" if expected is None else f"; price level and band lead to {_range(*expected)}"
    if band is None:
        leads = "" if expected is None else f"; the other prices lead to {_range(*expected)}"
    about = f"{price.part}, {quantity} pcs"
    if not adds_up:
        slip = Slip(name=name_of("arithmetic"), factor=1.0, fit=1.0)
        question = question_for("arithmetic", price.part, quantity, quoted=quoted_words(price))
        total = f"{price.quantity} x {price.each} is not {price.line_total}"
        return Finding(slip, f"the line does not add up: {total}{leads}", question)
    if named is None:
        single = "; it is the only quote, so only the band speaks" if alone and band else ""
        if alone and band is None:
            single = "; it is the only quote and there is no band, so nothing speaks about it"
        if verdict == OUTSIDE and between_breaks:
            question = (
                f"Part {price.part}: your price of {quoted_words(price)} is for {price.quantity} "
                f"pcs; what is it for {quantity} pcs?"
            )
            reason = f"{place}, at the price of {price.quantity} pcs{leads}{single}"
            return Finding(None, reason, question)
        if verdict == OUTSIDE:
            question = question_for("", price.part, quantity, quoted=quoted_words(price))
            return Finding(None, f"{place}{leads}{single}", question)
        return Finding(None, f"{place}{single}", "")
    key, next_best, detail = named.key, named.next_best, ""
    factor, fit = named.factor, named.fit
    best, second = other
    exact = best is not None and best.key == "other break"
    if best is not None and not named.whole_reply and (exact or not key):
        next_best = key or (second.key if second is not None else next_best)
        key, factor, fit, detail = best.key, best.factor, best.fit, best.detail
    elif second is not None and not next_best:
        next_best = second.key if second.key != key else ""
    words = name_of(key)
    slip = Slip(
        name=words,
        factor=factor,
        fit=min(max(fit, 0.0), 1.0),
        next_best=name_of(next_best) if next_best else "",
        reason=detail,
    )
    may_be = f"may be: {words}" + (f" ({detail})" if detail else "")
    if key:
        may_be += f", which explains {fit * 100:.0f} % of the distance"
    if next_best:
        may_be += f"; or: {name_of(next_best)}"
    whole = " on the whole reply" if named.whole_reply else ""
    strength = "far off" if verdict == ERROR else "hard to explain"
    question = question_for(
        key,
        price.part,
        quantity,
        quoted=quoted_words(price),
        whole_reply=named.whole_reply,
        detail=detail if key == "other break" else "",
    )
    return Finding(slip, f"{about}: {place}, {strength}{leads}; {may_be}{whole}", question)


def element_finding(
    verdict: str,
    found: ElementFinding,
    price: Price,
    quantity: int,
    band: Band,
    comparable: Decimal,
) -> Finding:
    """Return a verdict in words where an element of the shop's breakdown is out against ours.

    Args:
        found: which element, how far, and the runner-up.
        price: the shop's own price.
        band: our should-cost.
    """
    next_best = WORDS.get(found.next_best, "")
    words = WORDS[found.key]
    slip = Slip(
        name=f"{words} differs from ours",
        factor=found.ratio,
        fit=found.weight,
        next_best=f"{next_best} differs from ours" if next_best else "",
        reason="from the shop's own breakdown",
    )
    strength = "far off" if verdict == ERROR else "hard to explain"
    reason = (
        f"{price.part}, {quantity} pcs: {_place_in(comparable, band)}, {strength} in its "
        f"breakdown: {words} is {found.ratio:.2f} x ours"
    )
    if next_best:
        reason += f"; or: {next_best}"
    return Finding(slip, reason, question_for(found.key, price.part, quantity))


def facts_explain(
    distance: float,
    sd: float,
    price: Price,
    quantity: int,
    quote: Quote,
    own_breaks: Mapping[int, Decimal],
    currency_ratios: Mapping[str, float],
    shares: Mapping[str, float],
    one_off: float | None,
) -> tuple[Explanation | None, Explanation | None]:
    """Return what the shop's own figures explain of a distance: best and next.

    Args:
        distance, sd: log distance from the expected price, and its standard deviation.
        own_breaks: the shop's own prices by quantity.
        currency_ratios: of currencies in play.
        shares: of elements in our should-cost.
        one_off: the shop's own one-off, or our estimate's.
    """
    state, percent = tax_of(price, quote)
    rates = [float(percent) / 100] if percent and state != "excluded" else []
    possible = candidates(
        quantity=float(quantity),
        price=float(price.each or 0),
        own_breaks={float(key): float(value) for key, value in own_breaks.items()},
        one_off=one_off,
        tax_rates=rates,
        currency_ratios=currency_ratios,
        shares=shares,
        mass_kg=float(price.weight_kg) if price.weight_kg is not None else None,
    )
    if math.isnan(distance) or math.isnan(sd):
        return None, None
    return explain(distance, sd, possible)


def _place_in(comparable: Decimal, band: Band | None) -> str:
    if band is None:
        return f"{money(comparable)}, no should-cost to compare with"
    if comparable > band.high:
        side = "above"
    elif comparable < band.low:
        side = "below"
    else:
        side = "within"
    return f"{money(comparable)} is {side} the band of {_range(band.low, band.high)}"


def _range(low: Decimal, high: Decimal) -> str:
    return f"{money(low)} to {money(high)}"


def money(amount: Decimal) -> str:
    """Return an amount to the cent, a penny price to four decimals.

    >>> money(Decimal("66.2049")), money(Decimal("0.03214"))
    ('66.20', '0.0321')
    """
    return f"{amount.quantize(_CENT if abs(amount) >= 1 else _FOUR_PLACES):f}"


def foreign_figures(question: str, own: Sequence[str], others: Sequence[Decimal]) -> list[str]:
    """Return figures of other shops that stand in a question and are not the shop's own.

    Args:
        question: as it would be sent.
        own: everything the shop itself wrote or was asked, as text.
        others: prices of other shops, as printed or comparable.
    """
    foreign = {value for other in others for value in (other, round(other, 2))}
    mine = {Decimal(text) for word in own for text in _FIGURE.findall(word)}
    return [
        text
        for text in _FIGURE.findall(question)
        if Decimal(text) in foreign and Decimal(text) not in mine
    ]

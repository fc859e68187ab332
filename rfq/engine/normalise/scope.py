"""What a part needs and a price leaves out, and what fills the gap so that prices compare.

A tick 'out' without a charge of the shop's own for it is a gap: filled with our estimate's
element, else with the median of what the other shops want for it; marked, and asked. The other
shops' figures never stand in a question.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from statistics import median

from rfq.model.codes import Scope, Ticked
from rfq.model.estimate import Estimate
from rfq.model.part import Part
from rfq.model.quote import Quote
from rfq.model.request import Request

#: Which element of our should-cost stands for a scope item.
ELEMENT_OF: Mapping[Scope, str] = {
    Scope.FINISH: "finish",
    Scope.INSPECTION: "inspection",
    Scope.CERTIFICATES: "packing and certificates",
    Scope.PACKING: "packing and certificates",
}
#: Which kinds of charge show that a shop prices a scope item apart.
CHARGE_OF: Mapping[Scope, str] = {
    Scope.FINISH: "finish",
    Scope.CERTIFICATES: "certificate",
    Scope.FIRST_ARTICLE: "first article",
    Scope.PACKING: "packing",
    Scope.FREIGHT: "freight",
}
_OVERHEAD = "overhead and margin"


@dataclass(frozen=True, slots=True)
class Fill:
    """What stands in for a scope item that is not in the price, a piece, in project currency.

    ``each`` is None where nothing is known to fill it with.
    """

    scope: Scope
    each: Decimal | None
    reason: str


def needed(part: Part, request: Request | None) -> tuple[Scope, ...]:
    """Return what the part needs, so far as ticks can leave it out; carriage is Incoterms'."""
    wants = {
        Scope.FINISH: bool(part.finishes),
        Scope.MASKS: any(finish.masks for finish in part.finishes),
        Scope.CERTIFICATES: bool(part.certificate),
        Scope.FIRST_ARTICLE: request is not None and request.terms.first_article,
        Scope.INSPECTION: True,
        Scope.PACKING: True,
    }
    return tuple(scope for scope, wanted in wants.items() if wanted)


def missing(
    part: Part,
    wants: Iterable[Scope],
    quote: Quote,
    packing_rate_known: bool = False,
    own: Mapping[Scope, Ticked] | None = None,
) -> tuple[Scope, ...]:
    """Return the needed items that the quote ticks as out and doesn't price apart.

    Masks that are out together with the finish are one gap, not two. ``own`` are the ticks of
    the one price, which win over the quote's.
    """
    ticks = {**quote.scope, **(own or {})}
    apart = {charge.kind for charge in quote.charges if charge.part in ("", part.number)}
    out = [
        scope for scope in wants if ticks.get(scope) == "out" and CHARGE_OF.get(scope) not in apart
    ]
    if Scope.FINISH in out and Scope.MASKS in out:
        out.remove(Scope.MASKS)
    if packing_rate_known and Scope.PACKING in out:
        out.remove(Scope.PACKING)
    return tuple(out)


def not_stated(wants: Iterable[Scope], quote: Quote) -> tuple[Scope, ...]:
    """Return the needed items that the quote says nothing about, neither tick nor charge."""
    apart = {charge.kind for charge in quote.charges}
    return tuple(
        scope
        for scope in wants
        if quote.scope.get(scope, "not stated") == "not stated"
        and CHARGE_OF.get(scope) not in apart
    )


def element_each(estimate: Estimate, name: str) -> float | None:
    """Return an element with its part of overhead and margin, EUR a piece, or None without it.

    Overhead and margin are spread over the elements in proportion, as a shop's rates hold them.
    """
    shares = {element.name: element.middle for element in estimate.elements}
    own = shares.get(name, 0.0)
    rest = sum(shares.values()) - shares.get(_OVERHEAD, 0.0)
    if own <= 0.0 or rest <= 0.0:
        return None
    return own * (1.0 + shares.get(_OVERHEAD, 0.0) / rest)


def fill(
    scope: Scope,
    estimate: Estimate | None,
    euro: Decimal | None,
    others: Sequence[Decimal],
    quantity: int,
) -> Fill:
    """Return what fills a gap.

    Args:
        scope: the item left out.
        estimate: our should-cost of the line.
        euro: project currency for one euro; None where unknown.
        others: what the other shops want for it, a piece, in project currency.
        quantity: pieces; a first article is paid once.
    """
    if estimate is not None and euro is not None:
        each = element_each(estimate, ELEMENT_OF.get(scope, ""))
        if scope is Scope.FIRST_ARTICLE:
            once = sum(
                value for name, value in estimate.one_off.items() if "first article" in name.lower()
            )
            each = once / quantity if once > 0 else None
        if each is not None:
            named = ELEMENT_OF.get(scope, scope.value)
            return Fill(scope, Decimal(repr(each)) * euro, f"our should-cost's {named}")
    if others:
        return Fill(scope, Decimal(median(others)), "median of what the other shops want for it")
    return Fill(scope, None, "no figure to fill it with")


def priced_apart(quote: Quote, part: str, quantity: int) -> dict[Scope, tuple[Decimal, str]]:
    """Return what a shop wants for scope items, a piece, with its currency.

    From its charges for the part, and from its breakdown at this quantity.
    """
    found: dict[Scope, tuple[Decimal, str]] = {}
    for breakdown in quote.breakdowns:
        if breakdown.part == part and breakdown.quantity == quantity:
            for scope, name in ((Scope.FINISH, "finish"), (Scope.INSPECTION, "inspection")):
                if breakdown.elements.get(name) and quote.scope.get(scope) != "out":
                    found[scope] = (breakdown.elements[name], quote.currency)
    for scope, kind in CHARGE_OF.items():
        for charge in quote.charges:
            if charge.kind != kind or charge.part != part or charge.amount is None:
                continue
            each = charge.amount if charge.per == "piece" else charge.amount / quantity
            found[scope] = (each, charge.currency or quote.currency)
    return found

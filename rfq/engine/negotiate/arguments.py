"""Arguments for a round, about the part, ranked by the money behind them.

Each carries the sentence that may go to the shop and what it is worth to us. A sentence holds the
shop's own figures and at most one element of ours, never another shop's figure or name, never a
should-cost in total.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, Literal

from rfq.engine.negotiate.say import say
from rfq.engine.negotiate.targets import ours_in_five
from rfq.model.codes import BREAKDOWN, Verdict
from rfq.model.comparison import Comparison, Line, PriceCell
from rfq.model.estimate import Saving
from rfq.model.project import Project
from rfq.model.quote import Price, Quote
from rfq.model.request import Request

_ODD: Final = (Verdict.QUERY, Verdict.LIKELY_ERROR)
Kind = Literal["element", "saving", "quantity", "repeat", "terms"]

#: An element is an argument from this factor over ours on. Common practice, no source.
FAR: Final = 1.25
#: What money costs a small shop, per cent a year. Common practice, no source; ours is a rate.
SHOP_MONEY_PERCENT: Final = Decimal(11)
#: Kinds of savings worth a question to a shop, how much of the price they must save, how many
#: a part gets. Common practice, no source.
_BOTH_GAIN: Final = ("callout", "texture", "radius", "clamping", "stock", "mask", "finish", "route")
_NOT_ON_LOADED: Final = ("finish", "route", "material", "certificate")
LEAST_SHARE: Final = 0.01
MOST_SAVINGS: Final = 3


@dataclass(frozen=True, slots=True)
class Argument:
    """One argument towards one shop.

    Args:
        key: to tick it by. money: what it is worth, project currency, on the order.
        sentences: for the letter, by language. ours: what it rests on, for us alone.
        caution: where it touches strength or function.
    """

    key: str
    kind: Kind
    shop: str
    part: str
    money: Decimal
    sentences: Mapping[str, str]
    ours: str
    caution: str = ""

    @property
    def sentence(self) -> str:
        """What is said, in English."""
        return self.sentences["en"]

    def said(self, language: str) -> str:
        """What is said in a language, in English where it has none."""
        return self.sentences.get(language, self.sentences["en"])


def arguments(
    project: Project,
    request: Request,
    comparison: Comparison,
    shop: str,
    *,
    savings: Mapping[str, Sequence[Saving]] | None = None,
    prices: Mapping[tuple[str, str], Sequence[Price]] | None = None,
) -> tuple[Argument, ...]:
    """Return the arguments towards a shop, by money, largest first.

    Args:
        project, request, comparison: of the round. shop: id.
        savings: part -> what changes to it would save; only those meant for a shop are used.
        prices: (part, shop) -> the shop's own prices, rising by quantity.
    """
    found: list[Argument] = []
    odd = {
        (line.part, line.quantity)
        for line in comparison.lines
        for cell in line.prices
        if cell.shop == shop and cell.verdict in _ODD
    }
    for line, cell in _ordered(request, comparison, shop):
        if (line.part, line.quantity) in odd:
            continue  # an odd price is asked about first
        found += _elements(line, cell, comparison.currency)
        found += _savings(line, shop, (savings or {}).get(line.part, ()), project)
        sound = [
            price
            for price in (prices or {}).get((line.part, shop), ())
            if (line.part, price.quantity) not in odd
        ]
        found += _larger(request, line, cell, sound)
    newest = _newest(project.quotes, request, shop)
    if newest is not None:
        found += _terms(project, comparison, newest, shop, request)
    found.sort(key=lambda one: (-one.money, one.key))
    return tuple(found)


def _ordered(
    request: Request, comparison: Comparison, shop: str
) -> Iterable[tuple[Line, PriceCell]]:
    """The shop's priced lines at the quantity ordered first."""
    for line in comparison.lines:
        asked = request.line(line.part)
        if asked is None or line.quantity != (asked.order_first or asked.quantities[0]):
            continue
        for cell in line.prices:
            if cell.shop == shop and cell.comparable is not None:
                yield line, cell


def _elements(line: Line, cell: PriceCell, currency: str) -> list[Argument]:
    if not cell.elements or line.should_cost is None:
        return []
    ours = ours_in_five(line.should_cost)
    found = []
    for name in BREAKDOWN:
        own, mine = cell.elements.get(name), ours.get(name)
        if not own or not mine or own < FAR * mine:
            continue
        money = Decimal(str(round((own - mine) * line.quantity, 2)))
        found.append(
            Argument(
                key=f"{line.part}/{name}",
                kind="element",
                shop=cell.shop,
                part=line.part,
                money=money,
                sentences=say(
                    "element",
                    part=line.part,
                    pieces=line.quantity,
                    element=name,
                    own=f"{own:.2f} {currency}",
                    ours=_about(mine),
                ),
                ours=f"{name} {own / mine:.2f} times ours",
            )
        )
    return found


def _savings(line: Line, shop: str, savings: Sequence[Saving], project: Project) -> list[Argument]:
    """Changes that would save on both sides, as questions; one is decided for all or not at all."""
    found = []
    loaded = (part := project.parts.get(line.part)) is not None and part.loaded
    for saving in savings:
        if saving.kind not in _BOTH_GAIN or saving.middle >= 0 or -saving.share < LEAST_SHARE:
            continue
        if loaded and saving.kind in _NOT_ON_LOADED:
            continue
        caution = saving.caution
        if loaded and not caution:
            caution = "the responsible engineer agrees in writing first"
        found.append(
            Argument(
                key=f"{line.part}/{saving.name}",
                kind="saving",
                shop=shop,
                part=line.part,
                money=Decimal(str(round(-saving.middle * line.quantity, 2))),
                sentences=say(
                    "saving",
                    part=line.part,
                    kind=saving.kind,
                    was=saving.was,
                    becomes=saving.becomes,
                ),
                ours=f"{saving.name}: {saving.middle:+.2f} a piece by our estimate",
                caution=caution,
            )
        )
    return found[:MOST_SAVINGS]


def _larger(
    request: Request, line: Line, cell: PriceCell, prices: Sequence[Price]
) -> list[Argument]:
    """A year called off in lots at the own larger break; a repeat without its one-offs."""
    asked = request.line(line.part)
    assert asked is not None and cell.comparable is not None
    found = []
    at = [price for price in prices if price.quantity <= line.quantity]
    larger = [
        price
        for price in prices
        if price.quantity > line.quantity and price.each is not None
        and asked.yearly is not None and price.quantity <= asked.yearly
    ]  # fmt: skip
    if at and larger and at[-1].each and asked.yearly:
        best = larger[-1]
        assert best.each is not None
        share = 1 - best.each / at[-1].each
        if share > 0:
            found.append(
                Argument(
                    key=f"{line.part}/call-off",
                    kind="quantity",
                    shop=cell.shop,
                    part=line.part,
                    money=(cell.comparable * share * line.quantity).quantize(Decimal("0.01")),
                    sentences=say(
                        "call-off",
                        part=line.part,
                        yearly=asked.yearly,
                        pieces=line.quantity,
                        larger=best.quantity,
                        each=f"{best.each} {best.currency}",
                    ),
                    ours=f"its own break at {best.quantity} pcs is {share:.0%} lower",
                )
            )
    once = at[-1].one_off if at else None
    if once and asked.yearly and asked.yearly > line.quantity:
        step = sum((s.amount for s in cell.bridge if s.step == "one-offs"), Decimal(0))
        found.append(
            Argument(
                key=f"{line.part}/repeat",
                kind="repeat",
                shop=cell.shop,
                part=line.part,
                money=(step * line.quantity).quantize(Decimal("0.01")),
                sentences=say("repeat", part=line.part, once=f"{once:.2f} {at[-1].currency}"),
                ours="the one-off counts in full on the first order",
            )
        )
    return found


def _terms(
    project: Project, comparison: Comparison, quote: Quote, shop: str, request: Request
) -> list[Argument]:
    """Earlier payment, where money costs the shop more than us; less before delivery otherwise."""
    payment = quote.terms.payment
    if payment is None or not payment.instalments:
        return []
    total = sum(
        (cell.comparable * line.quantity for line, cell in _ordered(request, comparison, shop)
         if cell.comparable is not None),
        Decimal(0),
    )  # fmt: skip
    ours = project.rates.money_percent
    before = sum(
        (one.share for one in payment.instalments if one.event in ("order", "before delivery")),
        Decimal(0),
    )
    if before > 0:
        money = (total * before * ours / 100 * Decimal(42) / 365).quantize(Decimal("0.01"))
        return [
            Argument(
                key="terms/prepayment",
                kind="terms",
                shop=shop,
                part="",
                money=money,
                sentences=say("prepayment", share=f"{before:.0%}"),
                ours=f"{total * before:.2f} {comparison.currency} at risk before delivery",
            )
        ]
    days = max(one.days for one in payment.instalments)
    gap = SHOP_MONEY_PERCENT - ours
    if days < 14 or gap <= 0:
        return []
    money = (total * gap / 100 * days / 365).quantize(Decimal("0.01"))
    percent = (SHOP_MONEY_PERCENT * days / 365).quantize(Decimal("0.1"))
    return [
        Argument(
            key="terms/earlier",
            kind="terms",
            shop=shop,
            part="",
            money=money,
            sentences=say("earlier", days=days, percent=percent),
            ours=f"money costs us {ours} %, a shop about {SHOP_MONEY_PERCENT} % (practice)",
        )
    ]


def _newest(quotes: Iterable[Quote], request: Request, shop: str) -> Quote | None:
    mine = [q for q in quotes if q.request == request.id and q.shop == shop
            and q.state == "standing"]  # fmt: skip
    return max(mine, key=lambda quote: (quote.round, quote.number)) if mine else None


def _about(amount: float) -> str:
    """An element of ours as a rough figure; two digits are all it is good for."""
    if amount >= 10:
        return f"{round(amount, -(len(str(int(amount))) - 2)):.0f}"
    return f"{amount:.1f}"

"""The working table of a round: every line at every shop, resolved but not yet judged.

Slotted values for the engine's own use; ``matrix`` turns them into what is shown. The same
table is built again at other quantities for 'what decides'.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from rfq.engine.compare.gaps import state_of
from rfq.engine.normalise.basis import net_price
from rfq.engine.normalise.bridge import Assumptions, Bridged, bridged
from rfq.engine.normalise.conditions import Conditions, conditions_of
from rfq.engine.normalise.currency import EURO, Exchange
from rfq.engine.normalise.offers import (
    Offered,
    PartOffer,
    Standing,
    assumptions_of,
    goods_of,
    line_offer,
    share_of_order,
    standing,
)
from rfq.engine.normalise.quantity import bind
from rfq.engine.normalise.scope import Fill, fill, missing, needed, not_stated, priced_apart
from rfq.model.codes import CellState, Scope
from rfq.model.estimate import Estimate
from rfq.model.part import Part
from rfq.model.project import Project
from rfq.model.quote import Quote
from rfq.model.request import Asked, Request, RequestLine
from rfq.model.shop import Shop
from rfq.problems import Problem, Severity

Estimates = Mapping[tuple[str, int], Estimate]
_ZERO = Decimal(0)


@dataclass(frozen=True, slots=True)
class TableLine:
    """One part at one quantity.

    Args:
        ordered: whether this is the quantity that is ordered first.
        wants: scope items the part needs.
        need: day it is needed, or None.
    """

    part: Part
    quantity: int
    ordered: bool
    wants: tuple[Scope, ...]
    need: date | None


@dataclass(slots=True)
class TableCell:
    """One line at one shop.

    Args:
        offered: None where there is no price.
        numbers: None where there is no bridge.
        quote: where the price comes from.
        why: for a declined line, the shop's reason.
    """

    state: CellState
    offered: Offered | None = None
    numbers: Bridged | None = None
    quote: Quote | None = None
    offer: PartOffer | None = None
    missing: tuple[Scope, ...] = ()
    why: str = ""


@dataclass(slots=True)
class TableShop:
    """One shop with what stands of it."""

    shop: Shop
    asked: frozenset[str]
    stands: Standing
    conditions: dict[int, Conditions] = field(default_factory=dict)  # by id of the quote
    ordered_goods: dict[str, Decimal] = field(default_factory=dict)
    ordered_total: Decimal = Decimal(0)
    weights: dict[str, Decimal] = field(default_factory=dict)  # by should-cost; empty: by price
    weights_total: Decimal = Decimal(0)


@dataclass(slots=True)
class Table:
    """Lines x shops; ``cells[line][shop]``."""

    lines: list[TableLine]
    shops: list[TableShop]
    cells: list[list[TableCell]]
    given: Assumptions
    problems: list[Problem]


@dataclass(frozen=True, slots=True)
class Source:
    """What every table of one comparison is made from."""

    project: Project
    request: Request
    round_: int
    exchange: Exchange
    estimates: Estimates


def ordered_quantity(line: RequestLine) -> int:
    """Return which of a line's quantities stands for the first order: totals are made of these.

    What is ordered first where that was asked, else the quantity asked just below it, else the
    smallest.

    >>> ordered_quantity(RequestLine(part="P", quantities=(5, 25, 100), order_first=40))
    25
    """
    first = line.order_first or line.quantities[0]
    return max((q for q in line.quantities if q <= first), default=line.quantities[0])


def lines_of(source: Source, problems: list[Problem]) -> list[TableLine]:
    """Return the lines of the request, in its order; a part without a record is a problem."""
    lines = []
    for wanted in source.request.lines:
        part = source.project.parts.get(wanted.part)
        if part is None:
            message = f"Part {wanted.part} of the request has no record in parts/."
            problems.append(Problem("N030", message, subject=wanted.part))
            continue
        wants = needed(part, source.request)
        first = ordered_quantity(wanted)
        need = wanted.need_date or part.need_date or source.request.need_date
        lines += [
            TableLine(part, quantity, quantity == first, wants, need)
            for quantity in wanted.quantities
        ]
    return lines


def shops_of(source: Source, problems: list[Problem]) -> list[TableShop]:
    """Return the shops asked, in the request's order, then others that quoted, by id."""
    project, request = source.project, source.request
    quotes: dict[str, list[Quote]] = {}
    for quote in project.quotes:
        if quote.request == request.id:
            quotes.setdefault(quote.shop, []).append(quote)
    asked = {entry.shop: _parts_asked(entry, request) for entry in _asked(source)}
    names = [*asked, *sorted(set(quotes) - set(asked))]
    shops = []
    for name in names:
        shop = project.shops.get(name)
        if shop is None:
            message = f"Shop {name} has no record in shops/."
            problems.append(Problem("N031", message, subject=name))
            continue
        stands = standing(quotes.get(name, ()), source.round_)
        shops.append(TableShop(shop, asked.get(name, frozenset()), stands))
    return shops


def build_table(
    source: Source,
    lines: list[TableLine],
    shops: list[TableShop],
    given: Assumptions | None = None,
) -> Table:
    """Return the table of these lines at these shops.

    Args:
        source: project, request, round, rates, estimates.
        lines: from ``lines_of``, or the same lines at other quantities.
        shops: from ``shops_of``; their conditions and shares are filled in.
        given: assumptions; None: the user's own.
    """
    rates, exchange = source.project.rates, source.exchange
    table = Table(lines, shops, [], given or assumptions_of(rates, exchange), [])
    for shop in shops:
        _order_of(shop, lines, source)
    figures = _ScopeFigures(source, shops)
    for line in lines:
        row = [_cell(line, shop, source, figures, table) for shop in shops]
        table.cells.append(row)
    return table


def _cell(
    line: TableLine, shop: TableShop, source: Source, figures: _ScopeFigures, table: Table
) -> TableCell:
    offer = shop.stands.parts.get(line.part.number)
    state = state_of(line.part.number, shop.asked, shop.stands, offer)
    cell = TableCell(state, offer=offer)
    if offer is None:
        return cell
    if not offer.prices:
        cell.why = offer.declined.reason if offer.declined is not None else ""
        return cell
    binding = bind(offer.prices, line.quantity)
    assert binding is not None
    cell.quote = quote = offer.quotes[binding.price.quantity]
    conditions = conditions_for(shop, quote, source)
    fills: list[Fill] = []
    if quote.scope or binding.price.scope:
        known = source.project.rates.packing_percent is not None
        ticks = binding.price.scope
        cell.missing = missing(line.part, line.wants, quote, known, ticks)
        fills = [figures.fill(scope, line, shop.shop.id) for scope in cell.missing]
    share, whole = Decimal(1), None
    number = line.part.number
    if not shop.ordered_goods.keys() <= {number} and source.exchange.knows(binding.price.currency):
        goods = goods_of(binding, net_price(binding.price, quote), source.exchange)
        ordered = shop.ordered_goods.get(number, _ZERO)
        whole = shop.ordered_total - ordered + goods
        if shop.weights:
            own = _weight(line, source)
            share = share_of_order(shop.weights_total, shop.weights.get(number, _ZERO), own)
        else:
            share = share_of_order(shop.ordered_total, ordered, goods)
    cell.offered = offered = line_offer(
        binding,
        line.quantity,
        line.part,
        conditions,
        source.project.rates,
        source.exchange,
        share=share,
        order_goods=whole,
        fills=fills,
    )
    if offered.line is not None:
        cell.numbers = bridged(offered.line, table.given)
    return cell


def conditions_for(shop: TableShop, quote: Quote, source: Source) -> Conditions:
    """Return a quote's terms in our money, worked out once."""
    found = shop.conditions.get(id(quote))
    if found is None:
        found = conditions_of(
            quote,
            shop.shop,
            source.request,
            source.project.rates,
            source.exchange,
            source.project.settings.country,
        )
        shop.conditions[id(quote)] = found
    return found


def _weight(line: TableLine, source: Source) -> Decimal:
    return Decimal(source.estimates[line.part.number, line.quantity].middle) * line.quantity


def _order_of(shop: TableShop, lines: Sequence[TableLine], source: Source) -> None:
    """Fill in what each part weighs in an order, at the quantity ordered first."""
    shop.ordered_goods, shop.weights = {}, {}
    exchange, estimates = source.exchange, source.estimates
    quoted = [
        line
        for line in lines
        if (offer := shop.stands.parts.get(line.part.number)) is not None and offer.prices
    ]
    if all((line.part.number, line.quantity) in estimates for line in quoted):
        shop.weights = {line.part.number: _weight(line, source) for line in quoted if line.ordered}
    shop.weights_total = sum(shop.weights.values(), _ZERO)
    for line in lines:
        offer = shop.stands.parts.get(line.part.number)
        if not line.ordered or offer is None or not offer.prices:
            continue
        binding = bind(offer.prices, line.quantity)
        if binding is None or not exchange.knows(binding.price.currency):
            continue
        net = net_price(binding.price, offer.quotes[binding.price.quantity])
        shop.ordered_goods[line.part.number] = goods_of(binding, net, exchange)
    shop.ordered_total = sum(shop.ordered_goods.values(), _ZERO)


def scope_questions(lines: Sequence[TableLine], shop: TableShop) -> Problem | None:
    """Return one question on all scope items that a shop's newest quote says nothing about."""
    quote = shop.stands.newest
    if quote is None or not quote.prices:
        return None
    quoted = {price.part for price in quote.prices}
    silent: list[Scope] = []
    for line in lines:
        if line.part.number in quoted:
            silent += [scope for scope in not_stated(line.wants, quote) if scope not in silent]
    if not silent:
        return None
    named = ", ".join(scope.value for scope in Scope if scope in silent)
    return Problem(
        "N018",
        f"{shop.shop.name} doesn't say whether its prices contain: {named}; ask.",
        severity=Severity.ASK,
        subject=shop.shop.id,
    )


class _ScopeFigures:
    """What shops want for scope items, looked up only where a price leaves one out."""

    def __init__(self, source: Source, shops: Sequence[TableShop]) -> None:
        self._source = source
        self._shops = shops
        self._euro = source.exchange.factor(EURO) if source.exchange.knows(EURO) else None
        self._known: dict[tuple[str, int], dict[Scope, dict[str, Decimal]]] = {}

    def fill(self, scope: Scope, line: TableLine, shop: str) -> Fill:
        """What fills a gap of one shop on one line."""
        key = (line.part.number, line.quantity)
        known = self._known.get(key)
        if known is None:
            known = self._known[key] = self._all(*key)
        others = [each for name, each in sorted(known.get(scope, {}).items()) if name != shop]
        estimate = self._source.estimates.get(key)
        return fill(scope, estimate, self._euro, others, line.quantity)

    def _all(self, part: str, quantity: int) -> dict[Scope, dict[str, Decimal]]:
        found: dict[Scope, dict[str, Decimal]] = {}
        exchange = self._source.exchange
        for shop in self._shops:
            offer = shop.stands.parts.get(part)
            binding = bind(offer.prices, quantity) if offer is not None else None
            if offer is None or binding is None or not binding.firm:
                continue
            quote = offer.quotes[binding.price.quantity]
            for scope, (each, currency) in priced_apart(quote, part, quantity).items():
                if exchange.knows(currency):
                    found.setdefault(scope, {})[shop.shop.id] = exchange.convert(each, currency)
        return found


def _asked(source: Source) -> tuple[Asked, ...]:
    for round_ in source.project.rounds_of(source.request.id):
        if round_.number == source.round_ and round_.asked:
            return round_.asked
    return source.request.asked


def _parts_asked(entry: Asked, request: Request) -> frozenset[str]:
    return frozenset(entry.parts or (line.part for line in request.lines))

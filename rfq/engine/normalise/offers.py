"""Which offers of a shop stand in a round, and one of them made comparable.

Within a round the newest quote that was not withdrawn speaks; a line (part at one quantity) that
it doesn't mention keeps its price from the quote before it, and from the round before, marked
with where it comes from: shops correct one line and leave out the rest. When the newest quote of
a round was withdrawn, only quotes of that round that still stand on their own count; older
rounds went with it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from rfq.engine.normalise.basis import NetPrice, adds_up, net_price
from rfq.engine.normalise.bridge import Assumptions, Bridged, LineOffer, bridged, steps_of
from rfq.engine.normalise.charges import counted_twice, twice_problem
from rfq.engine.normalise.conditions import Conditions, conditions_of, lead_days
from rfq.engine.normalise.currency import Exchange, exchange_into
from rfq.engine.normalise.delivery import duty_percent
from rfq.engine.normalise.quantity import Binding, Bound, bind
from rfq.engine.normalise.scope import Fill
from rfq.model.comparison import BridgeStep
from rfq.model.part import Part
from rfq.model.project import Settings
from rfq.model.quote import Declined, Price, Quote, TakenException
from rfq.model.rates import ExchangeRate, Rates
from rfq.model.request import Request
from rfq.model.shop import Shop
from rfq.problems import Problem, Severity


@dataclass(slots=True)
class PartOffer:
    """What stands of one shop for one part.

    Args:
        prices: rising by quantity, alternatives left out.
        quotes: the quote that each quantity's price comes from.
        alternatives: other materials or routes offered, shown beside.
        declined: set where the shop's newest word on the part is no.
    """

    prices: list[Price] = field(default_factory=list)
    quotes: dict[int, Quote] = field(default_factory=dict)
    alternatives: list[tuple[Price, Quote]] = field(default_factory=list)
    declined: Declined | None = None


@dataclass(frozen=True, slots=True)
class Standing:
    """A shop's offers by part; ``withdrawn`` where nothing stands because it took them back."""

    parts: dict[str, PartOffer]
    withdrawn: bool
    newest: Quote | None


def standing(quotes: Iterable[Quote], round_: int) -> Standing:
    """Return what stands of one shop's quotes up to a round.

    Args:
        quotes: of one shop and one request, in any order.
        round_: number of the round that is compared.
    """
    given = sorted(
        (quote for quote in quotes if quote.round <= round_),
        key=lambda quote: (quote.round, quote.number),
        reverse=True,
    )
    if not given:
        return Standing({}, False, None)
    newest = given[0]
    if newest.state == "withdrawn":
        usable = [q for q in given if q.round == newest.round and q.state == "standing"]
    else:
        usable = [q for q in given if q.state != "withdrawn"]
    parts: dict[str, PartOffer] = {}
    for quote in usable:
        settled = {part for part, offer in parts.items() if offer.declined is not None}
        for price in quote.prices:
            if price.part in settled:
                continue
            offer = parts.setdefault(price.part, PartOffer())
            if price.alternative:
                if all(price != other for other, _ in offer.alternatives):
                    offer.alternatives.append((price, quote))
            elif price.quantity not in offer.quotes:
                offer.prices.append(price)
                offer.quotes[price.quantity] = quote
        for declined in quote.declined:
            offer = parts.setdefault(declined.part, PartOffer())
            if not offer.prices and offer.declined is None:
                offer.declined = declined
    for offer in parts.values():
        offer.prices.sort(key=lambda price: price.quantity)
        _one_offs_hold_at_every_quantity(offer)
    return Standing(parts, newest.state == "withdrawn" and not parts, newest)


def _one_offs_hold_at_every_quantity(offer: PartOffer) -> None:
    """Carry a one-off to the breaks of the same quote on which it was not repeated.

    A clerk writes a fixture once beside a part and leaves the other quantities of the part
    blank; a blank is not a zero, and the fixture is needed for 5 pieces as for 100. A shop that
    means another sum at another quantity writes it there.
    """
    stated: dict[int, Price] = {}
    for price in offer.prices:
        if price.one_off:
            stated.setdefault(id(offer.quotes[price.quantity]), price)
    for index, price in enumerate(offer.prices):
        first = stated.get(id(offer.quotes[price.quantity]))
        if price.one_off is None and first is not None:
            offer.prices[index] = price.model_copy(
                update={
                    "one_off": first.one_off,
                    "one_off_name": f"{first.one_off_name or 'one-off'} (stated once, at "
                    f"{first.quantity} pcs)",
                }
            )


@dataclass(frozen=True, slots=True)
class Offered:
    """One line at one shop, ready to be bridged under any assumptions.

    Args:
        line: what the bridge needs; None where there is no bridge (no rate, no firm price).
        open_items: what we would pay and don't know; the price is then shown and not ranked.
        adds_up: whether quantity x unit price gives the printed line total.
        net: how one piece's net price follows from what was printed.
    """

    line: LineOffer | None
    binding: Binding
    net: NetPrice
    open_items: tuple[str, ...]
    adds_up: bool
    problems: tuple[Problem, ...]


def exceptions_on(quote: Quote, part: str) -> list[TakenException]:
    """Return the exceptions that touch a part, those on the whole quote included."""
    return [taken for taken in quote.exceptions if taken.part in ("", part)]


def line_offer(
    binding: Binding,
    quantity: int,
    part: Part,
    conditions: Conditions,
    rates: Rates,
    exchange: Exchange,
    *,
    share: Decimal = Decimal(1),
    order_goods: Decimal | None = None,
    fills: Sequence[Fill] = (),
) -> Offered:
    """Return one line at one shop with everything resolved, and what is open about it.

    Args:
        binding: the price that binds at the quantity.
        share: this line's share of what is paid once an order or a shipment.
        order_goods: goods of the whole order in project currency; None: this line alone.
        fills: what stands in for missing scope.
    """
    price = binding.price
    quote, shop = conditions.quote, conditions.shop
    net = net_price(price, quote)
    problems: list[Problem] = []

    def ask(code: str, message: str) -> None:
        problems.append(
            Problem(code, message, place=price.place, severity=Severity.ASK, subject=shop.id)
        )

    line_adds_up = price.line_total is None or adds_up(price, net)
    if not line_adds_up:
        ask(
            "N002",
            f"{price.quantity} x {price.each} is not the line total {price.line_total} that "
            f"{shop.name} prints for {price.part}; ask which figure is meant.",
        )
    if net.doubt:
        ask("N003", f"{shop.name}, {price.part}: {net.doubt}.")
    if not price.each:
        ask("N003", f"{shop.name} prices {price.part} at zero; ask what is meant.")
    dues = conditions.dues(price.part)
    currencies = {price.currency, *(due.currency for due in dues if due.currency)}
    if conditions.minimum is not None:
        currencies.add(conditions.minimum.currency)
    unknown = sorted(code for code in currencies if not exchange.knows(code))
    if unknown:
        ask(
            "N001",
            f"There is no exchange rate for {', '.join(unknown)}; put per_eur into rates.toml "
            "under exchange.",
        )
        opened = tuple(f"the exchange rate of {code}" for code in unknown)
        return Offered(None, binding, net, opened, line_adds_up, tuple(problems))
    if not binding.firm:
        if binding.how is Bound.LOT:
            ask(
                "N004",
                f"{shop.name} prices {price.part} as a lot of {price.quantity}, which says nothing "
                f"about {quantity} pcs; ask for a price at {quantity}.",
            )
            opened = (f"a price for {quantity} pcs: a lot of {price.quantity} is priced",)
        else:
            ask(
                "N004",
                f"{shop.name} prices {price.part} from {price.quantity} pcs; ask for a price at "
                f"{quantity}.",
            )
            opened = (f"a price for {quantity} pcs: prices start at {price.quantity}",)
        return Offered(None, binding, net, opened, line_adds_up, tuple(problems))
    twice = counted_twice(price, dues) if dues else None
    if twice is not None:
        problems.append(twice_problem(price, twice, shop.id))
        dues = tuple(due for due in dues if due is not twice)
    open_items = list(conditions.delivery.open_items)
    delivered = conditions.delivery
    weight = price.weight_kg
    if weight is None and part.shape is not None:
        weight = part.shape.finished_mass_kg
    by_weight = delivered.per_kg or any(due.per == "kg" for due in dues)
    if by_weight and weight is None:
        open_items.append("the part's weight, for carriage")
        ask(
            "N017",
            f"Carriage of {part.number} goes by weight and its weight is not known; give the part "
            "a finished mass.",
        )
    percent, duty_words = Decimal(0), ""
    if delivered.import_paid_by_us:
        known, duty_words, problem = duty_percent(delivered, part, rates, shop)
        if known is None and problem is not None:
            open_items.append("duty")
            problems.append(problem)
        percent = known if known is not None else percent
    for gap in fills:
        if gap.each is None:
            open_items.append(f"{gap.scope.value}, which is not in the price")
    taken = exceptions_on(quote, part.number) if quote.exceptions else []
    cost = sum((x.cost_each for x in taken if x.cost_each is not None), Decimal(0))
    offer = LineOffer(
        quantity=quantity,
        binding=binding,
        printed=net.printed,
        tax=net.tax,
        discount=net.discount,
        conditions=conditions,
        dues=dues,
        share=share,
        order_goods=(goods_of(binding, net, exchange) if order_goods is None else order_goods),
        weight_kg=weight,
        duty_percent=percent,
        duty_words=duty_words,
        fills=tuple(fills),
        exceptions_each=cost,
        exceptions_words="; ".join(
            f"{x.text} ({x.state})" for x in taken if x.cost_each is not None
        ),
        lead_days=lead_days(quote.terms.lead, price),
    )
    return Offered(offer, binding, net, tuple(open_items), line_adds_up, tuple(problems))


def goods_of(binding: Binding, net: NetPrice, exchange: Exchange) -> Decimal:
    """Return the parts' price of a line in project currency, without charges."""
    return exchange.convert(net.net * binding.bought, binding.price.currency)


def share_of_order(ordered: Decimal, own_ordered: Decimal, own: Decimal) -> Decimal:
    """Return a line's share of what is paid once an order or a shipment.

    The order is every part the shop quotes, at the quantity that is ordered first; the line
    itself stands in it at its own quantity.

    Args:
        ordered: weight of all parts at the quantities ordered first.
        own_ordered: of this part among them.
        own: weight of the line. Weights are our should-costs where every line of the shop has
            one (so that a slip in one price doesn't move the others), else the goods' prices.
    """
    whole = ordered - own_ordered + own
    return own / whole if whole else Decimal(1)


def assumptions_of(rates: Rates, exchange: Exchange) -> Assumptions:
    """Return the user's own assumptions."""
    return Assumptions(
        exchange=exchange,
        money_percent=rates.money_percent,
        yield_share=rates.yield_percent / 100,
        spare_worth=rates.spare_worth_percent / 100,
    )


@dataclass(frozen=True, slots=True)
class BridgeResult:
    """A comparable price with its bridge; None where something needed is unknown."""

    comparable: Decimal | None
    steps: tuple[BridgeStep, ...]
    problems: tuple[Problem, ...]
    open_items: tuple[str, ...]
    numbers: Bridged | None


def comparable(
    quote: Quote,
    part: Part,
    shop: Shop,
    quantity: int,
    rates: Rates,
    exchange: Mapping[str, ExchangeRate],
    settings: Settings,
    *,
    request: Request | None = None,
    fills: Sequence[Fill] = (),
) -> BridgeResult | None:
    """Return one line of one quote as a comparable price, shipped and ordered by itself.

    Args:
        quote: the shop's accepted quote.
        part: the part; its price at ``quantity`` (or the break that binds) is taken.
        quantity: pieces needed.
        rates: money, carriage, duty and the rest of the user's figures.
        exchange: foreign units per euro, by currency.
        settings: project currency and country.
        request: its delivery terms hold where the quote states none.
        fills: what stands in for missing scope.

    Returns:
        None where the quote has no price of the part at all.
    """
    into = exchange_into(settings.currency, exchange)
    stands = standing([quote], quote.round).parts.get(part.number)
    binding = bind(stands.prices, quantity) if stands is not None else None
    if binding is None:
        return None
    conditions = conditions_of(quote, shop, request, rates, into, settings.country)
    offered = line_offer(binding, quantity, part, conditions, rates, into, fills=fills)
    problems = conditions.problems + offered.problems
    if offered.line is None:
        return BridgeResult(None, (), problems, offered.open_items, None)
    given = assumptions_of(rates, into)
    numbers = bridged(offered.line, given)
    steps = steps_of(offered.line, given, numbers)
    return BridgeResult(numbers.comparable, steps, problems, offered.open_items, numbers)

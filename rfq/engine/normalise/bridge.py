"""The bridge: from the quoted price to what one accepted part costs, landed and paid.

The order is fixed and each step has its reason (``STEPS``): what a later step is a percentage
of has to stand before it. Amounts are worked out for the whole line, unrounded, and carried a
piece at six decimals; the comparable price is the sum of the carried steps, so the bridge adds
up to the last digit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from rfq.engine.normalise.charges import Due
from rfq.engine.normalise.conditions import Conditions
from rfq.engine.normalise.currency import Exchange
from rfq.engine.normalise.customs import customs_value
from rfq.engine.normalise.quantity import Binding, Bound
from rfq.engine.normalise.scope import Fill
from rfq.model.comparison import BridgeStep

#: The steps in their order, each with the reason why it stands there.
STEPS: tuple[tuple[str, str], ...] = (
    (
        "quoted price",
        "what the shop printed, for one piece, in our currency: everything starts here",
    ),
    ("tax", "net against net; taken out before any percentage acts on the price"),
    ("discount", "line and order discounts lower the price that charges are a percentage of"),
    (
        "minimum order quantity",
        "pieces bought beyond the need cost the net price, less their worth",
    ),
    ("surcharge", "a material index moves what the goods cost, so it is part of their value"),
    ("one-offs", "paid once, shared by the pieces; part of the invoice, so before duty and terms"),
    ("charges apart", "what the shop prices beside the piece: finish, certificates"),
    ("minimum order value", "known only once the goods are summed up"),
    ("packing", "a percentage of the parts' price without one-offs; needed for what is insured"),
    ("carriage", "who pays follows from the delivery rule; needed for insurance and customs value"),
    ("insurance", "of 110 % of goods, packing and carriage"),
    ("duty", "of the customs value, which holds all of the above"),
    ("broker", "a fixed sum a shipment, not part of the customs value"),
    ("bank", "a fixed sum a payment"),
    ("payment terms", "on goods and one-offs, as paid, against payment in full on delivery"),
    ("exceptions", "what an accepted or refused exception costs us, as the engineer put it"),
    ("missing scope", "filled by our own figure: not the shop's money, so after its invoice"),
    ("accepted parts", "everything divided by the accepted pieces: quantity x yield"),
)
NAMES = tuple(name for name, _ in STEPS)
_AT = {name: index for index, name in enumerate(NAMES)}
_LAST = len(NAMES) - 1
(
    _QUOTED, _TAX, _DISCOUNT, _MOQ, _SURCHARGE, _ONE_OFFS, _APART, _MINIMUM, _PACKING, _CARRIAGE,
    _INSURANCE, _DUTY, _BROKER, _BANK, _PAYMENT, _EXCEPTIONS, _SCOPE, _ACCEPTED,
) = range(len(NAMES))  # fmt: skip
_SIX = Decimal("0.000001")
_ZERO = Decimal(0)
_ONE = Decimal(1)
_HUNDRED = Decimal(100)
_INSURED = Decimal("1.1")  # 110 % of the value, as CIP and CIF ask (Incoterms 2020)


@dataclass(frozen=True, slots=True)
class Assumptions:
    """What the user assumes; 'what decides' changes one at a time.

    Args:
        exchange: rates into the project's currency.
        money_percent: cost of money a year.
        yield_share: accepted over bought pieces, 0 to 1.
        spare_worth: what a spare is worth, as a share of its price.
        carriage_factor: on carriage that we pay ourselves.
        one_offs: whether one-offs count (a repeat order has none).
    """

    exchange: Exchange
    money_percent: Decimal
    yield_share: Decimal = _ONE
    spare_worth: Decimal = _ZERO
    carriage_factor: Decimal = _ONE
    one_offs: bool = True


@dataclass(frozen=True, slots=True)
class LineOffer:
    """All that one bridge needs; resolved once, so that assumptions can be changed cheaply.

    Args:
        quantity: pieces needed.
        binding: the price that binds and the pieces to buy.
        printed, tax, discount: one piece in the quoted currency (see ``basis.NetPrice``).
        conditions: the quote's terms in our money.
        dues: charges that fall on this line.
        share: this line's share of what is paid once an order or a shipment.
        order_goods: goods of the whole order in project currency, for a least order value.
        weight_kg: of one piece; None: unknown.
        duty_percent: None: unknown (an open item).
        fills: what stands in for missing scope.
        exceptions_each: project currency a piece.
        lead_days: from order to delivery, for instalments due at order.
    """

    quantity: int
    binding: Binding
    printed: Decimal
    tax: Decimal
    discount: Decimal
    conditions: Conditions
    dues: tuple[Due, ...]
    share: Decimal
    order_goods: Decimal
    weight_kg: Decimal | None
    duty_percent: Decimal | None
    duty_words: str
    fills: tuple[Fill, ...]
    exceptions_each: Decimal
    exceptions_words: str
    lead_days: int | None


@dataclass(frozen=True, slots=True)
class Bridged:
    """A bridge as numbers: one amount a piece for each of ``STEPS``, and their sum."""

    each: tuple[Decimal, ...]
    comparable: Decimal
    goods: Decimal  # of the line as invoiced: parts, one-offs and charges, for terms
    before_delivery: Decimal  # of it, paid before delivery


def bridged(line: LineOffer, given: Assumptions) -> Bridged:
    """Return the bridge of one line at one shop, as numbers.

    Step amounts are a piece needed; the last one turns them into an accepted piece.
    """
    exchange, conditions = given.exchange, line.conditions
    delivered = conditions.delivery
    price = line.binding.price
    quantity, bought = Decimal(line.quantity), Decimal(line.binding.bought)
    rate = exchange.factor(price.currency)
    amount = [_ZERO] * len(NAMES)
    amount[_QUOTED] = line.printed * rate * quantity
    net = line.printed
    if line.tax:
        amount[_TAX] = line.tax * rate * quantity
        net += line.tax
    if line.discount:
        amount[_DISCOUNT] = line.discount * rate * quantity
        net += line.discount
    net *= rate
    dues = line.dues
    if dues:
        percent = sum((due.percent for due in dues if due.step == "discount"), _ZERO)
        if percent:
            amount[_DISCOUNT] += net * quantity * percent / _HUNDRED
            net *= 1 + percent / _HUNDRED
    parts = net * bought
    if bought != quantity:
        amount[_MOQ] = (bought - quantity) * net * (1 - given.spare_worth)
    if price.one_off and given.one_offs:
        amount[_ONE_OFFS] = price.one_off * rate
    for due in dues:
        step = _AT[due.step]
        if due.percent:
            if step != _DISCOUNT:
                amount[step] += parts * due.percent / _HUNDRED
            continue
        if step == _ONE_OFFS and not given.one_offs:
            continue
        value = exchange.convert(due.amount, due.currency)
        if due.per == "order":
            value *= line.share
        elif due.per == "piece":
            value *= bought
        elif due.per == "kg":
            value *= bought * (line.weight_kg or _ZERO)
        amount[step] += value
    if conditions.minimum is not None:
        least = exchange.convert(conditions.minimum.below, conditions.minimum.currency)
        if line.order_goods < least:
            fee = conditions.minimum.fee
            gap = (
                least - line.order_goods
                if fee is None
                else exchange.convert(fee, conditions.minimum.currency)
            )
            amount[_MINIMUM] = gap * line.share
    goods = parts + amount[_SURCHARGE] + amount[_ONE_OFFS] + amount[_APART] + amount[_MINIMUM]
    for due in dues:  # a discount as an amount comes off the invoice as well
        if due.step == "discount" and not due.percent:
            goods += exchange.convert(due.amount, due.currency) * (
                line.share if due.per == "order" else bought if due.per == "piece" else _ONE
            )
    if conditions.packing_percent:
        amount[_PACKING] += parts * conditions.packing_percent / _HUNDRED
    packing = amount[_PACKING]
    if delivered.carriage_paid_by_us and delivered.per_shipment is not None:
        own = delivered.per_shipment * line.share
        if delivered.per_kg:
            own += delivered.per_kg * (line.weight_kg or _ZERO) * bought
        amount[_CARRIAGE] += own * given.carriage_factor
    carriage = amount[_CARRIAGE]
    if delivered.insurance_percent:
        insured = _INSURED * (goods + packing + carriage)
        amount[_INSURANCE] += delivered.insurance_percent / _HUNDRED * insured
    if line.duty_percent:
        value = customs_value(goods, packing, carriage, amount[_INSURANCE], conditions.our_country)
        amount[_DUTY] = line.duty_percent / _HUNDRED * value
    if conditions.broker and delivered.import_paid_by_us:
        amount[_BROKER] = conditions.broker * line.share
    if conditions.bank:
        amount[_BANK] = conditions.bank * line.share
    effect = conditions.payment(given.money_percent, line.lead_days)
    if effect.factor != _ONE:
        amount[_PAYMENT] = (effect.factor - 1) * goods
    if line.exceptions_each:
        amount[_EXCEPTIONS] = line.exceptions_each * quantity
    for gap_filled in line.fills:
        if gap_filled.each is not None:
            amount[_SCOPE] += gap_filled.each * quantity
    each = [(value / quantity).quantize(_SIX) if value else _ZERO for value in amount]
    if given.yield_share != _ONE:
        each[_ACCEPTED] = (sum(amount) / quantity * (1 / given.yield_share - 1)).quantize(_SIX)
    before = goods * effect.before_delivery if effect.before_delivery else _ZERO
    return Bridged(tuple(each), sum(each, _ZERO), goods, before)


def steps_of(line: LineOffer, given: Assumptions, bridge: Bridged) -> tuple[BridgeStep, ...]:
    """Return a bridge with its reasons and places; steps that do nothing are left out."""
    steps = []
    printed_at = str(line.binding.price.place)
    for index, each in enumerate(bridge.each):
        if each or index in (_QUOTED, _ACCEPTED):
            reason, place, own = _words(index, line, given, printed_at)
            steps.append(
                BridgeStep(
                    step=NAMES[index], amount=each, reason=reason, place=place, estimated=own
                )
            )
    return tuple(steps)


def _words(
    index: int, line: LineOffer, given: Assumptions, printed_at: str
) -> tuple[str, str, bool]:
    """Reason, place and whether the figure is our own, for one step."""
    conditions, price = line.conditions, line.binding.price
    delivered = conditions.delivery
    match index:
        case 0:
            return _quoted_words(line, given), printed_at, False
        case 1:
            return "tax taken out of the printed price", printed_at, False
        case 2:
            named = _names(line.dues, "discount")
            return named or "discount on the line", _place(line.dues, "discount", printed_at), False
        case 3:
            spare = line.binding.bought - line.quantity
            worth = (
                f", worth {(given.spare_worth * 100).normalize():f} %" if given.spare_worth else ""
            )
            return (
                (
                    f"{line.binding.bought} pcs have to be bought for {line.quantity}: "
                    f"{spare} spare{worth}"
                ),
                printed_at,
                False,
            )
        case 5:
            named = _names(line.dues, "one-offs")
            own = price.one_off_name or "one-off" if price.one_off else ""
            words = ", ".join(word for word in (own, named) if word)
            return (
                f"{words}, over {line.quantity} pcs",
                _place(line.dues, "one-offs", printed_at),
                False,
            )
        case 7:
            minimum = conditions.minimum
            assert minimum is not None
            return (
                f"the order stays below {minimum.below} {minimum.currency}",
                minimum.place,
                False,
            )
        case 8:
            named = _names(line.dues, "packing")
            if conditions.packing_percent:
                return f"packing at {conditions.packing_percent:f} %", "rates.toml", True
            return named, _place(line.dues, "packing", printed_at), False
        case 9:
            named = _names(line.dues, "carriage")
            if named and not (delivered.carriage_paid_by_us and delivered.per_shipment):
                return named, _place(line.dues, "carriage", printed_at), False
            return f"{delivered.words}: ours to pay, {delivered.freight_words}", "rates.toml", True
        case 10:
            if delivered.insurance_percent:
                words = f"{delivered.insurance_percent:f} % of 110 % of goods, packing, carriage"
                return words, "rates.toml", True
            return _names(line.dues, "insurance"), _place(line.dues, "insurance", printed_at), False
        case 11:
            return (
                f"{line.duty_percent:f} % from {delivered.origin}: {line.duty_words}",
                "rates.toml",
                True,
            )
        case 12:
            return f"customs broker, {line.share * 100:.0f} % of a shipment", "rates.toml", True
        case 13:
            return f"bank, {line.share * 100:.0f} % of a payment", "rates.toml", True
        case 14:
            effect = conditions.payment(given.money_percent, line.lead_days)
            return effect.words, conditions.term_place("payment"), False
        case 15:
            return line.exceptions_words, "", True
        case 16:
            filled = [gap for gap in line.fills if gap.each is not None]
            return "; ".join(f"{gap.scope.value}: {gap.reason}" for gap in filled), "", True
        case 17:
            accepted = (given.yield_share * 100).normalize()
            return (
                f"divided by {line.quantity} pcs x {accepted:f} % accepted",
                "" if given.yield_share == _ONE else "rates.toml",
                given.yield_share != _ONE,
            )
        case _:
            name = NAMES[index]
            return _names(line.dues, name), _place(line.dues, name, printed_at), False


def _quoted_words(line: LineOffer, given: Assumptions) -> str:
    price = line.binding.price
    words = f"{line.printed.normalize():f} {price.currency} a piece"
    if price.printed is not None and price.per != "1":
        base = f"lot of {price.quantity}" if price.per == "lot" else price.per
        words += f", from {price.printed:f} per {base}"
    if line.binding.how is Bound.LOWER_BREAK:
        words += f", the break of {price.quantity} pcs"
    rate = given.exchange.words(price.currency)
    return f"{words}; {rate}" if rate else words


def _names(dues: Sequence[Due], step: str) -> str:
    return ", ".join([due.name for due in dues if due.step == step]) if dues else ""


def _place(dues: Sequence[Due], step: str, otherwise: str) -> str:
    for due in dues:
        if due.step == step and due.place:
            return due.place
    return otherwise

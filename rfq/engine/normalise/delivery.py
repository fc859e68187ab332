"""Delivery terms: which costs of transport and import stay with us, and what we know of them.

Incoterms 2020 decides who pays; the amounts are the user's (rates.toml). What we would have to
pay and don't know is an open item: the price is shown without it and is not ranked.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal

from rfq.engine.normalise.currency import Exchange
from rfq.engine.normalise.customs import duty_for, same_customs_area
from rfq.engine.standards.incoterms import RULES, buyer_pays, read_term
from rfq.model.part import Part
from rfq.model.quote import Quote
from rfq.model.rates import Freight, Rates
from rfq.model.request import Request
from rfq.model.shop import Shop
from rfq.problems import Place, Problem, Severity

_CARRIAGE = "main carriage"
_ONWARD = "carriage to destination"
_INSURANCE = "insurance"
_IMPORT = "import clearance, duty and tax"
_UNLOADED_IN_PORT = frozenset({"CFR", "CIF"})  # the seller's carriage ends in our port


@dataclass(frozen=True, slots=True)
class Delivery:
    """One quote's delivery terms, in our money.

    Args:
        rule: Incoterms rule that holds, '' where none is known.
        words: rule with place and where it comes from.
        place: where it stands in the reply.
        carriage_paid_by_us, insurance_paid_by_us, import_paid_by_us: what the rule leaves to us.
        per_shipment, per_kg: carriage in project currency; None: not known.
        freight_words: source of the carriage figure.
        insurance_percent: of 110 % of goods, packing and carriage; None: none or not known.
        crosses: whether a customs border lies between.
        origin: country that the goods come from.
        transit_days: days on the way, where we pay carriage and know it.
        open_items: what we would pay and don't know.
        problems: questions and advice.
    """

    rule: str
    words: str
    place: str
    carriage_paid_by_us: bool
    insurance_paid_by_us: bool
    import_paid_by_us: bool
    per_shipment: Decimal | None
    per_kg: Decimal | None
    freight_words: str
    insurance_percent: Decimal | None
    crosses: bool
    origin: str
    transit_days: int
    open_items: tuple[str, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class _Terms:
    rule: str
    named_place: str
    where_from: str = ""
    problems: tuple[Problem, ...] = ()


def delivery(
    quote: Quote,
    shop: Shop,
    request: Request | None,
    rates: Rates,
    exchange: Exchange,
    our_country: str,
) -> Delivery:
    """Return who pays for what on the way, at our own figures.

    Args:
        quote: its terms come first; then the request's (the shop did not say otherwise), then
            what the shop usually offers.
        our_country: country code where we import.
    """
    problems: list[Problem] = []
    open_items: list[str] = []
    terms = quote.terms

    def ask(code: str, message: str, severity: Severity = Severity.ASK) -> None:
        problems.append(Problem(code, message, severity=severity, subject=shop.id))

    found = _terms_of(quote, shop, request)
    for problem in found.problems:
        message = f"{shop.name}: {problem.message}"
        severity = Severity.ASK if problem.severity is Severity.STOP else problem.severity
        problems.append(replace(problem, message=message, severity=severity, subject=shop.id))
    if not found.rule:
        if not found.problems:
            ask(
                "N006",
                f"{shop.name} doesn't say how it delivers; ask for an Incoterms 2020 rule with a "
                "named place.",
            )
        open_items.append("the delivery rule")
    elif found.where_from:
        ask(
            "N006",
            f"{shop.name} doesn't say how it delivers; {found.rule} is taken from "
            f"{found.where_from} until it does.",
        )

    origin = terms.origin or shop.country
    crosses = not same_customs_area(origin, our_country, rates.customs_union)
    pays = buyer_pays(found.rule) if found.rule else frozenset()
    carriage = _CARRIAGE in pays
    beyond = _ONWARD in pays and found.rule in _UNLOADED_IN_PORT
    importing = crosses and _IMPORT in pays
    if found.rule == "EXW" and crosses:
        ask(
            "N011",
            f"{shop.name} offers EXW across a customs border, where a buyer can hardly clear the "
            "export; ask for FCA at its works instead.",
            Severity.NOTE,
        )

    per_shipment = per_kg = None
    freight_words = ""
    days = 0
    freight = freight_of(rates, shop)
    if carriage or beyond:
        if freight is None or not exchange.knows(freight.currency):
            open_items.append("carriage")
            ask(
                "N010",
                f"Carriage from {shop.name} ({shop.country}) under {found.rule} is ours to pay and "
                "not known; put it into rates.toml under freight.",
            )
        else:
            per_shipment = exchange.convert(freight.per_shipment, freight.currency)
            per_kg = exchange.convert(freight.per_kg, freight.currency)
            freight_words = _sourced(freight.source, freight.on)
            days = freight.days
    elif freight is not None:
        days = freight.days
    insuring = _INSURANCE in pays
    if insuring and rates.insurance_percent is None:
        ask(
            "N012",
            f"Transport from {shop.name} under {found.rule} is at our risk and no insurance is "
            "counted; put insurance_percent into rates.toml.",
            Severity.NOTE,
        )
    if importing and rates.broker_per_shipment is None:
        open_items.append("the customs broker")
        ask(
            "N014",
            f"Goods of {shop.name} are imported by us and the broker's charge is not known; put "
            "broker_per_shipment into rates.toml.",
        )
    named = f" {found.named_place}" if found.named_place else ""
    return Delivery(
        rule=found.rule,
        words=f"{found.rule}{named}" + (f", from {found.where_from}" if found.where_from else ""),
        place=str(terms.places.get("incoterm", "")),
        carriage_paid_by_us=carriage or beyond,
        insurance_paid_by_us=insuring,
        import_paid_by_us=importing,
        per_shipment=per_shipment,
        per_kg=per_kg,
        freight_words=freight_words,
        insurance_percent=rates.insurance_percent if insuring else None,
        crosses=crosses,
        origin=origin,
        transit_days=days,
        open_items=tuple(open_items),
        problems=tuple(problems),
    )


def duty_percent(
    delivered: Delivery, part: Part, rates: Rates, shop: Shop
) -> tuple[Decimal | None, str, Problem | None]:
    """Return the duty on a part, where it comes from, and the question where it isn't known.

    Zero where we don't import; None where we do and know no rate.
    """
    if not delivered.import_paid_by_us:
        return Decimal(0), "", None
    duty = duty_for(rates.duty, delivered.origin, part.tariff_code)
    if duty is not None:
        return duty.percent, _sourced(duty.source, duty.on), None
    code = part.tariff_code or "no tariff code yet"
    problem = Problem(
        "N013",
        f"Duty on {part.number} ({code}) from {delivered.origin} is ours to pay and not known; "
        "put it into rates.toml under duty.",
        severity=Severity.ASK,
        subject=shop.id,
    )
    return None, "", problem


def freight_of(rates: Rates, shop: Shop) -> Freight | None:
    """Return the carriage for a shop: its own figure, else its country's, else None."""
    own = (freight for freight in rates.freight if freight.shop == shop.id)
    country = (
        freight for freight in rates.freight if not freight.shop and freight.country == shop.country
    )
    return next(own, None) or next(country, None)


def customs_days(delivered: Delivery, part: Part, rates: Rates) -> int:
    """Return the days that customs take, as the user's duty entry says."""
    if not delivered.crosses:
        return 0
    duty = duty_for(rates.duty, delivered.origin, part.tariff_code)
    return duty.customs_days if duty is not None else 0


def _terms_of(quote: Quote, shop: Shop, request: Request | None) -> _Terms:
    """The rule that holds: the quote's own, else the request's, else the shop's usual one."""
    terms = quote.terms
    place = terms.places.get("incoterm", Place())
    asked = request.terms if request is not None else None
    if terms.incoterm_text and terms.place not in terms.incoterm_text:
        printed = f"{terms.incoterm_text} {terms.place}"
    else:
        printed = terms.incoterm_text or f"{terms.incoterm} {terms.place}".strip()
    if printed:
        if not terms.place and asked is not None and asked.incoterm == terms.incoterm:
            printed = f"{printed} {asked.place}"  # it repeats the request's rule
        read = read_term(printed, place)
        if read.value is not None:
            return _Terms(read.value.rule, read.value.place or terms.place, "", read.problems)
        if terms.incoterm in RULES and all(problem.code == "T071" for problem in read.problems):
            return _Terms(terms.incoterm, terms.place)
        return _Terms("", "", "", read.problems)
    if asked is not None and asked.incoterm:
        return _Terms(asked.incoterm, asked.place, "the request")
    usual = read_term(shop.incoterm)
    if usual.value is not None:
        return _Terms(usual.value.rule, usual.value.place, "what it usually offers")
    return _Terms("", "")


def _sourced(source: str, on: object) -> str:
    return ", ".join(str(word) for word in (source or "rates.toml", on) if word)

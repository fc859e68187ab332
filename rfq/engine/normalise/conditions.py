"""One quote's terms and charges in our money, resolved once for all its lines."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal

from rfq.engine.normalise.charges import Charges, Due, MinimumOrder, charges_of
from rfq.engine.normalise.currency import Exchange
from rfq.engine.normalise.delivery import Delivery, delivery
from rfq.engine.normalise.terms import TermsEffect, terms_effect
from rfq.model.codes import Scope
from rfq.model.quote import LeadTime, Price, Quote
from rfq.model.rates import Rates
from rfq.model.request import Request
from rfq.model.shop import Shop
from rfq.problems import Place, Problem, Severity


@dataclass(frozen=True, slots=True)
class Conditions:
    """What a quote's terms mean for every one of its lines.

    ``packing_percent`` is our own rate, used only where the shop leaves packing out.
    """

    quote: Quote
    shop: Shop
    delivery: Delivery
    charges: Charges
    packing_percent: Decimal | None
    broker: Decimal | None
    bank: Decimal | None
    our_country: str
    problems: tuple[Problem, ...]
    _payments: dict[tuple[Decimal, int | None], TermsEffect] = field(default_factory=dict)

    @property
    def minimum(self) -> MinimumOrder | None:
        """The least order value, or None."""
        return self.charges.minimum

    def payment(self, money_percent: Decimal, lead_days: int | None) -> TermsEffect:
        """What the payment terms are worth; the same few questions come up for every line."""
        key = (money_percent, lead_days)
        found = self._payments.get(key)
        if found is None:
            found = terms_effect(self.quote.terms.payment, money_percent, lead_days)
            self._payments[key] = found
        return found

    def dues(self, part: str) -> tuple[Due, ...]:
        """Charges that touch a part's line."""
        return self.charges.on(part)

    def term_place(self, term: str) -> str:
        """Where a term stands in the reply, or ''."""
        return place_words(self.quote.terms.places, term)


def place_words(places: Mapping[str, Place], term: str) -> str:
    """Return the place of a term in words, or ''."""
    found = places.get(term)
    return "" if found is None else str(found)


def lead_days(lead: LeadTime | None, price: Price | None = None) -> int | None:
    """Return calendar days from the starting event to readiness, or None where not stated."""
    if price is not None and price.lead_days is not None:
        return price.lead_days
    if lead is None or lead.until is not None or not (lead.amount or lead.text):
        return None
    match lead.unit:
        case "days":
            return lead.amount
        case "working days":
            return lead.amount * 7 // 5
        case "weeks":
            return lead.amount * 7


def conditions_of(
    quote: Quote,
    shop: Shop,
    request: Request | None,
    rates: Rates,
    exchange: Exchange,
    our_country: str,
) -> Conditions:
    """Return a quote's terms in our money, with the questions they raise."""
    delivered = delivery(quote, shop, request, rates, exchange, our_country)
    charges = charges_of(quote)
    if charges.covers_carriage and "carriage" in delivered.open_items:
        delivered = replace(
            delivered,
            open_items=tuple(item for item in delivered.open_items if item != "carriage"),
            problems=tuple(problem for problem in delivered.problems if problem.code != "N010"),
        )
    elif charges.covers_carriage:  # the shop's own charge comes before our rate
        delivered = replace(delivered, per_shipment=None, per_kg=None)
    packing_apart = any(charge.kind == "packing" for charge in quote.charges)
    packing_out = quote.scope.get(Scope.PACKING) == "out" and not packing_apart
    problems = list(delivered.problems)

    def ask(code: str, message: str) -> None:
        problems.append(Problem(code, message, severity=Severity.ASK, subject=shop.id))

    effect = terms_effect(
        quote.terms.payment, rates.money_percent, lead_days(quote.terms.lead) or 0
    )
    if effect.question:
        ask(
            "N015",
            f"Payment to {shop.name} is not clear, so it is compared as paid on delivery; "
            f"ask: {effect.question}",
        )
    state, percent = quote.terms.tax, quote.terms.tax_percent
    line_tax = {price.tax for price in quote.prices}
    if state == "not stated" and "not stated" in line_tax:
        ask(
            "N005",
            f"{shop.name} doesn't say whether tax is in its prices; they are taken as net "
            "until it does.",
        )
    elif "included" in line_tax or (state == "included" and "not stated" in line_tax):
        if shop.country != our_country:
            ask(
                "N005",
                f"{shop.name} quotes with tax included across a border, where an export is "
                "usually free of it; ask for the net price.",
            )
        elif percent is None and all(price.tax_percent is None for price in quote.prices):
            ask("N005", f"{shop.name} quotes with tax included and gives no rate; ask for it.")
    freight_tick = quote.scope.get(Scope.FREIGHT)
    if freight_tick == "in" and delivered.carriage_paid_by_us and not charges.covers_carriage:
        ask(
            "N016",
            f"{shop.name} ticks freight as in its price but quotes {delivered.rule}, under "
            "which we pay it; ask which holds.",
        )
    if freight_tick == "out" and delivered.rule and not delivered.carriage_paid_by_us:
        ask(
            "N016",
            f"{shop.name} ticks freight as not in its price but quotes {delivered.rule}, "
            "under which it pays; ask which holds.",
        )
    foreign = quote.currency != exchange.currency or delivered.crosses
    return Conditions(
        quote=quote,
        shop=shop,
        delivery=delivered,
        charges=charges,
        packing_percent=rates.packing_percent if packing_out else None,
        broker=rates.broker_per_shipment,
        bank=rates.bank_per_payment if foreign else None,
        our_country=our_country,
        problems=tuple(problems),
    )

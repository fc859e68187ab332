"""Bridges to the comparable price, to the cent, and what stands of a shop's quotes."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal as D

import pytest

from rfq.engine.normalise.charges import charges_of, counted_twice
from rfq.engine.normalise.offers import BridgeResult, comparable, standing
from rfq.model.codes import Scope
from rfq.model.part import FileRef, Part
from rfq.model.project import Settings
from rfq.model.quote import (
    Charge,
    Declined,
    Instalment,
    LeadTime,
    Payment,
    Price,
    Quote,
    QuoteTerms,
    TakenException,
)
from rfq.model.rates import Duty, ExchangeRate, Freight, Rates
from rfq.model.request import Request, RequestTerms
from rfq.model.shop import Shop
from rfq.problems import Severity

NOW = datetime(2026, 10, 30, tzinfo=UTC)
DAY = date(2026, 10, 30)
PAID = Payment(instalments=(Instalment(share=D(1), event="delivery"),))
HOME = Shop(id="s", name="Ash", country="DE", currency="EUR")
AWAY = Shop(id="s", name="Fir", country="CH", currency="EUR")
PART = Part(number="P", revision="A", name="block", material="EN AW-6082")


def price(each: str, quantity: int = 25, **more: object) -> Price:
    given = {"printed": D(each), "tax": "excluded", "currency": "EUR", **more}
    return Price(part="P", quantity=quantity, each=D(each), **given)  # type: ignore[arg-type]


def quote(*prices: Price, terms: dict[str, object] | None = None, **more: object) -> Quote:
    kept = {
        "incoterm": "DAP", "place": "Kiel", "tax": "excluded", "payment": PAID,
        "lead": LeadTime(amount=4, unit="weeks", event="order"), **(terms or {}),
    }  # fmt: skip
    given = {"currency": "EUR", **more}
    return Quote(
        shop="s", request="R", received=NOW, accepted_at=NOW, source=FileRef(path="f"),
        prices=prices, terms=QuoteTerms(**kept), **given,
    )  # type: ignore[arg-type]  # fmt: skip


def bridge(
    given: Quote,
    quantity: int = 25,
    shop: Shop = HOME,
    part: Part = PART,
    country: str = "DE",
    request: Request | None = None,
    exchange: dict[str, ExchangeRate] | None = None,
    **rates: object,
) -> BridgeResult:
    money = Rates(**{"money_percent": D(8), **rates})  # type: ignore[arg-type]
    found = comparable(
        given, part, shop, quantity, money, exchange or {},
        Settings(name="x", currency="EUR", country=country), request=request,
    )  # fmt: skip
    assert found is not None
    return found


def amounts(found: BridgeResult) -> dict[str, D]:
    assert sum(step.amount for step in found.steps) == found.comparable
    return {step.step: step.amount for step in found.steps if step.amount}


def codes(found: BridgeResult) -> set[str]:
    return {problem.code for problem in found.problems}


# --- bridges, to the cent -------------------------------------------------------------------------


def test_charges_of_every_kind_land_on_their_step() -> None:
    """25 pieces at 10: goods 250; each charge by hand."""
    given = quote(
        price("10"),
        charges=(
            Charge(name="index", kind="surcharge", percent=D(4)),  # of parts: 0.40
            Charge(name="fixture", kind="tooling", amount=D(100), part="P"),  # 4.00
            Charge(name="colour", kind="finish", amount=D(2), per="piece"),  # 2.00
            Charge(name="box", kind="packing", amount=D(25), per="part"),  # 1.00
            Charge(name="lorry", kind="freight", amount=D(50)),  # 2.00, alone in the order
            Charge(name="cover", kind="insurance", amount=D(5)),  # 0.20
            Charge(name="by weight", kind="other", amount=D(3), per="kg"),  # 3 x 0.5
            Charge(name="rebate", kind="discount", percent=D(10)),  # of 10: 1.00
        ),
    )
    found = bridge(given, part=PART, shop=HOME)
    assert found.open_items == ("the part's weight, for carriage",)
    heavy = price("10", weight_kg=D("0.5"))
    found = bridge(given.model_copy(update={"prices": (heavy,)}))
    assert amounts(found) == {
        "quoted price": D(10), "discount": D(-1), "surcharge": D("0.36"), "one-offs": D(4),
        "charges apart": D("3.5"), "packing": D(1), "carriage": D(2), "insurance": D("0.2"),
    }  # fmt: skip
    assert not found.open_items


def test_a_discount_as_an_amount_lowers_what_payment_terms_act_on() -> None:
    late = Payment(instalments=(Instalment(share=D(1), days=365),))
    for per, off in (("order", D(2)), ("piece", D(50)), ("part", D(2))):
        charge = Charge(name="rebate", kind="discount", amount=D(50), per=per)  # type: ignore[arg-type]
        found = bridge(quote(price("100"), charges=(charge,), terms={"payment": late}))
        steps = amounts(found)
        assert steps["discount"] == -off
        assert steps["payment terms"] == pytest.approx(
            (1 / D("1.08") - 1) * (100 - off), abs=D("0.000001")
        )


def test_an_order_discount_that_stands_twice_is_taken_once() -> None:
    twice = Charge(name="rebate", kind="discount", percent=D(-5))
    given = quote(price("100"), charges=(twice,), terms={"order_discount_percent": D(5)})
    assert amounts(bridge(given))["discount"] == D(-5)
    other = twice.model_copy(update={"percent": D(3)})
    both = charges_of(given.model_copy(update={"charges": (other,)})).of_every
    assert sorted(due.percent for due in both) == [D(-5), D(-3)]
    on_part = twice.model_copy(update={"part": "P"})
    assert len(charges_of(given.model_copy(update={"charges": (on_part,)})).on("P")) == 2


def test_a_one_off_that_stands_in_the_line_and_apart_is_counted_once() -> None:
    line = price("10", one_off=D(100))
    fixture = Charge(name="fixture", kind="tooling", amount=D(100), part="P")
    found = bridge(quote(line, charges=(fixture,)))
    assert amounts(found)["one-offs"] == D(4) and "N021" in codes(found)
    other = fixture.model_copy(update={"amount": D(50)})
    found = bridge(quote(line, charges=(other,)))
    assert amounts(found)["one-offs"] == D(6) and "N021" not in codes(found)
    dollars = charges_of(quote(line, charges=(fixture.model_copy(update={"currency": "USD"}),))).on(
        "P"
    )
    assert counted_twice(line, dollars) is None
    assert counted_twice(price("10"), dollars) is None


def test_a_least_order_value_costs_the_difference_or_its_fee() -> None:
    least = Charge(name="least", kind="minimum order", below=D(300))
    found = bridge(quote(price("10"), charges=(least,)))
    assert amounts(found)["minimum order value"] == D(2)  # 50 over 25 pieces
    fee = least.model_copy(update={"amount": D(25)})
    assert amounts(bridge(quote(price("10"), charges=(fee,))))["minimum order value"] == D(1)
    at = least.model_copy(update={"below": D(250)})
    assert "minimum order value" not in amounts(bridge(quote(price("10"), charges=(at,))))
    due = fee.model_copy(update={"below": D(250)})  # an order of just the least value owes no fee
    assert "minimum order value" not in amounts(bridge(quote(price("10"), charges=(due,))))


def test_spares_bought_for_a_minimum_quantity_are_worth_what_we_say() -> None:
    given = quote(price("10", 50, minimum_quantity=50))
    assert amounts(bridge(given))["minimum order quantity"] == D(10)  # 25 spares at 10
    half = bridge(given, spare_worth_percent=D(40))
    assert amounts(half)["minimum order quantity"] == D(6)
    assert any("25 spare, worth 40 %" in step.reason for step in half.steps)


def test_duty_insurance_broker_and_bank_across_a_border() -> None:
    """Goods 1000, carriage 60 + 2 x 20 kg = 100; insured 110 % of 1100; duty on all of it."""
    given = quote(price("50", 20, weight_kg=D(1)), terms={"incoterm": "FCA", "place": "Ort"})
    figures: dict[str, object] = {
        "freight": (Freight(country="CH", currency="EUR", per_shipment=D(60), per_kg=D(2),
                            days=3),),
        "insurance_percent": D(1), "broker_per_shipment": D(80), "bank_per_payment": D(20),
        "duty": (Duty(origin="CH", tariff_code="8708", percent=D(10), customs_days=2),),
    }  # fmt: skip
    part = PART.model_copy(update={"tariff_code": "870899"})
    found = bridge(given, 20, AWAY, part, **figures)
    value = D(1000) + 100 + D("12.1")
    assert amounts(found) == {
        "quoted price": D(50), "carriage": D(5), "insurance": D("0.605"), "duty": value / 200,
        "broker": D(4), "bank": D(1),
    }  # fmt: skip
    assert not found.open_items
    # where imports are valued free on board, carriage and insurance bear no duty
    abroad = bridge(given, 20, AWAY, part, "US", **figures)
    assert amounts(abroad)["duty"] == D(5)
    # nothing known: each is an open item with its question
    bare = bridge(given, 20, AWAY, part)
    assert set(bare.open_items) == {"carriage", "the customs broker", "duty"}
    assert {"N010", "N012", "N013", "N014"} <= codes(bare)
    note = next(problem for problem in bare.problems if problem.code == "N012")
    assert note.severity is Severity.NOTE
    # at home no border, no broker, no bank
    home = bridge(given, 20, HOME, part, **{**figures, "freight": (
        Freight(shop="s", currency="EUR", per_shipment=D(60)),)})  # fmt: skip
    assert set(amounts(home)) == {"quoted price", "carriage", "insurance"}
    assert amounts(home)["carriage"] == D(3) and "N012" not in codes(home)


def test_the_shop_s_own_carriage_comes_before_our_rate() -> None:
    terms = {"incoterm": "FCA", "place": "Ort"}
    lorry = Charge(name="lorry", kind="freight", amount=D(50))
    rate = (Freight(country="DE", currency="EUR", per_shipment=D(500), per_kg=D(9)),)
    for freight in ((), rate):
        found = bridge(quote(price("10"), charges=(lorry,), terms=terms), freight=freight)
        assert amounts(found)["carriage"] == D(2)
        assert not found.open_items and "N010" not in codes(found)
    ours = bridge(quote(price("10", weight_kg=D(1)), terms=terms), freight=rate)
    assert amounts(ours)["carriage"] == D(29)


def test_ticks_that_contradict_the_delivery_rule_are_asked() -> None:
    rate = (Freight(country="DE", currency="EUR", per_shipment=D(500)),)
    ex = {"incoterm": "EXW", "place": "Ort"}
    for terms, tick, asked in (
        (ex, "in", True), (ex, "out", False), ({}, "out", True), ({}, "in", False),
    ):  # fmt: skip
        found = bridge(quote(price("10"), terms=terms, scope={Scope.FREIGHT: tick}), freight=rate)
        assert ("N016" in codes(found)) is asked, (terms, tick)


def test_packing_left_out_takes_our_rate_unless_it_is_priced() -> None:
    out = {Scope.PACKING: "out"}
    assert amounts(bridge(quote(price("10"), scope=out), packing_percent=D(5)))["packing"] == D(
        "0.5"
    )
    box = Charge(name="box", kind="packing", amount=D(25))
    apart = bridge(quote(price("10"), scope=out, charges=(box,)), packing_percent=D(5))
    assert amounts(apart)["packing"] == D(1)
    assert "packing" not in amounts(bridge(quote(price("10")), packing_percent=D(5)))


def test_tax_is_asked_where_it_is_open() -> None:
    open_ = price("10", tax="not stated")
    assert "N005" in codes(bridge(quote(open_, terms={"tax": "not stated"})))
    assert "N005" not in codes(bridge(quote(open_)))
    inside = {"tax": "included", "tax_percent": D(19)}
    assert "N005" not in codes(bridge(quote(open_, terms=inside)))
    assert "N005" in codes(bridge(quote(open_, terms={"tax": "included"})))
    rated = price("10", tax="included", tax_percent=D(19))
    assert "N005" not in codes(bridge(quote(rated)))
    assert "N005" in codes(bridge(quote(rated), shop=AWAY))  # exports are usually free of it


def test_without_a_rate_or_a_firm_price_there_is_no_bridge() -> None:
    dollars = price("10", currency="USD")
    found = bridge(quote(dollars))
    assert found.comparable is None and found.open_items == ("the exchange rate of USD",)
    rate = {"USD": ExchangeRate(currency="USD", per_eur=D("1.25"), on=DAY)}
    known = bridge(quote(dollars, currency="USD"), exchange=rate, bank_per_payment=D(25))
    assert amounts(known) == {"quoted price": D(8), "bank": D(1)}
    small = bridge(quote(price("10", 50)), 25)
    assert small.comparable is None and "prices start at 50" in small.open_items[0]
    lot = bridge(quote(price("4", 50, per="lot", printed=D(200))), 25)
    assert lot.comparable is None and "a lot of 50" in lot.open_items[0]
    assert {"N004"} <= codes(small) & codes(lot)


def test_a_price_of_nothing_and_a_wrong_total_are_asked() -> None:
    assert "N003" in codes(bridge(quote(price("0"))))
    assert "N002" in codes(bridge(quote(price("10", line_total=D(999)))))
    assert not codes(bridge(quote(price("10", line_total=D(250)))))


def test_yield_divides_everything_by_the_accepted_share() -> None:
    found = bridge(quote(price("10", one_off=D(50))), yield_percent=D(80))
    assert found.comparable == D(12) / D("0.8")
    assert amounts(found)["accepted parts"] == D(3)
    assert any("25 pcs x 80 % accepted" in step.reason for step in found.steps)


def test_exceptions_cost_what_the_engineer_put() -> None:
    taken = (
        TakenException(part="P", text="no anodising", cost_each=D(2), state="accepted"),
        TakenException(part="", text="five weeks", cost_each=D("0.5")),
        TakenException(part="P", text="grain"),
        TakenException(part="Q", text="other", cost_each=D(9)),
    )
    found = bridge(quote(price("10"), exceptions=taken))
    assert amounts(found)["exceptions"] == D("2.5")
    (step,) = (step for step in found.steps if step.step == "exceptions")
    assert step.reason == "no anodising (accepted); five weeks (open)"


def test_who_says_how_it_is_delivered() -> None:
    silent = {"incoterm": "", "place": ""}
    request = Request(id="R", title="t", terms=RequestTerms(incoterm="DAP", place="Kiel"))
    asked = bridge(quote(price("10"), terms=silent), request=request)
    assert not asked.open_items and "N006" in codes(asked)
    usual = HOME.model_copy(update={"incoterm": "DAP Kiel"})
    said = bridge(quote(price("10"), terms=silent), shop=usual)
    assert not said.open_items
    assert any("what it usually offers" in problem.message for problem in said.problems)
    nothing = bridge(quote(price("10"), terms=silent))
    assert nothing.open_items == ("the delivery rule",) and "N006" in codes(nothing)


def test_exw_across_a_border_is_advised_against() -> None:
    terms = {"incoterm": "EXW", "place": "Ort"}
    for shop, asked in ((AWAY, True), (HOME, False)):
        assert ("N011" in codes(bridge(quote(price("10"), terms=terms), shop=shop))) is asked


# --- what stands of a shop's quotes ---------------------------------------------------------------


def test_the_newest_word_stands_and_what_it_leaves_out_stays() -> None:
    first = quote(price("10"), price("8", 100))
    second = quote(price("9"), number=2)
    stands = standing([first, second], 1)
    assert [(one.quantity, one.each) for one in stands.parts["P"].prices] == [
        (25, D(9)), (100, D(8)),
    ]  # fmt: skip
    assert stands.parts["P"].quotes[100] is first and stands.newest is second
    assert standing([first.model_copy(update={"round": 2})], 1).newest is None


def test_a_part_taken_back_stays_taken_back() -> None:
    no = quote(number=2, declined=(Declined(part="P", reason="full"),))
    stands = standing([quote(price("10")), no], 1)
    assert stands.parts["P"].declined is not None and stands.parts["P"].prices == []
    again = quote(price("9"), number=3)
    assert standing([quote(price("10")), no, again], 1).parts["P"].declined is None
    older = quote(number=1, declined=(Declined(part="P", reason="first"),))
    later = no.model_copy(update={"declined": (Declined(part="P", reason="later"),)})
    assert standing([older, later], 1).parts["P"].declined.reason == "later"  # type: ignore[union-attr]


def test_a_withdrawn_quote_takes_the_older_rounds_with_it() -> None:
    old = quote(price("10"))
    gone = quote(price("9"), round=2, state="withdrawn")
    found = standing([old, gone], 2)
    assert found.withdrawn and not found.parts
    kept = quote(price("8"), round=2, number=2)
    last = quote(price("7"), round=2, number=3, state="withdrawn")
    found = standing([old, kept, last], 2)
    assert not found.withdrawn and found.parts["P"].prices[0].each == D(8)


def test_the_same_alternative_is_shown_once() -> None:
    other = price("7", alternative="EN AW-7075")
    found = standing([quote(price("10"), other), quote(price("9"), other, number=2)], 1)
    assert len(found.parts["P"].alternatives) == 1
    dearer = price("8", alternative="EN AW-7075")
    found = standing([quote(other), quote(dearer, number=2)], 1)
    assert len(found.parts["P"].alternatives) == 2


def test_a_one_off_stated_once_holds_at_every_break_of_its_quote() -> None:
    given = quote(price("10", 5, one_off=D(90), one_off_name="fixture"), price("8", 25),
                  price("6", 100, one_off=D(0)))  # fmt: skip
    five, more, hundred = standing([given], 1).parts["P"].prices
    assert (five.one_off, more.one_off, hundred.one_off) == (D(90), D(90), D(0))
    assert more.one_off_name == "fixture (stated once, at 5 pcs)"

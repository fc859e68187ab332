"""Who pays for the way, and what is asked where it isn't known."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal as D

import pytest

from rfq.engine.normalise.currency import exchange_into
from rfq.engine.normalise.customs import customs_value, duty_for, same_customs_area
from rfq.engine.normalise.delivery import Delivery, delivery, duty_percent
from rfq.engine.normalise.offers import BridgeResult, comparable
from rfq.model.part import FileRef, Part
from rfq.model.project import Settings
from rfq.model.quote import Charge, Instalment, Payment, Price, Quote, QuoteTerms
from rfq.model.rates import Duty, Freight, Rates
from rfq.model.request import Request, RequestTerms
from rfq.model.shop import Shop

NOW = datetime(2026, 10, 30, tzinfo=UTC)
PART = Part(number="P", revision="A", name="p", material="EN AW-6082", tariff_code="7616 99")
FULL = Rates(
    freight=(Freight(country="CH", per_shipment=D(60), days=3),),
    duty=(Duty(origin="CH", tariff_code="76", percent=D("3")), Duty(origin="CH", percent=D(1))),
    broker_per_shipment=D(40),
    insurance_percent=D(1),
)


def quote(charges: tuple[Charge, ...] = (), scope: dict[str, str] | None = None, **terms: object):  # type: ignore[no-untyped-def]
    given = {"payment": Payment(instalments=(Instalment(share=D(1)),)), **terms}
    return Quote(
        shop="s", request="R", received=NOW, accepted_at=NOW, source=FileRef(path="f"),
        currency="EUR", charges=charges, scope=scope or {},
        prices=(Price(part="P", quantity=10, each=D(100), currency="EUR", tax="excluded"),),
        terms=QuoteTerms(**given),
    )  # type: ignore[arg-type]  # fmt: skip


def shop(country: str = "CH", incoterm: str = "") -> Shop:
    return Shop(id="s", name="Sennhof", country=country, currency="EUR", incoterm=incoterm)


def read(given: Quote, rates: Rates = FULL, country: str = "CH", **more: object) -> Delivery:
    request = more.pop("request", None)
    return delivery(given, shop(country, **more), request, rates, exchange_into("EUR", {}), "DE")  # type: ignore[arg-type]


def bridge(given: Quote, rates: Rates = FULL, country: str = "CH") -> BridgeResult:
    found = comparable(given, PART, shop(country), 10, rates, {}, Settings(name="b", country="DE"))
    assert found is not None
    return found


def amounts(result: BridgeResult) -> dict[str, D]:
    return {step.step: step.amount * 10 for step in result.steps}


# who pays carriage, insurance, import: Incoterms 2020, as the published charts have it
@pytest.mark.parametrize(
    ("rule", "place", "ours"),
    [
        ("EXW", "Sennhof", {"carriage", "insurance", "duty", "broker"}),
        ("FCA", "Sennhof", {"carriage", "insurance", "duty", "broker"}),
        ("CPT", "Kiel", {"insurance", "duty", "broker"}),
        ("CIP", "Kiel", {"duty", "broker"}),
        ("DAP", "Kiel", {"duty", "broker"}),
        ("DPU", "Kiel", {"duty", "broker"}),
        ("DDP", "Kiel", set()),
    ],
)
def test_what_a_rule_leaves_to_us_stands_in_the_bridge(
    rule: str, place: str, ours: set[str]
) -> None:
    found = amounts(bridge(quote(incoterm=rule, place=place)))
    assert set(found) & {"carriage", "insurance", "duty", "broker"} == ours


def test_inside_the_customs_union_there_is_neither_duty_nor_broker() -> None:
    rates = FULL.model_copy(update={"freight": (Freight(country="PL", per_shipment=D(60)),)})
    found = amounts(bridge(quote(incoterm="FCA", place="Gdynia"), rates, "PL"))
    assert set(found) & {"duty", "broker"} == set()
    assert found["carriage"] == D(60)


@pytest.mark.parametrize("country", ["CH", "DE"])
def test_unknown_carriage_is_a_question_and_never_a_zero(country: str) -> None:
    result = bridge(quote(incoterm="EXW", place="Works"), Rates(broker_per_shipment=D(1)), country)
    assert "carriage" in result.open_items
    assert any("ours to pay and not known" in problem.message for problem in result.problems)


def test_unknown_duty_and_broker_are_questions() -> None:
    rates = Rates(freight=FULL.freight)
    result = bridge(quote(incoterm="FCA", place="Sennhof"), rates)
    assert {"duty", "the customs broker"} <= set(result.open_items)


def test_the_longest_tariff_prefix_counts() -> None:
    assert duty_for(FULL.duty, "CH", "7616 99").percent == D(3)  # type: ignore[union-attr]
    assert duty_for(FULL.duty, "CH", "3926").percent == D(1)  # type: ignore[union-attr]
    assert duty_for(FULL.duty, "NO", "3926") is None
    percent, _, problem = duty_percent(
        read(quote(incoterm="DAP", place="Kiel", origin="NO")), PART, FULL, shop()
    )
    assert percent is None
    assert problem is not None


def test_duty_is_taken_from_cif_in_the_union_and_from_fob_elsewhere() -> None:
    # EU: Union Customs Code art. 71; United States: 19 USC 1401a (from memory)
    goods = (D(1000), D(10), D(60), D(5))
    assert customs_value(*goods, "DE") == D(1075)
    assert customs_value(*goods, "US") == D(1010)


@pytest.mark.parametrize(
    ("origin", "ours", "union", "same"),
    [("PL", "DE", (), True), ("CH", "DE", (), False), ("DE", "CH", (), False),
     ("CH", "CH", (), True), ("LI", "CH", ("LI",), True), ("PL", "DE", ("DE", "AT"), False)],
)  # fmt: skip
def test_customs_areas(origin: str, ours: str, union: tuple[str, ...], same: bool) -> None:
    assert same_customs_area(origin, ours, union) is same


def test_fob_origin_is_no_incoterms_rule() -> None:
    found = read(quote(incoterm="FOB", incoterm_text="FOB origin", place=""))
    assert found.rule == ""
    assert found.open_items
    assert any(problem.code == "T070" for problem in found.problems)


def test_fob_by_courier_misuses_a_sea_rule() -> None:
    found = read(quote(incoterm="FOB", incoterm_text="FOB Zug by courier", place="Zug"))
    assert any(problem.code == "T074" for problem in found.problems)


def test_a_rule_without_a_place_is_incomplete() -> None:
    found = read(quote(incoterm="DAP"))
    assert any("place" in problem.message for problem in found.problems)


def test_the_place_of_the_request_completes_its_own_rule() -> None:
    request = Request(id="R", title="t", terms=RequestTerms(incoterm="DAP", place="Kiel"))
    found = read(quote(incoterm="DAP"), request=request)
    assert found.problems == ()
    assert "Kiel" in found.words


def test_silence_takes_the_request_then_the_usual_terms_and_asks() -> None:
    request = Request(id="R", title="t", terms=RequestTerms(incoterm="DAP", place="Kiel"))
    found = read(quote(), request=request)
    assert (found.rule, found.open_items) == ("DAP", ())
    assert any("the request" in problem.message for problem in found.problems)
    assert read(quote(), incoterm="FCA Sennhof").rule == "FCA"
    unknown = read(quote())
    assert "the delivery rule" in unknown.open_items


def test_the_shops_own_carriage_charge_comes_before_our_rate() -> None:
    charge = Charge(name="courier", kind="freight", amount=D(25))
    result = bridge(quote((charge,), incoterm="EXW", place="Works"), country="DE")
    assert amounts(result)["carriage"] == D(25)
    assert result.open_items == ()


def test_contradicting_freight_tick_is_asked() -> None:
    result = bridge(quote(scope={"freight": "in"}, incoterm="EXW", place="Sennhof"))
    assert any(problem.code == "N016" for problem in result.problems)


def test_our_packing_rate_counts_only_where_the_shop_leaves_packing_out() -> None:
    rates = FULL.model_copy(update={"packing_percent": D(2)})
    out = amounts(bridge(quote(scope={"packing": "out"}, incoterm="DDP", place="Kiel"), rates))
    assert out["packing"] == D(20)
    assert "packing" not in amounts(bridge(quote(incoterm="DDP", place="Kiel"), rates))


def test_minimum_order_value_and_order_discount() -> None:
    charges = (
        Charge(name="small order", kind="minimum order", amount=D(50), below=D(1500)),
        Charge(name="5 %", kind="discount", percent=D(5)),
    )
    given = quote(charges, incoterm="DDP", place="Kiel", order_discount_percent=D(5))
    found = amounts(bridge(given))
    assert found["minimum order value"] == D(50)
    assert found["discount"] == D(-50)  # once, though it stands as term and as charge


def test_one_off_in_the_line_and_apart_is_counted_once_and_asked() -> None:
    given = quote((Charge(name="fixture", kind="tooling", amount=D(300), part="P"),),
                  incoterm="DDP", place="Kiel")  # fmt: skip
    doubled = given.model_copy(
        update={"prices": (given.prices[0].model_copy(update={"one_off": D(300)}),)}
    )
    result = bridge(doubled)
    assert amounts(result)["one-offs"] == D(300)
    assert any(problem.code == "N021" for problem in result.problems)


def test_no_exchange_rate_is_a_question() -> None:
    given = quote(incoterm="DDP", place="Kiel")
    foreign = given.model_copy(
        update={"prices": (given.prices[0].model_copy(update={"currency": "USD"}),)}
    )
    result = bridge(foreign)
    assert result.comparable is None
    assert result.steps == ()
    assert any(problem.code == "N001" for problem in result.problems)

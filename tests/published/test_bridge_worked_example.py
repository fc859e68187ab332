"""The bridge against figures worked out outside the program.

Sources: 'computed' figures were worked out by hand calculation beside the program; exchange
rates are the European Central Bank's reference rates of the day named; the early-payment
discount is the standard textbook example (2/10 net 30: 36.73 % simple on 360 days, 44.6 %
effective on 365).
"""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal as D

import pytest

from rfq.engine.normalise.bridge import NAMES, STEPS
from rfq.engine.normalise.charges import surcharge_each
from rfq.engine.normalise.currency import exchange_into
from rfq.engine.normalise.offers import BridgeResult, comparable
from rfq.engine.normalise.quantity import affine, bind, buying_up, target_question
from rfq.engine.normalise.terms import discount_rates, present_value, terms_effect
from rfq.model.part import FileRef, Part
from rfq.model.project import Settings
from rfq.model.quote import Charge, Instalment, Payment, Price, Quote, QuoteTerms
from rfq.model.rates import Duty, ExchangeRate, Freight, Rates
from rfq.model.shop import Shop

NOW = datetime(2026, 10, 30, tzinfo=UTC)
ECB_DAY = ExchangeRate(currency="USD", per_eur=D("1.1172"), on=date(2026, 10, 30), source="ECB")
SHOP = Shop(id="faraway", name="Faraway", country="US", currency="USD")
PART = Part(number="P1", revision="A", name="plate", material="EN AW-6082")
RATES = Rates(
    money_percent=D(8),
    yield_percent=D(97),
    freight=(Freight(shop="faraway", per_shipment=D(180), source="forwarder"),),
    duty=(Duty(origin="US", percent=D("4.2"), source="tariff"),),
    insurance_percent=D("0.3"),
    broker_per_shipment=D(45),
    bank_per_payment=D(15),
)
TWO_TEN = Payment(
    text="2/10 net 30",
    instalments=(Instalment(share=D(1), days=30, event="invoice"),),
    discount_percent=D(2),
    discount_days=10,
)


def quote(*prices: Price, **terms: object) -> Quote:
    given: dict[str, object] = {
        "incoterm": "EXW", "place": "Works", "payment": TWO_TEN, "tax": "excluded", **terms,
    }  # fmt: skip
    return Quote(
        shop="faraway", request="R1", received=NOW, accepted_at=NOW, source=FileRef(path="q.pdf"),
        currency="USD", prices=prices,
        charges=(Charge(name="packing 1.5 %", kind="packing", percent=D("1.5")),),
        terms=QuoteTerms(**given),  # type: ignore[arg-type]
    )  # fmt: skip


def price(quantity: int, each: str, **fields: object) -> Price:
    return Price(
        part="P1", quantity=quantity, printed=D(each), each=D(each), currency="USD", **fields
    )  # type: ignore[arg-type]


def example() -> BridgeResult:
    found = comparable(
        quote(price(100, "12.50", one_off=D(350))), PART, SHOP, 100, RATES,
        {"USD": ECB_DAY}, Settings(name="buoy"),
    )  # fmt: skip
    assert found is not None
    return found


def whole(result: BridgeResult, *steps: str) -> D:
    """Amount of the whole line, to the cent."""
    each = sum((step.amount for step in result.steps if step.step in steps), D(0))
    return (each * 100).quantize(D("0.01"))


def test_worked_example_comes_out_to_the_cent() -> None:
    # computed; rate: ECB, 30 October 2026
    result = example()
    assert result.comparable is not None
    assert round(result.comparable, 3) == D("17.849")
    assert whole(result, "quoted price", "one-offs") == D("1432.15")
    assert whole(result, "packing") == D("16.78")
    assert whole(result, "carriage") == D("180.00")
    assert whole(result, "insurance") == D("5.38")
    assert whole(result, "duty") == D("68.64")
    assert whole(result, "broker") == D("45.00")
    assert whole(result, "bank") == D("15.00")
    assert whole(result, "payment terms") == D("-31.60")
    before_terms = NAMES[: NAMES.index("payment terms")]
    assert whole(result, *before_terms) == D("1762.95")
    assert whole(result, *NAMES[:-1]) == D("1731.35")
    naive = result.steps[0].amount
    assert round(naive, 2) == D("11.19")


def test_the_steps_add_up_exactly_and_stand_in_the_written_order() -> None:
    result = example()
    assert sum((step.amount for step in result.steps), D(0)) == result.comparable
    order = [NAMES.index(step.step) for step in result.steps]
    assert order == sorted(order)
    assert result.steps[0].step == "quoted price"
    assert result.steps[-1].step == "accepted parts"
    assert all(reason for _, reason in STEPS)


def test_every_step_says_why_and_our_own_figures_are_marked() -> None:
    result = example()
    assert all(step.reason for step in result.steps)
    ours = {step.step for step in result.steps if step.estimated}
    assert ours == {"carriage", "insurance", "duty", "broker", "bank", "accepted parts"}
    assert "1.1172 USD per EUR, 2026-10-30, ECB" in result.steps[0].reason


def test_ex_works_across_a_border_advises_free_carrier() -> None:
    assert any("FCA" in problem.message for problem in example().problems)


@pytest.mark.parametrize(
    ("flows", "value"),
    [  # computed: per 100 at 8 % a year, compound, 365 days
        ([(D(100), 30)], "99.369"),
        ([(D(100), 60)], "98.743"),
        ([(D(50), -42), (D(50), 30)], "100.129"),
    ],
)
def test_present_value_of_payment_terms(flows: list[tuple[D, int]], value: str) -> None:
    assert round(present_value(flows, D(8)), 3) == D(value)


def test_half_before_delivery_through_the_terms_of_a_quote() -> None:
    half = Payment(
        instalments=(
            Instalment(share=D("0.5"), days=42, event="before delivery"),
            Instalment(share=D("0.5"), days=30, event="invoice"),
        )
    )
    effect = terms_effect(half, D(8), None)
    assert round(effect.factor * 100, 3) == D("100.129")
    assert effect.before_delivery == D("0.5")
    at_order = half.model_copy(
        update={
            "instalments": (
                Instalment(share=D("0.5"), days=0, event="order"),
                Instalment(share=D("0.5"), days=30, event="invoice"),
            )
        }
    )
    assert terms_effect(at_order, D(8), 42).factor == effect.factor
    assert "deliver" in terms_effect(at_order, D(8), None).question


def test_two_ten_net_thirty_is_worth_what_the_textbooks_say() -> None:
    simple, effective = discount_rates(D(2), 10, 30)
    assert round(simple * 100, 2) == D("36.73")
    assert round(effective * 100, 1) == D("44.6")


@pytest.mark.parametrize(("money", "taken"), [("8", True), ("44", True), ("45", False)])
def test_a_discount_is_taken_when_money_costs_less(money: str, taken: bool) -> None:
    assert terms_effect(TWO_TEN, D(money), None).discount_taken is taken


def test_ecb_rate_of_2013() -> None:
    # ECB euro reference rate of 21 March 2013: 1 EUR = 1.2910 USD
    rate = ExchangeRate(currency="USD", per_eur=D("1.2910"), on=date(2013, 3, 21), source="ECB")
    assert exchange_into("USD", {"USD": rate}).convert(D(100), "EUR") == D("129.10")


def test_cross_rate_goes_through_the_euro_unrounded() -> None:
    # ECB, 30 October 2026: 1.1172 USD, 4.4038 PLN
    rates = {
        "USD": ECB_DAY,
        "PLN": ExchangeRate(currency="PLN", per_eur=D("4.4038"), on=date(2026, 10, 30)),
    }
    exchange = exchange_into("USD", rates)
    assert exchange.convert(D("44038"), "PLN") == D("11172")


def test_affine_guess_between_breaks() -> None:
    # computed: 10 at 40 and 50 at 26: v = 22.5, F = 175; at 25 29.50
    assert affine(10, D(40), 50, D(26)) == (D(175), D("22.5"))
    breaks = [price(10, "40"), price(50, "26")]
    assert target_question(breaks, 25) == D("29.5")
    binding = bind(breaks, 25)
    assert binding is not None
    assert binding.price.quantity == 10  # the lower break binds until the shop says otherwise
    assert target_question(breaks, 5) is None
    assert target_question(breaks, 80) is None


def test_buying_up() -> None:
    # computed: 45 at 10.00 = 450 against 50 at 8.50 = 425
    breaks = [price(10, "10.00"), price(50, "8.50")]
    binding = bind(breaks, 45)
    assert binding is not None
    larger = buying_up(breaks, binding)
    assert larger is not None
    assert (larger.total, larger.plain_total) == (D("425.00"), D("450.00"))
    forty = bind(breaks, 42)
    assert forty is not None
    assert buying_up(breaks, forty) is None  # 420 against 425


@pytest.mark.parametrize(("worth", "each"), [("0", "22.50"), ("20", "19.80")])
def test_minimum_order_quantity(worth: str, each: str) -> None:
    # computed: need 40, MOQ 100 at 9.00 = 900 = 22.50 each needed; 60 spares worth 20 %: 19.80
    delivered = quote(
        price(100, "9.00", minimum_quantity=100), incoterm="DDP", place="Kiel",
        payment=Payment(instalments=(Instalment(share=D(1)),)),
    ).model_copy(update={"charges": ()})  # fmt: skip
    rates = Rates(spare_worth_percent=D(worth))
    found = comparable(
        delivered, PART, SHOP, 40, rates, {"USD": ECB_DAY}, Settings(name="b", currency="USD")
    )
    assert found is not None
    assert found.comparable == D(each)


def test_material_surcharge() -> None:
    # computed: 2.4 kg, index 2.30 -> 2.75 EUR/kg
    assert surcharge_each(D("2.75"), D("2.30"), D("2.4")) == D("1.08")


@pytest.mark.parametrize("quantity", [1, 2, 5])
def test_small_quantities_carry_the_whole_of_what_is_paid_once(quantity: int) -> None:
    # never rounded down: one piece carries one-off, carriage, broker and bank alone
    found = comparable(
        quote(price(quantity, "12.50", one_off=D(350))), PART, SHOP, quantity, RATES,
        {"USD": ECB_DAY}, Settings(name="buoy"),
    )  # fmt: skip
    assert found is not None and found.comparable is not None
    once = {step.step: step.amount for step in found.steps}
    assert once["one-offs"] == (D(350) / D("1.1172") / quantity).quantize(D("0.000001"))
    assert once["carriage"] == D(180) / quantity
    assert once["broker"] == D(45) / quantity
    # independent of the program: the worked example's formula at this quantity
    goods = (D("12.50") * quantity + 350) / D("1.1172")
    packing = D("12.50") * quantity / D("1.1172") * D("0.015")
    insurance = D("0.0033") * (goods + packing + 180)
    duty = D("0.042") * (goods + packing + 180 + insurance)
    terms = goods * (D("0.98") / D("1.08") ** (D(10) / 365) - 1)
    total = goods + packing + 180 + insurance + duty + 45 + 15 + terms
    assert abs(found.comparable - total / (D("0.97") * quantity)) < D("0.00002")

"""Terms, quantities, calendars and gaps in scope by arithmetic that can be done on paper."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal as D

import pytest

from rfq.engine.normalise.basis import adds_up, net_price, per_piece, tax_of
from rfq.engine.normalise.calendar import Calendar, calendar_of
from rfq.engine.normalise.conditions import lead_days
from rfq.engine.normalise.quantity import Bound, affine, bind, buying_up, target_question
from rfq.engine.normalise.scope import element_each, fill, missing, needed, not_stated, priced_apart
from rfq.engine.normalise.terms import days_from_delivery, present_value, terms_effect
from rfq.model.codes import Scope
from rfq.model.estimate import Element, Estimate
from rfq.model.part import FileRef, Finish, Part
from rfq.model.quote import (
    Breakdown,
    Charge,
    Instalment,
    LeadTime,
    Payment,
    Price,
    Quote,
    QuoteTerms,
)
from rfq.model.request import Request, RequestTerms
from rfq.model.shop import Shop, Shutdown

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


# --- quantities -----------------------------------------------------------------------------------


def test_a_minimum_order_quantity_is_bought_and_no_more() -> None:
    low = price("4", 50, minimum_quantity=50)
    found = bind([low], 20)
    assert found is not None and (found.bought, found.how) == (50, Bound.MINIMUM)
    assert found.firm
    more = bind([low], 80)
    assert more is not None and (more.bought, more.how) == (80, Bound.LOWER_BREAK)
    exact = bind([price("4", 50, minimum_quantity=10)], 50)
    assert exact is not None and (exact.bought, exact.how) == (50, Bound.EXACT)
    wide = bind([price("4", 20, minimum_quantity=30)], 25)
    assert wide is not None and (wide.bought, wide.how) == (30, Bound.MINIMUM)
    assert bind([], 5) is None
    lot = bind([price("4", 50, per="lot", printed=D(200))], 20)
    assert lot is not None and lot.bought == 50 and not lot.firm


def test_a_line_through_two_breaks_goes_through_both() -> None:
    fixed, each = affine(10, D(40), 50, D(26))
    for quantity, unit in ((10, D(40)), (50, D(26))):
        assert fixed + each * quantity == quantity * unit


def test_the_guess_between_two_breaks() -> None:
    ten, fifty = price("40", 10), price("26", 50)
    guess = target_question([ten, fifty], 25)
    assert guess == (D(175) + D("22.5") * 25) / 25  # F = 175, v = 22.5
    assert D(26) < guess < D(40)
    for quantity in (5, 10, 50, 80):  # outside the breaks, or at one of them
        assert target_question([ten, fifty], quantity) is None
    assert target_question([ten, price("26", 50, currency="USD")], 25) is None
    assert target_question([ten, price("26", 50, per="lot")], 25) is None
    assert target_question([ten, price("60", 50)], 25) is None  # dearer by the piece at more
    # the nearest breaks on either side count
    near = target_question([price("90", 5), ten, fifty, price("9", 500)], 25)
    assert near == guess


def test_buying_up_pays_where_the_total_is_less() -> None:
    small = price("10", 20)
    need = bind([small], 20)
    assert need is not None
    found = buying_up([small, price("7", 25), price("6", 30)], need)
    assert found is not None
    assert (found.price.quantity, found.total, found.plain_total) == (25, D(175), D(200))
    assert buying_up([small, price("8", 25)], need) is None  # 200 for 200 is no gain
    assert buying_up([small, price("7", 25, currency="USD")], need) is None
    assert buying_up([small, price("7.99", 25)], need) is not None
    # its own minimum quantity counts: 40 x 6 = 240
    assert buying_up([small, price("6", 25, minimum_quantity=40)], need) is None
    # spares that are worth half their price: 240 less 20 x 3 = 180
    worth = buying_up([small, price("6", 25, minimum_quantity=40)], need, D("0.5"))
    assert worth is not None and worth.total == 240
    # one-offs stand on either side: 200 + 10 against 175 + 40
    once = bind([price("10", 20, one_off=D(10))], 20)
    assert once is not None
    assert buying_up([price("7", 25, one_off=D(40))], once) is None
    assert buying_up([price("7", 25, one_off=D(30))], once) is not None
    below = bind([price("10", 20)], 5)
    assert below is not None and buying_up([price("1", 30)], below) is None


def test_of_two_larger_breaks_the_one_that_costs_less_after_spares_is_taken() -> None:
    small = price("10", 20)
    need = bind([small], 20)
    assert need is not None
    # without worth: 30 x 6 = 180 beats 40 x 4.6 = 184; with half worth 150 against 138
    larger = [small, price("6", 30), price("4.6", 40)]
    for worth, quantity in ((D(0), 30), (D("0.5"), 40)):
        found = buying_up(larger, need, worth)
        assert found is not None and found.price.quantity == quantity


# --- bases, tax, arithmetic -----------------------------------------------------------------------


def test_an_unknown_base_gives_no_price_of_a_piece() -> None:
    assert per_piece(D(5), "set", 25) is None
    odd = price("5", per="set")
    assert net_price(odd, quote(odd)).net == D(5)
    bare = price("5", printed=None)
    assert net_price(bare, quote(bare)).net == D(5)
    assert net_price(bare, quote(bare)).doubt == ""


def test_the_line_s_own_tax_word_comes_before_the_reply_s() -> None:
    reply = {"tax": "included", "tax_percent": D(19)}
    own = price("119", tax="excluded")
    assert tax_of(own, quote(own, terms=reply)) == ("excluded", D(19))
    rated = price("119", tax="included", tax_percent=D(7))
    assert tax_of(rated, quote(rated, terms=reply)) == ("included", D(7))
    silent = price("119", tax="not stated")
    assert tax_of(silent, quote(silent, terms=reply)) == ("included", D(19))


@pytest.mark.parametrize(
    "fields,right",
    [
        ({"line_total": None}, True),
        ({"printed": D(250), "per": "lot", "line_total": D(250)}, True),
        ({"printed": D(250), "per": "lot", "line_total": D(333)}, False),
        ({"printed": D(8), "per": "kg", "weight_kg": D(2), "line_total": D(333)}, False),
        ({"printed": None, "line_total": D(333)}, False),
        # 4.13 per ten: 25 pieces are 10.325, printed as 10.33 or 10.32
        ({"printed": D("4.13"), "per": "10", "line_total": D("10.33")}, True),
        ({"printed": D("4.13"), "per": "10", "line_total": D("10.45")}, False),
        ({"printed": D("12.00"), "per": "dozen", "line_total": D("25.00")}, True),
    ],
)
def test_a_line_total_of_other_bases(fields: dict[str, object], right: bool) -> None:
    each = "1" if fields.get("per") == "dozen" else "0.41" if fields.get("per") == "10" else "10"
    line = price(each, **fields)
    assert adds_up(line, net_price(line, quote(line))) is right


# --- payment --------------------------------------------------------------------------------------


def test_present_value_is_compound_interest_on_365_days() -> None:
    assert present_value([(D(108), 365)], D(8)) == pytest.approx(D(100))
    assert present_value([(D(100), -365)], D(8)) == pytest.approx(D(108))
    assert present_value([(D(100), 0)], D(8)) == D(100)
    assert present_value([(D(40), 0), (D(60), 0)], D(8)) == D(100)


def test_days_are_counted_from_delivery() -> None:
    for event, days in (("delivery", 30), ("invoice", 30), ("before delivery", -30), ("order", 2)):
        instalment = Instalment(share=D(1), days=30, event=event)  # type: ignore[arg-type]
        assert days_from_delivery(instalment, 28) == days
    assert days_from_delivery(Instalment(share=D(1), event="order"), None) is None


def test_what_is_paid_before_delivery_costs_money() -> None:
    halves = Payment(
        instalments=(
            Instalment(share=D("0.5"), event="order"), Instalment(share=D("0.5"), days=365),
        )
    )  # fmt: skip
    found = terms_effect(halves, D(8), 365)
    assert found.before_delivery == D("0.5")
    assert found.factor == pytest.approx((D("1.08") + 1 / D("1.08")) / 2)
    late = terms_effect(PAID.model_copy(update={"instalments": (
        Instalment(share=D(1), days=60, event="order"),)}), D(8), 28)  # fmt: skip
    assert late.before_delivery == 0 and late.factor < 1  # 32 days after delivery
    ahead = terms_effect(
        Payment(instalments=(Instalment(share=D(1), days=10, event="before delivery"),)), D(8), 28
    )
    assert ahead.before_delivery == 1 and ahead.factor > 1
    assert "10 days before delivery" in ahead.words


def test_terms_that_cannot_be_counted_are_asked() -> None:
    assert terms_effect(None, D(8), 28).question == "What are your payment terms?"
    assert terms_effect(Payment(text="as usual"), D(8), 28).question
    order = Payment(instalments=(Instalment(share=D(1), event="order"),))
    unknown = terms_effect(order, D(8), None)
    assert "How many days" in unknown.question and unknown.factor == 1
    short = Payment(instalments=(Instalment(share=D("0.3")), Instalment(share=D("0.6"))))
    asked = terms_effect(short, D(8), 28)
    assert "90" in asked.question and asked.factor == 1
    thirds = Payment(instalments=tuple(Instalment(share=D("0.3333")) for _ in range(3)))
    assert not terms_effect(thirds, D(8), 28).question


def test_a_discount_is_taken_while_money_costs_less_than_it_earns() -> None:
    """2 % for paying 20 days sooner earns 44.6 % a year (1/0.98)^(365/20) - 1."""
    terms = Payment(
        instalments=(Instalment(share=D(1), days=30, event="invoice"),),
        discount_percent=D(2), discount_days=10,
    )  # fmt: skip
    assert terms_effect(terms, D("44.5"), 28).discount_taken
    assert not terms_effect(terms, D("44.7"), 28).discount_taken
    taken = terms_effect(terms, D(8), 28)
    assert taken.factor == pytest.approx(D("0.98") * D("1.08") ** (D(-10) / 365))
    assert "100 % 30 days from invoice" in taken.words
    alone = terms_effect(Payment(discount_percent=D(2), discount_days=10), D(8), 28)
    assert alone.discount_taken and alone.factor == taken.factor


# --- lead times, calendars ------------------------------------------------------------------------


@pytest.mark.parametrize(
    "lead,days",
    [
        (LeadTime(amount=10, unit="days"), 10),
        (LeadTime(amount=10, unit="working days"), 14),  # five working days are a week
        (LeadTime(amount=3, unit="weeks"), 21),
        (LeadTime(), None),
        (LeadTime(until=DAY), None),
        (None, None),
    ],
)
def test_lead_times_in_calendar_days(lead: LeadTime | None, days: int | None) -> None:
    assert lead_days(lead) == days
    assert lead_days(lead, price("1", lead_days=9)) == 9
    assert lead_days(lead, price("1")) == days


def test_a_calendar_of_an_unknown_place_has_weekends_only() -> None:
    nowhere = calendar_of("ZZ")
    assert not nowhere.known and nowhere.works(date(2026, 12, 25))
    assert not nowhere.works(date(2026, 12, 26))  # a Saturday
    region = calendar_of("DE", "ZZ")
    assert not region.known and not region.works(date(2026, 12, 25))
    assert calendar_of("DE").known


def test_a_place_that_never_opens_does_not_hang() -> None:
    always = Calendar(None, ((date(1900, 1, 1), date(9000, 1, 1)),), True)
    assert always.on_or_after(DAY) > DAY
    assert always.add_days(DAY, 3) > DAY
    closed = calendar_of("DE", shutdowns=[Shutdown(first=DAY, last=DAY)])
    assert closed.closed(DAY) and not closed.works(DAY) and not closed.closed(date(2026, 10, 31))
    assert closed.add_days(date(2026, 10, 29), 1) == date(2026, 10, 31)
    assert closed.add_working(date(2026, 10, 29), 1) == date(2026, 11, 2)
    assert closed.add_working(DAY, 0) == DAY


# --- gaps in scope --------------------------------------------------------------------------------

ESTIMATE = Estimate(
    part="P", quantity=25, route="milled", basis="typed", low=80, middle=100, high=120,
    elements=tuple(
        Element(name=name, low=0, middle=share, high=0)
        for name, share in (("machine time", 60.0), ("finish", 20.0), ("overhead and margin", 20.0))
    ),
    one_off={"First article report": 200.0, "programming": 100.0},
)  # fmt: skip


def test_an_element_carries_its_part_of_the_overhead() -> None:
    assert element_each(ESTIMATE, "finish") == pytest.approx(25)  # 20 of 80, with 20 spread over 80
    assert element_each(ESTIMATE, "machine time") == pytest.approx(75)
    assert element_each(ESTIMATE, "casting") is None
    assert element_each(ESTIMATE.model_copy(update={"elements": ()}), "finish") is None


def test_a_gap_is_filled_by_our_estimate_then_by_the_others() -> None:
    own = fill(Scope.FINISH, ESTIMATE, D(2), [D(1)], 25)
    assert own.each == pytest.approx(D(50)) and "should-cost's finish" in own.reason
    once = fill(Scope.FIRST_ARTICLE, ESTIMATE, D(1), [], 25)
    assert once.each == pytest.approx(D(8))  # 200 over 25 pieces
    none_known = ESTIMATE.model_copy(update={"one_off": {}})
    for estimate, euro in ((none_known, D(1)), (None, D(1)), (ESTIMATE, None)):
        found = fill(Scope.FIRST_ARTICLE, estimate, euro, [D(3), D(9), D(5)], 25)
        assert found.each == D(5) and "median" in found.reason
    assert fill(Scope.MASKS, ESTIMATE, D(1), [], 25).each is None


def test_what_a_part_needs() -> None:
    request = Request(id="R", title="t", terms=RequestTerms(first_article=True))
    assert needed(PART, None) == (Scope.INSPECTION, Scope.PACKING)
    full = PART.model_copy(
        update={"finishes": (Finish(name="anodise", masks=2),), "certificate": "3.1"}
    )
    assert set(needed(full, request)) == {
        Scope.FINISH, Scope.MASKS, Scope.CERTIFICATES, Scope.FIRST_ARTICLE, Scope.INSPECTION,
        Scope.PACKING,
    }  # fmt: skip
    off = Request(id="R", title="t", terms=RequestTerms(first_article=False))
    assert Scope.FIRST_ARTICLE not in needed(full, off)


def test_a_tick_out_is_a_gap_unless_it_is_priced_apart() -> None:
    wants = (Scope.FINISH, Scope.MASKS, Scope.PACKING, Scope.INSPECTION)
    out = dict.fromkeys(wants, "out")
    assert missing(PART, wants, quote(scope=out)) == (
        Scope.FINISH, Scope.PACKING, Scope.INSPECTION,
    )  # masks go with the finish  # fmt: skip
    assert missing(PART, wants, quote(scope={**out, Scope.FINISH: "in"})) == (
        Scope.MASKS, Scope.PACKING, Scope.INSPECTION,
    )  # fmt: skip
    assert Scope.PACKING not in missing(PART, wants, quote(scope=out), packing_rate_known=True)
    apart = Charge(name="anodising", kind="finish", amount=D(90), part="P")
    assert Scope.FINISH not in missing(PART, wants, quote(scope=out, charges=(apart,)))
    others = apart.model_copy(update={"part": "Q"})
    assert Scope.FINISH in missing(PART, wants, quote(scope=out, charges=(others,)))
    own = missing(PART, wants, quote(scope=out), own={Scope.INSPECTION: "in"})
    assert Scope.INSPECTION not in own


def test_silence_is_no_tick() -> None:
    wants = (Scope.FINISH, Scope.PACKING, Scope.INSPECTION)
    said = quote(
        scope={Scope.INSPECTION: "in", Scope.PACKING: "not stated"},
        charges=(Charge(name="anodising", kind="finish", amount=D(90)),),
    )
    assert not_stated(wants, said) == (Scope.PACKING,)


def test_what_others_want_for_it_a_piece() -> None:
    given = quote(
        charges=(
            Charge(name="anodising", kind="finish", amount=D(50), part="P", currency="USD"),
            Charge(name="3.1", kind="certificate", amount=D(2), part="P", per="piece"),
            Charge(name="box", kind="packing", percent=D(3), part="P"),
            Charge(name="report", kind="first article", amount=D(75), part="Q"),
        ),
        breakdowns=(
            Breakdown(part="P", quantity=25, elements={"inspection": D(4), "finish": D(9)}),
            Breakdown(part="P", quantity=50, elements={"inspection": D(1)}),
        ),
        scope={Scope.FINISH: "out"},
    )
    assert priced_apart(given, "P", 25) == {
        Scope.INSPECTION: (D(4), "EUR"), Scope.FINISH: (D(2), "USD"),
        Scope.CERTIFICATES: (D(2), "EUR"),
    }  # fmt: skip

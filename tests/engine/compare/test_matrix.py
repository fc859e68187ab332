"""A round on one basis: states, ranking, totals, what is asked."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal as D

import pytest

from rfq.engine.compare.breakdown import stock_mass_kg
from rfq.engine.compare.explain import foreign_figures
from rfq.model.codes import CellState, Verdict
from rfq.model.part import FileRef, Finish, Part, Shape
from rfq.model.quote import (
    Breakdown,
    Charge,
    Declined,
    Instalment,
    LeadTime,
    Payment,
    Quote,
    TakenException,
)
from rfq.model.rates import Duty, Freight, Rates


def three_shops(market, *eaches: str):  # type: ignore[no-untyped-def]
    market.part("P1", 25)
    market.band("P1", 25, 80, 100, 125)
    for name, each in zip(("alder", "birch", "cedar"), eaches, strict=False):
        market.quote(name, market.price("P1", 25, each))
    return market


def test_three_prices_are_ranked_lowest_first(market, cell) -> None:  # type: ignore[no-untyped-def]
    result = three_shops(market, "110", "95", "102").compare()
    assert [cell(result, "P1", shop).rank for shop in ("alder", "birch", "cedar")] == [3, 1, 2]
    assert {x.verdict for x in result.lines[0].prices} == {Verdict.IN_LINE}
    assert cell(result, "P1", "birch").ratio == pytest.approx(0.95)
    assert result.like_set == ("P1 x 25",)
    assert {shop.shop: shop.total for shop in result.shops} == {
        "alder": D("2750.00"), "birch": D("2375.00"), "cedar": D("2550.00"),
    }  # fmt: skip


def test_every_state_of_a_cell(market, cell) -> None:  # type: ignore[no-untyped-def]
    three_shops(market, "100")
    market.quote("birch", declined=(Declined(part="P1", reason="no 5-axis"),))
    market.shop("cedar")
    market.shop("dogwood")
    market.part("P2", 10)
    market.asked["dogwood"] = ("P2",)
    market.quote("elm", market.price("P1", 25, "99"), terms={"valid_until": date(2026, 10, 29)})
    market.quote("fir", market.price("P1", 25, "99"), state="withdrawn")
    result = market.compare()
    states = {shop: cell(result, "P1", shop).state for shop in market.shops}
    assert states == {
        "alder": CellState.QUOTED, "birch": CellState.DECLINED, "cedar": CellState.NO_ANSWER,
        "dogwood": CellState.NOT_ASKED, "elm": CellState.EXPIRED, "fir": CellState.WITHDRAWN,
    }  # fmt: skip
    assert cell(result, "P1", "birch").why_not_ranked == "declined: no 5-axis"
    elm = cell(result, "P1", "elm")
    assert (elm.ranked, elm.comparable) == (False, D(99))
    assert "2026-10-29" in elm.why_not_ranked
    assert cell(result, "P1", "fir").quoted is None


def test_an_offer_that_ends_on_the_day_still_stands(market, cell) -> None:  # type: ignore[no-untyped-def]
    three_shops(market)
    market.quote("alder", market.price("P1", 25, "99"), terms={"valid_until": date(2026, 10, 30)})
    assert cell(market.compare(), "P1", "alder").ranked


def test_a_price_ten_times_too_low_is_asked_about(market, cell) -> None:  # type: ignore[no-untyped-def]
    result = three_shops(market, "10.20", "95", "105").compare()
    odd = cell(result, "P1", "alder")
    assert odd.verdict in (Verdict.QUERY, Verdict.LIKELY_ERROR)
    assert odd.slip is not None
    assert odd.question
    # A query stays ranked: a flag asks. A likely error waits for the answer.
    assert odd.ranked == (odd.verdict is Verdict.QUERY)
    others = [D("95"), D("105"), D("10.5")]
    assert foreign_figures(odd.question, ["10.20 EUR", "25"], others) == []


def test_a_line_that_does_not_add_up_comes_first(market, cell) -> None:  # type: ignore[no-untyped-def]
    three_shops(market)
    market.quote("alder", market.price("P1", 25, "100", line_total=D("25000")))
    market.quote("birch", market.price("P1", 25, "100", line_total=D("2500")))
    result = market.compare()
    wrong = cell(result, "P1", "alder")
    assert wrong.verdict is Verdict.QUERY
    assert "does not add up" in wrong.reason
    assert "line total" in wrong.question
    assert cell(result, "P1", "birch").verdict is Verdict.IN_LINE


def test_single_quote_says_that_only_the_band_speaks(market, cell) -> None:  # type: ignore[no-untyped-def]
    result = three_shops(market, "140").compare()
    alone = cell(result, "P1", "alder")
    assert alone.verdict is Verdict.OUTSIDE
    assert "only the band speaks" in alone.reason


def test_single_quote_without_a_band(market, cell) -> None:  # type: ignore[no-untyped-def]
    market.part("P1", 25)
    market.quote("alder", market.price("P1", 25, "140"))
    alone = cell(market.compare(), "P1", "alder")
    assert (alone.z, alone.ratio, alone.ranked) == (None, None, True)


def test_band_in_another_project_currency(market, cell) -> None:  # type: ignore[no-untyped-def]
    market.rate("USD", "1.1172")
    market.currency = "USD"
    result = three_shops(market, "100", "95").compare()
    assert result.lines[0].should_cost is not None
    assert result.lines[0].should_cost.middle == D("111.7200")
    assert cell(result, "P1", "alder").comparable == D("111.720000")
    assert cell(result, "P1", "alder").ratio == pytest.approx(1.0)


def test_between_breaks_the_lower_break_ranks_and_the_guess_is_a_question(market, cell) -> None:  # type: ignore[no-untyped-def]
    market.part("P1", 25)
    market.quote("alder", market.price("P1", 10, "40"), market.price("P1", 50, "26"))
    result = market.compare()
    found = cell(result, "P1", "alder")
    assert found.comparable == D(40)
    assert found.target_question == D("29.5000")
    assert found.quoted is not None and found.quoted.quantity == 10
    assert found.ranked


def test_between_breaks_the_question_is_the_price_at_this_quantity(market, cell) -> None:  # type: ignore[no-untyped-def]
    market.part("P1", 100)
    market.band("P1", 100, 18, 25, 34)
    market.quote("alder", market.price("P1", 25, "43"))
    result = market.compare()
    found = cell(result, "P1", "alder", 100)
    assert found.verdict is Verdict.OUTSIDE
    assert found.question == "Part P1: your price of 43 EUR is for 25 pcs; what is it for 100 pcs?"
    assert [p.code for p in result.problems].count("N024") == 1


def test_buying_up_is_noted(market) -> None:  # type: ignore[no-untyped-def]
    market.part("P1", 45)
    market.quote("alder", market.price("P1", 10, "10.00"), market.price("P1", 50, "8.50"))
    notes = [p.message for p in market.compare().problems if p.code == "N022"]
    assert len(notes) == 1
    assert "425.00" in notes[0] and "450.00" in notes[0]


def test_a_slip_at_the_larger_quantity_is_no_bargain(market) -> None:  # type: ignore[no-untyped-def]
    market.part("P1", 25, 100)
    market.band("P1", 25, 80, 100, 125)
    market.band("P1", 100, 70, 88, 110)
    market.quote("alder", market.price("P1", 25, "100"), market.price("P1", 100, "8.90"))
    market.quote("birch", market.price("P1", 25, "98"), market.price("P1", 100, "90"))
    assert not any(p.code == "N022" for p in market.compare().problems)


def test_below_the_lowest_break_there_is_no_comparable_price(market, cell) -> None:  # type: ignore[no-untyped-def]
    market.part("P1", 5, 25)
    market.quote("alder", market.price("P1", 25, "40"))
    result = market.compare()
    found = cell(result, "P1", "alder", 5)
    assert (found.comparable, found.ranked) == (None, False)
    assert "prices start at 25" in found.why_not_ranked
    assert found.quoted is not None  # no price vanishes
    assert any(p.code == "N004" for p in result.problems)
    assert cell(result, "P1", "alder", 25).ranked


def test_minimum_order_quantity_is_not_called_odd(market, cell) -> None:  # type: ignore[no-untyped-def]
    market.part("P1", 40)
    market.band("P1", 40, 8, 9, 11)
    market.quote("alder", market.price("P1", 100, "9.00", minimum_quantity=100))
    market.quote("birch", market.price("P1", 40, "9.50"))
    result = market.compare()
    found = cell(result, "P1", "alder", 40)
    assert found.comparable == D("22.5")
    assert found.verdict is Verdict.IN_LINE
    assert found.rank == 2


@pytest.mark.parametrize(
    ("state", "cost", "ranked", "each"),
    [("open", None, False, "100"), ("accepted", "3", True, "103"), ("accepted", None, True, "100"),
     ("refused", None, False, "100"), ("refused", "7", True, "107")],
)  # fmt: skip
def test_exceptions_count_as_the_engineer_decided(  # type: ignore[no-untyped-def]
    market, cell, state: str, cost: str | None, ranked: bool, each: str
) -> None:
    three_shops(market)
    taken = TakenException(
        part="P1", callout="C4", text="Ra 1.6 not held", state=state,  # type: ignore[arg-type]
        cost_each=None if cost is None else D(cost),
    )  # fmt: skip
    market.quote("alder", market.price("P1", 25, "100"), exceptions=(taken,))
    found = cell(market.compare(), "P1", "alder")
    assert (found.ranked, found.comparable) == (ranked, D(each))
    assert found.exceptions == (f"Ra 1.6 not held ({state})",)


def test_alternatives_stand_beside_and_are_never_mixed_in(market, cell) -> None:  # type: ignore[no-untyped-def]
    three_shops(market)
    market.quote(
        "alder", market.price("P1", 25, "100"),
        market.price("P1", 25, "70", alternative="EN AW-6060"),
    )  # fmt: skip
    market.quote("birch", market.price("P1", 25, "60", alternative="cast"))
    result = market.compare()
    found = cell(result, "P1", "alder")
    assert found.comparable == D(100)
    assert found.alternatives == ("EN AW-6060: 70 EUR at 25 pcs",)
    only = cell(result, "P1", "birch")
    assert (only.comparable, only.ranked) == (None, False)
    assert only.alternatives == ("cast: 60 EUR at 25 pcs",)


def test_missing_finish_is_filled_by_our_estimate_marked_and_asked(market, cell) -> None:  # type: ignore[no-untyped-def]
    market.part("P1", 25, finishes=(Finish(name="anodising"),))
    market.band("P1", 25, 80, 100, 125, run=60.0, finish=30.0, overhead_and_margin=10.0)
    market.quote("alder", market.price("P1", 25, "70"), scope={"finish": "out"})
    result = market.compare()
    found = cell(result, "P1", "alder")
    # finish 30 of 90 direct, overhead and margin of 10 spread in proportion
    assert found.comparable == pytest.approx(D("103.333333"), abs=D("0.00001"))
    step = next(s for s in found.bridge if s.step == "missing scope")
    assert step.estimated
    assert found.missing_scope == ("finish",)
    assert found.ranked
    assert any("leaves finish out" in p.message for p in result.problems)


def test_missing_finish_without_an_estimate_takes_the_median_of_the_others(market, cell) -> None:  # type: ignore[no-untyped-def]
    market.part("P1", 25, finishes=(Finish(name="anodising"),))
    market.quote("alder", market.price("P1", 25, "70"), scope={"finish": "out"})
    for name, amount in (("birch", "250"), ("cedar", "300"), ("dogwood", "1000")):
        charge = Charge(name="anodising", kind="finish", amount=D(amount), part="P1")
        market.quote(name, market.price("P1", 25, "80"), charges=(charge,))
    result = market.compare()
    found = cell(result, "P1", "alder")
    assert found.comparable == D(70 + 12)
    asked = [p.message for p in result.problems if p.code == "N019"]
    assert len(asked) == 1
    assert "12" not in asked[0]
    assert cell(result, "P1", "birch").comparable == D(90)


def test_missing_scope_that_nothing_fills_is_not_ranked(market, cell) -> None:  # type: ignore[no-untyped-def]
    market.part("P1", 25, finishes=(Finish(name="anodising"),))
    market.quote("alder", market.price("P1", 25, "70"), scope={"finish": "out"})
    found = cell(market.compare(), "P1", "alder")
    assert not found.ranked
    assert "finish, which is not in the price" in found.why_not_ranked


def test_unknown_carriage_keeps_a_price_out_of_the_ranks(market, cell) -> None:  # type: ignore[no-untyped-def]
    three_shops(market, "100")
    market.quote("birch", market.price("P1", 25, "10"), terms={"incoterm": "EXW", "place": "Ulm"})
    result = market.compare()
    found = cell(result, "P1", "birch")
    assert not found.ranked
    assert "carriage" in found.why_not_ranked
    assert found.open_items == ("carriage",)
    assert cell(result, "P1", "alder").rank == 1


def test_totals_compare_only_like_sets(market) -> None:  # type: ignore[no-untyped-def]
    for number in ("P1", "P2", "P3"):
        market.part(number, 10)
    market.quote("alder", *(market.price(n, 10, "10") for n in ("P1", "P2", "P3")))
    market.quote("birch", *(market.price(n, 10, "9") for n in ("P1", "P2")))
    result = market.compare()
    assert result.like_set == ("P1 x 10", "P2 x 10")
    assert {s.shop: s.total for s in result.shops} == {"alder": D("200.00"), "birch": D("180.00")}


def test_totals_are_of_the_quantity_ordered_first(market) -> None:  # type: ignore[no-untyped-def]
    market.part("P1", 5, 25, 100)
    market.lines[0] = market.lines[0].model_copy(update={"order_first": 25})
    market.quote("alder", *(market.price("P1", q, "10") for q in (5, 25, 100)))
    result = market.compare()
    assert result.like_set == ("P1 x 25",)
    assert result.shops[0].total == D("250.00")


def test_what_is_paid_once_is_shared_by_value_and_none_is_lost(market, cell) -> None:  # type: ignore[no-untyped-def]
    market.rates = Rates(freight=(Freight(shop="alder", per_shipment=D(90)),))
    market.part("P1", 10)
    market.part("P2", 20)
    market.quote(
        "alder", market.price("P1", 10, "20"), market.price("P2", 20, "5"),
        terms={"incoterm": "FCA", "place": "Ulm"},
    )  # fmt: skip
    result = market.compare()
    shares = {}
    for part, quantity in (("P1", 10), ("P2", 20)):
        found = cell(result, part, "alder", quantity)
        shares[part] = next(s.amount for s in found.bridge if s.step == "carriage") * quantity
    assert shares == {"P1": D(60), "P2": D(30)}


def test_a_slip_does_not_move_the_carriage_of_the_other_lines(market, cell) -> None:  # type: ignore[no-untyped-def]
    market.rates = Rates(freight=(Freight(shop="alder", per_shipment=D(90)),))
    for number in ("P1", "P2"):
        market.part(number, 10)
        market.band(number, 10, 16, 20, 25)
    terms = {"incoterm": "FCA", "place": "Ulm"}
    market.quote("alder", market.price("P1", 10, "2000"), market.price("P2", 10, "20"), terms=terms)
    found = cell(market.compare(), "P2", "alder", 10)
    assert next(s.amount for s in found.bridge if s.step == "carriage") == D("4.5")


def test_a_line_not_quoted_again_keeps_its_price_and_says_from_where(market, cell) -> None:  # type: ignore[no-untyped-def]
    market.part("P1", 25)
    market.part("P2", 25)
    market.quote("alder", market.price("P1", 25, "10"), market.price("P2", 25, "20"))
    market.quote("alder", market.price("P1", 25, "9"), round=2)
    first, second = market.compare(1), market.compare(2)
    assert cell(first, "P1", "alder").comparable == D(10)
    assert cell(second, "P1", "alder").comparable == D(9)
    kept = cell(second, "P2", "alder")
    assert kept.comparable == D(20)
    assert kept.quoted is not None and kept.quoted.place.endswith("(from round 1)")


def test_a_correction_in_the_same_round_and_a_withdrawal(market, cell) -> None:  # type: ignore[no-untyped-def]
    market.part("P1", 25)
    market.quote("alder", market.price("P1", 25, "100"), state="superseded")
    market.quote("alder", market.price("P1", 25, "10"), number=2)
    assert cell(market.compare(), "P1", "alder").comparable == D(10)
    market.quotes[1] = market.quotes[1].model_copy(update={"state": "withdrawn"})
    assert cell(market.compare(), "P1", "alder").state is CellState.WITHDRAWN
    market.quotes[0] = market.quotes[0].model_copy(update={"state": "standing"})
    assert cell(market.compare(), "P1", "alder").comparable == D(100)


def test_an_answer_to_another_revision_is_shown_and_not_ranked(market, cell) -> None:  # type: ignore[no-untyped-def]
    market.part("P1", 25)
    market.quote("alder", market.price("P1", 25, "10", revision="B"))
    market.quote("birch", market.price("P1", 25, "11", revision="A"))
    result = market.compare()
    assert "revision B" in cell(result, "P1", "alder").why_not_ranked
    assert cell(result, "P1", "birch").rank == 1


def test_paid_before_delivery_is_shown_beside(market, cell) -> None:  # type: ignore[no-untyped-def]
    market.part("P1", 10)
    half = Payment(
        text="half with the order",
        instalments=(
            Instalment(share=D("0.5"), days=0, event="order"),
            Instalment(share=D("0.5"), days=30, event="invoice"),
        ),
    )
    lead = LeadTime(text="6 weeks", amount=6, unit="weeks", event="deposit")
    market.quote("alder", market.price("P1", 10, "20"), terms={"payment": half, "lead": lead})
    result = market.compare()
    found = cell(result, "P1", "alder", 10)
    assert found.paid_before_delivery == D("100.00")
    assert result.shops[0].paid_before_delivery == D("100.00")
    # computed: 42 days before and 30 after delivery at 8 %: 100.129 per 100
    assert found.comparable == pytest.approx(D("20.0258"), abs=D("0.0001"))


def test_prices_on_no_line_are_named(market) -> None:  # type: ignore[no-untyped-def]
    three_shops(market)
    market.quote("alder", market.price("P1", 25, "100"), market.price("Q9", 3, "7"))
    notes = [p.message for p in market.compare().problems if p.code == "N032"]
    assert len(notes) == 1
    assert "Q9" in notes[0] and "7" in notes[0]


def test_a_whole_reply_in_another_currency(market, cell) -> None:  # type: ignore[no-untyped-def]
    market.rate("CNY", "7.4326")
    market.shop("dragon", "CN", "CNY")
    middles = (20, 55, 90, 140, 300, 33)
    for index, middle in enumerate(middles):
        market.part(f"P{index}", 25)
        market.band(f"P{index}", 25, middle * 0.8, middle, middle * 1.25)
    for name, factor in (("alder", 1.05), ("birch", 0.97)):
        market.quote(
            name,
            *(market.price(f"P{i}", 25, f"{m * factor:.2f}") for i, m in enumerate(middles)),
        )
    market.rates = Rates(duty=(Duty(origin="CN", percent=D(0)),), broker_per_shipment=D(0))
    market.quote(
        "dragon",
        *(market.price(f"P{i}", 25, f"{m * 7.4:.2f}", "EUR") for i, m in enumerate(middles)),
    )
    result = market.compare()
    dragon = next(s for s in result.shops if s.shop == "dragon")
    assert dragon.slip is not None
    assert "CNY" in dragon.slip.name
    assert dragon.question
    honest = [cell(result, f"P{i}", s) for i in range(6) for s in ("alder", "birch")]
    assert {x.verdict for x in honest} <= {Verdict.IN_LINE, Verdict.OUTSIDE}


def test_breakdowns_give_an_implied_rate_and_find_the_line_read_differently(market, cell) -> None:  # type: ignore[no-untyped-def]
    prices, breakdowns = [], []
    for index in range(5):
        market.part(f"P{index}", 25)
        prices.append(market.price(f"P{index}", 25, "100"))
        hours = D("0.5") if index == 4 else D(1)
        breakdowns.append(
            Breakdown(part=f"P{index}", quantity=25, hours=hours,
                      elements={"material": D(20), "set-up": D(20), "run": D(45)})
        )  # fmt: skip
    market.quote("alder", *prices, breakdowns=tuple(breakdowns))
    result = market.compare()
    assert result.shops[0].implied_rate == 65.0
    asked = [p for p in result.problems if p.code == "N040"]
    assert len(asked) == 1
    assert "P4" in asked[0].message
    assert cell(result, "P0", "alder").elements == {"material": 20.0, "set-up": 20.0, "run": 45.0}


def test_material_price_a_kg_is_of_the_stock_that_is_bought() -> None:
    # by hand: 100 x 50 x 20 mm of an aluminium alloy, 2.70 kg/dm3: 0.27 kg
    shape = Shape(length_mm=D(100), width_mm=D(50), height_mm=D(20), finished_mass_kg=D("0.02"))
    part = Part(number="P", revision="A", name="p", material="EN AW-6082", shape=shape)
    assert stock_mass_kg(part, None) == pytest.approx(0.27, rel=0.01)
    bar = Shape(kind="turned", diameter_mm=D(20), length_mm=D(100))
    turned = part.model_copy(update={"shape": bar})
    assert stock_mass_kg(turned, None) == pytest.approx(0.0848, rel=0.01)
    assert stock_mass_kg(part.model_copy(update={"shape": None}), None) is None


def test_a_part_or_shop_without_a_record_is_a_problem(market) -> None:  # type: ignore[no-untyped-def]
    three_shops(market, "100")
    market.parts.clear()
    result = market.compare()
    assert result.lines == ()
    assert any(p.code == "N030" for p in result.problems)
    when = datetime(2026, 10, 30, tzinfo=UTC)
    market.quotes.append(
        Quote(shop="ghost", request="R1", received=when, accepted_at=when,
              source=FileRef(path="f"), currency="EUR")
    )  # fmt: skip
    assert any(p.code == "N031" for p in market.compare().problems)


def test_a_price_of_zero_is_asked_and_not_ranked(market, cell) -> None:  # type: ignore[no-untyped-def]
    result = three_shops(market, "0", "95").compare()
    found = cell(result, "P1", "alder")
    assert (found.ranked, found.verdict) == (False, None)
    assert "zero" in found.why_not_ranked
    assert cell(result, "P1", "birch").rank == 1


def test_nothing_at_all(market) -> None:  # type: ignore[no-untyped-def]
    result = market.compare()
    assert (result.lines, result.shops, result.what_ifs) == ((), (), ())

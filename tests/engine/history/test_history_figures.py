"""Market, coverage, shops and rates from rows whose truth is known."""

from __future__ import annotations

import random
from datetime import date
from decimal import Decimal
from math import exp

import pytest

from rfq.engine.history.market import coverage, interval, market, wilson
from rfq.engine.history.observations import Observation
from rfq.engine.history.rates import proposed_rates, with_rates
from rfq.engine.history.shops import shops_history
from rfq.model.rates import Rates

LEVEL = {"a": 0.0, "b": 0.1, "c": -0.1}


def rows(parts: int, shift: float = 0.2, seed: int = 1, **more: object) -> list[Observation]:
    """Quotes of three shops on parts; the market stands exp(shift) over our middle.

    Drawn from a normal spread by part, shop and quote: not the cost model's own generator.
    """
    draw = random.Random(seed)
    found = []
    for i in range(parts):
        own = draw.gauss(0, 0.1)
        for shop, level in LEVEL.items():
            price = 100 * exp(shift + own + level + draw.gauss(0, 0.03))
            fields: dict[str, object] = {
                "project": f"p{i // 5}", "request": "R", "round": 1, "day": date(2026, 7, 1),
                "part": f"P-{i}", "revision": "A",
                "process": "milled" if i % 2 else "turned", "material": "EN AW-6082",
                "quantity": 25, "lot": "6 to 25", "shop": shop, "currency": "EUR",
                "low": 80.0, "middle": 100.0, "high": 125.0, "basis": "typed",
                "work_share": 0.5, "comparable": price, "odd": False, "awarded": shop == "c",
                "promised": None, "received": None, **more,
            }  # fmt: skip
            found.append(Observation(**fields))  # type: ignore[arg-type]
    return found


def test_student_t_against_the_printed_table() -> None:
    """t(0.975; 4) = 2.776: any table of Student's t."""
    middle, low, high = interval([1.0, 2.0, 3.0, 4.0, 5.0])
    assert middle == 3
    assert high - middle == pytest.approx(2.776 * (2.5**0.5) / 5**0.5, abs=2e-3)
    assert middle - low == pytest.approx(high - middle)


def test_wilson_against_a_published_case() -> None:
    """0 of 10: upper limit 0.2775 (Newcombe 1998, from memory)."""
    low, high = wilson(0, 10)
    assert low == pytest.approx(0, abs=1e-12)
    assert high == pytest.approx(0.2775, abs=1e-4)


def test_the_market_is_found_with_its_interval() -> None:
    whole = market(rows(60))[0]
    assert whole.low is not None
    assert whole.high is not None
    assert whole.low < exp(0.2) < whole.high
    assert (whole.parts, whole.quotes) == (60, 180)
    names = {(one.by, one.name) for one in market(rows(60))}
    assert {("process", "milled"), ("process", "turned"), ("lot", "6 to 25")} <= names


def test_too_little_is_said_and_odd_prices_count_nothing() -> None:
    few = market(rows(7))[0]
    assert few.ratio is None
    assert "not enough yet (7 of 8 parts)" in few.words
    assert market(rows(60, odd=True))[0].quotes == 0


def test_coverage_is_not_known_below_thirty_quotes() -> None:
    assert "not known" in coverage(rows(9)).words
    assert coverage(rows(10)).share is not None
    inside = coverage(rows(40, shift=0.0))
    assert inside.share is not None
    assert inside.share > 0.85


def test_shops_stand_against_the_others_and_keep_their_dates() -> None:
    found = {one.shop: one for one in shops_history(rows(40))}
    # Against the mean of the other two: b by 0.1 - (-0.05) = 0.15.
    assert found["b"].low is not None
    assert found["b"].high is not None
    assert found["b"].low < exp(0.15) - 1 < found["b"].high
    assert "nothing received yet" in found["b"].words
    late = rows(4, promised=date(2026, 9, 1), received=date(2026, 9, 4))
    shop = shops_history(late)[0]
    assert (shop.in_time, shop.days_late, shop.level) == (0, 3, None)


def test_rates_are_proposed_only_on_proof_and_bring_the_middle_to_the_market() -> None:
    proposed = proposed_rates(rows(60), Rates(region="DE"))
    assert proposed.factor is not None
    # With half of the price being work, 22 % more asks for 44 % more on the rates.
    ratio = market(rows(60))[0].ratio
    assert ratio is not None
    assert 1 + 0.5 * (proposed.factor - 1) == pytest.approx(ratio)
    own = with_rates(Rates(region="DE"), proposed, "own history")
    assert own.parameters["rate_3_axis"].typical == proposed.after["rate_3_axis"][1]
    assert proposed.before["rate_3_axis"][1] == Decimal("85.0")
    again = proposed_rates(rows(60), own)
    assert again.before == proposed.after

    assert proposed_rates(rows(60, shift=0.0), Rates()).factor is None
    assert "not enough" in proposed_rates(rows(3), Rates()).why
    assert "something else is wrong" in proposed_rates(rows(60, shift=1.5), Rates()).why

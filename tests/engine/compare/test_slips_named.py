"""Slips by name: exact ones, shifts with fit and runner-up, honest silence, and the question."""

from __future__ import annotations

import math
import re
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rfq.engine.compare.elements_odd import ELEMENTS
from rfq.engine.compare.posterior import NAMED
from rfq.engine.compare.slips import (
    NAMES,
    arithmetic_gap,
    candidates,
    explain,
    name_of,
    question_for,
)
from rfq.engine.compare.whole_reply import FACTORS


def test_a_price_per_hundred_is_named_with_its_runner_up():
    best, second = explain(math.log(96), 0.3, candidates(quantity=25))
    assert best.key == "x100" and best.fit > 0.98 and best.tellable
    assert second.key != "x100" and second.fit < best.fit


def test_the_whole_quantity_as_the_price_of_one():
    best, _ = explain(math.log(24.0), 0.1, candidates(quantity=25))
    assert best.key in {"x quantity", "inch"}
    assert "x quantity" in {row.key for row in explain(math.log(25), 0.1, candidates(quantity=25))}


def test_a_dozen_and_a_kilogram():
    assert explain(math.log(12.1), 0.05, candidates())[0].key == "dozen"
    best, _ = explain(math.log(1 / 0.25), 0.05, candidates(mass_kg=0.25))
    assert best.key == "kg" and "0.25 kg" in best.detail


def test_the_same_figure_at_another_quantity_is_exact():
    best, _ = explain(
        0.3, 0.4, candidates(quantity=100, price=41.2, own_breaks={25: 41.2, 100: 41.2})
    )
    assert best is None  # too near to be odd at all
    best, _ = explain(
        1.2, 0.3, candidates(quantity=100, price=41.2, own_breaks={25: 41.2, 100: 41.2})
    )
    assert best.key == "other break" and best.detail == "25 pcs"


def test_a_one_off_inside_the_unit_price():
    # 350 over 5 pcs on a part of 40: 110 instead of 40
    best, _ = explain(math.log(110 / 40), 0.15, candidates(quantity=5, price=110.0, one_off=350.0))
    assert best.key == "one-off inside" and best.factor == pytest.approx(110 / 40)


def test_missing_scope_is_named_only_where_the_spread_lets_it():
    shares = {"finish": 0.2, "inspection": 0.08}
    quiet, _ = explain(math.log(0.8), 0.05, candidates(shares=shares))
    assert quiet.key == "scope missing" and quiet.detail == "finish"
    assert explain(math.log(0.8), 0.25, candidates(shares=shares)) == (None, None)


def test_eight_percent_is_never_claimed_at_an_ordinary_spread():
    possible = candidates(currency_ratios={"USD": 1.08}, tax_rates=(0.19,), quantity=25)
    assert explain(math.log(1.08), 0.2, possible) == (None, None)
    assert explain(math.log(1.19), 0.2, possible) == (None, None)
    assert explain(0.0, 0.2, possible) == (None, None)


@given(st.floats(-8, 8), st.floats(0.02, 0.6))
def test_an_explanation_always_brings_the_price_nearer(distance, sd):
    for row in explain(distance, sd, candidates(quantity=25, currency_ratios={"CNY": 7.8})):
        if row is not None:
            assert abs(row.left) < abs(distance) and 0 < row.fit <= 1 and row.tellable


def test_line_total_within_rounding_and_beyond():
    # tolerance as in our own rule: half a minor unit + quantity x half the last digit
    assert arithmetic_gap(Decimal(100), Decimal("1.23"), Decimal("123.40"), unit_digits=2) is None
    assert (
        arithmetic_gap(Decimal(100), Decimal("1.23"), Decimal("123.51"), unit_digits=2) is not None
    )
    assert arithmetic_gap(Decimal(10), Decimal("4.1"), Decimal("4.10"), unit_digits=2) < 0


def keys():
    found = [name for name, *_ in NAMED] + [name for name, *_ in FACTORS]
    return sorted({*found, *NAMES, *ELEMENTS, "callout", "CNY", "/CNY", "something new"})


@pytest.mark.parametrize("key", keys())
def test_every_slip_has_a_name_and_a_question(key):
    assert name_of(key)
    text = question_for(key, "SB-110", 25, quoted="41.20 EUR")
    assert text.startswith("Part SB-110, 25 pcs, 41.20 EUR: ") and text.endswith("?")
    whole = question_for(key, "SB-110", None, whole_reply=True)
    assert whole.startswith("Your whole quotation: ") and "SB-110" not in whole
    for word in ("other shop", "median", "should-cost", "band", "accus", "odd", "error"):
        assert word not in text.lower()


def test_a_question_holds_no_figure_but_the_shops_own():
    for key in keys():
        text = question_for(key, "SB-110", 25, quoted="41.20 EUR")
        figures = set(re.findall(r"\d+(?:\.\d+)?", text)) - {"110", "25", "41.20"}
        assert figures <= {"100", "1000"}  # 'of one piece or of 100 pieces?'

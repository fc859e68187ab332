"""What decides: totals under a changed assumption, and what the second would need to win."""

from __future__ import annotations

import re
from decimal import Decimal as D

import pytest

from rfq.engine.compare.rank import like_set, winner
from rfq.model.quote import Instalment, Payment
from rfq.model.rates import Freight, Rates


def row(result, name: str):  # type: ignore[no-untyped-def]
    return next(x for x in result.what_ifs if x.name == name)


def test_unbalanced_one_offs_change_the_winner(market) -> None:  # type: ignore[no-untyped-def]
    market.part("P1", 10)
    market.quote("alder", market.price("P1", 10, "50", one_off=D(200)))  # 700
    market.quote("birch", market.price("P1", 10, "72"))  # 720
    result = market.compare()
    assert row(result, "as quoted").winner == "alder"
    without = row(result, "without one-offs")
    assert (without.winner, without.changes) == ("alder", False)
    market.quotes.clear()
    market.quote("alder", market.price("P1", 10, "50", one_off=D(250)))  # 750
    market.quote("birch", market.price("P1", 10, "72"))
    result = market.compare()
    without = row(result, "without one-offs")
    assert (without.winner, without.changes) == ("alder", True)
    assert without.totals == {"alder": D("500.00"), "birch": D("720.00")}
    assert row(result, "double the quantity").winner == "alder"  # 1,250 against 1,440
    assert row(result, "double the quantity").changes


def test_half_the_quantity_uses_the_break_that_binds_there(market) -> None:  # type: ignore[no-untyped-def]
    market.part("P1", 100)
    market.quote("alder", market.price("P1", 50, "12"), market.price("P1", 100, "9"))
    market.quote("birch", market.price("P1", 50, "10"), market.price("P1", 100, "10"))
    result = market.compare()
    assert row(result, "as quoted").winner == "alder"
    half = row(result, "half the quantity")
    assert half.totals == {"alder": D("600.00"), "birch": D("500.00")}
    assert half.changes


def test_a_shop_without_a_price_at_half_the_quantity_is_named(market) -> None:  # type: ignore[no-untyped-def]
    market.part("P1", 100)
    market.quote("alder", market.price("P1", 100, "9"))
    market.quote("birch", market.price("P1", 50, "10"))
    half = row(market.compare(), "half the quantity")
    assert half.totals == {"birch": D("500.00")}
    assert "alder" in half.note


def test_currency_at_which_the_second_wins(market) -> None:  # type: ignore[no-untyped-def]
    # by hand: 100 pcs at 10.00 USD, 1.10 USD per EUR = 909.09 EUR against 950: 4.5 % dearer
    market.rate("USD", "1.10")
    market.part("P1", 100)
    market.shop("alder", "US", "USD")
    market.rates = Rates(broker_per_shipment=D(0))
    market.quote("alder", market.price("P1", 100, "10", "USD"), terms={"incoterm": "DDP"})
    market.quote("birch", market.price("P1", 100, "9.50"))
    result = market.compare()
    dearer = row(result, "USD 5 % dearer")
    assert dearer.totals["alder"] == D("954.55")
    assert (dearer.winner, dearer.changes) == ("birch", True)
    cheaper = row(result, "USD 5 % cheaper")
    assert not cheaper.changes
    assert "birch is lowest once USD is 4.5 % dearer" in cheaper.note


def test_carriage_at_which_the_second_wins(market) -> None:  # type: ignore[no-untyped-def]
    # by hand: 1000 + 40 against 1070: carriage 75 % higher makes them equal
    market.rates = Rates(freight=(Freight(shop="alder", per_shipment=D(40)),))
    market.part("P1", 100)
    market.quote("alder", market.price("P1", 100, "10"), terms={"incoterm": "EXW", "place": "Ulm"})
    market.quote("birch", market.price("P1", 100, "10.70"))
    double = row(market.compare(), "double our carriage")
    assert (double.winner, double.changes) == ("birch", True)
    assert "75.0 % higher" in double.note


def test_cost_of_money_at_which_the_second_wins(market) -> None:  # type: ignore[no-untyped-def]
    # by hand: 1000 on delivery against 1010 after 90 days: equal where 1.01 = (1+r)^(90/365),
    # r = 4.118 %, that is 48.5 % below 8 %
    market.part("P1", 100)
    late = Payment(text="net 90", instalments=(Instalment(share=D(1), days=90, event="invoice"),))
    market.quote("alder", market.price("P1", 100, "10"))
    market.quote("birch", market.price("P1", 100, "10.10"), terms={"payment": late})
    result = market.compare()
    assert row(result, "as quoted").winner == "birch"
    assert row(result, "money costs nothing").changes
    note = row(result, "money costs double").note
    found = re.search(r"([\d.]+) % lower", note)
    assert found is not None
    assert float(found[1]) == pytest.approx(48.5, abs=0.1)


def test_yield_says_what_share_of_the_winners_pieces_may_be_lost(market) -> None:  # type: ignore[no-untyped-def]
    market.part("P1", 100)
    market.quote("alder", market.price("P1", 100, "9"))
    market.quote("birch", market.price("P1", 100, "10"))
    note = row(market.compare(), "95 % accepted").note
    assert "90.0 % of alder's pieces" in note


def test_lines_with_an_odd_price_are_left_out_for_once(market) -> None:  # type: ignore[no-untyped-def]
    for index, middle in enumerate((50, 80, 120, 300)):
        market.part(f"P{index}", 10)
        market.band(f"P{index}", 10, middle * 0.8, middle, middle * 1.25)
    low = ("48", "79", "121", "29.50")
    market.quote("alder", *(market.price(f"P{i}", 10, x) for i, x in enumerate(low)))
    high = ("47", "78", "119", "305")
    market.quote("birch", *(market.price(f"P{i}", 10, x) for i, x in enumerate(high)))
    result = market.compare()
    assert row(result, "as quoted").winner == "birch"  # a likely error takes no part
    assert "P3 x 10" not in " ".join(result.like_set)


def test_like_set_and_winner() -> None:
    every = frozenset(range(10))
    assert like_set({"a": every, "b": every - {3}}) == (every - {3}, ("a", "b"))
    lines, shops = like_set({"a": every, "b": every, "c": frozenset({1})})
    assert (lines, shops) == (every, ("a", "b"))
    assert like_set({"a": frozenset()}) == (frozenset(), ())
    assert winner({}) == ""

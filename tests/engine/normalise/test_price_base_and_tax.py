"""What a printed figure means: price base, tax, discount, arithmetic."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal as D

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rfq.engine.normalise.basis import adds_up, net_price, per_piece
from rfq.engine.normalise.quantity import Bound, bind
from rfq.model.part import FileRef
from rfq.model.quote import Price, Quote, QuoteTerms

NOW = datetime(2026, 10, 30, tzinfo=UTC)


def price(printed: str, each: str, per: str = "1", quantity: int = 25, **fields: object) -> Price:
    return Price(
        part="P", quantity=quantity, printed=D(printed), per=per, each=D(each), currency="EUR",
        **fields,
    )  # type: ignore[arg-type]  # fmt: skip


def quote(*prices: Price, **terms: object) -> Quote:
    return Quote(
        shop="s", request="R", received=NOW, accepted_at=NOW, source=FileRef(path="f"),
        currency="EUR", prices=prices, terms=QuoteTerms(**terms),
    )  # type: ignore[arg-type]  # fmt: skip


@pytest.mark.parametrize(
    ("per", "each"),
    [("1", "120"), ("10", "12"), ("100", "1.2"), ("1000", "0.12"), ("dozen", "10"), ("lot", "4.8")],
)
def test_price_base_is_an_explicit_field(per: str, each: str) -> None:
    assert per_piece(D(120), per, 25) == D(each)


def test_price_by_weight_needs_the_weight() -> None:
    assert per_piece(D("8.00"), "kg", 25, D("2.4")) == D("19.2")
    assert per_piece(D("8.00"), "kg", 25) is None


@pytest.mark.parametrize("each", ["113.00", "100.00"])
def test_domestic_tax_of_13_percent_is_divided_out_once(each: str) -> None:
    # whether or not the reader took it out already
    line = price("113.00", each, tax="included", tax_percent=D(13))
    net = net_price(line, quote(line))
    assert net.net == D(100)
    assert net.tax == D(-13)


def test_line_discount_is_taken_once() -> None:
    for each in ("100.00", "95.00"):
        line = price("100.00", each, discount_percent=D(5))
        assert net_price(line, quote(line)).net == D(95)


def test_tax_and_discount_together() -> None:
    for each in ("113.00", "107.35", "100.00", "95.00"):
        line = price("113.00", each, tax="included", tax_percent=D(13), discount_percent=D(5))
        net = net_price(line, quote(line))
        assert abs(net.net - 95) < D("0.01"), each
        assert net.printed + net.tax + net.discount == net.net


def test_tax_of_a_penny_price_is_taken_out_once() -> None:
    # 0.0119 with 19 % inside is 0.01 net; the difference is below half a cent
    line = price("1.19", "0.01", per="100", tax="included", tax_percent=D(19))
    assert net_price(line, quote(line)).net == D("0.01")


def test_tax_stated_for_the_whole_reply() -> None:
    line = price("113.00", "113.00")
    assert net_price(line, quote(line, tax="included", tax_percent=D(13))).net == D(100)


def test_net_price_in_whole_cents_from_the_reader() -> None:
    # 45.90 with 19 % inside: 38.5714, which a shop's books hold as 38.57
    line = price("45.90", "38.57", tax="included", tax_percent=D(19))
    net = net_price(line, quote(line))
    assert (net.printed, net.net) == (D("45.90"), D("38.57"))


def test_a_figure_that_does_not_follow_from_the_print_is_asked() -> None:
    line = price("120.00", "12.00", per="100")
    assert "say which is meant" in net_price(line, quote(line)).doubt


@pytest.mark.parametrize(
    ("each", "total", "right"),
    [("41.20", "1030.00", True), ("41.20", "1300.00", False), ("33.33", "833.33", True),
     ("33.33", "834.00", False), ("0.04", "1.09", True)],
)  # fmt: skip
def test_quantity_times_unit_is_the_line_total(each: str, total: str, right: bool) -> None:
    line = price(each, each, line_total=D(total))
    assert adds_up(line, net_price(line, quote(line))) is right


def test_line_total_of_a_price_per_hundred_and_with_one_off() -> None:
    line = price("412.00", "4.12", per="100", line_total=D("103.00"))
    assert adds_up(line, net_price(line, quote(line)))
    line = price("4.12", "4.12", line_total=D("453.00"), one_off=D(350))
    assert adds_up(line, net_price(line, quote(line)))


def test_a_lot_price_holds_only_at_its_size() -> None:
    lot = price("250", "10", per="lot", quantity=25)
    for quantity, how in ((25, Bound.EXACT), (24, Bound.LOT), (26, Bound.LOT)):
        found = bind([lot], quantity)
        assert found is not None
        assert found.how is how
        assert found.firm is (quantity == 25)


def test_below_the_lowest_break_nothing_binds() -> None:
    found = bind([price("9", "9", quantity=25), price("8", "8", quantity=100)], 5)
    assert found is not None
    assert found.how is Bound.BELOW
    assert not found.firm


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(1, 500), min_size=1, max_size=5, unique=True), st.integers(1, 600))
def test_the_highest_break_not_above_the_quantity_binds(breaks: list[int], need: int) -> None:
    prices = [price("9", "9", quantity=quantity) for quantity in sorted(breaks)]
    found = bind(prices, need)
    assert found is not None
    below = [quantity for quantity in breaks if quantity <= need]
    assert found.firm is bool(below)
    assert found.price.quantity == (max(below) if below else min(breaks))
    assert found.bought >= need

"""Cross rates, customs borders, tariff prefixes and shares of an order, by arithmetic."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal as D

import pytest

from rfq.engine.normalise.charges import surcharge_each
from rfq.engine.normalise.currency import exchange_into
from rfq.engine.normalise.customs import customs_value, duty_for, same_customs_area
from rfq.engine.normalise.offers import share_of_order
from rfq.model.quote import (
    Instalment,
    Payment,
)
from rfq.model.rates import Duty, ExchangeRate

NOW = datetime(2026, 10, 30, tzinfo=UTC)
DAY = date(2026, 10, 30)
PAID = Payment(instalments=(Instalment(share=D(1), event="delivery"),))


def test_cross_rates_go_through_the_euro() -> None:
    """1.25 USD and 0.8 GBP per EUR make 0.64 GBP for a dollar."""
    rates = {
        code: ExchangeRate(currency=code, per_eur=D(per), on=DAY, source="table")
        for code, per in (("USD", "1.25"), ("GBP", "0.8"))
    }
    pounds = exchange_into("GBP", rates)
    assert pounds.factor("USD") == pounds.convert(D(1), "USD") == D("0.64")
    assert pounds.factor("EUR") == D("0.8") and pounds.factor("GBP") == 1
    assert pounds.moved("USD", D(25)).factor("USD") == D("0.8")  # a dollar dearer by a quarter
    assert pounds.words("GBP") == ""
    assert pounds.words("EUR").count("per EUR") == 1
    assert pounds.words("USD").count("per EUR") == 2
    assert not exchange_into("CHF", rates).knows("USD")
    assert not pounds.knows("JPY")
    with pytest.raises(KeyError):
        pounds.factor("JPY")


def test_borders_and_the_longest_tariff_prefix() -> None:
    assert same_customs_area("US", "US", ())
    assert not same_customs_area("PL", "US", ())
    assert same_customs_area("CH", "LI", ("CH", "LI"))
    assert not same_customs_area("DE", "LI", ("CH", "LI"))
    duties = [
        Duty(origin="CN", tariff_code=code, percent=D(percent))
        for code, percent in (("", 9), ("87", 4), ("8708.99", 3), ("90", 1))
    ]
    for code, percent in (("8708 99 97", 3), ("8711", 4), ("73", 9), ("", 9)):
        found = duty_for(duties, "CN", code)
        assert found is not None and found.percent == percent, code
    assert duty_for(duties, "JP", "87") is None
    assert duty_for(duties[1:], "CN", "73") is None
    assert customs_value(D(100), D(1), D(10), D(2), "DE") == 113
    assert customs_value(D(100), D(1), D(10), D(2), "US") == 101


def test_shares_of_an_order_add_up_to_one() -> None:
    weights = [D(10), D(25), D(65)]
    assert sum(share_of_order(sum(weights), own, own) for own in weights) == 1
    assert share_of_order(D(100), D(10), D(20)) == D(20) / 110
    assert share_of_order(D(0), D(0), D(0)) == 1


def test_an_index_moves_only_its_share_of_the_weight() -> None:
    assert surcharge_each(D("2.75"), D("2.25"), D(2), D("0.4")) == D("0.4")
    assert surcharge_each(D(2), D(3), D(2)) == D(-2)

"""Which of the user's own rates holds on a day."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest

from rfq.model.rates import ExchangeRate
from rfq.store.ecb import exchange_rates

DAY = date(2026, 7, 3)


def own(offset: int, per_eur: str) -> ExchangeRate:
    return ExchangeRate(currency="CHF", per_eur=Decimal(per_eur), on=DAY + timedelta(days=offset))


@pytest.mark.parametrize(
    "offsets,expected,notes",
    [
        ((-2, -1), "-1", 0),
        ((-1, 0), "0", 0),  # a rate of the day itself is the day's
        ((0, 1), "0", 0),
        ((-1, 1), "-1", 0),
        ((2, 1), "1", 1),  # only later ones: the nearest, and it is said
    ],
)
def test_the_last_rate_up_to_the_day_holds(
    offsets: tuple[int, ...], expected: str, notes: int
) -> None:
    mine = tuple(own(offset, f"{10 + offset}") for offset in offsets)
    rates, problems = exchange_rates(DAY, ("CHF",), mine)
    assert rates["CHF"].on == DAY + timedelta(days=int(expected))
    assert [problem.code for problem in problems] == ["S023"] * notes

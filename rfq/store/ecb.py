"""Exchange rates of a day: the user's own first, else the European Central Bank's.

The reference rates come bundled with the package CurrencyConverter (source: ECB, euro foreign
exchange reference rates, history since 1999), so nothing is fetched. They are published on
working days only and are for information; what a bank charges is the user's to enter.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterable
from datetime import date, timedelta
from decimal import Decimal
from functools import cache
from typing import Any

from rfq.model.rates import ExchangeRate
from rfq.problems import Place, Problem, Severity

SOURCE = "ECB reference rate"
HOME = "EUR"
_LONGEST_GAP = 10  # days; Easter and the turn of the year close the ECB for at most five


def exchange_rates(
    day: date, currencies: Iterable[str], own: tuple[ExchangeRate, ...] = ()
) -> tuple[dict[str, ExchangeRate], tuple[Problem, ...]]:
    """Return the rate of each currency on a day, as foreign units per EUR, and what is open.

    Args:
        day: of the comparison.
        currencies: three capital letters each.
        own: the user's rates; the newest up to the day wins over the ECB's.
    Returns:
        Rates by currency, each with its own date and source, and problems: S020 no rate
        (stops), S021 the last one before is taken (note), S022 the bundled rates end long
        before the day (ask), S023 an own rate of a later day (note).
    """
    rates: dict[str, ExchangeRate] = {}
    problems: list[Problem] = []
    for currency in sorted(set(currencies)):
        mine = [rate for rate in own if rate.currency == currency]
        if currency == HOME:
            rates[HOME] = ExchangeRate(currency=HOME, per_eur=Decimal(1), on=day, source="by name")
        elif mine:
            rates[currency], said = _own(day, mine)
            problems.extend(said)
        else:
            rate, problem = _published(day, currency)
            if rate is not None:
                rates[currency] = rate
            if problem is not None:
                problems.append(problem)
    return rates, tuple(problems)


def bundled_until() -> date:
    """Return the last day of the bundled rates."""
    last: date = max(last for _, last in _history().bounds.values())
    return last


def _own(day: date, mine: list[ExchangeRate]) -> tuple[ExchangeRate, tuple[Problem, ...]]:
    before = [rate for rate in mine if rate.on <= day]
    if before:
        return max(before, key=lambda rate: rate.on), ()
    rate = min(mine, key=lambda rate: rate.on)
    note = Problem(
        "S023",
        f"your rate for {rate.currency} is of {rate.on}, after {day}; it is used all the same.",
        Place("rates.toml"),
        Severity.NOTE,
        subject=rate.currency,
    )
    return rate, (note,)


def _published(day: date, currency: str) -> tuple[ExchangeRate | None, Problem | None]:
    history = _history()
    if currency not in history.bounds:
        return None, _none(currency, f"the ECB publishes no rate for {currency}")
    first, last = history.bounds[currency]
    if day < first:
        return None, _none(currency, f"the ECB's rates for {currency} begin on {first}")
    on, per_eur = min(day, last), None
    while per_eur is None and on >= first:
        per_eur = _rate(history, currency, on)
        if per_eur is None:
            on -= timedelta(days=1)
    if per_eur is None:
        return None, _none(currency, f"the ECB's rates for {currency} have none up to {day}")
    rate = ExchangeRate(currency=currency, per_eur=per_eur, on=on, source=SOURCE)
    if on == day:
        return rate, None
    late = (day - on).days > _LONGEST_GAP
    said = (
        f"the bundled ECB rates for {currency} end on {on}, {(day - on).days} days before {day}; "
        "enter a newer rate in rates.toml."
        if late
        else f"the ECB published no rate for {currency} on {day}; that of {on} is taken."
    )
    code, severity = ("S022", Severity.ASK) if late else ("S021", Severity.NOTE)
    return rate, Problem(code, said, Place(), severity, subject=currency)


def _none(currency: str, why: str) -> Problem:
    return Problem(
        "S020", f"{why}; enter one in rates.toml.", Place("rates.toml"), subject=currency
    )


def _rate(history: Any, currency: str, on: date) -> Decimal | None:
    from currency_converter import RateNotFoundError

    try:
        per_eur = history.convert(Decimal(1), HOME, currency, on)
    except RateNotFoundError:
        return None
    return Decimal(per_eur)


@cache
def _history() -> Any:
    from currency_converter import CurrencyConverter

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the package's parser uses a deprecated call
        return CurrencyConverter(decimal=True)

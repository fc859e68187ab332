"""Comparable prices against our should-cost: bands in project currency, and the judgement.

What is judged is the comparable price without the spares of a minimum order quantity: those are
a fact, stated in the bridge, and not an odd price. Lines without a band are judged against the
median of their own prices, so that the other shops alone speak.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import nan

import numpy as np

from rfq.engine.compare.judge import band_sd_from, judge
from rfq.engine.compare.judgement import Judgement
from rfq.engine.compare.level_and_odd import START, Spread
from rfq.engine.compare.table import Estimates, Table, TableCell, TableLine
from rfq.engine.normalise.bridge import NAMES
from rfq.engine.normalise.currency import Exchange
from rfq.model.comparison import Band
from rfq.model.estimate import Estimate
from rfq.model.money import last_digit
from rfq.problems import Problem, Severity

_MOQ = NAMES.index("minimum order quantity")
_PLACES = Decimal("0.0001")


def band_of(estimate: Estimate, exchange: Exchange) -> Band | None:
    """Return a should-cost in project currency; None where there is no rate for its currency."""
    if not exchange.knows(estimate.currency):
        return None
    factor = exchange.factor(estimate.currency)
    return Band(
        low=in_money(estimate.low, factor),
        middle=in_money(estimate.middle, factor),
        high=in_money(estimate.high, factor),
        basis=estimate.basis,
        elements={element.name: element.middle * float(factor) for element in estimate.elements},
    )


def in_money(value: float, factor: Decimal = Decimal(1)) -> Decimal:
    """Return an estimate as money: the one place where floats become Decimal, at four decimals."""
    return (Decimal(repr(float(value))) * factor).quantize(_PLACES)


def bands_of(
    lines: Sequence[TableLine], estimates: Estimates, exchange: Exchange
) -> tuple[list[Band | None], list[Problem]]:
    """Return the band of each line (None where there is no estimate), and what is missing."""
    bands: list[Band | None] = []
    problems = []
    for line in lines:
        estimate = estimates.get((line.part.number, line.quantity))
        band = band_of(estimate, exchange) if estimate is not None else None
        if estimate is not None and band is None:
            message = (
                f"The should-cost of {line.part.number} is in {estimate.currency} and there is no "
                "exchange rate for it; put per_eur into rates.toml under exchange."
            )
            problems.append(
                Problem("N001", message, severity=Severity.ASK, subject=line.part.number)
            )
        bands.append(band)
    return bands, problems


def judged_price(cell: TableCell) -> Decimal | None:
    """Return the price that is judged, or None where there is nothing to judge."""
    if cell.numbers is None:
        return None
    price = cell.numbers.comparable - cell.numbers.each[_MOQ]
    return price if price > 0 else None


@dataclass(frozen=True, slots=True)
class Judged:
    """A judgement, and per line the figure that its ratios are over (0: nothing to judge)."""

    judgement: Judgement
    reference: tuple[float, ...]


def judged(
    table: Table,
    bands: Sequence[Band | None],
    spread: Spread | None = None,
    expected_levels: Mapping[str, float] | None = None,
) -> Judged:
    """Return what is said of every price, shop and line of a table.

    Args:
        table: lines x shops with their bridges.
        bands: of the lines, in project currency.
        spread: the user's own variances; None: the start values.
        expected_levels: shop -> log price level expected for its region.
    """
    shape = (len(table.lines), len(table.shops))
    prices = np.full(shape, np.nan)
    rounding = np.zeros(shape)
    bad = np.zeros(shape, dtype=bool)
    for i, row in enumerate(table.cells):
        for j, cell in enumerate(row):
            price = judged_price(cell)
            if price is None or cell.offered is None:
                continue
            prices[i, j] = float(price)
            bad[i, j] = not cell.offered.adds_up
            quoted = cell.offered.binding.price
            printed = quoted.printed if quoted.printed is not None else quoted.each
            if printed:
                rounding[i, j] = float(last_digit(printed) / printed)
    middle = np.array([nan if band is None else float(band.middle) for band in bands])
    low = np.array([nan if band is None else float(band.low) for band in bands])
    high = np.array([nan if band is None else float(band.high) for band in bands])
    unusable = ~(middle > 0) | ~(low > 0)
    middle[unusable] = low[unusable] = high[unusable] = nan
    reference = middle.copy()
    for row_index in np.flatnonzero(np.isnan(reference)):
        own = prices[row_index][~np.isnan(prices[row_index])]
        reference[row_index] = np.median(own) if own.size else 1.0
    levels = expected_levels or {}
    judgement = judge(
        np.log(prices / reference[:, None]) if prices.size else prices,
        band_sd_from(low, high) if shape[0] else low,
        np.array([float(line.quantity) for line in table.lines]),
        spread=spread or START,
        currency_ratios=currency_ratios(table),
        expected_level=np.array([levels.get(shop.shop.id, 0.0) for shop in table.shops]),
        band_low=np.log(low / middle),
        band_high=np.log(high / middle),
        rounding=rounding,
        known_bad=bad,
    )
    return Judged(judgement, tuple(float(value) for value in reference))


def currency_ratios(table: Table) -> dict[str, float]:
    """Return units per unit of project currency of every currency in play besides it."""
    exchange = table.given.exchange
    codes = {shop.shop.currency for shop in table.shops}
    for shop in table.shops:
        for offer in shop.stands.parts.values():
            codes.update(price.currency for price in offer.prices)
    codes.discard(exchange.currency)
    return {
        code: float(1 / exchange.factor(code)) for code in sorted(codes) if exchange.knows(code)
    }

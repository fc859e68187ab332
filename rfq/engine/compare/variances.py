"""The user's own spreads, from their past prices: marginal likelihood with weak priors, bounded.

The spread of single prices decides everything (too small by two flags one to five clean prices in
a hundred; too large by two loses nearly every slip), so it is estimated robustly: far prices get
weight 0 and the fit is repeated. Without that it was wrong by more than two in half of the
simulated histories. Below 50 prices the start values stand.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rfq.engine.compare.level_and_odd import START, Flags, Floats, Layout, Levels, Spread, solve

FROM_PRICES = 50
SET_ASIDE_Z = 3.5
REFITS = 2
# name: start value (mode of the prior), sd of the prior on the logarithm, bounds
PRIORS: dict[str, tuple[float, float, tuple[float, float]]] = {
    "band": (1.0, 0.5, (0.4, 3.0)),
    "level": (START.level, 0.5, (0.02, 0.5)),
    "single": (START.single, 0.6, (0.03, 0.8)),
    "market": (START.market, 0.6, (0.02, 0.8)),
}
SHIFT_PRIOR_SD = 0.15
SHIFT_BOUND = 0.5


@dataclass(frozen=True, slots=True)
class PastTable:
    """One past request.

    Args:
        log_ratio: L x M, log(comparable / should-cost); nan where there was no quote.
        band_sd: L, from the band; nan or 10 and more where there was none.
        left_out: L x M, prices that are still under question; they never enter the fit.
    """

    log_ratio: Floats
    band_sd: Floats
    left_out: Flags | None = None


@dataclass(frozen=True, slots=True)
class OwnSpread:
    """The spreads to use, how many prices stand behind them, and whether they are the user's."""

    spread: Spread
    prices: int
    own: bool
    set_aside: int = 0


@dataclass(frozen=True, slots=True)
class _Prepared:
    layout: Layout
    y: Floats
    band_sd: Floats
    barred: Flags


def own_spread(history: Sequence[PastTable]) -> OwnSpread:
    """Spreads estimated from past requests, or the start values where there are too few prices.

    Refit monthly, not per request; leave unresolved flags out of it.
    """
    tables = [_prepare(table) for table in history]
    tables = [table for table in tables if table.y.size]
    prices = sum(int((~table.barred).sum()) for table in tables)
    if prices < FROM_PRICES:
        return OwnSpread(START, prices, own=False)
    used = [~table.barred for table in tables]
    spread = START
    for refit in range(REFITS + 1):
        spread = _fit(tables, used, spread)
        if refit < REFITS:
            used = [_speaking(table, spread) for table in tables]
    aside = prices - sum(int(mask.sum()) for mask in used)
    return OwnSpread(spread, prices, own=True, set_aside=aside)


def _prepare(table: PastTable) -> _Prepared:
    values = np.asarray(table.log_ratio, dtype=float)
    width = np.asarray(table.band_sd, dtype=float)
    known = ~np.isnan(width) & (width < 2.0)  # without a band a line says nothing about its width
    mask = ~np.isnan(values) & known[:, None]
    layout = Layout.of(mask)
    at = (layout.line, layout.shop)
    barred = np.zeros(layout.line.size, dtype=bool)
    if table.left_out is not None:
        barred = np.asarray(table.left_out, dtype=bool)[at]
    return _Prepared(layout, values[at], np.where(known, width, 1.0), barred)


def _solve(table: _Prepared, used: Flags, spread: Spread) -> Levels:
    return solve(
        table.layout,
        table.y - spread.shift,
        np.full(table.y.size, spread.single**2),
        used,
        table.band_sd * spread.band,
        level_sd=spread.level,
        market_sd=spread.market,
    )


def _unpack(x: Floats) -> Spread:
    values = {name: float(np.exp(value)) for name, value in zip(PRIORS, x[:4], strict=True)}
    return Spread(shift=float(x[4]), **values)


def _fit(tables: Sequence[_Prepared], used: Sequence[Flags], start: Spread) -> Spread:
    from scipy.optimize import minimize  # half a second to load, and only a monthly refit needs it

    def loss(x: Floats) -> float:
        spread = _unpack(x)
        value = 0.5 * (spread.shift / SHIFT_PRIOR_SD) ** 2
        for name, (mode, sd, _) in PRIORS.items():
            value += 0.5 * (np.log(getattr(spread, name) / mode) / sd) ** 2
        for table, mask in zip(tables, used, strict=True):
            value -= _solve(table, mask, spread).log_likelihood
        return float(value)

    first = np.array([*(np.log(getattr(start, name)) for name in PRIORS), start.shift])
    bounds = [tuple(np.log(limits)) for _, _, limits in PRIORS.values()]
    bounds.append((-SHIFT_BOUND, SHIFT_BOUND))
    found = minimize(loss, first, method="L-BFGS-B", bounds=bounds)
    return _unpack(np.asarray(found.x, dtype=float))


def _speaking(table: _Prepared, spread: Spread) -> Flags:
    """Line-wise deletion: the worst price of a line beyond the limit, half a line at most."""
    used = ~table.barred
    line = table.layout.line
    count = np.bincount(line, minlength=table.layout.lines)
    allowed = np.maximum(count // 2, 1)
    for _ in range(3):
        size = np.where(used, np.abs(_solve(table, used, spread).z), 0.0)
        worst = np.zeros(table.layout.lines)
        np.maximum.at(worst, line, size)
        lost = count - np.bincount(line[used], minlength=table.layout.lines)
        drop = (size >= SET_ASIDE_Z) & (size >= worst[line]) & (lost[line] < allowed[line])
        if not drop.any():
            break
        used = used & ~drop
    close = np.abs(_solve(table, used, spread).z) < SET_ASIDE_Z
    return close & ~table.barred

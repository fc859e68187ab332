"""The judgement of one table of comparable prices: replies first, then single prices.

Order, and why: a slip of a whole reply is taken out first, or it would make every honest shop's
prices look odd; lines where all shops agree against our band lose the band, because then our
estimate is the odd one; then every single price is judged against all the others. 'Outside the
band' needs no statistics and accuses nobody.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike

from rfq.engine.compare.judgement import (
    BAND_TO_SD,
    CODE_ASK,
    CODE_ERROR,
    CODE_IN,
    CODE_OUT,
    NO_NAME,
    WHOLE_REPLY,
    Judgement,
    Line,
    Shop,
)
from rfq.engine.compare.level_and_odd import (
    START,
    Flags,
    Floats,
    Layout,
    Levels,
    Spread,
    solve_without_the_odd,
)
from rfq.engine.compare.posterior import LIKELY_ERROR, QUERY, named_shifts, slip_weights
from rfq.engine.compare.whole_reply import ReplySlip, WholeReplies, find_whole_reply_slips

NO_BAND_SD = 10.0  # sa of a line without should-cost: the other shops alone speak
NINETY = 1.6448536269514722  # an interval that holds 90 %
NARROWEST_BAND_SD = 0.03  # nobody knows a should-cost better than this
_HAS_BAND = 2.0
_AGREE = 4.0
WARN_SHARE, WARN_FROM = 0.03, 50


def band_sd_from(low: ArrayLike, high: ArrayLike) -> Floats:
    """sa of each line from its band (10th and 90th percentile); a large value without one.

    >>> band_sd_from([8.0, float("nan")], [12.0, float("nan")]).round(4).tolist()
    [0.1582, 10.0]
    """
    ratio = np.log(np.asarray(high, dtype=float) / np.asarray(low, dtype=float))
    return np.where(np.isnan(ratio), NO_BAND_SD, np.maximum(ratio / BAND_TO_SD, NARROWEST_BAND_SD))


def judge(
    log_ratio: ArrayLike,
    band_sd: ArrayLike,
    quantity: ArrayLike | None = None,
    *,
    spread: Spread = START,
    currency_ratios: Mapping[str, float] | None = None,
    expected_level: ArrayLike | None = None,
    band_low: ArrayLike | None = None,
    band_high: ArrayLike | None = None,
    rounding: ArrayLike | None = None,
    known_bad: ArrayLike | None = None,
) -> Judgement:
    """Judge a lines x shops table of comparable prices.

    Args:
        log_ratio: L x M, log(comparable / should-cost middle); nan where there is no quote. Where
            a line has no should-cost, log(comparable / any common figure of the line).
        band_sd: L, log(high/low)/2.563; nan or 10 and more where there is no should-cost.
        quantity: L, pieces; nan where unknown.
        spread: variances; the start values, or the user's own from ``variances``.
        currency_ratios: units per unit of project currency, for currencies in play.
        expected_level: M, the log price level expected of a shop for its region.
        band_low, band_high: L, log(low/middle), log(high/middle).
        rounding: L x M, last digit of the quoted price over the price (0.01/0.03): what rounding
            alone can do to a penny price.
        known_bad: L x M, true where a price is already known to be wrong (arithmetic); it is
            judged but does not speak about the others.
    """
    table = np.asarray(log_ratio, dtype=float)
    layout = Layout.of(~np.isnan(table))
    flat = (layout.line, layout.shop)
    width = np.asarray(band_sd, dtype=float)
    rounding_flat = None if rounding is None else np.asarray(rounding, dtype=float)[flat]
    bad = None if known_bad is None else np.asarray(known_bad, dtype=bool)[flat]
    return judge_cells(
        layout,
        table[flat],
        width,
        _column(quantity, layout.lines),
        spread=spread,
        currency_ratios=currency_ratios or {},
        expected_level=_column(expected_level, layout.shops, 0.0),
        band_low=_column(band_low, layout.lines),
        band_high=_column(band_high, layout.lines),
        rounding=rounding_flat,
        known_bad=bad,
    )


def _column(values: ArrayLike | None, size: int, empty: float = np.nan) -> Floats:
    return np.full(size, empty) if values is None else np.asarray(values, dtype=float)


def judge_cells(
    layout: Layout,
    log_ratio: Floats,
    band_sd: Floats,
    quantity: Floats,
    *,
    spread: Spread,
    currency_ratios: Mapping[str, float],
    expected_level: Floats,
    band_low: Floats,
    band_high: Floats,
    rounding: Floats | None = None,
    known_bad: Flags | None = None,
) -> Judgement:
    """As ``judge``, with the cells flat: memory is linear in the number of prices."""
    sa = np.where(np.isnan(band_sd), NO_BAND_SD, band_sd * spread.band)
    sa = np.where(np.isnan(band_sd) | (band_sd >= _HAS_BAND), NO_BAND_SD, sa)
    banded = sa < _HAS_BAND
    variance = np.full(log_ratio.size, spread.single**2)
    if rounding is not None:
        variance = variance + rounding**2 / 12.0  # a figure rounded to its last digit
    deviation = log_ratio - spread.shift - expected_level[layout.shop]

    replies = find_whole_reply_slips(layout, deviation, sa, banded, spread, currency_ratios)
    taken_out = np.array([_taken_out(s) for s in replies.slips])
    shifted = replies.band_shift + (taken_out[layout.shop] if layout.shops else 0.0)
    deviation = deviation - shifted

    odd_band = _all_against_us(layout, deviation, sa, spread) & banded
    effective = np.where(odd_band, NO_BAND_SD, sa)
    quotes = np.bincount(layout.line, minlength=layout.lines)
    pair = ((effective >= _HAS_BAND) & (quotes == 2))[layout.line]
    levels, kept = solve_without_the_odd(
        layout, deviation, variance, effective,
        level_sd=spread.level, market_sd=spread.market, held=pair, out=known_bad,
    )  # fmt: skip
    speaking = np.bincount(layout.line[kept], minlength=layout.lines)[layout.line] - kept
    mute = (effective[layout.line] >= _HAS_BAND) & (speaking == 0)

    weights = slip_weights(levels.residual, levels.sd, variance, quantity[layout.line])
    # of two prices without a band one is odd, and nobody can say which: never more than a query
    p = np.where(pair, np.minimum(weights.p_slip, LIKELY_ERROR - 0.01), weights.p_slip)
    p = np.where(mute, 0.0, p)
    best, second = weights.best()
    every = np.arange(best.size)
    shifts = named_shifts(quantity[layout.line])[best, every]
    with np.errstate(invalid="ignore", divide="ignore"):
        fit = np.clip(1.0 - np.abs(levels.residual - shifts) / np.abs(levels.residual), 0.0, 1.0)
    fit = np.nan_to_num(fit)
    nameless = weights.unknown > weights.named[best, every]
    best = np.where(nameless, NO_NAME, best)
    shifts = np.where(nameless, levels.residual, shifts)

    # a price of a shifted reply carries the shift, unless it is odder still on its own
    reply_p = np.array([0.0 if s is None or s.either else s.p for s in replies.slips])
    reply_p = reply_p[layout.shop] if layout.shops else np.zeros(0)
    from_reply = (reply_p > 0) & (p < QUERY)
    best = np.where(from_reply, WHOLE_REPLY, best)
    p = np.maximum(p, reply_p)

    code = np.full(p.size, CODE_IN, dtype=np.int8)
    with np.errstate(invalid="ignore"):
        outside = (log_ratio < band_low[layout.line]) | (log_ratio > band_high[layout.line])
    code[outside] = CODE_OUT
    code[p >= QUERY] = CODE_ASK
    code[p >= LIKELY_ERROR] = CODE_ERROR
    z = np.where(mute, np.nan, levels.z)
    flagged = int((code >= CODE_ASK).sum())
    return Judgement(
        layout=layout,
        z=z,
        p_slip=p,
        verdict_code=code,
        best=best,
        second=second,
        fit=fit,
        slip_log_factor=shifts,
        expected=log_ratio - shifted - levels.residual,
        expected_sd=levels.sd,
        shops=_shops(levels, replies, expected_level),
        lines=_lines(levels, banded, odd_band, spread.shift + replies.band_shift),
        market=_interval(
            levels.market + spread.shift + replies.band_shift,
            levels.market_sd,
            replies.band_shift != 0.0,
        ),
        spread_warning=p.size >= WARN_FROM and flagged > WARN_SHARE * p.size,
    )


def _taken_out(slip: ReplySlip | None) -> float:
    """Log shift removed from a shop's prices; of two replies that explain it, the likelier's."""
    if slip is None or slip.p < QUERY:
        return 0.0
    return float(np.log(slip.factor))


def _all_against_us(layout: Layout, deviation: Floats, sa: Floats, spread: Spread) -> Flags:
    """Lines on which two or more shops agree with each other and none with our band."""
    count = np.bincount(layout.line, minlength=layout.lines)
    low = np.full(layout.lines, np.inf)
    high = np.full(layout.lines, -np.inf)
    np.minimum.at(low, layout.line, deviation)
    np.maximum.at(high, layout.line, deviation)
    own = spread.single**2 + spread.level**2
    divisor = np.maximum(count, 1)
    mean = layout.per_line(deviation) / divisor
    far = np.abs(mean) > _AGREE * np.sqrt(sa**2 + spread.market**2 + own / divisor)
    close = high - low < 2.5 * np.sqrt(2.0 * own)
    out: Flags = (count >= 2) & far & close
    return out


def _interval(log_value: float, sd: float, odd: bool) -> Line:
    low, high = log_value - NINETY * sd, log_value + NINETY * sd
    return Line(float(np.exp(log_value)), float(np.exp(low)), float(np.exp(high)), odd)


def _lines(levels: Levels, banded: Flags, odd: Flags, shift: float) -> tuple[Line, ...]:
    middle = np.where(banded, levels.line_market + shift, np.nan)
    half = NINETY * levels.line_market_sd
    rows = zip(np.exp(middle), np.exp(middle - half), np.exp(middle + half), odd, strict=True)
    return tuple(Line(float(m), float(lo), float(hi), bool(o)) for m, lo, hi, o in rows)


def _shops(levels: Levels, replies: WholeReplies, expected: Floats) -> tuple[Shop, ...]:
    half = NINETY * levels.shop_sd
    # What is expected of a region is no reason to call a price odd, but it is part of the level.
    whole = levels.shop + expected
    rows = zip(
        np.expm1(whole),
        np.expm1(whole - half),
        np.expm1(whole + half),
        replies.slips,
        replies.p,
        strict=True,
    )
    return tuple(Shop(float(m), float(lo), float(hi), s, float(p)) for m, lo, hi, s, p in rows)

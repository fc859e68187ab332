"""Slips of a whole reply: every price of a shop shifted by one factor.

A reply that is ten times too high on every line passes a cell-by-cell test as 'expensive'. So
each shop's place is found first, robustly (medians over lines and shops, with the band as one
more voice), and then explained: honest, honest but dear or cheap, a named factor, a currency in
play far from ours, or an unnamed factor beyond what price levels do. When all shops agree against
the band, the band is the odd one. 1 + VAT and near-par currencies look like a price level and
are never claimed here: they are questions.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from rfq.engine.compare.level_and_odd import Flags, Floats, Ints, Layout, Spread

# Prior weights: common practice, no source. Too high is commoner than too low (a price per 100
# or of a lot read as each, a weak currency), which decides between two shops without a band.
FACTORS: tuple[tuple[str, float, float], ...] = (
    ("x10", 10.0, 0.006),
    ("/10", 0.1, 0.004),
    ("x100", 100.0, 0.006),
    ("/100", 0.01, 0.004),
    ("x1000", 1000.0, 0.006),
    ("/1000", 0.001, 0.004),
)
OTHER_FACTOR = "other factor"
CURRENCY_WEIGHT = 0.010
CURRENCY_BACK_WEIGHT = 0.006
CURRENCY_FAR = 4.0  # nearer to one, a ratio can't be told from a price level
WIDE_WEIGHT, WIDE_SD = 0.03, 0.30  # shops that are simply dear or cheap
OTHER_UP, OTHER_DOWN = 0.003, 0.0015
OTHER_FROM, OTHER_TO = np.log(CURRENCY_FAR), np.log(1000.0)
MIN_LINES = 3  # with fewer, a whole reply and a single price look alike
_SUSPICIOUS = 0.5  # below this no hypothesis can win: ln 4 seen against the mean of two shops
_NO_BAND_VARIANCE = 100.0
_RIVAL = 0.1
_CONSISTENT = 0.75  # share of a reply's prices that must look shifted; one of five may not


@dataclass(frozen=True, slots=True)
class ReplySlip:
    """A shift of a whole reply.

    Args:
        key: ``x10``, ``CNY``, ``/CNY`` or ``other factor``.
        factor: what every price is too high by.
        p: how likely some shift is, given all replies.
        fit: share of the log distance that the factor explains, 0 to 1.
        next_best: key of the runner-up among the shifts, or empty.
        either: another reply explains the same distance and no band tells which of them is out;
            then no single price is marked, and the question goes to both.
    """

    key: str
    factor: float
    p: float
    fit: float
    next_best: str
    either: bool = False


@dataclass(frozen=True, slots=True)
class WholeReplies:
    """Per shop the slip (or None) and its probability; and how far all shops stand from our band.

    ``place`` is each shop's robust place over the should-cost, in logarithms.
    """

    slips: tuple[ReplySlip | None, ...]
    p: Floats
    place: Floats
    band_shift: float = 0.0


def _group_median(group: Ints, values: Floats, groups: int) -> Floats:
    """Median of each group; 0 where a group is empty."""
    order = np.lexsort((values, group))
    counts = np.bincount(group, minlength=groups)
    starts = np.cumsum(counts) - counts
    out = np.zeros(groups)
    full = counts > 0
    low = starts[full] + (counts[full] - 1) // 2
    high = starts[full] + counts[full] // 2
    ordered = values[order]
    out[full] = (ordered[low] + ordered[high]) / 2.0
    return out


def _places(
    layout: Layout, deviation: Floats, banded: Flags
) -> tuple[Floats, Floats, float, int, Floats]:
    """Robust place of each shop over the band (or the middle shop), its noise, the cells' rest.

    Median polish (Tukey) with the band as one more column of zeros.
    """
    band_lines = np.flatnonzero(banded)
    line = np.concatenate([layout.line, band_lines])
    shop = np.concatenate([layout.shop, np.full(band_lines.size, layout.shops)])
    values = np.concatenate([deviation, np.zeros(band_lines.size)])
    rest = values.copy()
    column = np.zeros(layout.shops + 1)
    for _ in range(10):
        rest = rest - _group_median(line, rest, layout.lines)[line]
        step = _group_median(shop, rest, layout.shops + 1)
        column += step
        rest = rest - step[shop]
        if np.abs(step).max(initial=0.0) < 1e-3:
            break
    counts = np.bincount(shop, minlength=layout.shops + 1)
    noise = (1.4826 * _group_median(shop, np.abs(rest), layout.shops + 1)) ** 2
    noise *= 1.57 / np.maximum(counts, 1)  # variance of a median, Gaussian
    if band_lines.size:
        place = column[:-1] - column[-1]
    else:
        place = column[:-1] - np.median(column[:-1][counts[:-1] > 0])
    return place, noise[:-1], float(noise[-1]), int(band_lines.size), rest[: layout.line.size]


@dataclass(frozen=True, slots=True)
class _Kinds:
    keys: tuple[str, ...]
    shift: Floats
    log_weight: Floats


def _kinds(currency_ratios: Mapping[str, float]) -> _Kinds:
    rows = [(key, np.log(factor), weight) for key, factor, weight in FACTORS]
    for code in sorted(currency_ratios):
        ratio = currency_ratios[code]
        if ratio >= CURRENCY_FAR or 0 < ratio <= 1 / CURRENCY_FAR:
            rows.append((code, np.log(ratio), CURRENCY_WEIGHT))
            rows.append((f"/{code}", -np.log(ratio), CURRENCY_BACK_WEIGHT))
    keys, shifts, weights = zip(*rows, strict=True)
    return _Kinds(keys, np.array(shifts), np.log(np.array(weights)))


def _log_normal(gap: Floats | float, variance: float) -> Floats:
    return np.asarray(-0.5 * (np.square(gap) / variance + np.log(2 * np.pi * variance)))


def _explain(x: float, variance: float, kinds: _Kinds) -> Floats:
    """Log weight of: honest, wide, unnamed factor, each named kind; x is the place left over."""
    named = kinds.log_weight + _log_normal(x - kinds.shift, variance)
    clean_weight = 1.0 - WIDE_WEIGHT - float(np.exp(kinds.log_weight).sum())
    clean = np.log(max(clean_weight, 0.5)) + _log_normal(x, variance)
    wide = np.log(WIDE_WEIGHT) + _log_normal(x, variance + WIDE_SD**2)
    width = OTHER_TO - OTHER_FROM
    slack = abs(x) - OTHER_FROM
    edge = -0.5 * slack**2 / variance if slack < 0 else 0.0
    other = np.log((OTHER_UP if x > 0 else OTHER_DOWN) / width) + edge
    return np.concatenate([[clean, wide, other], named])


_HONEST, _WIDE, _OTHER = 0, 1, 2


def _votes(state: Ints, place: Floats, own: Floats, kinds: _Kinds) -> tuple[Floats, Floats]:
    """What each shop says of the common place: precision, and precision times value."""
    extra = np.where(state == _WIDE, WIDE_SD**2, np.where(state == _OTHER, 1e6, 0.0))
    shift = np.where(state > _OTHER, kinds.shift[np.maximum(state - 3, 0)], 0.0)
    precision: Floats = 1.0 / (own + extra)
    return precision, precision * (place - shift)


def _left(
    j: int, votes: tuple[Floats, Floats], place: Floats, own: Floats, common: float
) -> tuple[float, float]:
    """Shop j's place over what the band and every other shop say, and the variance of it."""
    precision = 1.0 / common + float(votes[0].sum() - votes[0][j])
    total = float(votes[1].sum() - votes[1][j])
    return float(place[j]) - total / precision, 1.0 / precision + float(own[j])


def _joint(state: Ints, place: Floats, own: Floats, common: float, kinds: _Kinds) -> float:
    """Log posterior of one assignment of states, by adding the shops one after the other."""
    score, mean, variance = 0.0, 0.0, common
    # an unnamed factor last: it is judged against all the others
    for j in np.argsort(state == _OTHER, kind="stable"):
        x = float(place[j]) - mean
        score += float(_explain(x, variance + float(own[j]), kinds)[state[j]])
        if state[j] == _OTHER:
            continue
        shift = float(kinds.shift[state[j] - 3]) if state[j] > _OTHER else 0.0
        extra = WIDE_SD**2 if state[j] == _WIDE else 0.0
        gain = variance / (variance + float(own[j]) + extra)
        mean += gain * (x - shift)
        variance *= 1.0 - gain
    return score


def _climb(
    state: Ints, place: Floats, own: Floats, common: float, kinds: _Kinds
) -> tuple[int, ...]:
    for _ in range(6):
        before = state.copy()
        for j in range(place.size):
            votes = _votes(state, place, own, kinds)
            left, variance = _left(j, votes, place, own, common)
            state[j] = int(np.argmax(_explain(left, variance, kinds)))
        if (state == before).all():
            break
    return tuple(int(value) for value in state)


def find_whole_reply_slips(
    layout: Layout,
    deviation: Floats,
    band_sd: Floats,
    banded: Flags,
    spread: Spread,
    currency_ratios: Mapping[str, float],
) -> WholeReplies:
    """Which replies are shifted as a whole, before any single price is judged.

    Args:
        layout: the cells.
        deviation: log price over should-cost (over any reference where there is none), less what
            is expected of the market and of each shop.
        band_sd: sa of each line.
        banded: whether a line has a should-cost.
        spread: the variances.
        currency_ratios: units of a currency in play per unit of the project's; only those above
            4 or below 1/4 are tried.
    """
    shops = layout.shops
    nothing = WholeReplies((None,) * shops, np.zeros(shops), np.zeros(shops))
    if layout.line.size == 0:
        return nothing
    enough = np.bincount(layout.shop, minlength=shops) >= MIN_LINES
    usable = banded[layout.line]
    to_band = _group_median(layout.shop[usable], deviation[usable], shops)
    middle = _group_median(layout.line, deviation, layout.lines)
    to_middle = _group_median(layout.shop, deviation - middle[layout.line], shops)
    off = np.maximum(np.abs(to_band), np.abs(to_middle))[enough]
    if off.max(initial=0.0) < _SUSPICIOUS:
        return nothing

    counts = np.bincount(layout.shop, minlength=shops)
    place, noise, band_noise, band_lines, rest = _places(layout, deviation, banded)
    judged = np.flatnonzero(enough)
    judged = judged[np.argsort(place[judged], kind="stable")]  # the order of shops decides nothing
    if judged.size == 0 or (judged.size == 1 and band_lines < MIN_LINES):
        return nothing
    floor = 1.57 * spread.single**2 / np.maximum(counts, 1)
    own = (spread.level**2 + np.maximum(noise, floor))[judged]
    x = place[judged]
    if band_lines:
        mean_square = float(np.mean(band_sd[banded] ** 2))
        common = spread.market**2 + max(band_noise, 1.57 * mean_square / band_lines)
    else:
        common = _NO_BAND_VARIANCE
        x = x - np.median(x)

    band_shift = 0.0
    if judged.size >= 2 and band_lines >= MIN_LINES:
        centre = float(np.average(x, weights=1.0 / own))
        agree = np.abs(x - centre) < np.minimum(4.0 * np.sqrt(own), _SUSPICIOUS)
        if agree.all() and abs(centre) > 4.0 * np.sqrt(common + own.mean() / own.size):
            band_shift = centre
            x = x - centre

    kinds = _kinds(currency_ratios)
    few = x if x.size <= 12 else np.quantile(x, (0.1, 0.25, 0.75, 0.9))
    anchors = {0.0, float(np.median(x)), *(float(value) for value in few)}
    starts = {
        tuple(int(np.argmax(_explain(float(v) - anchor, 0.1, kinds))) for v in x)
        for anchor in anchors
    }
    states = sorted({_climb(np.array(start), x, own, common, kinds) for start in starts})
    scores = np.array([_joint(np.array(state), x, own, common, kinds) for state in states])
    weights = np.exp(scores - scores.max())
    weights /= weights.sum()
    by_weight = np.argsort(-weights, kind="stable")
    states = [states[at] for at in by_weight]
    weights = weights[by_weight]
    # without a band two ways to set the replies apart may stand side by side
    rivals = 1
    if common == _NO_BAND_VARIANCE:
        rivals = int((weights > _RIVAL * weights[0]).sum())
    shifted = [
        frozenset(at for at, kind in enumerate(state) if kind > _WIDE) for state in states[:rivals]
    ]
    either = shifted[0].union(*shifted) - shifted[0].intersection(*shifted)

    p = np.zeros(shops)
    slips: list[ReplySlip | None] = [None] * shops
    all_votes = [_votes(np.array(state), x, own, kinds) for state in states]
    for at, j in enumerate(judged):
        posterior = np.zeros(3 + len(kinds.keys))
        left_over = np.nan
        for weight, state, votes in zip(weights, states, all_votes, strict=True):
            left, variance = _left(at, votes, x, own, common)
            logs = _explain(left, variance, kinds)
            share = np.exp(logs - logs.max())
            posterior += weight * share / share.sum()
            if state[at] > _WIDE and np.isnan(left_over):
                left_over = left
        p[j] = float(posterior[_OTHER:].sum())
        if not np.isnan(left_over) and (p[j] >= 0.5 or at in either):
            slip = _named(posterior, left_over, float(p[j]), kinds, at in either)
            at_cells = left_over + rest[layout.shop == j]
            nearer = np.abs(at_cells - np.log(slip.factor)) < np.abs(at_cells)
            if nearer.mean() >= _CONSISTENT:
                slips[j] = slip
            else:
                p[j] = min(p[j], 0.49)
    return WholeReplies(tuple(slips), p, place, band_shift)


def _named(posterior: Floats, left: float, p: float, kinds: _Kinds, either: bool) -> ReplySlip:
    order = np.argsort(-posterior[3:], kind="stable")
    best = int(order[0])
    fit = max(0.0, 1.0 - abs(left - float(kinds.shift[best])) / max(abs(left), 1e-9))
    if posterior[_OTHER] > posterior[3 + best]:
        return ReplySlip(OTHER_FACTOR, float(np.exp(left)), p, 1.0, kinds.keys[best], either)
    runner = kinds.keys[int(order[1])]
    factor = float(np.exp(kinds.shift[best]))
    return ReplySlip(kinds.keys[best], factor, p, fit, runner, either)

"""Odd prices element by element, where a shop gave a cost breakdown.

Five coordinates of one price (its log total over the should-cost and four log-ratios between its
elements, which don't feel the shop's general level) run through the same solver, each on its own.
That finds what totals can't: a one-off counted twice in the set-up, a wrong finish, half as much
run time again. The price of it: the elements must be allocated firmly.

A missing or zero element is a question, never a logarithm: its cell keeps the total and stays out
of the four ratio runs. A shop that bundles elements: merge the same ones in the should-cost.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rfq.engine.compare.level_and_odd import Flags, Floats, Ints, Layout, Levels, solve
from rfq.engine.compare.posterior import slip_weights

ELEMENTS = ("material", "set-up", "run", "finish", "inspection")
CALLOUT_PATTERN = (0.0, 0.3, 1.0, 0.0, 0.8)  # what a misread callout moves; common practice
DELETION_CHI2 = 20.0
DELETION_ROUNDS = 3
SLIP_SHARE = 0.03


@dataclass(frozen=True, slots=True)
class ElementSpread:
    """Standard deviations in logarithms; common practice, no source.

    Args:
        market: smu. total: sa, our total beside the elements. element: sc, our single element.
        level: sb, shop level. habit: th, a shop's habit of allocating. single: se, one price.
        noise: tk, allocation of one price.
    """

    market: float = 0.15
    total: float = 0.15
    element: float = 0.20
    level: float = 0.10
    habit: float = 0.15
    single: float = 0.14
    noise: float = 0.10


ELEMENT_START = ElementSpread()


@dataclass(frozen=True, slots=True)
class ElementJudgement:
    """Per line, shop: the probability of a slip and what it would be.

    Args:
        p_odd: L x M, by the elements; nan where there is no quote.
        p_total: L x M, by the total alone; whole-price slips show better there.
        weights: L x M x 22, posterior of each hypothesis (``HYPOTHESES``).
        residual, sd: L x M x 5, leave-one-out, total first, then the four ratios.
        chi2: L x M, sum of the five squared z.
        kept: L x M, whether the price spoke about the others.
        with_elements: L x M, whether all five elements were there.
    """

    p_odd: Floats
    p_total: Floats
    weights: Floats
    residual: Floats
    sd: Floats
    chi2: Floats
    kept: Flags
    with_elements: Flags

    @property
    def p_slip(self) -> Floats:
        """L x M, what is reported: the greater of the two."""
        return np.fmax(self.p_odd, self.p_total)

    def named(self, line: int, shop: int) -> tuple[tuple[str, float], ...]:
        """The slips of one price with their posterior, likeliest first, equal names added up."""
        sums: dict[str, float] = {}
        for name, weight in zip(HYPOTHESES, self.weights[line, shop], strict=True):
            if name != "clean" and weight > 0:
                sums[name] = sums.get(name, 0.0) + float(weight)
        return tuple(sorted(sums.items(), key=lambda row: (-row[1], row[0])))


HYPOTHESES: tuple[str, ...] = (
    "clean", "clean", "clean",
    "x10", "/10", "x100", "/100", "x1000", "/1000", "x2", "whole price",
    *ELEMENTS, *ELEMENTS, "callout",
)  # fmt: skip

_WHOLE = ((10.0, 0.05), (0.1, 0.05), (100.0, 0.02), (0.01, 0.02), (1000.0, 0.005),
          (0.001, 0.005), (2.0, 0.05))  # fmt: skip


def helmert(count: int = 5) -> Floats:
    """Orthonormal contrasts: count x (count - 1), free of the general level.

    >>> helmert(3).round(3)
    array([[ 0.707,  0.408],
           [-0.707,  0.408],
           [ 0.   , -0.816]])
    """
    columns = np.zeros((count, count - 1))
    for k in range(1, count):
        columns[:k, k - 1] = 1.0
        columns[k, k - 1] = -k
        columns[:, k - 1] /= np.sqrt(k * (k + 1.0))
    return columns


def judge_elements(
    quoted: Floats,
    should_cost: Floats,
    spread: ElementSpread = ELEMENT_START,
    *,
    quantity: Floats | None = None,
    delete: bool = True,
) -> ElementJudgement:
    """Judge prices with their breakdown; slips of whole replies are taken out before.

    Args:
        quoted: L x M x 5 in the order of ``ELEMENTS``; nan where there is no quote. Where single
            elements are missing or zero, the total comes from what is there.
        should_cost: L x 5, our middle estimate of each element, > 0.
        spread: standard deviations.
        quantity: L, pieces, for the quantity slips of the total.
        delete: whether odd prices are kept from speaking about the others.

    Raises:
        ValueError: a should-cost element that is not above zero.
    """
    if not (should_cost > 0).all():
        raise ValueError("every should-cost element must be above zero; merge bundled elements")
    lines, shops, _ = quoted.shape
    total = np.nansum(quoted, axis=2)
    present = total > 0
    whole = present & (np.nan_to_num(quoted) > 0).all(axis=2)
    layout = Layout.of(present)
    at = (layout.line, layout.shop)
    basis = helmert()
    coordinates = np.zeros((layout.line.size, 5))
    coordinates[:, 0] = np.log(total[at] / should_cost.sum(axis=1)[layout.line])
    full = whole[at]
    ratios = np.log(quoted[at][full] / should_cost[layout.line[full]])
    coordinates[full, 1:] = ratios @ basis

    our_shares = should_cost / should_cost.sum(axis=1, keepdims=True)
    band_total = np.sqrt(spread.total**2 + spread.element**2 * (our_shares**2).sum(axis=1))
    kept = np.ones(layout.line.size, dtype=bool)
    levels = _five(layout, coordinates, full, kept, band_total, spread)
    for _ in range(DELETION_ROUNDS if delete else 0):
        drop = _worst(layout, _chi2(levels, full), kept, shops)
        if drop.size == 0:
            break
        kept[drop] = False
        levels = _five(layout, coordinates, full, kept, band_total, spread)

    residual = np.column_stack([one.residual for one in levels])
    sd = np.column_stack([one.sd for one in levels])
    shares = np.where(full[:, None], quoted[at] / total[at][:, None], 0.2)
    weights = element_weights(residual, sd, shares, full, spread)
    count = np.full(layout.line.size, np.nan) if quantity is None else quantity[layout.line]
    single = np.full(layout.line.size, spread.single**2)
    by_total = slip_weights(residual[:, 0], sd[:, 0], single, count)

    def spread_out(flat: Floats, fill: float = np.nan) -> Floats:
        out = np.full((lines, shops, *flat.shape[1:]), fill)
        out[at] = flat
        return out

    kept_table = np.zeros((lines, shops), dtype=bool)
    kept_table[at] = kept
    return ElementJudgement(
        p_odd=spread_out(1.0 - weights[:, :3].sum(axis=1)),
        p_total=spread_out(by_total.p_slip),
        weights=spread_out(weights, 0.0),
        residual=spread_out(residual),
        sd=spread_out(sd),
        chi2=spread_out(_chi2(levels, full)),
        kept=kept_table,
        with_elements=whole,
    )


def _five(
    layout: Layout,
    coordinates: Floats,
    full: Flags,
    kept: Flags,
    band_total: Floats,
    spread: ElementSpread,
) -> tuple[Levels, ...]:
    size = layout.line.size
    runs = [
        solve(
            layout, coordinates[:, 0], np.full(size, spread.single**2), kept, band_total,
            level_sd=spread.level, market_sd=spread.market,
        )
    ]  # fmt: skip
    element_band = np.full(layout.lines, spread.element)
    for column in range(1, 5):
        run = solve(
            layout, coordinates[:, column], np.full(size, spread.noise**2), kept & full,
            element_band, level_sd=spread.habit, market_sd=0.0,
        )  # fmt: skip
        runs.append(run)
    return tuple(runs)


def _chi2(levels: tuple[Levels, ...], full: Flags) -> Floats:
    squares = np.column_stack([one.z**2 for one in levels])
    squares[~full, 1:] = 0.0
    out: Floats = squares.sum(axis=1)
    return out


def _worst(layout: Layout, chi2: Floats, kept: Flags, shops: int) -> Ints:
    """The worst kept price of each line above the limit; a tie deletes neither."""
    size = np.where(kept, chi2, 0.0)
    worst = np.zeros(layout.lines)
    np.maximum.at(worst, layout.line, size)
    top = (size > DELETION_CHI2) & (size >= worst[layout.line] * (1.0 - 1e-9))
    ties = np.bincount(layout.line[top], minlength=layout.lines)
    lost = np.bincount(layout.line[~kept], minlength=layout.lines)
    allowed = np.bincount(layout.line, minlength=layout.lines) // 2
    at = layout.line
    return np.flatnonzero(top & (ties[at] == 1) & (lost[at] < allowed[at]))


def _log_normal(residual: Floats, variance: Floats) -> Floats:
    out: Floats = -0.5 * (residual**2 / variance + np.log(variance)).sum(axis=1)
    return out


def _along(residual: Floats, variance: Floats, direction: Floats, sd: float) -> Floats:
    """Log density with an unknown step of prior sd along a direction (rank one, closed form)."""
    strength = sd**2 * (direction**2 / variance).sum(axis=1)
    projection = (direction * residual / variance).sum(axis=1)
    gain = 0.5 * sd**2 * projection**2 / (1.0 + strength)
    out: Floats = _log_normal(residual, variance) - 0.5 * np.log1p(strength) + gain
    return out


def _gamma(residual: Floats, shares: Floats, pattern: Floats, turned: Floats) -> Floats:
    """Effect on the log total of one unit of shift along an element pattern."""
    delta = np.clip(residual[:, 1:] @ turned / (turned @ turned), -5.0, 5.0)
    near = np.abs(delta) < 1e-9
    safe = np.where(near, 1.0, delta)
    exact = -np.log((shares * np.exp(-safe[:, None] * pattern)).sum(axis=1)) / safe
    out: Floats = np.where(near, shares @ pattern, exact)
    return out


def element_weights(
    residual: Floats, sd: Floats, shares: Floats, full: Flags, spread: ElementSpread
) -> Floats:
    """Posterior of each hypothesis (``HYPOTHESES``) for each price: N x 22, rows sum to 1.

    Args:
        residual: N x 5, leave-one-out, log total first, then the four ratios.
        sd: N x 5, predictive.
        shares: N x 5, quoted shares of the elements.
        full: N, whether all elements were there; else only the total speaks.
        spread: standard deviations.
    """
    basis = helmert()
    residual = residual.copy()
    residual[~full, 1:] = 0.0  # ratios that don't exist say nothing for any hypothesis
    v = sd**2
    p = SLIP_SHARE
    wide_total, wide_ratio = v.copy(), v.copy()
    wide_total[:, 0] += 8.0 * spread.single**2
    wide_ratio[:, 1:] += 8.0 * spread.noise**2
    rows = [
        np.log((1 - p) * 0.90) + _log_normal(residual, v),
        np.log((1 - p) * 0.05) + _log_normal(residual, wide_total),
        np.log((1 - p) * 0.05) + _log_normal(residual, wide_ratio),
    ]
    total = np.zeros_like(v)
    total[:, 0] = 1.0
    for factor, weight in _WHOLE:
        rows.append(np.log(p * weight) + _log_normal(residual - total * np.log(factor), v))
    rows.append(np.log(p * 0.30) + _along(residual, v, total, 0.35))

    def element(pattern: Floats, sd_step: float, weight: float) -> Floats:
        turned = basis.T @ pattern
        direction = np.column_stack(
            [_gamma(residual, shares, pattern, turned), np.tile(turned, (len(v), 1))]
        )
        log_density: Floats = np.log(p * weight) + _along(residual, v, direction, sd_step)
        return np.where(full, log_density, -np.inf)

    units = np.eye(5)
    rows += [element(unit, 0.7, 0.06) for unit in units]
    rows += [element(unit, 2.5, 0.02) for unit in units]
    rows.append(element(np.array(CALLOUT_PATTERN), 0.5, 0.10))
    logs = np.column_stack(rows)
    logs -= logs.max(axis=1, keepdims=True)
    weights = np.exp(logs)
    out: Floats = weights / weights.sum(axis=1, keepdims=True)
    return out

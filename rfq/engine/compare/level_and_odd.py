"""Price levels and leave-one-out residuals in time and memory near linear in the prices.

The model of one table of prices, in logarithms over the should-cost::

    y_ij = mu + market + a_i + b_j + e_ij
    market ~ N(0, smu^2)   the market over our should-cost on the whole
    a_i    ~ N(0, sa_i^2)  the error of our should-cost of line i, from its band
    b_j    ~ N(0, sb^2)    the price level of shop j
    e_ij   ~ N(0, v_ij)    what only this price holds; v_ij = se^2 unless a cell brings its own

The covariance of all prices is never built. The longer side of the table is eliminated line by
line, which leaves a small symmetric system for the shorter side (Woodbury's identity); every
residual, predictive variance and the likelihood follow from that. A price that is set aside
simply gets weight 0. Cells are flat arrays, so a sparse table costs what its prices cost.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Flags = NDArray[np.bool_]

DELETION_Z = 4.0  # a price further out than this may be set aside while the levels are estimated
DELETION_ROUNDS = 6
_CHUNK_CELLS = 1 << 16  # dense working block: 0.5 MB an array


@dataclass(frozen=True, slots=True)
class Layout:
    """Where the cells of a table stand: flat, sorted by line, then by shop.

    Args:
        line: line index of each cell, ascending.
        shop: shop index of each cell.
        lines: number of lines.
        shops: number of shops.
    """

    line: Ints
    shop: Ints
    lines: int
    shops: int

    @classmethod
    def of(cls, mask: Flags) -> Layout:
        """The layout of the cells that are true in a lines x shops mask."""
        line, shop = np.nonzero(mask)
        return cls(line, shop, *mask.shape)

    def per_line(self, values: Floats) -> Floats:
        """Sum of a cell quantity over each line."""
        out: Floats = np.bincount(self.line, values, self.lines).astype(float)
        return out


@dataclass(frozen=True, slots=True)
class Spread:
    """Standard deviations of the model, in natural logarithms.

    The start values are the design's own, for a user without a history: common practice,
    no published source. ``band`` scales the width of our own bands.
    """

    market: float = 0.15
    level: float = 0.10
    single: float = 0.20
    band: float = 1.0
    shift: float = 0.0  # mu: what the market is known to be over our should-cost


START = Spread()


@dataclass(frozen=True, slots=True)
class Levels:
    """What one solve says about cells, lines, shops and the market.

    ``residual``, ``sd`` and ``z`` are leave-one-out: what all the other prices (and the band)
    predict against what stands there. ``fitted`` includes the cell itself where it was used.
    """

    fitted: Floats
    residual: Floats
    sd: Floats
    z: Floats
    line: Floats  # a_i
    line_sd: Floats
    line_market: Floats  # market + a_i: the market over our should-cost of this line
    line_market_sd: Floats
    shop: Floats  # b_j
    shop_sd: Floats
    shop_total: Floats  # market + b_j
    shop_total_sd: Floats
    market: float
    market_sd: float
    log_det: float
    quadratic: float
    log_likelihood: float


def _blocks(index: Ints, rows: int, columns: int) -> Iterator[tuple[int, int, slice]]:
    """Runs of rows whose dense block stays small, with the slice of cells in them."""
    step = max(1, _CHUNK_CELLS // max(columns, 1))
    if rows <= step:
        yield 0, rows, slice(0, index.size)
        return
    for first in range(0, rows, step):
        last = min(rows, first + step)
        low, high = np.searchsorted(index, (first, last))
        if low < high:
            yield first, last, slice(int(low), int(high))


def solve(
    layout: Layout,
    deviation: Floats,
    variance: Floats,
    used: Flags,
    band_sd: Floats,
    *,
    level_sd: float,
    market_sd: float,
) -> Levels:
    """Posterior of market, lines and shops, and the leave-one-out view of every cell.

    Args:
        layout: the cells, sorted by line.
        deviation: y - mu of each cell; ignored where not used but for its own residual.
        variance: v of each cell, > 0.
        used: whether a cell may speak; the others are only predicted.
        band_sd: sa of each line; a large number (10) where we have no should-cost.
        level_sd: sb, may be 0.
        market_sd: smu, may be 0.

    Source: Woodbury's identity on K = D + A S A' + B G B'; checked against the dense inverse.
    """
    flip = layout.shops > layout.lines
    if flip:  # eliminate the longer side
        order = np.lexsort((layout.line, layout.shop))
        long, short = layout.shop[order], layout.line[order]
        longs, shorts = layout.shops, layout.lines
        long_var = np.full(longs, level_sd**2)
        short_var = np.maximum(band_sd**2, 1e-12)
        deviation, variance, used = deviation[order], variance[order], used[order]
    else:
        long, short, longs, shorts = layout.line, layout.shop, layout.lines, layout.shops
        long_var = band_sd**2
        short_var = np.full(shorts, level_sd**2)

    weight = np.where(used, 1.0 / variance, 0.0)
    r = np.where(used, deviation, 0.0)
    total = np.bincount(long, weight, longs)
    shrink = 1.0 + long_var * total
    g = long_var / shrink
    weighted = weight * r
    c = np.bincount(long, weighted, longs)
    t = np.bincount(short, weighted - g[long] * c[long] * weight, shorts)

    blocks = list(_blocks(long, longs, shorts))
    T = np.diag(np.bincount(short, weight, shorts).astype(float))  # int where there is no cell
    dense: list[Floats] = []
    for first, last, cells in blocks:
        block = np.zeros((last - first, shorts))
        block[long[cells] - first, short[cells]] = weight[cells]
        T -= (block * g[first:last, None]).T @ block
        if len(blocks) == 1:
            dense.append(block)
    market_var = market_sd**2
    G = np.diag(short_var) + market_var
    inner = np.eye(shorts) + G @ T
    Q = np.linalg.solve(inner, G)
    Q = (Q + Q.T) / 2.0
    u = Q @ t
    long_mean = g * np.bincount(long, weight * (r - u[short]), longs)

    # E = k'u + an independent rest: the market given the short side
    if flip:
        k = market_var / short_var
        k /= 1.0 + k.sum()
    else:
        bottom = short_var[0] + shorts * market_var if shorts else 0.0
        k = np.full(shorts, market_var / bottom if bottom > 0 else 0.0)
    Qk = Q @ k
    rest = market_var * (1.0 - float(k.sum()))

    spread = np.empty(long.size)
    wQw = np.zeros(longs)
    wQk = np.zeros(longs)
    diagonal = np.diag(Q)
    for number, (first, last, cells) in enumerate(blocks):
        if dense:
            block = dense[number]
        else:
            block = np.zeros((last - first, shorts))
            block[long[cells] - first, short[cells]] = weight[cells]
        product = block @ Q
        wQw[first:last] = np.einsum("ij,ij->i", product, block)
        wQk[first:last] = block @ Qk
        spread[cells] = product[long[cells] - first, short[cells]]
    g_cell = g[long]
    F = g_cell + diagonal[short] - 2.0 * g_cell * spread + g_cell**2 * wQw[long]

    fitted = u[short] + long_mean[long]
    gap = deviation - fitted
    h = 1.0 - weight * F
    residual = gap / h
    sd = np.where(used, np.sqrt(variance / h), np.sqrt(variance + F))
    z = residual / sd

    market = float(k @ u)
    market_variance = rest + float(k @ Qk)
    long_variance = g + g**2 * wQw
    with_market = long_mean + market
    with_market_variance = long_variance + market_variance - 2.0 * g * wQk
    without = u - market
    without_variance = np.maximum(diagonal - 2.0 * Qk + market_variance, 0.0)
    with_market_variance = np.maximum(with_market_variance, 0.0)

    log_det = (
        float(np.log(variance[used]).sum())
        + float(np.log(shrink).sum())
        + float(np.linalg.slogdet(inner)[1])
    )
    quadratic = float((weighted * (r - fitted))[used].sum())
    likelihood = -(log_det + quadratic + int(used.sum()) * np.log(2.0 * np.pi)) / 2.0
    if flip:
        back = np.empty_like(order)
        back[order] = np.arange(order.size)
        fitted, residual, sd, z = fitted[back], residual[back], sd[back], z[back]
        line, line_var, line_market, line_market_var = without, without_variance, u, diagonal
        shop, shop_var = long_mean, long_variance
        shop_total, shop_total_var = with_market, with_market_variance
    else:
        line, line_var = long_mean, long_variance
        line_market, line_market_var = with_market, with_market_variance
        shop, shop_var, shop_total, shop_total_var = without, without_variance, u, diagonal
    return Levels(
        fitted=fitted,
        residual=residual,
        sd=sd,
        z=z,
        line=line,
        line_sd=np.sqrt(line_var),
        line_market=line_market,
        line_market_sd=np.sqrt(line_market_var),
        shop=shop,
        shop_sd=np.sqrt(shop_var),
        shop_total=shop_total,
        shop_total_sd=np.sqrt(shop_total_var),
        market=market,
        market_sd=float(np.sqrt(market_variance)),
        log_det=log_det,
        quadratic=quadratic,
        log_likelihood=likelihood,
    )


def _rank_in_shop(shop: Ints, size: Floats) -> Ints:
    """How many cells of the same shop are larger; equal ones share a rank, whatever their order."""
    order = np.lexsort((-size, shop))
    by_shop, by_size = shop[order], size[order]
    fresh = np.ones(order.size, dtype=bool)
    fresh[1:] = (by_shop[1:] != by_shop[:-1]) | (by_size[1:] < by_size[:-1] * (1.0 - 1e-9))
    start = np.maximum.accumulate(np.where(fresh, np.arange(order.size), 0))
    rank = np.empty(order.size, dtype=np.intp)
    rank[order] = start - np.searchsorted(by_shop, by_shop)
    return rank


def solve_without_the_odd(
    layout: Layout,
    deviation: Floats,
    variance: Floats,
    band_sd: Floats,
    *,
    level_sd: float,
    market_sd: float,
    held: Flags | None = None,
    out: Flags | None = None,
    rounds: int = DELETION_ROUNDS,
) -> tuple[Levels, Flags]:
    """Solve with mutual-worst deletion: odd prices don't speak about their neighbours.

    A price is set aside when it is beyond 4, the worst kept one of its line, among the worst
    tenth of its shop, and its line has not lost half of its prices yet. Line-wise deletion alone
    drives a whole shop out for one slip; a tie within a line deletes neither, so that the order
    of the shops never decides.

    Args:
        layout, deviation, variance, band_sd, level_sd, market_sd: as for ``solve``.
        held: cells that are never set aside (two prices without a band: nobody can say which).
        out: cells known to be wrong beforehand: predicted, but never heard.
        rounds: at most so many rounds.

    Returns:
        The last solve, and which cells spoke in it.
    """

    def run(used: Flags) -> Levels:
        return solve(
            layout, deviation, variance, used, band_sd, level_sd=level_sd, market_sd=market_sd
        )

    count = layout.line.size
    keep = np.ones(count, dtype=bool) if out is None else ~out
    levels = run(keep)
    if count == 0:
        return levels, keep
    line_count = np.bincount(layout.line, minlength=layout.lines)
    shop_count = np.bincount(layout.shop, minlength=layout.shops)
    allowed = np.maximum(line_count // 2, 1)
    quota = np.ceil(0.1 * shop_count).astype(int)
    for _ in range(rounds):
        size = np.where(keep, np.abs(levels.z), 0.0)
        if held is not None:
            size[held] = 0.0
        far = np.flatnonzero(size > DELETION_Z)
        if far.size == 0:
            break
        worst = np.zeros(layout.lines)
        np.maximum.at(worst, layout.line[far], size[far])
        top = size[far] >= worst[layout.line[far]] * (1.0 - 1e-9)
        ties = np.bincount(layout.line[far[top]], minlength=layout.lines)
        rank = _rank_in_shop(layout.shop[far], size[far])
        lost = line_count - np.bincount(layout.line[keep], minlength=layout.lines)
        at = layout.line[far]
        drop = top & (ties[at] == 1) & (rank < quota[layout.shop[far]]) & (lost[at] < allowed[at])
        if not drop.any():
            break
        keep[far[drop]] = False
        levels = run(keep)
    back = ~keep & (np.abs(levels.z) < DELETION_Z)
    if out is not None:
        back &= ~out
    if back.any():
        keep |= back
        levels = run(keep)
    return levels, keep

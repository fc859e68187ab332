"""How likely a price is a slip, and which one: a few named shifts against honest prices.

One cell, one leave-one-out residual R with its predictive sd. An honest price is Gaussian with
a wider kind mixed in (natural oddities); a slip shifts the price by a known factor; what is
neither has a broad density of its own. The constants were set by hand and are not fitted: one
threshold serves one quote and six. On wild markets the figure is a ranking and a threshold, not
a probability; the screen shows the verdict and the reason.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rfq.engine.compare.level_and_odd import Floats, Ints

SLIP_SHARE = 0.03  # p: share of prices expected to be slips; common practice, no source
WIDE_SHARE = 0.05  # q: share of honest prices that spread more than the rest
WIDE_FACTOR = 3.0  # k: how much more
UNKNOWN_SD = 0.35
UNKNOWN_WEIGHT = 0.50
UNKNOWN_WITHOUT_QUANTITY = 0.60  # where no quantity is told, its two hypotheses join the unknown
QUERY = 0.5
LIKELY_ERROR = 0.9

# (key, factor, weight); a factor of 0 stands for the line's own quantity
NAMED: tuple[tuple[str, float, float], ...] = (
    ("x10", 10.0, 0.10),
    ("/10", 0.1, 0.10),
    ("x100", 100.0, 0.04),
    ("/100", 0.01, 0.04),
    ("x1000", 1000.0, 0.01),
    ("/1000", 0.001, 0.01),
    ("x quantity", 0.0, 0.05),
    ("/ quantity", 0.0, 0.05),
    ("x2", 2.0, 0.10),
)


@dataclass(frozen=True, slots=True)
class SlipWeights:
    """The posterior of a row of cells.

    ``p_slip`` is 1 - clean; ``named`` holds the posterior weight of each entry of ``NAMED``
    (hypotheses x cells), ``unknown``, ``clean`` and ``wide`` the rest; together they sum to 1.
    """

    p_slip: Floats
    named: Floats
    unknown: Floats
    clean: Floats
    wide: Floats

    def best(self) -> tuple[Ints, Ints]:
        """Index into ``NAMED`` of the likeliest named slip of each cell, and of the next."""
        order = np.argsort(-self.named, axis=0, kind="stable")
        return order[0], order[1]


def named_shifts(quantity: Floats) -> Floats:
    """Log factor of each named slip for each cell; nan where a hypothesis makes no sense.

    Args:
        quantity: pieces of the cell's line; below 2 (or nan) the quantity hypotheses drop out.
    """
    shifts = np.empty((len(NAMED), quantity.size))
    log_quantity = np.full(quantity.size, np.nan)
    np.log(quantity, out=log_quantity, where=np.nan_to_num(quantity) >= 2.0)
    for row, (key, factor, _) in enumerate(NAMED):
        if factor:
            shifts[row] = np.log(factor)
        else:
            shifts[row] = log_quantity if key.startswith("x") else -log_quantity
    return shifts


def _log_normal(gap: Floats, variance: Floats) -> Floats:
    out: Floats = -0.5 * (gap * gap / variance + np.log(variance))
    return out


def slip_weights(residual: Floats, sd: Floats, variance: Floats, quantity: Floats) -> SlipWeights:
    """The simple posterior of each cell.

    Args:
        residual: leave-one-out residual, in logarithms.
        sd: its predictive standard deviation.
        variance: v of the cell (se squared), which the wide kind multiplies.
        quantity: pieces; for the quantity hypotheses.
    """
    v = sd * sd
    shifts = named_shifts(quantity)
    rows = np.full((len(NAMED) + 3, residual.size), -np.inf)
    for row, (_, _, weight) in enumerate(NAMED):
        log_density = np.log(SLIP_SHARE * weight) + _log_normal(residual - shifts[row], v)
        rows[row] = np.where(np.isnan(log_density), -np.inf, log_density)
    unknown = np.where(np.isnan(quantity), UNKNOWN_WITHOUT_QUANTITY, UNKNOWN_WEIGHT)
    rows[-3] = np.log(SLIP_SHARE * unknown) + _log_normal(residual, v + UNKNOWN_SD**2)
    rows[-2] = np.log((1 - SLIP_SHARE) * (1 - WIDE_SHARE)) + _log_normal(residual, v)
    wide = v + (WIDE_FACTOR**2 - 1.0) * variance
    rows[-1] = np.log((1 - SLIP_SHARE) * WIDE_SHARE) + _log_normal(residual, wide)
    rows -= rows.max(axis=0, initial=-np.inf)
    np.exp(rows, out=rows)
    rows /= rows.sum(axis=0)
    return SlipWeights(
        p_slip=1.0 - (rows[-2] + rows[-1]),
        named=rows[:-3],
        unknown=rows[-3],
        clean=rows[-2],
        wide=rows[-1],
    )

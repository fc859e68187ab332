"""Variances from a history: start values below 50 prices, robust and bounded above."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest

from rfq.engine.compare.level_and_odd import START
from rfq.engine.compare.variances import PRIORS, PastTable, own_spread


def history(prices, rng, *, kappa=1.3, level=0.10, single=0.14, market=0.10, slips=0.01):
    """Mixed requests, as in the design of the method: 5 % wide cells, x10 slips."""
    tables, seen = [], 0
    while seen < prices:
        shops, lines = int(rng.integers(1, 5)), int(rng.integers(6, 16))
        band = rng.uniform(0.12, 0.3, lines)
        e = rng.normal(0, single, (lines, shops))
        e *= np.where(rng.random(e.shape) < 0.05, 3.0, 1.0)
        y = rng.normal(0, market) + rng.normal(0, kappa * band)[:, None]
        y = y + rng.normal(0, level, shops) + e
        y[rng.random(y.shape) < slips] += np.log(10)
        tables.append(PastTable(y, band))
        seen += y.size
    return tables


def test_below_fifty_prices_the_start_values_stand():
    found = own_spread(history(30, np.random.default_rng(1))[:1])
    assert not found.own and found.spread == START
    assert own_spread([]).prices == 0


@pytest.mark.parametrize("seed", [1000, 1001])
def test_two_hundred_prices_give_back_the_truth(seed):
    # design of the method (simulated), 200 prices: kappa 1.08-1.47, sb .07-.12, se .130-.174 (90 %)
    found = own_spread(history(200, np.random.default_rng(seed)))
    assert found.own and found.set_aside >= 0
    assert 0.95 < found.spread.band < 1.65
    assert 0.05 < found.spread.level < 0.15
    assert 0.115 < found.spread.single < 0.19
    for name, (_, _, (low, high)) in PRIORS.items():
        assert low <= getattr(found.spread, name) <= high * (1 + 1e-9)


def test_slips_in_the_history_do_not_widen_the_spread():
    clean = own_spread(history(120, np.random.default_rng(7), slips=0.0)).spread.single
    dirty = own_spread(history(120, np.random.default_rng(7), slips=0.03)).spread.single
    assert dirty < 1.5 * clean


def test_prices_under_question_stay_out_and_the_order_does_not_matter():
    tables = history(80, np.random.default_rng(3))
    spoiled = [PastTable(t.log_ratio.copy(), t.band_sd) for t in tables]
    marks = []
    for t in spoiled:
        t.log_ratio[0, 0] += 1.0
        mark = np.zeros(t.log_ratio.shape, dtype=bool)
        mark[0, 0] = True
        marks.append(mark)
    left_out = [PastTable(t.log_ratio, t.band_sd, m) for t, m in zip(spoiled, marks, strict=True)]
    gone = [PastTable(np.where(m, np.nan, t.log_ratio), t.band_sd)
            for t, m in zip(spoiled, marks, strict=True)]  # fmt: skip
    one, two = own_spread(left_out[::-1]), own_spread(gone)
    assert one.prices == two.prices
    assert one.spread.single == pytest.approx(two.spread.single, rel=2e-2)


def test_scipy_is_loaded_only_for_the_fit():
    code = (
        "import sys; from rfq.engine.compare import variances, judge, odd, elements_odd; "
        "sys.exit('scipy' in sys.modules or 'pandas' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0

"""Textbook outlier rules: known answers, and why none of them judges prices here.

They live in the tests only: with two to six quotes they accuse honest prices or can't speak.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from rfq.engine.compare.level_and_odd import Layout
from rfq.engine.compare.whole_reply import _places


def median_polish(table, rounds=10):
    """Rows first, then columns, as in Tukey's own order."""
    rest = np.array(table, dtype=float)
    overall, rows, columns = 0.0, np.zeros(rest.shape[0]), np.zeros(rest.shape[1])
    for _ in range(rounds):
        step = np.median(rest, axis=1)
        rest -= step[:, None]
        rows += step
        shift = np.median(columns)
        columns -= shift
        overall += shift
        step = np.median(rest, axis=0)
        rest -= step
        columns += step
        shift = np.median(rows)
        rows -= shift
        overall += shift
    return overall, rows, columns, rest


def test_median_polish_of_deaths_in_sport_parachuting():
    # Source: Tukey, Exploratory Data Analysis (1977), p. 224, as in R's medpolish documentation.
    table = [[14, 15, 14], [7, 4, 7], [8, 2, 10], [15, 9, 10], [0, 2, 0]]
    overall, rows, columns, rest = median_polish(table)
    assert overall == 8
    assert rows.tolist() == [6, -1, 0, 2, -8]
    assert columns.tolist() == [0, -1, 0]
    assert rest.tolist() == [[0, 2, 0], [0, -2, 0], [0, -5, 2], [5, 0, 0], [0, 3, 0]]


def test_the_robust_shop_places_are_the_columns_of_the_median_polish():
    # The product's own polish (it has no band column here) on the same published table.
    table = np.array([[14, 15, 14], [7, 4, 7], [8, 2, 10], [15, 9, 10], [0, 2, 0]], dtype=float)
    layout = Layout.of(np.ones(table.shape, dtype=bool))
    place, *_, rest = _places(layout, table.ravel(), np.zeros(5, dtype=bool))
    assert (place - place.max()).tolist() == [0, -1, 0]
    assert rest.reshape(5, 3).tolist() == [[0, 2, 0], [0, -2, 0], [0, -5, 2], [5, 0, 0], [0, 3, 0]]


def grubbs(values):
    values = np.asarray(values, dtype=float)
    return float(np.max(np.abs(values - values.mean())) / values.std(ddof=1))


def grubbs_limit(n, alpha=0.05):
    t = stats.t.ppf(1 - alpha / (2 * n), n - 2)
    return float((n - 1) / np.sqrt(n) * np.sqrt(t**2 / (n - 2 + t**2)))


def test_grubbs_statistic_of_the_nist_handbook():
    # Source: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.1 (Tietjen and Moore data).
    data = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57]
    assert grubbs(data) == pytest.approx(2.468765, abs=5e-7)


def test_grubbs_can_hardly_speak_at_three_quotes():
    # design of the method (measured): the statistic cannot exceed 1.155, the limit is 1.154.
    assert round(2 / np.sqrt(3), 3) == 1.155
    assert grubbs([1.0, 1.0, 1000.0]) == pytest.approx(1.1547, abs=1e-4)
    assert grubbs_limit(3) == pytest.approx(1.1543, abs=1e-4)


@pytest.mark.parametrize(("n", "limit"), [(3, 0.970), (4, 0.829), (5, 0.710), (6, 0.625)])
def test_dixon_limits_by_simulation(n, limit):
    # Source: Rorabacher, Anal. Chem. 63 (1991) 139, two-sided 95 %: Q10 at .05.
    rng = np.random.default_rng(n)
    x = np.sort(rng.normal(size=(200_000, n)), axis=1)
    span = x[:, -1] - x[:, 0]
    q = np.maximum(x[:, 1] - x[:, 0], x[:, -1] - x[:, -2]) / span
    assert np.quantile(q, 0.95) == pytest.approx(limit, abs=0.004)


def test_modified_z_accuses_honest_prices_at_three_quotes():
    # design of the method (measured): modified z > 3.5 accuses about 12 % of clean prices.
    rng = np.random.default_rng(0)
    x = rng.normal(size=(40_000, 3))
    middle = np.median(x, axis=1, keepdims=True)
    spread = np.median(np.abs(x - middle), axis=1, keepdims=True)
    share = (0.6745 * np.abs(x - middle) / spread > 3.5).mean()
    assert 0.08 < share < 0.16

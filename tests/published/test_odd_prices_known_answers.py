"""Known answers of the method: source 'computed, checked against the dense inverse' (our design).

The oracle at the end builds the dense covariance and inverts it, which shares no formula with
the product.
"""

from __future__ import annotations

import numpy as np
import pytest

from rfq.engine.compare.elements_odd import ElementSpread, helmert, judge_elements
from rfq.engine.compare.level_and_odd import Layout, solve, solve_without_the_odd
from rfq.engine.compare.posterior import NAMED, slip_weights

NAN = float("nan")
TABLE_A = [[0.1, 0.22, 0.05], [-0.08, 0.06, 2.25], [0.15, 0.3, 0.12]]
TABLE_B = [[0.05, 0.12], [-0.2, NAN], [0.35, 0.31], [0.02, 0.85]]
TABLE_D = [[0.05], [0.12], [2.2]]


class Run:
    def __init__(self, table, band, single=0.2, rounds=6):
        y = np.array(table, dtype=float)
        self.layout = Layout.of(~np.isnan(y))
        self.y = y[self.layout.line, self.layout.shop]
        v = np.full(self.y.size, single**2)
        self.levels, self.kept = solve_without_the_odd(
            self.layout, self.y, v, np.array(band), level_sd=0.1, market_sd=0.15, rounds=rounds
        )
        self.weights = slip_weights(
            self.levels.residual, self.levels.sd, v, np.full(self.y.size, 25.0)
        )
        self.shape = y.shape

    def table(self, flat):
        out = np.full(self.shape, NAN)
        out[self.layout.line, self.layout.shop] = flat
        return out

    def at(self, line, shop):
        (index,) = np.flatnonzero((self.layout.line == line) & (self.layout.shop == shop))
        named = {name: self.weights.named[row, index] for row, (name, _, _) in enumerate(NAMED)}
        rest = {
            "unknown": self.weights.unknown[index],
            "clean": self.weights.clean[index],
            "clean, wide": self.weights.wide[index],
        }
        return {**named, **rest}


def same(got, printed):
    """To the six digits printed."""
    np.testing.assert_allclose(np.asarray(got), np.array(printed), atol=5.1e-7, rtol=0)


def test_three_lines_by_three_shops_before_deletion():
    run = Run(TABLE_A, [0.2] * 3, rounds=0)
    same(run.levels.log_det, -22.794405)
    same(run.levels.quadratic, 83.149540)
    same(run.levels.log_likelihood, -38.448015)
    same(
        run.table(run.levels.z),
        [
            [0.513219, 0.897656, -1.811285],
            [-3.523372, -3.013769, 9.046831],
            [0.513219, 1.085404, -1.68612],
        ],
    )


def test_three_lines_by_three_shops_after_deletion():
    run = Run(TABLE_A, [0.2] * 3)
    assert run.table(run.kept).tolist() == [[1, 1, 1], [1, 1, 0], [1, 1, 1]]
    levels = run.levels
    same(
        run.table(levels.z),
        [
            [0.071602, 0.456498, -0.231828],
            [-0.448997, 0.093483, 9.046831],
            [0.071602, 0.644471, -0.104701],
        ],
    )
    same(
        run.table(levels.residual),
        [
            [0.017946, 0.114412, -0.058943],
            [-0.119649, 0.024911, 2.264704],
            [0.017946, 0.161524, -0.026621],
        ],
    )
    same(
        run.table(levels.sd),
        [
            [0.25063, 0.25063, 0.254254],
            [0.266481, 0.266481, 0.250331],
            [0.25063, 0.25063, 0.254254],
        ],
    )
    same(levels.shop_total, [0.040761, 0.099332, 0.03866])
    same(levels.shop_total_sd, [0.119838, 0.119838, 0.126356])
    same([levels.market, levels.market_sd], [0.051896, 0.105345])
    same(levels.shop, [-0.011135, 0.047436, -0.013236])
    same(levels.line, [0.047812, -0.053364, 0.097812])
    same(levels.line_sd, [0.126792, 0.135817, 0.126792])
    same(
        run.table(run.weights.p_slip),
        [
            [0.009292, 0.010065, 0.009477],
            [0.010189, 0.009713, 0.991935],
            [0.009292, 0.010895, 0.009367],
        ],
    )
    cell = run.at(1, 2)
    same(
        [cell[key] for key in ("x10", "x quantity", "unknown", "clean, wide")],
        [0.991581, 0.000351, 0.000003, 0.008065],
    )


def test_quiet_shops_do_not_lose_a_whole_column():
    before = Run(TABLE_A, [0.2] * 3, single=0.1, rounds=0)
    same(before.levels.log_det, -29.953605)
    same(before.levels.quadratic, 281.498114)
    same(before.levels.log_likelihood, -134.042701)
    same(
        before.table(before.levels.z),
        [
            [2.640565, 2.883209, -5.851982],
            [-7.79047, -7.270518, 16.716595],
            [2.48058, 3.139185, -5.73466],
        ],
    )
    run = Run(TABLE_A, [0.2] * 3, single=0.1)
    assert (~run.kept).sum() == 1
    same(
        run.table(run.levels.z),
        [
            [0.140196, 0.385604, -0.338649],
            [-0.450314, 0.12929, 16.716595],
            [-0.021612, 0.644496, -0.21432],
        ],
    )
    same(
        run.table(run.levels.residual),
        [
            [0.01966, 0.054075, -0.049759],
            [-0.069601, 0.019983, 2.31782],
            [-0.003031, 0.09038, -0.031491],
        ],
    )
    same(
        run.table(run.levels.sd),
        [
            [0.140233, 0.140233, 0.146934],
            [0.154561, 0.154561, 0.138654],
            [0.140233, 0.140233, 0.146934],
        ],
    )
    same(run.levels.shop_total, [0.032215, 0.134715, 0.01526])
    same(run.levels.shop_total_sd, [0.104565, 0.104565, 0.109633])
    same([run.levels.market, run.levels.market_sd], [0.052894, 0.100025])
    same(run.levels.shop, [-0.020679, 0.081821, -0.037634])
    same(run.levels.line, [0.057788, -0.08308, 0.119326])
    same(run.levels.line_sd, [0.105138, 0.109981, 0.105138])
    same(
        run.table(run.weights.p_slip),
        [
            [0.00593, 0.006259, 0.006411],
            [0.00692, 0.006417, 1.0],
            [0.005882, 0.006997, 0.006231],
        ],
    )
    same(run.at(1, 2)["x10"], 1.0)


def test_a_missing_cell_and_a_band_for_each_line():
    run = Run(TABLE_B, [0.15, 0.3, 0.2, 0.25])
    levels = run.levels
    same(
        [levels.log_det, levels.quadratic, levels.log_likelihood],
        [-16.529729, 10.364859, -3.350135],
    )
    same(
        run.table(levels.z),
        [[0.093597, -0.318252], [-0.744376, NAN], [1.034354, -0.117642], [-1.853552, 2.902335]],
    )
    same(
        run.table(levels.residual),
        [[0.023909, -0.082003], [-0.282602, NAN], [0.273646, -0.031328], [-0.50511, 0.794923]],
    )
    same(
        run.table(levels.sd),
        [[0.255447, 0.257668], [0.379649, NAN], [0.264557, 0.266299], [0.27251, 0.273891]],
    )
    same(levels.shop_total, [0.05489, 0.188951])
    same(levels.shop_total_sd, [0.112905, 0.116798])
    same([levels.market, levels.market_sd], [0.099753, 0.105114])
    same(levels.shop, [-0.044863, 0.089198])
    same(levels.line, [-0.019546, -0.176462, 0.13872, 0.237181])
    same(levels.line_sd, [0.116196, 0.183854, 0.133989, 0.145317])
    same(
        run.table(run.weights.p_slip),
        [[0.009433, 0.009692], [0.013105, NAN], [0.014646, 0.009666], [0.02599, 0.167743]],
    )
    cell = run.at(3, 1)
    same(
        [cell[key] for key in ("x2", "unknown", "clean", "clean, wide")],
        [0.100635, 0.067108, 0.490861, 0.341395],
    )


def test_a_single_quote_on_a_single_line():
    run = Run([[0.9]], [0.25])
    levels = run.levels
    same([levels.log_det, levels.quadratic, levels.log_likelihood], [-2.002481, 6.0, -2.917698])
    same([levels.z[0], levels.residual[0], levels.sd[0]], [2.44949, 0.9, 0.367423])
    same([levels.shop_total[0], levels.shop_total_sd[0]], [0.216667, 0.157086])
    same([levels.market, levels.market_sd, levels.shop[0]], [0.15, 0.136931, 0.066667])
    same([levels.line[0], levels.line_sd[0]], [0.416667, 0.183207])
    same(run.weights.p_slip, [0.078249])
    cell = run.at(0, 0)
    same(
        [cell[key] for key in ("x10", "x2", "unknown", "clean", "clean, wide")],
        [0.000033, 0.041603, 0.036613, 0.745488, 0.176263],
    )


def test_one_shop_with_a_slip_among_three_lines():
    before = Run(TABLE_D, [0.2, 0.2, 0.3], rounds=0)
    same(
        [before.levels.log_det, before.levels.quadratic, before.levels.log_likelihood],
        [-6.367759, 31.724710, -15.435291],
    )
    same(before.levels.z, [-0.986943, -0.710767, 5.620892])
    run = Run(TABLE_D, [0.2, 0.2, 0.3])
    assert run.kept.tolist() == [True, True, False]
    levels = run.levels
    same(levels.z, [0.047751, 0.328722, 5.620892])
    same(levels.residual, [0.015333, 0.105556, 2.161897])
    same(levels.sd, [0.321109, 0.321109, 0.384618])
    same([levels.shop_total[0], levels.shop_total_sd[0]], [0.038103, 0.133907])
    same([levels.market, levels.market_sd, levels.shop[0]], [0.026379, 0.124568, 0.011724])
    same(levels.line, [0.005948, 0.040948, 0.0])
    same(levels.line_sd, [0.15647, 0.15647, 0.3])
    same(run.weights.p_slip, [0.010953, 0.011526, 0.938943])
    cell = run.at(2, 0)
    same(
        [cell[k] for k in ("x10", "x quantity", "x2", "unknown", "clean", "clean, wide")],
        [0.926275, 0.011346, 0.000675, 0.000647, 0.000042, 0.061015],
    )


def test_market_over_should_cost_is_weighted_by_precision():
    # design of the method (computed): sa .30, se .19, three quotes -> .156 +/- .103
    layout = Layout.of(np.ones((1, 3), dtype=bool))
    levels = solve(
        layout, np.array([0.10, 0.18, 0.25]), np.full(3, 0.19**2), np.ones(3, dtype=bool),
        np.array([0.30]), level_sd=0.0, market_sd=0.0,
    )  # fmt: skip
    assert levels.line_market[0] == pytest.approx(0.156, abs=5e-4)
    assert levels.line_market_sd[0] == pytest.approx(0.103, abs=5e-4)
    half = 1.6449 * levels.line_market_sd[0]
    interval = np.exp(levels.line_market[0] + np.array([0.0, -half, half]))
    np.testing.assert_allclose(interval, [1.17, 0.99, 1.38], atol=0.006)


# Element-wise form. Counting of the hypotheses: 0-2 clean, 3-8 factors, 9 x2, 10 unknown,
# 11-15 elements sd .7, 16-20 sd 2.5, 21 callout.
OURS = np.array([[20, 18, 35, 19, 8], [40, 30, 90, 25, 15]], dtype=float)
QUOTED = np.array(
    [
        [[21, 17, 36, 20, 8], [24, 16, 33, 21, 9], [19, 47, 35, 18, 8]],
        [[44, 28, 95, 27, 14], [42, 33, 88, 26, 17], [41, 31, 93, 8, 15]],
    ],
    dtype=float,
)
SPREAD = ElementSpread(
    market=0.15, total=0.15, element=0.20, level=0.10, habit=0.15, single=0.14, noise=0.10
)


def test_helmert_columns():
    same(
        helmert(),
        [
            [0.707107, 0.408248, 0.288675, 0.223607],
            [-0.707107, 0.408248, 0.288675, 0.223607],
            [0, -0.816497, 0.288675, 0.223607],
            [0, 0, -0.866025, 0.223607],
            [0, 0, 0, -0.894427],
        ],
    )


def test_elements_without_deletion_hide_behind_each_other():
    found = judge_elements(QUOTED, OURS, SPREAD, delete=False)
    same(
        found.residual,
        [
            [
                [-0.101992, 0.196424, -0.167444, 0.220241, -0.193502],
                [-0.083916, 0.537803, -0.133017, 0.110663, -0.162145],
                [0.249751, -0.804959, 0.366947, -0.324116, 0.380894],
            ],
            [
                [0.079356, -0.077994, 0.095462, -0.371515, 0.251593],
                [0.061327, -0.42452, 0.153361, -0.262695, 0.102106],
                [-0.164341, 0.525167, -0.252257, 0.78609, -0.391085],
            ],
        ],
    )
    same(found.sd[0, 0], [0.190795, 0.154991, 0.154991, 0.154991, 0.154991])
    same(found.sd[1, 2], [0.191004, 0.154991, 0.154991, 0.154991, 0.154991])
    same(found.chi2, [[6.636963, 14.5745, 44.704808], [9.185925, 11.891036, 46.96102]])
    same(found.p_odd, [[0.013145, 0.044157, 0.007099], [0.027737, 0.015258, 0.009292]])
    same(found.weights[0, 2, [0, 1, 2, 12, 17]], [0.000022, 0.000001, 0.992878, 0.00595, 0.001147])
    same(found.weights[1, 2, [0, 2, 14, 19]], [0.000006, 0.990702, 0.007626, 0.001665])


def test_elements_with_deletion_name_set_up_and_finish():
    found = judge_elements(QUOTED, OURS, SPREAD)
    same(found.p_odd, [[0.009442, 0.010066, 0.731215], [0.009824, 0.009732, 0.766327]])
    same(
        found.residual,
        [
            [
                [-0.006476, -0.171276, -0.015655, 0.051122, -0.028578],
                [0.014809, 0.244555, 0.026281, -0.082354, 0.009618],
                [0.219251, -0.815106, 0.356361, 0.351774, 0.216971],
            ],
            [
                [0.019426, 0.214553, -0.030633, -0.068654, 0.09566],
                [-0.001864, -0.207547, 0.039894, 0.063898, -0.08643],
                [-0.08926, -0.015304, -0.015965, 1.01934, -0.247218],
            ],
        ],
    )
    printed = {
        0: 0.024171, 1: 0.000972, 2: 0.243641, 9: 0.000005, 10: 0.000193, 11: 0.000032,
        12: 0.581128, 13: 0.000016, 14: 0.000028, 15: 0.000024, 16: 0.000003, 17: 0.149746,
        18: 0.000002, 19: 0.000003, 20: 0.000002, 21: 0.000032,
    }  # fmt: skip
    same(found.weights[0, 2, list(printed)], list(printed.values()))
    assert found.named(0, 2)[0][0] == "set-up"
    assert found.named(1, 2)[0][0] == "finish"


def dense(layout, y, v, band, level, market):
    """Leave-one-out by the plain inverse of the whole covariance."""
    same_line = layout.line[:, None] == layout.line[None, :]
    same_shop = layout.shop[:, None] == layout.shop[None, :]
    K = np.diag(v) + same_line * band[layout.line][:, None] ** 2 + same_shop * level**2 + market**2
    inverse = np.linalg.inv(K)
    sd = 1 / np.sqrt(np.diag(inverse))
    residual = inverse @ y * sd**2
    sign, log_det = np.linalg.slogdet(K)
    assert sign > 0
    to_market = market**2 * inverse.sum(axis=0)
    members = np.eye(layout.shops)[layout.shop]
    lines = np.eye(layout.lines)[layout.line]
    shop_gain = level**2 * members.T @ inverse
    line_gain = (band**2)[:, None] * lines.T @ inverse
    return {
        "residual": residual, "sd": sd, "z": residual / sd, "log_det": log_det,
        "quadratic": y @ inverse @ y, "market": to_market @ y,
        "market_sd": np.sqrt(market**2 - market**2 * to_market.sum()),
        "shop": shop_gain @ y, "line": line_gain @ y,
        "shop_sd": np.sqrt(level**2 - np.diag(shop_gain @ members) * level**2),
        "line_sd": np.sqrt(band**2 - np.diag(line_gain @ lines) * band**2),
    }  # fmt: skip


@pytest.mark.parametrize(
    ("lines", "shops", "filled"),
    [(1, 1, 1.0), (3, 3, 1.0), (4, 2, 0.8), (15, 6, 0.6), (6, 15, 0.6), (2, 9, 1.0), (40, 8, 0.5)],
)
def test_near_linear_solver_equals_the_dense_inverse(lines, shops, filled):
    rng = np.random.default_rng(lines * 100 + shops)
    mask = rng.random((lines, shops)) < filled
    mask[0, 0] = True
    layout = Layout.of(mask)
    size = layout.line.size
    y = rng.normal(0, 0.5, size)
    v = rng.uniform(0.02, 0.2, size)
    band = rng.uniform(0.1, 0.5, lines)
    got = solve(layout, y, v, np.ones(size, bool), band, level_sd=0.1, market_sd=0.15)
    for name, wanted in dense(layout, y, v, band, 0.1, 0.15).items():
        np.testing.assert_allclose(getattr(got, name), wanted, atol=1e-9, rtol=0, err_msg=name)


@pytest.mark.parametrize(("lines", "shops"), [(5, 4), (4, 7)])
def test_a_cell_with_weight_zero_is_predicted_as_if_it_were_not_there(lines, shops):
    rng = np.random.default_rng(5)
    layout = Layout.of(np.ones((lines, shops), dtype=bool))
    y, v, band = (
        rng.normal(0, 0.4, lines * shops),
        np.full(lines * shops, 0.04),
        np.full(lines, 0.3),
    )
    used = np.ones(lines * shops, bool)
    used[7] = False
    got = solve(layout, y, v, used, band, level_sd=0.1, market_sd=0.15)
    # leave-one-out of the full table and prediction without the cell are the same thing
    full = solve(layout, y, v, np.ones_like(used), band, level_sd=0.1, market_sd=0.15)
    assert got.z[7] == pytest.approx(full.z[7], abs=1e-10)
    mask = np.ones((lines, shops), dtype=bool)
    mask[divmod(7, shops)] = False
    rest = Layout.of(mask)
    wanted = dense(rest, y[used], v[used], band, 0.1, 0.15)
    np.testing.assert_allclose(got.residual[used], wanted["residual"], atol=1e-9)


def test_chunked_blocks_give_the_same_as_one_block(monkeypatch):
    rng = np.random.default_rng(9)
    layout = Layout.of(rng.random((60, 7)) < 0.6)
    size = layout.line.size
    args = (layout, rng.normal(0, 0.4, size), np.full(size, 0.04), np.ones(size, bool))
    one = solve(*args, np.full(60, 0.3), level_sd=0.1, market_sd=0.15)
    monkeypatch.setattr("rfq.engine.compare.level_and_odd._CHUNK_CELLS", 50)
    many = solve(*args, np.full(60, 0.3), level_sd=0.1, market_sd=0.15)
    np.testing.assert_allclose(many.z, one.z, atol=1e-11)
    np.testing.assert_allclose(many.line_market_sd, one.line_market_sd, atol=1e-11)


def test_no_level_and_no_market_spread_need_no_inverse():
    layout = Layout.of(np.ones((3, 2), dtype=bool))
    y = np.array([0.1, 0.2, -0.1, 0.0, 0.3, 0.2])
    got = solve(
        layout, y, np.full(6, 0.04), np.ones(6, bool), np.full(3, 0.2), level_sd=0.0, market_sd=0.0
    )
    wanted = dense(layout, y, np.full(6, 0.04), np.full(3, 0.2), 0.0, 0.0)
    np.testing.assert_allclose(got.z, wanted["z"], atol=1e-9)
    assert got.market == 0.0

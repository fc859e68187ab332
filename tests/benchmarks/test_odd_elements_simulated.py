"""What can be found with a breakdown and without: simulated requests against the design's table.

Source of the wanted figures: 'simulated', design of the method, firm allocation (habit .15, noise
.10), P > .5, means over total sd .15/.30 and single sd .08/.14/.20. Every price of every request
is a trial: leave-one-out is exact for one slip. No deletion, as there. The small run is part of
the ordinary tests; the whole table is the benchmark::

    pytest -m benchmark -s tests/benchmarks/test_odd_elements_simulated.py
"""

from __future__ import annotations

import numpy as np
import pytest

from rfq.engine.compare.elements_odd import ElementSpread, element_weights, helmert, judge_elements
from rfq.engine.compare.posterior import slip_weights

LINES = 15
SHARES = np.array([0.20, 0.18, 0.35, 0.19, 0.08])  # material, set-up, run, finish, inspection
HABIT, NOISE = 0.15, 0.10


def wide(rng, shape, sd, cells=None):
    """Gaussian, and one price in twenty from a three times wider one."""
    return rng.normal(0, sd, shape) * np.where(rng.random(cells or shape) < 0.05, 3.0, 1.0)


def slip_effects(quoted):
    """name -> changed elements (L x M x 5) of each slip acting on every price alone."""
    total = quoted.sum(axis=2)

    def times(index, factor):
        changed = quoted.copy()
        changed[..., index] *= factor
        return changed

    set_up = quoted.copy()
    set_up[..., 1] += 0.30 * total
    callout = quoted.copy()
    callout[..., 2] *= 1.6
    callout[..., 4] *= 1.5
    run = quoted.copy()
    run[..., 2] += 0.50 * total
    return {
        "CLEAN": quoted,
        "x10": quoted * 10,
        "x2": quoted * 2,
        "+50 % all": quoted * 1.5,
        "+30 % one-off in set-up": set_up,
        "+50 % in run": run,
        "-20 % all": quoted * 0.8,
        "finish x0.3": times(3, 0.3),
        "callout misread": callout,
        "run x0.6": times(2, 0.6),
        "material x10": times(0, 10.0),
        "8 % on one line": quoted * 1.08,
    }


# design of the method (simulated): totals P > .5 and elements (firm) P > .5, for 1, 2, 3, 4 quotes
WANTED = {
    "CLEAN": ((0.000, 0.001, 0.001, 0.001), (0.000, 0.002, 0.002, 0.002)),
    "x10": ((0.978, 0.986, 0.990, 0.990), (0.966, 0.982, 0.986, 0.987)),
    "x2": ((0.128, 0.311, 0.331, 0.370), (0.099, 0.285, 0.298, 0.301)),
    "+50 % all": ((0.022, 0.065, 0.060, 0.058), (0.012, 0.036, 0.033, 0.030)),
    "+30 % one-off in set-up": ((0.005, 0.009, 0.007, 0.006), (0.199, 0.733, 0.797, 0.823)),
    "+50 % in run": ((0.022, 0.065, 0.060, 0.058), (0.239, 0.781, 0.842, 0.858)),
    "-20 % all": ((0.000, 0.003, 0.002, 0.002), (0.001, 0.004, 0.004, 0.004)),
    "finish x0.3": ((0.000, 0.001, 0.001, 0.001), (0.271, 0.860, 0.892, 0.906)),
    "callout misread": ((0.003, 0.006, 0.005, 0.005), (0.022, 0.188, 0.267, 0.309)),
    "run x0.6": ((0.000, 0.001, 0.001, 0.001), (0.011, 0.097, 0.154, 0.189)),
    "material x10": ((0.235, 0.337, 0.346, 0.367), (0.952, 0.998, 0.999, 0.998)),
    "8 % on one line": ((0.001, 0.001, 0.001, 0.001), (0.001, 0.003, 0.002, 0.002)),
}


def one_request(rng, shops, sig, se):
    """Share found (totals, elements) of each slip in one simulated request."""
    shares = SHARES * np.exp(rng.normal(0, 0.3, (LINES, 5)))
    ours = 100 * shares / shares.sum(axis=1, keepdims=True)
    truth = ours * np.exp(
        rng.normal(0, 0.73 * sig, (LINES, 1)) + rng.normal(0, 1.33 * sig, (LINES, 5))
    )
    total = truth.sum(axis=1)[:, None] * np.exp(
        rng.normal(0, 0.10) + rng.normal(0, 0.10, shops) + wide(rng, (LINES, shops), se)
    )
    split = (truth / truth.sum(axis=1, keepdims=True))[:, None, :] * np.exp(
        rng.normal(0, HABIT, (1, shops, 5)) + wide(rng, (LINES, shops, 5), NOISE, (LINES, shops, 1))
    )
    quoted = total[..., None] * split / split.sum(axis=2, keepdims=True)
    spread = ElementSpread(
        market=0.15, total=0.73 * sig, element=1.33 * sig, level=0.10, habit=HABIT, single=se,
        noise=NOISE,
    )  # fmt: skip
    clean = judge_elements(quoted, ours, spread, delete=False)
    basis = helmert()
    found = {}
    size = LINES * shops
    for name, changed in slip_effects(quoted).items():
        moved = np.empty((LINES, shops, 5))
        moved[..., 0] = np.log(changed.sum(axis=2) / quoted.sum(axis=2))
        moved[..., 1:] = np.log(changed / quoted) @ basis
        residual = (clean.residual + moved).reshape(size, 5)
        sd = clean.sd.reshape(size, 5)
        new_shares = (changed / changed.sum(axis=2, keepdims=True)).reshape(size, 5)
        weights = element_weights(residual, sd, new_shares, np.ones(size, bool), spread)
        by_total = slip_weights(
            residual[:, 0], sd[:, 0], np.full(size, se**2), np.full(size, np.nan)
        )
        by_elements = 1 - weights[:, :3].sum(axis=1)
        found[name] = ((by_total.p_slip > 0.5).mean(), (by_elements > 0.5).mean())
    return found


def simulate(shops, requests):
    """name -> ((mean, standard error) of totals, of elements), clustered by request."""
    settings = [(sig, se) for sig in (0.15, 0.30) for se in (0.08, 0.14, 0.20)]
    rows = {name: [] for name in WANTED}
    for sig, se in settings:
        rng = np.random.default_rng(int(100 * sig + 1000 * se + shops))
        runs = [one_request(rng, shops, sig, se) for _ in range(requests)]
        for name, at in rows.items():
            at.append(np.array([run[name] for run in runs]))
    out = {}
    for name, at in rows.items():
        means = np.mean([block.mean(axis=0) for block in at], axis=0)
        errors = np.sqrt(sum(block.var(axis=0, ddof=1) / requests for block in at)) / len(at)
        out[name] = tuple(zip(means, errors, strict=True))
    return out


def compare(found, shops, requests):
    """Print the table and return what lies beyond sampling error (ours and the design's)."""
    beyond = []
    print(f"\n{shops} quotes: totals found (wanted), elements found (wanted)")
    for name, wanted in WANTED.items():
        words = []
        for (mean, error), column in zip(found[name], wanted, strict=True):
            want = column[shops - 1]
            both = error * np.sqrt(1 + requests / 80)
            # 3.5 standard errors, the last digit printed, and rare events that error misses
            slack = 3.5 * both + 0.0005 + 0.002
            if shops == 1 and name == "material x10":
                slack += 0.01  # the table leaves open how shares vary; this row feels it most
            words.append(f"{mean:.3f} +- {error:.3f} ({want:.3f})")
            if abs(mean - want) > slack:
                beyond.append((shops, name, round(mean, 4), want, round(slack, 4)))
        print(f"  {name:26s}", "   ".join(words))
    return beyond


def test_three_quotes_reproduce_the_table():
    assert compare(simulate(3, 10), 3, 10) == []


@pytest.mark.benchmark
@pytest.mark.parametrize("shops", [1, 2, 3, 4])
def test_the_whole_table(shops):
    assert compare(simulate(shops, 80), shops, 80) == []


def test_deletion_keeps_one_slip_from_its_neighbours():
    # design of the method (simulated): of the neighbours of a slip, at three quotes, .11 to .29
    # are flagged without deletion and .000 to .002 with it
    rng = np.random.default_rng(2)
    with_it = without = found = 0
    for _ in range(30):
        shares = SHARES * np.exp(rng.normal(0, 0.3, (LINES, 5)))
        ours = 100 * shares / shares.sum(axis=1, keepdims=True)
        quoted = ours[:, None, :] * np.exp(
            rng.normal(0, 0.15, (LINES, 1, 1)) + rng.normal(0, 0.2, (LINES, 1, 5))
            + rng.normal(0, 0.10, (1, 3, 1)) + rng.normal(0, 0.10, (LINES, 3, 5))
        )  # fmt: skip
        quoted[4, 1, 3] *= 0.15
        spread = ElementSpread(habit=0.15, single=0.14, noise=0.10)
        for delete in (True, False):
            p = judge_elements(quoted, ours, spread, delete=delete).p_odd
            neighbours = (p[4, [0, 2]] > 0.5).sum()
            if delete:
                with_it += neighbours
                found += p[4, 1] > 0.5
            else:
                without += neighbours
    assert found >= 27 and with_it <= 1 and without > with_it

"""Odd prices on public road bids, and the cost of judging 10,000 prices.

Data: Colorado DOT bid tabulations 2022-2025 (public records, bidder names replaced), 55 contracts,
unit prices per bidder and the engineer's estimate. Protocol (as in the design of the method):
random requests of 10 lines x m bidders of one contract, one planted slip, one threshold for all
(verdict query or likely error); constants of the table sa .47, se .20, sb .10, smu .15, mu 0, all
lines quantity 25. Nothing is fitted to the data, so there is nothing to leave a contract out of.
A contract is drawn with a weight of its lines, so that every line is as likely as any other;
'contracts alike' draws each contract equally often. Intervals: bootstrap over contracts, 95 %.

Run: ``pytest -m benchmark -s tests/benchmarks/bench_bids.py`` or
``python tests/benchmarks/bench_bids.py [REQUESTS] [FOLDER]``; skipped where the data is absent.
"""

from __future__ import annotations

import os
import sys
import time
import tracemalloc
from collections import defaultdict
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from rfq.engine.compare.judge import judge
from rfq.engine.compare.judgement import CODE_ASK
from rfq.engine.compare.level_and_odd import Spread
from rfq.engine.compare.odd import odd_prices

LINES = 10
BAND_SD = 0.47
ROAD = Spread(market=0.15, level=0.10, single=0.20)
SLIPS = {"x10": 10.0, "/10": 0.1, "x100": 100.0}
# quotes: (clean cells queried at most, x10 found at least, x100 found at least)
LIMITS = {
    1: (0.033, 0.76, 0.98),
    2: (0.025, 0.81, 0.98),
    3: (0.022, 0.83, 0.98),
    4: (0.023, 0.84, 0.98),
    6: (0.025, 0.85, 0.98),
}


def load(folder):
    """contract -> (lines x bidders log ratios); lines without any bid are not in the data."""
    items = pd.read_csv(folder / "cdot_dev_items.csv")
    bids = pd.read_csv(folder / "cdot_dev_bids.csv").merge(items, on="line_id")
    bids["y"] = np.log(bids["unit_price"] / bids["estimate_unit_price"])
    return [
        group.pivot(index="line_id", columns="bidder", values="y").to_numpy()
        for _, group in bids.groupby("contract")
    ]


def requests(contracts, bidders, count, seed, by_lines=True):
    """Random requests: (number of the contract, 10 x m log ratios)."""
    rng = np.random.default_rng(seed)

    def enough(y):
        return (np.sum(~np.isnan(y), axis=1) >= bidders).sum() >= LINES

    able = [at for at, y in enumerate(contracts) if enough(y)]
    weight = np.array([contracts[at].shape[0] if by_lines else 1 for at in able], dtype=float)
    while count:
        at = int(rng.choice(able, p=weight / weight.sum()))
        y = contracts[at][:, rng.choice(contracts[at].shape[1], bidders, replace=False)]
        full = np.flatnonzero(~np.isnan(y).any(axis=1))
        if full.size >= LINES:
            count -= 1
            yield at, y[rng.choice(full, LINES, replace=False)], rng


def queried(y):
    found = judge(y, np.full(LINES, BAND_SD), np.full(LINES, 25.0), spread=ROAD)
    return found.verdict_code.reshape(y.shape) >= CODE_ASK


def measure(contracts, bidders, count, seed=1, by_lines=True):
    """name -> (share, low, high); 'clean' is the share of untouched cells queried beside x10."""
    rows = defaultdict(list)
    for at, y, rng in requests(contracts, bidders, count, seed, by_lines):
        line, shop = int(rng.integers(LINES)), int(rng.integers(bidders))
        row = {}
        for name, factor in SLIPS.items():
            spoiled = y.copy()
            spoiled[line, shop] += np.log(factor)
            flags = queried(spoiled)
            row[name] = float(flags[line, shop])
            if name == "x10":
                row["clean"] = (flags.sum() - flags[line, shop]) / (flags.size - 1)
        rows[at].append(row)
    sums = {at: {k: sum(r[k] for r in run) for k in run[0]} for at, run in rows.items()}
    sizes = {at: len(run) for at, run in rows.items()}
    rng = np.random.default_rng(0)
    keys = list(rows)
    draws = [rng.choice(len(keys), len(keys)) for _ in range(400)]
    out = {}
    for name in ("clean", *SLIPS):
        top = np.array([sums[at][name] for at in keys])
        bottom = np.array([sizes[at] for at in keys], dtype=float)
        spread = [top[d].sum() / bottom[d].sum() for d in draws]
        out[name] = (top.sum() / bottom.sum(), *np.quantile(spread, (0.025, 0.975)))
    return out


def whole_replies(contracts, bidders, lines, count, seed=2):
    """Share of whole-reply slips found, and fresh queries on honest shops."""
    found = fresh = cells = 0
    factors = (10.0, 0.1, 100.0, 0.01, 1000.0, 7.8)
    for number, (_, y, rng) in enumerate(requests(contracts, bidders, count, seed)):
        y = y[:lines]
        shop = int(rng.integers(bidders))
        spoiled = y.copy()
        spoiled[:, shop] += np.log(factors[number % len(factors)])
        band = np.full(lines, BAND_SD)
        before = judge(y, band, spread=ROAD, currency_ratios={"CNY": 7.8})
        after = judge(spoiled, band, spread=ROAD, currency_ratios={"CNY": 7.8})
        found += after.shops[shop].slip is not None
        gained = (after.verdict_code >= CODE_ASK) & (before.verdict_code < CODE_ASK)
        gained = gained.reshape(y.shape)
        fresh += int(np.delete(gained, shop, axis=1).sum())
        cells += y.size - lines
    return found / count, fresh / max(cells, 1)


def report(contracts, count, by_lines=True):
    """Print the table and return what misses its limit."""
    print(f"\n{'lines alike' if by_lines else 'contracts alike'}, {count} requests each")
    print("quotes  clean queried          x10 found              /10 found              x100 found")
    missed = []
    for bidders, (most, least, least_hundred) in LIMITS.items():
        found = measure(contracts, bidders, count, by_lines=by_lines)
        cells = "  ".join(
            f"{found[name][0]:.4f} [{found[name][1]:.3f} {found[name][2]:.3f}]"
            for name in ("clean", *SLIPS)
        )
        print(f"{bidders:6d}  {cells}")
        if found["clean"][0] > most:
            missed.append((bidders, "clean", found["clean"]))
        if found["x10"][0] < least:
            missed.append((bidders, "x10", found["x10"]))
        if found["x100"][0] < least_hundred:
            missed.append((bidders, "x100", found["x100"]))
    return missed


def table_of(lines, shops, seed=0):
    rng = np.random.default_rng(seed)
    i, j = np.divmod(rng.permutation(lines * shops), shops)
    middle = np.exp(rng.normal(3, 1, lines))[i]
    y = rng.normal(0, 0.2, lines)[i] + rng.normal(0, 0.1, shops)[j] + rng.normal(0, 0.15, i.size)
    y[rng.random(i.size) < 0.01] += np.log(10)
    return pd.DataFrame(
        {
            "line": [f"P{k}" for k in i],
            "shop": [f"S{k}" for k in j],
            "price": middle * np.exp(y),
            "low": middle * 0.77,
            "middle": middle,
            "high": middle * 1.29,
        }
    )


def cost_of(lines, shops):
    """Seconds, peak bytes beside the frame, and time over that of one bare log of the prices
    plus one lexsort of the cells (what any answer would need).
    """
    frame = table_of(lines, shops)
    odd_prices(frame)
    best = min(_timed(lambda: odd_prices(frame)) for _ in range(5))
    price = frame["price"].to_numpy()
    a, b = pd.factorize(frame["line"], sort=True)[0], pd.factorize(frame["shop"], sort=True)[0]
    bare = min(_timed(lambda: (np.log(price), np.lexsort((price, b, a)))) for _ in range(20))
    tracemalloc.start()
    kept = odd_prices(frame)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert len(kept) == len(frame)
    return best, peak, best / bare


def _timed(work):
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def report_cost():
    print("\nlines x shops    prices       ms   peak MB   times a bare log and sort")
    out = {}
    for lines, shops in ((500, 20), (2500, 4), (10_000, 1), (100, 100), (4000, 20)):
        seconds, peak, ratio = cost_of(lines, shops)
        out[lines, shops] = (seconds, peak)
        print(
            f"{lines:6d} x {shops:<5d} {lines * shops:8d} {seconds * 1e3:8.1f} "
            f"{peak / 1e6:9.1f} {ratio:10.1f}"
        )
    return out


@pytest.mark.benchmark
def test_road_bids(open_data):
    contracts = load(open_data / "bids")
    missed = report(contracts, 2000)
    report(contracts, 1000, by_lines=False)
    assert missed == []


@pytest.mark.benchmark
def test_whole_replies_on_road_bids(open_data):
    contracts = load(open_data / "bids")
    print("\nwhole replies: quotes, lines, found, fresh queries on honest cells")
    for bidders, lines in ((1, 5), (1, 10), (2, 5), (2, 10), (3, 5), (4, 5)):
        found, fresh = whole_replies(contracts, bidders, lines, 600)
        print(f"{bidders:8d} {lines:6d} {found:8.3f} {fresh:8.4f}")
        assert found >= (0.95 if bidders > 1 or lines > 5 else 0.9) and fresh <= 0.005


@pytest.mark.benchmark
def test_ten_thousand_prices():
    out = report_cost()
    for lines, shops in ((500, 20), (2500, 4)):
        seconds, peak = out[lines, shops]
        assert seconds <= 0.05 and peak <= 20e6


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    folder = Path(sys.argv[2] if len(sys.argv) > 2 else os.environ.get("RFQ_OPEN_DATA", ""))
    report_cost()
    if not (folder / "bids").is_dir():
        print(f"no bids in {folder}; set RFQ_OPEN_DATA")
        return 0
    contracts = load(folder / "bids")
    missed = report(contracts, count)
    report(contracts, count, by_lines=False)
    print("missed:", missed or "nothing")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())

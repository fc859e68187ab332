"""A short run of the road-bid protocol; the whole one is tests/benchmarks/bench_bids.py.

Source: Colorado DOT bid tabulations 2022-2025, public records; skipped where they are absent.
"""

from __future__ import annotations

import importlib.util
from pathlib import Path

import pytest

BENCH = Path(__file__).resolve().parents[1] / "benchmarks" / "bench_bids.py"


@pytest.fixture(scope="module")
def bench():
    spec = importlib.util.spec_from_file_location("bench_bids", BENCH)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def contracts(bench, open_data):
    if not (open_data / "bids" / "cdot_dev_items.csv").is_file():
        pytest.skip("the optional folder of open data holds no road bids")
    return bench.load(open_data / "bids")


@pytest.mark.parametrize("bidders", [1, 2, 3, 4, 6])
def test_limits_hold_within_the_error_of_a_short_run(bench, contracts, bidders):
    most, least, hundred = bench.LIMITS[bidders]
    found = bench.measure(contracts, bidders, 150)
    # 95 % intervals over contracts: the limit may not lie beyond the favourable end
    assert found["clean"][1] <= most
    assert found["x10"][2] >= least
    assert found["x100"][2] >= hundred


def test_a_score_that_queries_everything_or_nothing_would_not_pass(bench, contracts, monkeypatch):
    for answer in (True, False):
        monkeypatch.setattr(bench, "queried", lambda y, a=answer: y == y if a else y != y)
        found = bench.measure(contracts, 3, 60)
        most, least, _ = bench.LIMITS[3]
        assert found["clean"][1] > most or found["x10"][2] < least

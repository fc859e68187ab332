"""How long an award of 200 lines and 8 shops takes to prove, and how it grows.

Run by hand: ``pytest -m benchmark tests/benchmarks/bench_award.py -s``. Printed as ratios to one
award of 40 lines and 6 shops, so that machines can be compared.
"""

from __future__ import annotations

import time

import numpy as np
import pytest

from rfq.engine.award.program import Option, Program, Solution, solve


def program(lines: int, shops: int, seed: int = 5) -> Program:
    """Lines with two breaks and one-offs at every shop; shipments, capacity, least orders."""
    draw = np.random.default_rng(seed)
    level = draw.normal(0, 0.12, shops)
    options = []
    for i in range(lines):
        middle = float(np.exp(draw.normal(3.5, 0.8)))
        for j in range(shops):
            if draw.random() < 0.1:
                continue
            each = middle * float(np.exp(level[j] + draw.normal(0, 0.15)))
            once = float(draw.choice([0.0, 0.0, 80.0, 250.0]))
            options += [
                Option(f"l{i}", f"s{j}", 5.0, round(each * 1.3, 2), once),
                Option(f"l{i}", f"s{j}", 25.0, round(each, 2), once),
            ]
    return Program(
        need={f"l{i}": 25.0 for i in range(lines)},
        options=options,
        shop_cost={f"s{j}": 150.0 for j in range(shops)},
        split=True,
        capacity={f"s{j}": lines * 25 / (shops - 2) for j in range(shops)},
        least_value={f"s{j}": 2000.0 for j in range(shops)},
        most_shops=shops - 1,
        two_shops=frozenset(f"l{i}" for i in range(0, lines, 10)),
        most_share=0.7,
    )


def timed(lines: int, shops: int) -> tuple[Solution, float]:
    """Return an award and the seconds it took."""
    start = time.perf_counter()
    found = solve(program(lines, shops), seconds=60)
    return found, time.perf_counter() - start


@pytest.mark.benchmark
def test_a_large_award_is_proven() -> None:
    timed(5, 3)  # loads the solver
    small, base = timed(40, 6)
    large, took = timed(200, 8)
    print(f"\n40 x 6: {base:.2f} s; 200 x 8: {took:.2f} s, {took / base:.1f} times that")
    assert small.status == "optimal"
    assert large.status == "optimal"
    assert large.gap == pytest.approx(0, abs=1e-9)

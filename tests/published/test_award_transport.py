"""The award against a published transport problem, and the shape of a published location problem.

Hillier & Lieberman, Introduction to Operations Research, chapter on the transportation problem:
three canneries, four warehouses, optimum 152,535 (data and optimum from memory).

OR-Library's cap71 (J. E. Beasley; 50 needs, 16 sites with fixed charges) is not at hand here, so
its shape is checked against every set of sites instead (65,536 of 16, as a benchmark).
"""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from rfq.engine.award.cheapest import cheapest_award
from rfq.engine.award.program import Option, Program, solve

OUTPUT = {"c1": 75, "c2": 125, "c3": 100}
ALLOCATION = {"w1": 80, "w2": 65, "w3": 70, "w4": 85}
COST = {
    "c1": (464, 513, 654, 867),
    "c2": (352, 416, 690, 791),
    "c3": (995, 682, 388, 685),
}


def test_transport_problem_of_the_textbook() -> None:
    rows = [
        (line, shop, 1, cost, need)
        for shop, costs in COST.items()
        for (line, need), cost in zip(ALLOCATION.items(), costs, strict=True)
    ]
    table = pd.DataFrame(rows, columns=["line", "shop", "quantity", "each", "need"])
    award = cheapest_award(table, {"split_lines": True, "capacity": OUTPUT})
    assert award.total == 152_535
    assert award.gap == 0
    for shop, output in OUTPUT.items():
        assert sum(share.quantity for share in award.shares if share.shop == shop) <= output
    for line, need in ALLOCATION.items():
        assert sum(share.quantity for share in award.shares if share.part == line) == need


@pytest.mark.parametrize(
    ("shops", "seed"),
    [(9, 1), pytest.param(16, 2, marks=pytest.mark.benchmark)],
)
def test_fifty_needs_and_fixed_charges_against_all_sets(shops: int, seed: int) -> None:
    draw = np.random.default_rng(seed)
    lines = 50
    cost = draw.uniform(50, 4000, size=(shops, lines)).round(2)
    fixed = np.full(shops, 7500.0)
    best = _by_every_set(cost, fixed)
    program = Program(
        need={f"l{i}": 1.0 for i in range(lines)},
        options=[
            Option(f"l{i}", f"s{j}", 1.0, float(cost[j, i]))
            for i in range(lines)
            for j in range(shops)
        ],
        shop_cost={f"s{j}": float(fixed[j]) for j in range(shops)},
    )
    found = solve(program)
    assert found.status == "optimal"
    assert found.total == pytest.approx(best, abs=0.005)


def _by_every_set(cost: np.ndarray, fixed: np.ndarray) -> float:
    """The least total over all sets of shops: each set's row minima built on a smaller set's."""
    shops, lines = cost.shape
    least = np.full((2**shops, lines), np.inf)
    charge = np.zeros(2**shops)
    for number in range(1, 2**shops):
        lowest = (number & -number).bit_length() - 1
        rest = number & (number - 1)
        np.minimum(least[rest], cost[lowest], out=least[number])
        charge[number] = charge[rest] + fixed[lowest]
    return float((least[1:].sum(axis=1) + charge[1:]).min())

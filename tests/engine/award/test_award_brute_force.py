"""Small awards against every possible allocation: breaks, one-offs, capacity, least order."""

from __future__ import annotations

import itertools
import random
from math import inf

import pytest

from rfq.engine.award.program import Option, Program, solve

SHOPS = ("a", "b", "c")


def _case(seed: int) -> Program:
    draw = random.Random(seed)
    need = {f"l{i}": float(draw.randint(1, 4)) for i in range(draw.randint(1, 2))}
    options = []
    for line in need:
        for shop in SHOPS:
            if draw.random() < 0.15:
                continue
            once = draw.choice([0.0, 0.0, 5.0, 12.0])
            each = draw.uniform(5, 20)
            options.append(Option(line, shop, 1.0, round(each, 2), once))
            if draw.random() < 0.6:
                each *= draw.uniform(0.5, 1.1)
                options.append(Option(line, shop, float(draw.randint(2, 3)), round(each, 2), once))
    return Program(
        need=need,
        options=options,
        split=draw.random() < 0.7,
        shop_cost={shop: draw.choice([0.0, 3.0, 10.0]) for shop in SHOPS},
        capacity={"a": float(draw.randint(1, 5))} if draw.random() < 0.5 else {},
        least_value={"b": draw.uniform(5, 40)} if draw.random() < 0.5 else {},
        most_shops=draw.choice([None, None, 1, 2]),
        two_shops=frozenset({"l0"}) if draw.random() < 0.25 else frozenset(),
        most_share=draw.choice([1.0, 0.7]),
    )


def _brute(program: Program) -> float:
    """The least total over every allocation of whole pieces and every choice of breaks."""
    lines = list(program.need)
    splits = [
        [
            split
            for split in itertools.product(range(int(program.need[line]) + 1), repeat=len(SHOPS))
            if sum(split) == program.need[line]
        ]
        for line in lines
    ]
    best = inf
    for allocation in itertools.product(*splits):
        best = min(best, _cost(program, dict(zip(lines, allocation, strict=True))))
    return best


def _cost(program: Program, allocation: dict[str, tuple[int, ...]]) -> float:
    value = dict.fromkeys(SHOPS, 0.0)
    pieces = dict.fromkeys(SHOPS, 0)
    used = set()
    for line, split in allocation.items():
        taking = [shop for shop, amount in zip(SHOPS, split, strict=True) if amount]
        if line in program.two_shops:
            if len(taking) < 2:
                return inf
            if max(split) > program.most_share * program.need[line] + 1e-9:
                return inf
        elif not program.split and len(taking) > 1:
            return inf
        for shop, amount in zip(SHOPS, split, strict=True):
            if not amount:
                continue
            # The greatest break that is reached binds, or any below it: the dearer of two prices
            # is never taken, unless a least order value asks for it.
            prices = [
                o for o in program.options if (o.line, o.shop) == (line, shop) and o.least <= amount
            ]
            if not prices:
                return inf
            used.add(shop)
            pieces[shop] += amount
            value[shop] += min(o.each for o in prices) * amount + max(o.once for o in prices)
    if program.most_shops is not None and len(used) > program.most_shops:
        return inf
    for shop in used:
        if pieces[shop] > program.capacity.get(shop, inf):
            return inf
        if value[shop] < program.least_value.get(shop, 0.0) - 1e-9:
            return inf
    return sum(value.values()) + sum(program.shop_cost[shop] for shop in used)


def _one_break(program: Program) -> Program:
    """With a least order value the dearer of two breaks could be taken to reach it: left out."""
    if not program.least_value:
        return program
    kept = [o for o in program.options if o.least == 1.0]
    return Program(
        program.need, kept, program.whole, program.split, program.shop_cost, program.capacity,
        program.load, program.least_value, program.most_shops, program.two_shops,
        program.most_share,
    )  # fmt: skip


@pytest.mark.parametrize("seed", range(60))
def test_the_award_is_the_best_of_all_allocations(seed: int) -> None:
    program = _one_break(_case(seed))
    expected = _brute(program)
    found = solve(program)
    if expected == inf:
        assert found.status == "infeasible"
        return
    assert found.status == "optimal"
    assert found.total == pytest.approx(expected, abs=1e-6)
    for line, need in program.need.items():
        given = sum(amount for (of, _), amount in found.pieces.items() if of == line)
        assert given == need
        assert all(amount == int(amount) for amount in found.pieces.values())


def test_each_share_is_priced_at_its_own_break() -> None:
    """Ten at 4 reach the break of 10; split in two they would pay 6."""
    options = [Option("l", "a", 1, 6.0), Option("l", "a", 10, 4.0), Option("l", "b", 1, 5.0)]
    found = solve(Program({"l": 10.0}, options, split=True))
    assert found.pieces == {("l", "a"): 10}
    capped = solve(Program({"l": 10.0}, options, split=True, capacity={"a": 6.0}))
    assert capped.total == pytest.approx(50.0)  # all from b at 5: six of a would cost 6 each

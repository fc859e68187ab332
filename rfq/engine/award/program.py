"""The award as a mixed-integer program: who makes how many of what, at the least cost.

    minimise   sum v_k x_k + sum f_ij z_ij + sum F_j y_j

over options k (one shop's price of one line from one quantity break on), where x_k are pieces,
u_k says that the option is used, z_ij that the pair of line and shop is used, y_j that the shop
is. Each share is priced at its own break. Solved by HiGHS through scipy, proven optimal or with
the gap that is left.

Source: fixed-charge transport and facility location as in any text on operations research;
checked against OR-Library's capacitated warehouse location (J. E. Beasley) and brute force.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np


@dataclass(frozen=True, slots=True)
class Option:
    """One shop's price of one line from one quantity break on.

    Args:
        line: index or name of the line.
        shop: the shop.
        least: least pieces at this price (the break); fractions only where ``whole`` is off.
        each: cost of one piece, without what is paid once.
        once: paid once for the pair of line and shop, whatever the pieces.
    """

    line: str
    shop: str
    least: float
    each: float
    once: float = 0.0


@dataclass(frozen=True, slots=True)
class Program:
    """What is to be awarded, and under which rules.

    Args:
        need: line -> pieces wanted.
        options: all prices that may be taken.
        whole: whole pieces only.
        split: a line may be shared between shops.
        shop_cost: shop -> cost of using it at all (qualification, a shipment).
        capacity: shop -> most pieces (times ``load``). load: line -> capacity a piece takes.
        least_value: shop -> least value of its order, if it gets one.
        most_shops: at most so many shops; None for no limit.
        two_shops: lines that need two shops at least.
        most_share: greatest share of a line of ``two_shops`` to one shop, 0 to 1.
    """

    need: Mapping[str, float]
    options: Sequence[Option]
    whole: bool = True
    split: bool = False
    shop_cost: Mapping[str, float] = field(default_factory=dict)
    capacity: Mapping[str, float] = field(default_factory=dict)
    load: Mapping[str, float] = field(default_factory=dict)
    least_value: Mapping[str, float] = field(default_factory=dict)
    most_shops: int | None = None
    two_shops: frozenset[str] = frozenset()
    most_share: float = 1.0


@dataclass(frozen=True, slots=True)
class Solution:
    """What came out.

    Args:
        status: 'optimal', 'feasible' (stopped by the time limit) or 'infeasible'.
        total: objective.
        pieces: (line, shop) -> pieces.
        price: (line, shop) -> the option used.
        gap: relative distance to the proven bound, 0 when optimal.
        bound: the proven lower bound.
    """

    status: str
    total: float
    pieces: Mapping[tuple[str, str], float]
    price: Mapping[tuple[str, str], Option]
    gap: float
    bound: float


def solve(program: Program, *, seconds: float = 30.0) -> Solution:
    """Return the cheapest award, proven, or the best within the time limit with its gap.

    Args:
        program: lines, options, rules.
        seconds: time limit of the solver.
    Raises:
        ValueError: a line needs no pieces, or an option is of an unknown line.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp  # heavy: only when awarding

    model = _Model(program)
    if model.hopeless:
        return Solution("infeasible", float("nan"), {}, {}, float("nan"), float("nan"))
    matrix, low, high = model.constraints()
    result: Any = milp(
        model.cost,
        constraints=LinearConstraint(matrix, low, high),
        bounds=Bounds(np.zeros(model.size), model.upper),
        integrality=model.integral,
        options={"time_limit": seconds, "mip_rel_gap": 0.0},
    )
    if result.x is None:
        return Solution("infeasible", float("nan"), {}, {}, float("nan"), float("nan"))
    gap = float(result.mip_gap) if result.mip_gap is not None else 0.0
    bound = float(result.mip_dual_bound) if result.mip_dual_bound is not None else result.fun
    pieces, price = model.read(result.x)
    status = "optimal" if result.status == 0 else "feasible"
    return Solution(status, model.total(pieces, price), pieces, price, gap, bound)


class _Model:
    """Columns: pieces of each option, use of each option, use of each pair, use of each shop."""

    def __init__(self, program: Program) -> None:
        self.program = program
        for line, pieces in program.need.items():
            if not pieces > 0:
                raise ValueError(f"line {line} needs {pieces} pieces; more than none are needed")
        unknown = {option.line for option in program.options} - set(program.need)
        if unknown:
            raise ValueError(f"an option is of line {min(unknown)}, which is not wanted")
        self.options = [
            option for option in program.options if option.least <= program.need[option.line]
        ]
        self.pairs = list(dict.fromkeys((o.line, o.shop) for o in self.options))
        self.shops = list(dict.fromkeys(shop for _, shop in self.pairs))
        n, p, s = len(self.options), len(self.pairs), len(self.shops)
        self.size = 2 * n + p + s
        self._use, self._pair, self._shop = n, 2 * n, 2 * n + p
        pair_at = {pair: i for i, pair in enumerate(self.pairs)}
        self.pair_of = [pair_at[o.line, o.shop] for o in self.options]
        self.shop_at = {shop: i for i, shop in enumerate(self.shops)}
        once = np.zeros(p)
        for option, pair in zip(self.options, self.pair_of, strict=True):
            once[pair] = max(once[pair], option.once)
        self.cost = np.concatenate(
            [
                np.array([o.each for o in self.options], dtype=float),
                np.zeros(n),
                once,
                np.array([program.shop_cost.get(shop, 0.0) for shop in self.shops], dtype=float),
            ]
        )
        self.once = once
        most = np.array([program.need[o.line] for o in self.options], dtype=float)
        self.upper = np.concatenate([most, np.ones(n + p + s)])
        self.integral = np.concatenate(
            [np.full(n, 1 if program.whole else 0), np.ones(n + p + s)]
        ).astype(int)
        self.hopeless = set(program.need) != {o.line for o in self.options}

    def constraints(self) -> tuple[Any, Any, Any]:
        """Return matrix (sparse), lower and upper bounds of all rows."""
        from scipy.sparse import csr_array

        program = self.program
        rows: list[tuple[dict[int, float], float, float]] = []
        inf = np.inf
        by_line: dict[str, list[int]] = {line: [] for line in program.need}
        by_pair: dict[int, list[int]] = {i: [] for i in range(len(self.pairs))}
        for k, option in enumerate(self.options):
            by_line[option.line].append(k)
            by_pair[self.pair_of[k]].append(k)
            need = program.need[option.line]
            rows.append(({k: 1.0, self._use + k: -need}, -inf, 0.0))
            if option.least > 0:
                rows.append(({k: 1.0, self._use + k: -option.least}, 0.0, inf))
        for line, members in by_line.items():
            need = program.need[line]
            rows.append((dict.fromkeys(members, 1.0), need, need))
            pairs = {self._pair + i: 1.0 for i, pair in enumerate(self.pairs) if pair[0] == line}
            if line in program.two_shops:
                rows.append((pairs, 2.0, inf))
            elif not program.split:
                rows.append((pairs, 1.0, 1.0))
        for i, members in by_pair.items():
            # Exactly one break is used where the pair is; tight, so that the relaxation is good.
            uses = {self._use + k: 1.0 for k in members}
            rows.append(({**uses, self._pair + i: -1.0}, 0.0, 0.0))
            line, shop = self.pairs[i]
            at = self._shop + self.shop_at[shop]
            rows.append(({self._pair + i: 1.0, at: -1.0}, -inf, 0.0))
            if line in program.two_shops and program.most_share < 1:
                most = program.most_share * program.need[line]
                rows.append((dict.fromkeys(members, 1.0), 0.0, most))
        self._shop_rows(rows, inf)
        data = [v for row, _, _ in rows for v in row.values()]
        columns = [c for row, _, _ in rows for c in row]
        ends = np.cumsum([0] + [len(row) for row, _, _ in rows])
        matrix = csr_array((data, columns, ends), shape=(len(rows), self.size))
        return matrix, np.array([low for _, low, _ in rows]), np.array([hi for _, _, hi in rows])

    def _shop_rows(self, rows: list[tuple[dict[int, float], float, float]], inf: float) -> None:
        program = self.program
        for shop, index in self.shop_at.items():
            mine = [k for k, option in enumerate(self.options) if option.shop == shop]
            at = self._shop + index
            if shop in program.capacity:
                loads = {k: program.load.get(self.options[k].line, 1.0) for k in mine}
                rows.append(({**loads, at: -program.capacity[shop]}, -inf, 0.0))
            if shop in program.least_value:
                value = {k: self.options[k].each for k in mine}
                pairs = {
                    self._pair + i: self.once[i]
                    for i, pair in enumerate(self.pairs)
                    if pair[1] == shop
                }
                rows.append(({**value, **pairs, at: -program.least_value[shop]}, 0.0, inf))
        if program.most_shops is not None:
            every = {self._shop + i: 1.0 for i in range(len(self.shops))}
            rows.append((every, 0.0, float(program.most_shops)))

    def read(self, x: Any) -> tuple[dict[tuple[str, str], float], dict[tuple[str, str], Option]]:
        """Return pieces and option of each pair that is used."""
        pieces: dict[tuple[str, str], float] = {}
        price: dict[tuple[str, str], Option] = {}
        for k, option in enumerate(self.options):
            amount = round(float(x[k])) if self.program.whole else float(x[k])
            if amount > 1e-7:
                pieces[option.line, option.shop] = amount
                price[option.line, option.shop] = option
        return pieces, price

    def total(
        self, pieces: Mapping[tuple[str, str], float], price: Mapping[tuple[str, str], Option]
    ) -> float:
        """Return the cost of an award, summed anew from its parts rather than from the solver."""
        once = {pair: self.once[i] for i, pair in enumerate(self.pairs)}
        shops = dict.fromkeys(shop for _, shop in pieces)
        return float(
            sum(price[pair].each * amount + once[pair] for pair, amount in pieces.items())
            + sum(self.program.shop_cost.get(shop, 0.0) for shop in shops)
        )

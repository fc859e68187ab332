"""Proposals side by side, the price of each rule, and which rule to relax when none is possible."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final

from rfq.engine.award.cheapest import program_of, proposal_of
from rfq.engine.award.options_of import Wanted
from rfq.engine.award.program import Solution, solve
from rfq.engine.award.rules import active_rules, without
from rfq.model.award import Proposal, Rules, ShareOf
from rfq.model.comparison import Line, PriceCell
from rfq.model.money import round_money
from rfq.model.quote import Price
from rfq.problems import Place, Problem, Severity

CHEAPEST: Final = "cheapest"
SINGLE: Final = "single shop"
SECOND: Final = "without one of these shops"
NOT_ODD: Final = "without odd prices"
NO_SPLIT: Final = "no part split between shops"

Progress = Callable[[str], object]
Prices = Mapping[tuple[str, str], tuple[Price, ...]]


@dataclass(frozen=True, slots=True)
class _Solver:
    wanted: Wanted
    seconds: float

    def solve(self, rules: Rules) -> Solution:
        program = program_of(
            dict(self.wanted.need), self.wanted.options(rules), rules, self.wanted.critical
        )
        return solve(program, seconds=self.seconds)


def proposals_of(
    wanted: Wanted,
    rules: Rules,
    currency: str,
    *,
    prices: Prices | None = None,
    seconds: float = 30.0,
    progress: Progress | None = None,
) -> tuple[tuple[Proposal, ...], tuple[Problem, ...]]:
    """Return the proposals, cheapest first, and what prevents others.

    Args:
        wanted: lines and the prices that may be taken.
        rules: of the user; each one's price stands in the cheapest proposal.
        currency: the project's.
        prices: (part, shop) -> the shop's own prices, rising, for the figures of an order.
        seconds: time limit of each solution.
        progress: told what is being worked out.

    Problems: A010 no award keeps all rules (stop; says which to relax); A011 a proposal that
        cannot be made (note); A012 a proposal not proven within the time (note).
    """
    say = progress or (lambda words: None)
    solver = _Solver(wanted, seconds)
    say("the cheapest award under the rules")
    best = solver.solve(rules)
    if best.status == "infeasible":
        return (), (_infeasible(solver, rules, say),)
    notes: list[Problem] = []
    made = [_shown(CHEAPEST, best, wanted, rules, currency, prices)]
    say("the price of each rule")
    made[0] = made[0].model_copy(
        update={"rule_prices": _rule_prices(solver, rules, made[0].total, currency)}
    )
    say("the cheapest single shop")
    single = solver.solve(rules.model_copy(update={"most_shops": 1}))
    _add(made, notes, SINGLE, single, "no single shop has a ranked price for every part", wanted,
         rules, currency, prices)  # fmt: skip
    say("what is left if one of these shops walks away")
    second = _second(solver, rules, made[0])
    _add(made, notes, SECOND, second, "each shop of the cheapest award is needed for some part",
         wanted, rules, currency, prices)  # fmt: skip
    if not rules.without_odd:
        say("the award without odd prices")
        clean = solver.solve(rules.model_copy(update={"without_odd": True}))
        _add(made, notes, NOT_ODD, clean, "some part has odd prices only", wanted, rules, currency,
             prices)  # fmt: skip
    for proposal in made:
        if proposal.gap > 0:
            notes.append(
                Problem(
                    "A012",
                    f"'{proposal.name}' is not proven the cheapest within {seconds:g} s; at most "
                    f"{proposal.gap:.2%} could still be saved.",
                    Place(),
                    Severity.NOTE,
                )
            )
    return tuple(made), tuple(notes)


def _add(
    made: list[Proposal],
    notes: list[Problem],
    name: str,
    solution: Solution | None,
    why_not: str,
    wanted: Wanted,
    rules: Rules,
    currency: str,
    prices: Prices | None,
) -> None:
    if solution is None or solution.status == "infeasible":
        note = f"there is no proposal '{name}': {why_not}."
        notes.append(Problem("A011", note, Place(), Severity.NOTE))
        return
    made.append(_shown(name, solution, wanted, rules, currency, prices))


def _rule_prices(
    solver: _Solver, rules: Rules, total: Decimal, currency: str
) -> dict[str, Decimal]:
    """What each rule costs: the total under all rules less the total without it."""
    found = {}
    for name in active_rules(rules):
        relaxed = without(rules, name)
        solution = solver.solve(relaxed)
        found[name] = max(Decimal(0), total - proposal_of("", solution, relaxed, currency).total)
    if not rules.split_lines:
        split = rules.model_copy(update={"split_lines": True})
        solution = solver.solve(split)
        if solution.status != "infeasible":
            saved = total - proposal_of("", solution, split, currency).total
            found[NO_SPLIT] = max(Decimal(0), saved)
    return found


def _second(solver: _Solver, rules: Rules, best: Proposal) -> Solution | None:
    """The cheapest award in which one of the best one's shops has no part."""
    found = None
    for shop in best.shops:
        without_it = rules.model_copy(update={"forbidden": (*rules.forbidden, shop)})
        solution = solver.solve(without_it)
        if solution.status != "infeasible" and (found is None or solution.total < found.total):
            found = solution
    return found


def _infeasible(solver: _Solver, rules: Rules, say: Progress) -> Problem:
    say("which rule stands in the way")
    names = active_rules(rules)
    alone = [name for name in names if solver.solve(without(rules, name)).status != "infeasible"]
    if not rules.split_lines:
        split = rules.model_copy(update={"split_lines": True})
        if solver.solve(split).status != "infeasible":
            alone.append(NO_SPLIT)
    if alone:
        said = " or ".join(f"'{name}'" for name in alone)
        return Problem("A010", f"no award keeps all rules; relax {said}.", Place())
    for first in names:
        for second in names:
            if first >= second:
                continue
            less = without(without(rules, first), second)
            if solver.solve(less).status != "infeasible":
                return Problem(
                    "A010", f"no award keeps all rules; relax both '{first}' and '{second}'.",
                    Place(),
                )  # fmt: skip
    bare = [line for line in solver.wanted.need if not _has_price(solver.wanted, line)]
    if bare:
        return Problem(
            "A010", f"{', '.join(bare)}: nobody has a price that can be awarded; ask again or "
            "award the rest with the part left out.", Place(), subject=bare[0],
        )  # fmt: skip
    return Problem("A010", "no award keeps all rules, and no two of them are alone to blame; "
                   "start again from fewer rules.", Place())  # fmt: skip


def _has_price(wanted: Wanted, line: str) -> bool:
    return any(offer.option.line == line for offer in wanted.offers)


def _shown(
    name: str,
    solution: Solution,
    wanted: Wanted,
    rules: Rules,
    currency: str,
    prices: Prices | None,
) -> Proposal:
    """A solution as a proposal: figures of the quotes, last date, paid before delivery."""
    plain = proposal_of(name, solution, rules, currency)
    shares: list[ShareOf] = []
    dates: list[date | None] = []
    before = Decimal(0)
    for share in plain.shares:
        used = solution.price[share.part, share.shop]
        offer = wanted.offer(share.part, share.shop, used.least)
        cell = offer.cell
        price = _binding((prices or {}).get((share.part, share.shop), ()), share.quantity)
        dates.append(cell.comparable_date)
        if cell.paid_before_delivery is not None:
            before += cell.paid_before_delivery * share.quantity / offer.line.quantity
        shares.append(
            share.model_copy(
                update={
                    "revision": offer.line.revision,
                    "quoted_each": price.each if price is not None else None,
                    "one_off": price.one_off if price is not None else None,
                    "currency": price.currency if price is not None else "",
                    "reason": why_this(offer.line, cell),
                }
            )
        )
    known = [day for day in dates if day is not None]
    return plain.model_copy(
        update={
            "shares": tuple(shares),
            "last_date": max(known) if known and len(known) == len(dates) else None,
            "paid_before_delivery": round_money(before, currency),
            "note": "" if len(known) == len(dates) else "a shop gives no date",
        }
    )


def _binding(prices: tuple[Price, ...], quantity: int) -> Price | None:
    below = [price for price in prices if price.quantity <= quantity]
    return below[-1] if below else (prices[0] if prices else None)


def why_this(line: Line, cell: PriceCell) -> str:
    """Return in words why a shop gets a line: its rank, what stands against the band."""
    words = []
    if cell.rank == 1:
        words.append("lowest comparable price")
    elif cell.rank is not None:
        lowest = min(
            (c.comparable for c in line.prices if c.rank == 1 and c.comparable is not None),
            default=None,
        )
        more = f", {cell.comparable / lowest - 1:.0%} above the lowest" if (
            lowest and cell.comparable) else ""  # fmt: skip
        words.append(f"rank {cell.rank}{more}")
    if cell.verdict is not None and cell.verdict.value != "in line":
        words.append(cell.verdict.value)
    return "; ".join(words)

# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""Sums against what they sum: the last check, and the only one for prices without line totals."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from itertools import combinations
from typing import TYPE_CHECKING

from rfq.intake.cells import amount
from rfq.intake.numbers import Habit
from rfq.problems import Severity

if TYPE_CHECKING:
    from rfq.intake.currency import Currencies
    from rfq.intake.work import Work
    from rfq.model.quote import Price


def check_sums(work: Work, prices: Sequence[Price], style: Habit, money: Currencies) -> list[Price]:
    """Return the prices, unsure where a stated sum contradicts them and no line total holds them.

    A heading that only says 'price' is also decided here: whether the prices themselves or
    quantity x price add up to the sum.
    """
    out = list(prices)
    for table in work.tables:
        rows = [row for row in work.rows if row.table is table]
        sums = [row for row in rows if row.kind == "sum"]
        if not sums:
            continue
        items = [s for s in work.settled if s.row.table is table and not s.row.alternative]
        if not items or len({(s.row.match.part) for s in items}) < len(items):
            continue  # several quantities of a part: nobody adds these up
        first = sums[0]
        above = [s for s in items if s.row.number < first.number]
        if not above or any(s.printed is None or s.each is None for s in above):
            continue
        stated: list[Decimal] = []
        for cell in table.grid.rows[first.number].values():
            read = amount(cell)
            if read.values and not read.percent and read.state == "":
                stated += style.settle(read.figure).values if read.figure else read.values
        stated = [value for value in stated if value > 0]
        if not stated:
            continue
        slack = Decimal("0.0051") * (len(above) + 1)
        lines = sum(
            (
                (s.total if s.total is not None else s.each * s.quantity)
                for s in above
                if s.each is not None
            ),
            Decimal(0),
        )
        slack += sum(
            (
                Decimal("0.005") * s.quantity
                for s in above
                if s.total is None and s.base in ("1", "100", "1000")
            ),
            Decimal(0),
        )
        extras = [v for found in work.one_offs.values() for v, _, _, p in found]
        extras += [c.amount for c in work.charges if c.amount is not None]
        goal = [lines]
        if len(extras) <= 8:
            goal = [
                lines + sum(some, Decimal(0))
                for size in range(len(extras) + 1)
                for some in combinations(extras, size)
            ]
        percents = [c.percent for c in work.charges if c.percent is not None]
        goal += [g * (1 + sign * p / 100) for g in goal for p in percents for sign in (1, -1)]
        rate = next((p.tax_percent for p in out if p.tax_percent), None)
        if rate:
            goal += [g * (1 + rate / 100) for g in goal]
        if any(abs(g - value) <= slack for g in goal for value in stated):
            continue
        printed = sum((s.printed for s in above if s.printed is not None), Decimal(0))
        place = table.grid.place(work.file, next(iter(table.grid.rows[first.number].values())))
        if any(s.total is not None for s in above):
            work.problem(
                "R032",
                f"The lines add up to {lines:f}, but the sum says {stated[-1]}; ask what is in the sum.",
                place,
                Severity.NOTE if all(s.total is not None for s in above) else Severity.ASK,
            )
            continue
        wanted = {id(s) for s in above}
        lots = any(abs(printed - value) <= Decimal("0.0051") for value in stated)
        for index, item in enumerate(work.settled):
            if id(item) not in wanted or index >= len(prices):
                continue
            at = next((i for i, p in enumerate(out) if p.place == prices[index].place), None)
            if at is None:
                continue
            price = out[at]
            if lots and item.offer.column.meaning == "price" and item.base == "1" and item.printed:
                out[at] = price.model_copy(
                    update={
                        "per": "lot",
                        "each": item.printed / item.quantity,
                        "evidence": "the prices themselves add up to the sum, so each is for all its pieces",
                    }
                )
                continue
            out[at] = price.model_copy(update={"sure": False})
            work.problem(
                "R032",
                f"{price.part} at {price.quantity}: the lines add up to {lines:f}, but the sum says {stated[-1]}; one of the prices may be wrong.",
                price.place,
                Severity.ASK,
                price.part,
            )
    return out

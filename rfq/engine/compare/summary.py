"""One shop over all lines: its price level, totals over the like set, dates, consistency."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from rfq.engine.compare.breakdown import Implied, inconsistent, medians
from rfq.engine.compare.judgement import Judgement
from rfq.engine.compare.slips import name_of, question_for
from rfq.engine.compare.table import Table, scope_questions
from rfq.model.comparison import Line, ShopSummary, Slip
from rfq.model.money import round_money
from rfq.problems import Problem


def summary(
    table: Table,
    column: int,
    shown: Sequence[Line],
    judgement: Judgement,
    like: frozenset[int],
    compared: Sequence[str],
    found: Sequence[Implied],
    problems: list[Problem],
) -> ShopSummary:
    """Return one shop over all lines.

    Args:
        table: the working table; ``column`` is the shop's.
        shown: the lines as shown.
        judgement: of the whole table.
        like: indices of the lines that are totalled; ``compared``: shops totalled on them.
        found: what the shop's breakdowns imply.
        problems: questions are added to it.
    """
    shop, lines = table.shops[column], table.lines
    name, currency = shop.shop.id, table.given.exchange.currency
    said = judgement.shops[column]
    cells = [line.prices[column] for line in shown]
    quoted = [cell for cell in cells if cell.quoted is not None]
    level = None if not any(cell.verdict for cell in cells) else said
    slip = None
    question = ""
    if said.slip is not None:
        own = said.slip
        slip = Slip(
            name=name_of(own.key),
            factor=own.factor,
            fit=min(max(own.fit, 0.0), 1.0),
            next_best=name_of(own.next_best) if own.next_best else "",
            reason="on the whole reply",
        )
        question = question_for(own.key, "", whole_reply=True)
    for conditions in shop.conditions.values():
        problems.extend(conditions.problems)
    silent = scope_questions(lines, shop)
    if silent is not None:
        problems.append(silent)
    materials = {line.part.number: line.part.material for line in lines}
    problems.extend(inconsistent(found, name, materials))
    rate, material = medians(found)
    total = early = None
    if name in compared and like:
        total = round_money(
            sum(
                (cells[index].comparable or Decimal(0)) * lines[index].quantity
                for index in sorted(like)
            )
            + Decimal(0),
            currency,
        )
        early = sum(
            (cells[index].paid_before_delivery or Decimal(0) for index in sorted(like)),
            Decimal(0),
        )
    ordered = [cell for cell, line in zip(cells, lines, strict=True) if line.ordered]
    days = [cell.comparable_date for cell in ordered if cell.quoted is not None]
    known = [day for day in days if day is not None]
    return ShopSummary(
        shop=name,
        name=shop.shop.name,
        level=level.level if level is not None else None,
        level_low=level.low if level is not None else None,
        level_high=level.high if level is not None else None,
        slip=slip,
        question=question,
        lines_asked=sum(line.part.number in shop.asked for line in lines),
        lines_quoted=len(quoted),
        total=total,
        paid_before_delivery=early,
        date=max(known) if known and len(known) == len(days) else None,
        implied_rate=rate,
        implied_material=material,
    )

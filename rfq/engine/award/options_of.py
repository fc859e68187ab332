"""From a comparison to the prices an award may take.

A comparable price has a part that goes with the pieces and a part that is paid once: the bridge's
step 'one-offs', spread over the line's quantity, is taken apart again, so that a share of a line
carries its one-off whole. Other sums paid once an order (broker, a shipment) stay spread as the
comparison spread them; what using a shop at all costs is a rule of its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from rfq.engine.award.program import Option
from rfq.model.award import Rules
from rfq.model.codes import Verdict
from rfq.model.comparison import BridgeStep, Comparison, Line, PriceCell
from rfq.model.project import Project
from rfq.model.request import Request
from rfq.problems import Place, Problem, Severity

_ODD = (Verdict.QUERY, Verdict.LIKELY_ERROR)


@dataclass(frozen=True, slots=True)
class Offer:
    """One option with the cell of the comparison it was made of."""

    option: Option
    line: Line
    cell: PriceCell


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is to be awarded.

    Args:
        need: part -> pieces.
        offers: prices that rank, at every break up to the need.
        critical: parts that want two shops.
        left_out: in words, why a price does not take part; by (part, shop).
    """

    need: Mapping[str, int]
    offers: tuple[Offer, ...]
    critical: frozenset[str]
    left_out: Mapping[tuple[str, str], str]

    def options(self, rules: Rules) -> list[Option]:
        """Return the options that the rules on single prices leave."""
        return [
            offer.option
            for offer in self.offers
            if not (rules.without_odd and offer.cell.verdict in _ODD)
            and in_time(offer.cell, rules.need_date)
        ]

    def offer(self, part: str, shop: str, least: float) -> Offer:
        """Return the offer behind an option."""
        return next(
            offer
            for offer in self.offers
            if (offer.option.line, offer.option.shop) == (part, shop)
            and offer.option.least == least
        )


def in_time(cell: PriceCell, need: date | None) -> bool:
    """Return whether a cell's comparable date keeps a need date; an unknown date does not."""
    return need is None or (cell.comparable_date is not None and cell.comparable_date <= need)


def apart(cell: PriceCell, quantity: int) -> tuple[Decimal, Decimal]:
    """Return a comparable price as (one piece without one-offs, what is paid once).

    Args:
        cell: with a comparable price. quantity: of its line.
    """
    assert cell.comparable is not None
    once = _step(cell.bridge, "one-offs")
    if not once:
        return cell.comparable, Decimal(0)
    accepted = _step(cell.bridge, "accepted parts")
    before = cell.comparable - accepted
    # The division by accepted pieces acts on the one-off too.
    factor = cell.comparable / before if before else Decimal(1)
    each = once * factor
    return cell.comparable - each, each * quantity


def _step(steps: tuple[BridgeStep, ...], name: str) -> Decimal:
    return sum((step.amount for step in steps if step.step == name), Decimal(0))


def wanted_of(
    project: Project, request: Request, comparison: Comparison, rules: Rules
) -> tuple[Wanted, tuple[Problem, ...]]:
    """Return what is to be awarded and from which prices.

    Args:
        project: parts (which are critical). request: its order quantities.
        comparison: of the round. rules: quantities that differ from those ordered first.

    Problems: A001 a part nobody has a ranked price for (stop); A002 a quantity below every line of
        the comparison (stop); A003 the quantity is no line of its own, the lower one binds (note).
    """
    problems: list[Problem] = []
    need: dict[str, int] = {}
    offers: list[Offer] = []
    left_out: dict[tuple[str, str], str] = {}
    for asked in request.lines:
        pieces = rules.quantities.get(asked.part) or asked.order_first or asked.quantities[0]
        lines = [line for line in comparison.lines if line.part == asked.part]
        usable = sorted(
            (line for line in lines if line.quantity <= pieces), key=lambda line: line.quantity
        )
        if not usable:
            problems.append(
                Problem(
                    "A002",
                    f"{asked.part}: {pieces} pcs is below every quantity asked; order at least "
                    f"{asked.quantities[0]} or ask for a price at {pieces}.",
                    Place(),
                    subject=asked.part,
                )
            )
            continue
        if usable[-1].quantity != pieces:
            problems.append(
                Problem(
                    "A003",
                    f"{asked.part}: {pieces} pcs was not asked; the price at "
                    f"{usable[-1].quantity} pcs binds.",
                    Place(),
                    Severity.NOTE,
                    subject=asked.part,
                )
            )
        need[asked.part] = pieces
        found = _offers(usable, left_out)
        if not found:
            problems.append(
                Problem(
                    "A001",
                    f"{asked.part}: nobody has a price that can be awarded; {_whys(usable)}.",
                    Place(),
                    subject=asked.part,
                )
            )
        offers += found
    critical = frozenset(
        number for number in need if (part := project.parts.get(number)) and part.critical
    )
    return Wanted(need, tuple(offers), critical, left_out), tuple(problems)


def _offers(lines: list[Line], left_out: dict[tuple[str, str], str]) -> list[Offer]:
    found = []
    for line in lines:
        for cell in line.prices:
            if cell.comparable is None or not cell.ranked:
                why = cell.why_not_ranked or cell.state.value
                if line is lines[-1]:
                    left_out[line.part, cell.shop] = why
                continue
            each, once = apart(cell, line.quantity)
            option = Option(line.part, cell.shop, float(line.quantity), float(each), float(once))
            found.append(Offer(option, line, cell))
    return found


def _whys(lines: list[Line]) -> str:
    whys = [
        f"{cell.shop}: {cell.why_not_ranked or cell.state.value}"
        for cell in lines[-1].prices
        if cell.state.value != "not asked"
    ]
    return "; ".join(whys) or "no shop was asked"

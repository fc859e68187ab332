"""Compare the quotes of a round."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from rfq.engine.compare.level_and_odd import Spread
from rfq.engine.compare.matrix import compare
from rfq.engine.compare.region import expected_levels
from rfq.model.comparison import Comparison, PriceCell, Slip
from rfq.model.project import Project
from rfq.model.rates import OwnSpreads
from rfq.model.request import Request
from rfq.problems import Place, Problem, Severity
from rfq.store.ecb import exchange_rates
from rfq.tasks.cost import estimates_of, lines_of
from rfq.tasks.done import Done, Stopped
from rfq.tasks.open import Opened, located, opened, request_of, today_of


def compare_project(
    path: Path, *, round_: int | None = None, request_id: str = "", as_of: str = ""
) -> Done[Comparison]:
    """Return the comparison of a round (default: the newest that has quotes).

    Raises:
        Stopped: no request, no such round, or no quotes at all.
    """
    return compare_opened(opened(path), round_=round_, request_id=request_id, as_of=as_of)


def compare_opened(
    here: Opened, *, round_: int | None = None, request_id: str = "", as_of: str = ""
) -> Done[Comparison]:
    """Return the comparison of an opened project; see ``compare_project``."""
    project = here.project
    request = request_of(project, request_id)
    number = round_ if round_ is not None else newest_round(project, request)
    known = {one.number for one in project.rounds_of(request.id)} | {
        quote.round for quote in project.quotes if quote.request == request.id
    }
    if known and number not in known:
        said = ", ".join(str(one) for one in sorted(known))
        raise Stopped(
            (
                Problem(
                    "W101", f"request {request.id} has no round {number}; rounds: {said}.", Place()
                ),
            )
        )
    day = today_of(project, as_of)
    estimates, cost_problems = estimates_of(project, request, lines_of(request))
    currencies = {project.settings.currency} | {
        currency
        for quote in project.quotes
        if quote.request == request.id
        for currency in (
            quote.currency,
            *(price.currency for price in quote.prices),
            *(charge.currency for charge in quote.charges),
        )
        if currency
    }
    rates_day = project.rates.exchange_day or day
    exchange, exchange_problems = exchange_rates(rates_day, currencies, project.rates.exchange)
    asked = [project.shops[one.shop] for one in request.asked if one.shop in project.shops]
    levels = expected_levels(asked, project.rates.region, estimates)
    result = compare(
        project,
        request,
        number,
        day,
        exchange,
        estimates,
        variances=_spreads(project.rates.spreads),
        expected_levels=levels,
    )
    problems = (*cost_problems, *exchange_problems, *result.problems)
    # A missing rate stops that shop's prices, not the whole comparison: it is asked instead.
    softened = tuple(
        problem
        if problem.severity is not Severity.STOP
        else Problem(problem.code, problem.message, problem.place, Severity.ASK, problem.why,
                     problem.right, problem.subject)
        for problem in problems
    )  # fmt: skip
    return Done(result, located(here.folder, softened))


def _spreads(own: OwnSpreads | None) -> Spread | None:
    """The user's own spreads where a history gave them, else None for the start values."""
    if own is None:
        return None
    return Spread(
        market=float(own.market), level=float(own.level), single=float(own.single),
        band=float(own.band), shift=float(own.shift),
    )  # fmt: skip


def newest_round(project: Project, request: Request) -> int:
    """Return the newest round that has quotes, else the newest round, else 1."""
    quoted = [quote.round for quote in project.quotes if quote.request == request.id]
    opened_ = [one.number for one in project.rounds_of(request.id)]
    return max(quoted or opened_ or [1])


def comparison_json(comparison: Comparison) -> dict[str, Any]:
    """Return a comparison as plain values, as the outward contract has them."""
    return {
        "project": comparison.project,
        "request": comparison.request,
        "currency": comparison.currency,
        "round": comparison.round,
        "as_of": comparison.as_of.isoformat(),
        "exchange": list(comparison.exchange),
        "lines": [
            {
                "part": line.part,
                "revision": line.revision,
                "quantity": line.quantity,
                "should_cost": line.should_cost
                and {
                    "low": str(line.should_cost.low),
                    "middle": str(line.should_cost.middle),
                    "high": str(line.should_cost.high),
                    "basis": line.should_cost.basis,
                },
                "market": line.market
                and {"ratio": line.market, "low": line.market_low, "high": line.market_high},
                "prices": [_cell_json(cell) for cell in line.prices],
            }
            for line in comparison.lines
        ],
        "shops": [
            {
                "shop": shop.shop,
                "level": shop.level,
                "level_low": shop.level_low,
                "level_high": shop.level_high,
                "slip": _slip_json(shop.slip),
                "lines_asked": shop.lines_asked,
                "lines_quoted": shop.lines_quoted,
                "total": _text(shop.total),
                "paid_before_delivery": _text(shop.paid_before_delivery),
                "date": shop.date.isoformat() if shop.date else None,
            }
            for shop in comparison.shops
        ],
        "like_set": list(comparison.like_set),
        "what_ifs": [
            {
                "name": one.name,
                "totals": {shop: str(total) for shop, total in one.totals.items()},
                "winner": one.winner,
                "changes": one.changes,
                "note": one.note,
            }
            for one in comparison.what_ifs
        ],
        "problems": [
            {
                "code": p.code,
                "severity": p.severity.value,
                "place": str(p.place),
                "message": p.message,
            }
            for p in comparison.problems
        ],
    }


def _cell_json(cell: PriceCell) -> dict[str, Any]:
    quoted = cell.quoted
    return {
        "shop": cell.shop,
        "quoted": quoted
        and {
            "amount": str(quoted.amount),
            "currency": quoted.currency,
            "per": quoted.per,
            "quantity": quoted.quantity,
            "place": quoted.place,
        },
        "comparable": _text(cell.comparable),
        "bridge": [
            {
                "step": step.step,
                "amount": str(step.amount),
                "reason": step.reason,
                "place": step.place,
                "estimated": step.estimated,
            }
            for step in cell.bridge
        ],
        "ratio": cell.ratio,
        "z": cell.z,
        "verdict": cell.verdict.value if cell.verdict else None,
        "slip": _slip_json(cell.slip),
        "reason": cell.reason,
        "question": cell.question,
        "state": cell.state.value,
        "ranked": cell.ranked,
        "why_not_ranked": cell.why_not_ranked,
        "rank": cell.rank,
        "missing_scope": list(cell.missing_scope),
        "exceptions": list(cell.exceptions),
        "alternatives": list(cell.alternatives),
        "date": cell.comparable_date.isoformat() if cell.comparable_date else None,
        "paid_before_delivery": _text(cell.paid_before_delivery),
    }


def _slip_json(slip: Slip | None) -> dict[str, Any] | None:
    if slip is None:
        return None
    return {
        "name": slip.name,
        "factor": slip.factor,
        "fit": slip.fit,
        "next_best": slip.next_best,
        "reason": slip.reason,
    }


def _text(amount: object) -> str | None:
    return None if amount is None else str(amount)

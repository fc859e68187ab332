"""Should-costs of a whole request at once: many parts at many quantities."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from rfq.engine.cost.errors import EstimateError
from rfq.engine.cost.estimate import own_estimate, own_of
from rfq.engine.cost.run import check_draws, check_quantity, prepare
from rfq.engine.cost.summary import summarise
from rfq.model.estimate import Estimate
from rfq.model.part import Part
from rfq.model.rates import Rates
from rfq.model.request import Request
from rfq.problems import Problem


@dataclass(slots=True)
class Estimates:
    """Estimates by (part, quantity), and why others are missing."""

    found: dict[tuple[str, int], Estimate] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)


def should_costs(
    lines: Iterable[tuple[Part, Sequence[int]]],
    rates: Rates | None = None,
    draws: int = 4096,
    seed: int = 0,
    *,
    request: Request | None = None,
    own_history: bool = False,
) -> Estimates:
    """Bands and elements of many parts; all quantities of a part in one pass.

    The figures are those of ``should_cost``; drivers, assumptions and steps are left out, which
    only ``should_cost`` of the one part gives. A part that cannot be estimated becomes a problem
    and doesn't stop the others.

    Args:
        lines: parts with their quantities.
        draws, seed: as in ``should_cost``; all parts share the draws.
    """
    check_draws(draws, seed)
    result = Estimates()
    for part, quantities in lines:
        try:
            wanted = [check_quantity(quantity) for quantity in quantities]
            drawn = []
            for quantity in wanted:
                own = own_of(part, quantity)
                if own is not None:
                    result.found[part.number, quantity] = own_estimate(part, quantity, own)
                else:
                    drawn.append(quantity)
            if drawn:
                run = prepare(part, rates, request=request, own_history=own_history)
                for estimate in summarise(run, run.draw(drawn, draws, seed), drawn):
                    result.found[part.number, estimate.quantity] = estimate
        except EstimateError as error:
            if error.problem not in result.problems:
                result.problems.append(error.problem)
    return result

"""The should-cost with some assumptions changed, before anything is stored; and to store them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from rfq.engine.cost.errors import EstimateError
from rfq.engine.cost.estimate import should_cost
from rfq.model.codes import Basis
from rfq.model.estimate import Estimate
from rfq.model.part import Part
from rfq.model.rates import Rate, Rates
from rfq.problems import Problem
from rfq.store.save import changes
from rfq.tasks.cost import at_part
from rfq.tasks.done import Done
from rfq.tasks.open import Opened, located, moment_of


@dataclass(frozen=True, slots=True)
class Assumed:
    """A changed assumption: low, typical and high of a parameter."""

    low: Decimal
    typical: Decimal
    high: Decimal

    @classmethod
    def one(cls, value: Decimal) -> Assumed:
        """A figure that is known: low, typical and high are the same."""
        return cls(value, value, value)


def key_of(name: str) -> str:
    """Return the parameter's name behind an assumption as it is shown ('rate 3 axis')."""
    return name.replace(" ", "_")


def with_assumptions(rates: Rates, changed: Mapping[str, Assumed]) -> Rates:
    """Return the rates with the user's figures in place of the shipped ones.

    Raises:
        ValueError: low, typical and high do not stand in that order.
    """
    own = dict(rates.parameters)
    for name, value in changed.items():
        own[key_of(name)] = Rate(
            low=value.low, typical=value.typical, high=value.high, basis=Basis.USER,
            source="typed while looking at the should-cost",
        )  # fmt: skip
    return rates.model_copy(update={"parameters": own})


def estimate_with(
    here: Opened, part: Part, quantity: int, changed: Mapping[str, Assumed], request_id: str = ""
) -> Done[Estimate | None]:
    """Return the should-cost of a part with changed assumptions; nothing is stored."""
    rates = with_assumptions(here.project.rates, changed)
    request = here.project.request(request_id)
    try:
        return Done(should_cost(part, quantity, rates, request=request))
    except EstimateError as error:
        problem: Problem = at_part(here.project, part, error.problem)
        return Done(None, located(here.folder, (problem,)))


def keep_assumptions(here: Opened, changed: Mapping[str, Assumed]) -> Done[Rates]:
    """Store changed assumptions in the project's rates, as the user's own.

    Raises:
        ChangedOnDisk: the rates were changed meanwhile.
    """
    rates = with_assumptions(here.project.rates, changed)
    with changes(
        here.folder, "assumptions changed", project=here.project,
        detail=", ".join(changed), at=moment_of(here.project),
    ) as change:  # fmt: skip
        change.put(rates, key="rates")
    return Done(rates, (), change.written)

"""The inputs of one evaluation of the graph, and the notes it leaves for the explanation.

The same functions run on arrays of draws (the band) and on single numbers, the medians of the
inputs (the explanation); only the second writes notes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from rfq.engine.cost.arrays import Real
from rfq.engine.cost.parameters import Parameters
from rfq.engine.cost.spread import Parameter, sample
from rfq.model.estimate import Step


@dataclass(slots=True)
class Inputs:
    """Values of parameters by name, and the notes.

    Args:
        parameters: the parameters in force.
        value: how a parameter becomes a value: its draws, its median, or a fixed end.
        steps: notes of the explanation; None where none are wanted.
    """

    parameters: Parameters
    value: Callable[[Parameter], Real]
    steps: list[Step] | None = None
    fixed: dict[str, float] = field(default_factory=dict)

    def __call__(self, name: str) -> Any:
        """The value of a parameter."""
        if self.fixed and name in self.fixed:
            return self.fixed[name]
        return self.value(self.parameters[name])

    def note(
        self, name: str, value: Any, unit: str, formula: str, source: str, element: str
    ) -> None:
        """Leave one step of the explanation, where explanations are wanted."""
        if self.steps is None:
            return
        number = float(np.asarray(value).reshape(-1)[0])
        self.steps.append(
            Step(
                name=name, value=number, unit=unit, formula=formula, source=source, element=element
            )
        )


def drawn(parameters: Parameters, draws: int, seed: int) -> Inputs:
    """Inputs as draws."""
    return Inputs(parameters, lambda parameter: sample(parameter, seed, draws))


def at_medians(parameters: Parameters) -> Inputs:
    """Inputs at their medians, with notes."""
    return Inputs(parameters, lambda parameter: parameter.median, [])

"""The one error of the should-cost: a field of the entry that no estimate can be made from."""

from __future__ import annotations

from typing import Any

import numpy as np

from rfq.problems import Place, Problem


class EstimateError(ValueError):
    """No estimate can be made; ``problem`` says which field and what would be right.

    Args:
        field: name of the field or argument.
        message: one sentence: what was found and what would be right.
        code: stable short name (E001 missing, E002 out of range, E003 unknown).
        subject: part number.
        place: where the field stands, where known.
    """

    def __init__(
        self,
        field: str,
        message: str,
        *,
        code: str = "E002",
        subject: str = "",
        place: Place | None = None,
    ) -> None:
        self.field = field
        message = message if message.endswith((".", "?")) else f"{message}."
        where = place if place is not None else Place(path=field)
        self.problem = Problem(code, message, where, subject=subject)
        super().__init__(message)


def require(condition: Any, field: str, message: str, *, subject: str = "") -> None:
    """Raise ``EstimateError`` unless the condition holds (everywhere, for an array).

    A comparison with NaN is false, so NaN never passes.

    >>> require(2 > 1, "width_mm", "width_mm must be above zero")
    >>> require(float("nan") > 0, "mass_kg", "mass_kg must be a number above zero")
    Traceback (most recent call last):
    ...
    rfq.engine.cost.errors.EstimateError: mass_kg must be a number above zero.
    """
    holds = condition if isinstance(condition, bool) else bool(np.all(condition))
    if not holds:
        raise EstimateError(field, message, subject=subject)

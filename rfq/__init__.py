"""rfq: build request packages, read replies, compare prices, negotiate, award.

Public names are resolved on first use, so that ``rfq --help`` loads nothing heavy.
"""

from __future__ import annotations

from typing import Any

__version__ = "0.1.0"

_HOMES = {
    "open_project": "rfq.tasks.open",
    "read_reply": "rfq.intake.read",
    "should_cost": "rfq.engine.cost.estimate",
    "odd_prices": "rfq.engine.compare.odd",
    "cheapest_award": "rfq.engine.award.cheapest",
}
__all__ = ["__version__", *_HOMES]  # noqa: PLE0604 - the keys are the names


def __getattr__(name: str) -> Any:
    """Resolve a public name on first use."""
    if name in _HOMES:
        from importlib import import_module

        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"module 'rfq' has no attribute {name!r}")

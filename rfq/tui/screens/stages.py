"""Which screen stands for which stage; each is imported when it is first shown."""

from __future__ import annotations

from importlib import import_module
from typing import Any

from textual.screen import Screen

_SCREENS = {
    "start": ("start", "StartScreen"),
    "broken": ("broken", "BrokenScreen"),
    "parts": ("parts", "PartsStage"),
    "request": ("request", "RequestStage"),
    "replies": ("replies", "RepliesStage"),
    "should-cost": ("should_cost", "ShouldCostStage"),
    "compare": ("compare", "CompareStage"),
    "rounds": ("rounds", "RoundsStage"),
    "award": ("award", "AwardStage"),
    "order": ("order", "OrderStage"),
}


def make_stage(name: str) -> Screen[Any]:
    """Return a new screen of a stage."""
    module, kind = _SCREENS[name]
    made: Screen[Any] = getattr(import_module(f"rfq.tui.screens.{module}"), kind)()
    return made

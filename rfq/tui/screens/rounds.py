"""Placeholder."""

from __future__ import annotations

from textual.app import ComposeResult

from rfq.tui.screens.stage import Explain, Stage


class RoundsStage(Stage):
    NAME = "rounds"

    def body(self) -> ComposeResult:
        yield Explain()

    def fill(self) -> None: ...
    def answer(self) -> str:
        return "rounds"

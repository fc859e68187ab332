"""The command palette's list: every task of every stage by name."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from textual.app import SystemCommand

from rfq.tui.keys import KEYS
from rfq.tui.session import STAGES

if TYPE_CHECKING:
    from rfq.tui.app import RfqApp


def commands(app: RfqApp) -> Iterable[SystemCommand]:
    """Return the tasks; choosing one of another stage goes there first."""
    for key in KEYS["everywhere"]:
        yield SystemCommand(key.words, key.tip, _on_app(app, key.action))
    if app.session is None:
        return
    for stage in STAGES:
        for key in KEYS[stage]:
            yield SystemCommand(f"{stage}: {key.words}", key.tip, _on_stage(app, stage, key.action))


def _on_app(app: RfqApp, action: str) -> Callable[[], object]:
    async def run() -> None:
        await app.run_action(action)

    return lambda: app.call_later(run)


def _on_stage(app: RfqApp, stage: str, action: str) -> Callable[[], object]:
    async def run() -> None:
        await app.switch_mode(stage)
        await app.run_action(action, default_namespace=app.screen)

    return lambda: app.call_later(run)

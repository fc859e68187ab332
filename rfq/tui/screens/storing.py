"""Storing a changed record from a form: merged with another person's change, or asked about."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from rfq.model.base import Value
from rfq.tui.screens.cards import YesCard

if TYPE_CHECKING:
    from rfq.tui.app import RfqApp


def store_fields(
    app: RfqApp,
    key: str,
    was: Value,
    changed: dict[str, Any],
    then: Callable[[], object] | None = None,
) -> None:
    """Store fields of a record; say what was stored, or ask where another changed the same."""
    from rfq.tasks.edit import Disputed, save_record, with_fields

    new, wrong = with_fields(was, changed)
    if new is None:
        app.say(wrong, bad=True)
        return
    if new == was:
        return
    record = new

    def run(here: Any) -> Any:
        try:
            return save_record(here, record, was=was, key=key, what=_what(key, changed))
        except Disputed as disputed:
            return disputed

    def stored(done: Any) -> None:
        if isinstance(done, Disputed):
            _ask(app, key, done)
            return
        app.say(f"stored: {key.partition(':')[2] or key}, {', '.join(changed)} (u takes it back)")
        if then is not None:
            then()

    app.change("storing", run, stored)


def _what(key: str, changed: dict[str, Any]) -> str:
    return f"{key.partition(':')[0]} changed: {', '.join(changed)}"


def _ask(app: RfqApp, key: str, disputed: Any) -> None:
    from rfq.tasks.edit import put_over

    rows = [
        f"{one.field}: on disk {_short(one.theirs)}; yours {_short(one.mine)}"
        for one in disputed.conflicts
    ]

    def answered(yes: bool | None) -> None:
        if not yes:
            app.reload("the other person's change was kept")
            return
        app.change(
            "storing",
            lambda here: put_over(here, disputed.merged, key=key),
            lambda _: app.say("yours was put over it (u takes it back)"),
        )

    app.push_screen(
        YesCard("Somebody changed the same on disk meanwhile. Put yours over it?", rows), answered
    )


def _short(value: Any) -> str:
    said = str(value)
    return said if len(said) < 60 else said[:57] + "…"

"""Changing one field: a choice from what exists, or typed text checked as it is typed."""

from __future__ import annotations

import re
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from rfq.model.base import Value
from rfq.tui.fields import Field, shown
from rfq.tui.screens.cards import AskCard, ChoiceCard
from rfq.tui.understood import suggestions, typed_words

if TYPE_CHECKING:
    from rfq.tui.screens.record import RecordScreen

_OTHER = "type something else"


def edit_field(form: RecordScreen, record: Value, field: Field) -> None:
    """Let the user change a field of a form's record; store it when it will do."""
    value = getattr(record, field.name)
    if field.kind == "flag":
        form.change_field(field.name, not value)
        return
    if field.kind == "other":
        form.rfq.say(f"{field.label} is changed where it is used, not here")
        return
    if field.kind == "choice":
        _choose(form, field, [(one or "not said",) for one in field.choices], field.choices, value)
        return
    session = form.rfq.session
    offers = suggestions(session, form.root, record, field.name) if session else ()
    if offers:
        rows = [*offers, (_OTHER,)]
        known = [row[0] for row in offers]
        at = known.index(value) if value in known else 0

        def chosen(index: int | None) -> None:
            if index is None:
                return
            if index == len(offers):
                ask_typed(form, record, field)
            else:
                put(form, field, value, known[index])

        form.app.push_screen(ChoiceCard(field.label, rows, filtered=len(rows) > 8, at=at), chosen)
        return
    ask_typed(form, record, field)


def _choose(
    form: RecordScreen, field: Field, rows: list[tuple[str, ...]], values: Any, value: Any
) -> None:
    offered = [*rows, ("not said",)] if field.optional else rows
    said = str(value) if value is not None else ""
    at = list(values).index(said) if said in values else 0

    def chosen(index: int | None) -> None:
        if index is None:
            return
        if index >= len(values):
            put(form, field, value, None)
            return
        found: Any = values[index]
        put(form, field, value, int(found) if isinstance(value, int) or field.name == "axes"
            else found)  # fmt: skip

    form.app.push_screen(ChoiceCard(field.label, offered, at=at), chosen)


def put(form: RecordScreen, field: Field, was: Any, new: Any) -> None:
    """Store a new value, unless the field was changed on disk while it was edited here."""
    record = form.record
    if record is not None and getattr(record, field.name) != was:
        now = shown(field, getattr(record, field.name))
        form.rfq.say(
            f"{field.label} was changed on disk to {now} meanwhile; edit it again", bad=True
        )
        return
    form.change_field(field.name, new)


def ask_typed(form: RecordScreen, record: Value, field: Field) -> None:
    """Ask for typed text; what it means stands beside it while it is typed."""
    from rfq.tasks.edit import with_fields

    was = getattr(record, field.name)
    root = form.root

    def check(typed: str) -> tuple[bool, str]:
        value, wrong = value_of(field, typed)
        if wrong:
            return False, wrong
        new, wrong = with_fields(record, {field.name: value})
        if new is None:
            return False, wrong
        good, said = typed_words(root, new, field.name)
        # A half understood callout may be stored while a part is being entered; it is a finding.
        return True, ("" if good else "stored as typed, but: ") + (
            said or shown(field, getattr(new, field.name))
        )

    def answered(typed: str | None) -> None:
        if typed is not None:
            put(form, field, was, value_of(field, typed)[0])

    form.app.push_screen(AskCard(_title(field), _as_typed(field, was), check=check), answered)


def _title(field: Field) -> str:
    how = {
        "words": " (several with ; between them)",
        "day": " (2026-07-31)",
        "moment": " (2026-07-31 12:00 +02:00)",
    }
    return field.label + how.get(field.kind, "")


def _as_typed(field: Field, value: Any) -> str:
    if value is None:
        return ""
    if field.kind == "words":
        return "; ".join(str(one) for one in value)
    if field.kind == "moment":
        return str(value.isoformat(" ", "minutes"))
    return str(value)


def value_of(field: Field, typed: str) -> tuple[Any, str]:
    """Return the value of a field as typed, or what is wrong with it."""
    from rfq.tasks.typed import number_typed

    typed = typed.strip()
    if not typed and field.optional:
        return None, ""
    if field.kind in ("number", "whole"):
        number, said = number_typed(typed)
        if number is None:
            return None, said.words
        if field.kind == "whole":
            whole = int(number) if number == number.to_integral_value() else None
            return whole, "" if whole is not None else f"{number} is not a whole number"
        return number, ""
    if field.kind == "words":
        parts = re.split(r"[;]" if ";" in typed or not _only_numbers(typed) else r"[,\s]+", typed)
        words = [part.strip() for part in parts if part.strip()]
        if words and all(re.fullmatch(r"\d+", word) for word in words):
            return tuple(int(word) for word in words), ""
        return tuple(words), ""
    try:
        if field.kind == "day":
            return date.fromisoformat(typed), ""
        if field.kind == "moment":
            return datetime.fromisoformat(typed.replace(" +", "+").replace(" -", "-")), ""
    except ValueError:
        return None, f"'{typed}' is no date; write it as in {_title(field)}"
    return typed, ""


def _only_numbers(typed: str) -> bool:
    return bool(re.fullmatch(r"[\d,.\s]*", typed))

"""What is understood of a field, what may stand in it, and what it is about."""

from __future__ import annotations

from typing import Any

from rfq.model.base import Value
from rfq.model.callout import Callout
from rfq.model.part import Finish, Part
from rfq.model.request import Asked, Request, RequestLine
from rfq.tui.session import Session

Said = tuple[bool, str]


def understood(root: Value | None, record: Value, name: str) -> Said:
    """Return whether a field (or, with name '', an entry) will do, and what it means."""
    from rfq.tasks import typed

    if isinstance(record, Callout) and name in ("", "text"):
        if not record.text:
            return False, "no short form yet, such as '42 H7'"
        found = typed.callout_typed(record.text, _general(root, record))
        return found.good, found.words
    if isinstance(record, Part) and name == "material":
        found = typed.material_typed(record)
        return found.good, found.words
    return True, ""


def typed_words(root: Value | None, record: Value, name: str) -> Said:
    """Return what a field means while it is typed."""
    return understood(root, record, name)


def _general(root: Value | None, record: Value) -> str:
    del record
    return root.general_tolerance if isinstance(root, Part | Request) else ""


def suggestions(
    session: Session, root: Value | None, record: Value, name: str
) -> tuple[tuple[str, ...], ...]:
    """Return what may stand in a field, the value first in each row; empty: anything typed."""
    from rfq.tasks import typed

    match record, name:
        case Part(), "material":
            return typed.material_choices()
        case Part(), "temper":
            return typed.tempers_of(record.material, record.form)
        case ((Part() | Request()), "general_roughness"):
            return tuple((step,) for step in typed.ROUGHNESS_STEPS)
        case ((Part() | Request()), "general_tolerance"):
            return tuple((one,) for one in typed.GENERAL_TOLERANCES)
        case Finish(), "name":
            return typed.finish_choices()
        case RequestLine(), "part":
            return tuple((one.number, one.name) for one in session.project.parts.values())
        case Asked(), "shop":
            return tuple((one.id, one.name, one.country) for one in session.project.shops.values())
        case _:
            return ()


# What a field is about, where its label does not say it all.
_ABOUT: dict[str, str] = {
    "material": "A designation such as 'EN AW-6082'; with its temper, form and standard it says "
    "what to buy. On a part that carries load a change goes back to the responsible engineer.",
    "temper": "Offered are the tempers that exist for the material in this form. On a loaded part "
    "a change goes back to the responsible engineer.",
    "callouts": "n adds one; enter opens one. The short form says size and tolerance.",
    "text": "Short form: 42 H7, 25 ±0.05, M6-6H x 12, Ra 1.6, position Ø0.1 A B, datum A.",
    "state": "'fixed' by function, or 'open' to what a shop proposes.",
    "free": "What the shop may choose or propose, one sentence each.",
    "loaded": "Carries load, pressure or people: changes need the responsible engineer.",
    "critical": "A critical part wants two shops at an award; a critical characteristic is "
    "checked on every piece.",
    "internal_note": "Never leaves the project.",
    "responsible": "The engineer who answers for the part. Never leaves the project.",
    "shop_note": "Goes out to the shops.",
    "cover_note": "Goes out to the shops, at the top of the request.",
    "coating": "Whether the limits hold before or after coating.",
    "quantities": "Rising, such as 5, 25, 100: each is a line of the comparison.",
    "order_first": "What is ordered first; the award is made at this quantity.",
    "answer_by": "With time zone, as 2026-07-24 12:00 +02:00.",
    "should_cost": "Your own figures stand in place of the model's at that quantity.",
    "export_control": "'controlled' parts go only to shops that may receive them.",
    "nda": "A confidentiality agreement: the check asks where it is missing.",
    "surface_area_dm2": "Decides finish and deburring; a STEP model measures it (m).",
    "setups": "How often the part is clamped; empty where you are not sure.",
    "terms": "A starting text for the shops, to be read by someone qualified.",
    "money_percent": "Your cost of money a year; it makes payment terms comparable.",
}


def about(model: type[Any], name: str) -> str:
    """Return what a field is about, or ''."""
    del model
    return _ABOUT.get(name, "")

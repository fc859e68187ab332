"""Make an empty project."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

from rfq.model.request import Request, RequestTerms
from rfq.problems import Place, Problem, Severity
from rfq.store.journal import now
from rfq.store.new import create_project
from rfq.store.save import changes
from rfq.tasks.done import Done, Stopped


def new_project(folder: Path, *, name: str = "", currency: str = "EUR") -> Done[Path]:
    """Make a project with settings, rates and an open request; parts and shops are the user's.

    Args:
        folder: is made where it is missing; must not hold a project.
        name: default: the folder's name.
        currency: three capital letters.
    Raises:
        Stopped: there is a project already, or the currency is no code.
    """
    if (folder / "project.toml").exists():
        raise Stopped(
            (Problem("P103", f"{folder} holds a project already; nothing was changed.", Place()),)
        )
    if len(currency) != 3 or not currency.isascii() or not currency.isupper():
        raise Stopped(
            (
                Problem(
                    "P104",
                    f"'{currency}' is no currency code; write three capitals, such as EUR.",
                    Place(),
                ),
            )
        )
    title = name or folder.resolve().name
    written = create_project(folder, title, currency=currency)
    moment = now()
    due = (moment + timedelta(days=14)).replace(hour=12, minute=0, second=0, microsecond=0)
    request = Request(
        id=f"{moment:%Y-%m}",
        title=title,
        answer_by=due,
        rule_set="ISO GPS",
        general_tolerance="ISO 2768-m",
        edges="ISO 13715: outside -0.3, inside +0.3",
        datum_system="ISO 5459, datums as on the drawings",
        texture_edition="ISO 1302",
        terms=RequestTerms(
            payment="30 days net from delivery",
            confidentiality="drawings and models are for quoting and making these parts only",
            packing="each piece wrapped, no metal on metal, part number on each bag",
        ),
    )
    with changes(folder, "request begun") as change:
        change.put(request)
    for inner in ("parts", "shops", "drawings", "models"):
        (folder / inner).mkdir(exist_ok=True)
    note = Problem(
        "P105",
        "parts, shops, contact, delivery terms and need date are yours to fill in; "
        "rfq check lists them.",
        Place(str(folder)),
        Severity.NOTE,
    )
    return Done(folder, (note,), (*written, *change.written))

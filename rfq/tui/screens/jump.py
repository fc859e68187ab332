"""From a finding to the field it is about."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from rfq.problems import Problem
from rfq.tui.screens.record import RecordScreen

if TYPE_CHECKING:
    from rfq.tui.app import RfqApp


def target_of(app: RfqApp, problem: Problem) -> tuple[str, str]:
    """Return the record's key and the field a finding is about; ('', '') where it names none."""
    session = app.session
    if session is None:
        return "", ""
    by_file = {path: key for key, path in session.project.files.items()}
    key = by_file.get(problem.place.file, "")
    field = problem.place.path
    if not field and key and problem.place.line:
        field = _field_at(app, problem)
    if key.partition(":")[0] not in ("part", "shop", "request", "rates", "project"):
        key = ""
    if not key and problem.subject in session.project.parts:
        key = f"part:{problem.subject}"
    if not key and problem.subject in session.project.shops:
        key = f"shop:{problem.subject}"
    return key, field


def jump_to(app: RfqApp, problem: Problem) -> None:
    """Open the form of the record a finding is about, on its field."""
    key, field = target_of(app, problem)
    if not key:
        app.say(f"this finding is about no single field: {problem.place}")
        return
    title = key.replace(":", " ")
    app.push_screen(RecordScreen(key, title, at=field))


def _field_at(app: RfqApp, problem: Problem) -> str:
    """Return the top field that stands on or above a line of a record's file, with its entry."""
    session = app.session
    assert session is not None
    try:
        found = (session.folder / problem.place.file).read_text(encoding="utf-8").splitlines()
    except OSError:
        return ""
    above = found[: problem.place.line]
    begins = [
        (number, line)
        for number, line in enumerate(above)
        if line.startswith("[") or re.match(r"\w+ = ", line)
    ]
    if not begins:
        return ""
    number, line = begins[-1]
    if not line.startswith("["):
        name = line.partition(" =")[0]
        if line.rstrip().endswith("["):  # a list, an entry a line
            entries = sum(one.lstrip().startswith("{") for one in above[number + 1 :])
            return f"{name}.{entries - 1}" if entries else name
        table = next((one for _, one in reversed(begins) if one.startswith("[")), "")
        if not table:
            return name
        line = table
    name = line.strip("[]").split(".")[0]
    if not line.startswith("[["):
        return name
    return f"{name}.{sum(one == line for _, one in begins) - 1}"

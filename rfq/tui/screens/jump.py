"""From a finding to the field it is about."""

from __future__ import annotations

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
    tables = [line.strip() for line in above if line.strip().startswith("[")]
    if tables:
        name = tables[-1].strip("[]").split(".")[0]
        index = sum(line.strip("[]") == name for line in tables if line.startswith("[[")) - 1
        return f"{name}.{index}" if index >= 0 else name
    line = above[-1] if above else ""
    return line.partition("=")[0].strip() if "=" in line else ""

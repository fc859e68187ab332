"""Open a project; find its request, its day, and the lines its problems stand on."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path

from rfq.model.project import Project
from rfq.model.request import Request
from rfq.problems import NoProject, Place, Problem, Reading
from rfq.store.journal import now
from rfq.store.load import load_project
from rfq.store.locate import line_of
from rfq.tasks.done import Stopped


@dataclass(frozen=True, slots=True)
class Opened:
    """A project with its folder and the notes met on reading it."""

    folder: Path
    project: Project
    problems: tuple[Problem, ...] = ()


def find_folder(path: Path | str) -> Path:
    """Return the project folder at a path or above it.

    Raises:
        NoProject: there is none.
    """
    start = Path(path)
    for folder in (start, *start.resolve().parents):
        if (folder / "project.toml").is_file():
            return folder
    raise NoProject(f"{start} is no project folder: it has no project.toml (rfq new makes one).")


def open_project(path: Path | str) -> Reading[Project]:
    """Return the whole project of a folder, or none and the located problems.

    Args:
        path: the folder, or one below it.
    Raises:
        NoProject: there is no project.
    """
    return load_project(find_folder(path))


def opened(path: Path | str) -> Opened:
    """Open a project for a task.

    Raises:
        NoProject: there is no project.
        Stopped: a record cannot be read; carries the located problems.
    """
    folder = find_folder(path)
    reading = load_project(folder)
    if reading.value is None:
        raise Stopped(reading.problems)
    return Opened(folder, reading.value, reading.problems)


def request_of(project: Project, request_id: str = "") -> Request:
    """Return the request meant.

    Raises:
        Stopped: there is none, or none of that id.
    """
    request = project.request(request_id)
    if request is None:
        known = ", ".join(sorted(project.requests)) or "none yet"
        said = f"there is no request '{request_id}'" if request_id else "there is no request"
        raise Stopped(
            (Problem("P101", f"{said} in this project; requests: {known}.", Place("requests/")),)
        )
    return request


def today_of(project: Project, as_of: str = "") -> date:
    """Return the day a project is seen from: asked for, pinned, or today.

    Raises:
        Stopped: ``as_of`` is no date.
    """
    if as_of:
        try:
            return date.fromisoformat(as_of)
        except ValueError:
            raise Stopped(
                (Problem("P102", f"'{as_of}' is no date; write it as 2026-07-31.", Place()),)
            ) from None
    return project.settings.seen_from or now().date()


def moment_of(project: Project, as_of: str = "") -> datetime:
    """Return the moment to stamp things with: now, or noon of the day asked for or pinned."""
    moment = now()
    pinned = today_of(project, as_of) if as_of else project.settings.seen_from
    if pinned is None:
        return moment
    return moment.replace(
        year=pinned.year, month=pinned.month, day=pinned.day, hour=12, minute=0, second=0,
        microsecond=0,
    )  # fmt: skip


def located(folder: Path, problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Return problems with record paths ('callouts.3.text') turned into lines of their file."""
    texts: dict[str, str] = {}
    out = []
    for problem in problems:
        place = problem.place
        if place.path and place.file.endswith(".toml") and not place.line:
            if place.file not in texts:
                try:
                    texts[place.file] = (folder / place.file).read_text(encoding="utf-8")
                except OSError:
                    texts[place.file] = ""
            path = tuple(int(key) if key.isdigit() else key for key in place.path.split("."))
            line = line_of(texts[place.file], path) if texts[place.file] else 0
            problem = replace(problem, place=replace(place, line=line, path=""))
        out.append(problem)
    return tuple(out)

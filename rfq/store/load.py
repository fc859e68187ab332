"""A project folder to a whole Project, or to the problems that stand in the way.

Every file is looked at: a record is read, what belongs is let be, what nobody knows is noted.
One wrong record means no project, as a comparison that lacks a quote in silence would be worse
than none.
"""

from __future__ import annotations

import contextlib
import os
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from rfq.model.base import Value
from rfq.model.project import Project
from rfq.model.request import Request
from rfq.problems import NoProject, Place, Problem, Reading, RfqError, Severity, Unreadable
from rfq.store import journal
from rfq.store.files import read_bounded, sha256_bytes
from rfq.store.formats import newer_than_known
from rfq.store.names import class_of, fits, key_at, key_of, kind_of, path_of
from rfq.store.read import MOST_BYTES, read_record
from rfq.store.recover import recover

SETTINGS = "project.toml"
MOST_FILES = 200_000
MOST_DEPTH = 12
_TRIES = 3  # others may go on writing; then the last reading stands

_KEPT = {  # kind -> field of Project; the rest is one of a kind, or not part of it
    "round": "rounds",
    "quote": "quotes",
    "draft": "drafts",
    "question": "clarifications",
    "award": "awards",
    "order": "orders",
    "first-article": "first_articles",
}
_NAMED = {"part": "parts", "shop": "shops", "request": "requests", "columns": "columns"}


@dataclass(slots=True)
class _Found:
    """What reading the folder has gathered so far."""

    records: dict[str, Value] = field(default_factory=dict)
    files: dict[str, str] = field(default_factory=dict)
    hashes: dict[str, str] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)


def load_project(folder: Path) -> Reading[Project]:
    """Return everything of a project folder, whole, or what is wrong and in which line.

    A change that a kill left unfinished is taken back first, where the folder can be written.

    Raises:
        NoProject: there is no project.toml in the folder.
        Unreadable: the folder itself cannot be read.
    """
    try:
        is_project = (folder / SETTINGS).exists()
    except OSError as error:
        raise Unreadable(f"{folder} cannot be read: {error.strerror}.") from error
    if not is_project:
        there = "no project.toml in it" if folder.is_dir() else "no such folder"
        raise NoProject(f"{folder} is no project: {there}; 'rfq new' makes one.")
    for _ in range(_TRIES):
        settled = recover(folder)
        stamp = _stamp(folder)
        reading = _load(folder, settled)
        if _stamp(folder) == stamp:
            break
    return reading


def _load(folder: Path, settled: tuple[Problem, ...]) -> Reading[Project]:
    found = _Found(problems=list(settled))
    older = newer_than_known(folder)
    if older is not None:
        return Reading(None, (older,))
    for path in _walk(folder, found):
        _take(folder, path, found)
    events, wrong = _events(folder)
    found.problems.extend(wrong)
    _note_twins(found)
    if any(problem.severity is Severity.STOP for problem in found.problems):
        return Reading(None, tuple(found.problems))
    return Reading(_project(found, events), tuple(found.problems))


def _stamp(folder: Path) -> tuple[tuple[str, int], ...]:
    """What tells that somebody finished a change while the files were being read."""
    sizes = []
    for path in sorted((folder / journal.FOLDER).glob("*.jsonl")):
        with contextlib.suppress(OSError):
            sizes.append((path.name, path.stat().st_size))
    return tuple(sizes)


def load_record(folder: Path, key: str) -> Reading[Any]:
    """Return one record by its key, for a screen that needs no more than that.

    Raises:
        Unreadable: it is missing or cannot be opened.
    """
    path = path_of(key)
    data = read_bounded(folder / path, MOST_BYTES)
    return read_record(data, kind_of(key).model, path, subject=key)


def load_revision(folder: Path, request: str, revision: int) -> Reading[Request]:
    """Return a request as it was frozen at a revision.

    Raises:
        Unreadable: that revision was never frozen.
    """
    return load_record(folder, f"revision:{request}/{revision}")


def _project(found: _Found, events: tuple[Any, ...]) -> Project:
    values: dict[str, Any] = {"settings": found.records["project"]}
    if "rates" in found.records:
        values["rates"] = found.records["rates"]
    for key, record in sorted(found.records.items(), key=lambda pair: _natural(pair[0])):
        kind, _, name = key.partition(":")
        if kind in _KEPT:
            values.setdefault(_KEPT[kind], []).append(record)
        elif kind in _NAMED:
            values.setdefault(_NAMED[kind], {})[name] = record
    values = {name: tuple(v) if isinstance(v, list) else v for name, v in values.items()}
    return Project(**values, events=events, files=found.files, hashes=found.hashes)


def _natural(key: str) -> tuple[tuple[int, int, str], ...]:
    """An order in which oakvane-10 comes after oakvane-9."""
    return tuple(
        (0, int(piece), "") if piece.isdigit() else (1, 0, piece)
        for piece in re.split(r"([0-9]+)", key)
        if piece
    )


def _walk(folder: Path, found: _Found) -> Iterator[str]:
    """Relative paths of all plain files, in order; links out of the folder are problems."""
    home = os.path.realpath(folder)
    stack = [("", 0)]
    count = 0
    while stack:
        inside, depth = stack.pop()
        try:
            entries = sorted(os.scandir(folder / inside), key=lambda entry: entry.name)
        except OSError as error:
            if not inside:
                raise Unreadable(f"{folder} cannot be read: {error.strerror}.") from error
            found.problems.append(
                Problem("P013", f"this folder cannot be read: {error.strerror}.", Place(inside))
            )
            continue
        for entry in entries:
            path = f"{inside}/{entry.name}" if inside else entry.name
            if entry.name.startswith("."):
                continue  # git's, the editor's, ours, and leftovers
            if entry.is_symlink() and not _stays_inside(entry.path, home):
                found.problems.append(
                    Problem(
                        "P013",
                        "this is a link out of the project folder; put the file itself here.",
                        Place(path),
                        Severity.STOP if key_at(path) or entry.is_dir() else Severity.NOTE,
                    )
                )
            elif entry.is_dir(follow_symlinks=False):
                if depth < MOST_DEPTH:
                    stack.append((path, depth + 1))
            else:
                count += 1
                if count > MOST_FILES:
                    raise Unreadable(f"{folder} holds more than {MOST_FILES} files.")
                yield path


def _stays_inside(path: str, home: str) -> bool:
    target = os.path.realpath(path)
    return target == home or target.startswith(home + os.sep)


def _take(folder: Path, path: str, found: _Found) -> None:
    kind = class_of(path)
    if kind == "unknown":
        found.problems.append(
            Problem(
                "P018",
                "no record of a project has this name; it is not read.",
                Place(path),
                # Where records lie it may be one, such as the copy a synced drive made.
                Severity.ASK if path.endswith(".toml") else Severity.NOTE,
            )
        )
    if kind != "record":
        return
    key = key_at(path)
    try:
        data = read_bounded(folder / path, MOST_BYTES)
    except RfqError as error:
        said = str(error).removeprefix(f"{folder / path} ")
        found.problems.append(Problem("P013", f"the record {said}", Place(path), subject=key))
        return
    reading = read_record(data, kind_of(key).model, path, subject=key)
    found.problems.extend(reading.problems)
    if reading.value is None:
        return
    if not fits(key, reading.value):
        found.problems.append(_misnamed(key, path, reading.value))
        return
    found.records[key] = reading.value
    found.files[key] = path
    found.hashes[key] = sha256_bytes(data)


def _misnamed(key: str, path: str, record: Value) -> Problem:
    inside = key_of(record).partition(":")[2]
    if kind_of(key).name == "revision" and isinstance(record, Request):
        inside = f"{record.id}/{record.revision}"
    return Problem(
        "P009",
        f"the file's name says '{key.partition(':')[2]}', the record in it says '{inside}'; "
        "rename the file or mend the record.",
        Place(path, line=1),
        subject=key,
    )


def _events(folder: Path) -> tuple[tuple[Any, ...], tuple[Problem, ...]]:
    try:
        return journal.read_events(folder)
    except RfqError as error:
        return (), (Problem("P013", f"the journal: {error}", Place(journal.FOLDER)),)


def _note_twins(found: _Found) -> None:
    """Names that differ in capitals only are one file on other people's disks."""
    seen: dict[str, str] = {}
    for key, path in found.files.items():
        twin = seen.setdefault(path.casefold(), path)
        if twin != path:
            found.problems.append(
                Problem(
                    "P021",
                    f"differs from {twin} in capital letters only; on Windows and macOS they "
                    "are one file.",
                    Place(path),
                    Severity.ASK,
                    subject=key,
                )
            )

"""The journal: one file a person, one line an event, only ever appended to.

A line is the acceptance of what was written before it: a task whose line is missing never
happened. Nobody writes another person's file, so two clones merge without a conflict.
"""

from __future__ import annotations

import getpass
import hashlib
import os
import re
import subprocess
import unicodedata
from datetime import UTC, datetime
from pathlib import Path

from pydantic import ValidationError

from rfq.model.event import Event
from rfq.problems import Place, Problem, Severity
from rfq.store.files import read_bounded, sync_folder, unwritable

FOLDER = "journal"
MOST_BYTES = 200_000_000
_TAIL = 65_536  # read from the end to find the last line; a line is far shorter


def user_name(folder: Path | None = None) -> str:
    """Return who is at work: RFQ_USER, else git's user.name, else the login name."""
    name = os.environ.get("RFQ_USER", "").strip()
    if name:
        return name
    try:
        said = subprocess.run(
            ["git", "config", "user.name"],
            cwd=folder,
            capture_output=True,
            text=True,
            timeout=5,
            check=False,
        )
        if said.stdout.strip():
            return said.stdout.strip()
    except (OSError, subprocess.SubprocessError, UnicodeDecodeError):
        pass
    try:
        return getpass.getuser()
    except (OSError, KeyError):  # a user id without a name, as in a bare container
        return "somebody"


def file_of(folder: Path, who: str) -> Path:
    """Return a person's journal; the name is made fit for every file system.

    >>> file_of(Path("p"), "Ana Núñez").as_posix()
    'p/journal/ana-nunez.jsonl'
    """
    plain = unicodedata.normalize("NFKD", who).encode("ascii", "ignore").decode().lower()
    slug = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:40]
    if not slug:
        slug = f"user-{hashlib.sha256(who.encode()).hexdigest()[:8]}"
    return folder / FOLDER / f"{slug}.jsonl"


def append(folder: Path, event: Event) -> Event:
    """Append an event to its person's journal, forced to the disk; the project's lock is held.

    Args:
        folder: the project's folder.
        event: a number of 0 is replaced by the next of that person.
    Returns:
        The event as written.
    Raises:
        Unwritable: the line is not in the journal.
    """
    path = file_of(folder, event.by)
    if event.number == 0:
        event = event.model_copy(update={"number": last_number(path) + 1})
    line = (event.model_dump_json(exclude_defaults=True) + "\n").encode()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        new = not path.exists()
        whole = _cut_torn_line(path)
        handle = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o666)
        try:
            try:
                _write_all(handle, line)
                os.fsync(handle)
            except OSError:
                os.ftruncate(handle, whole)
                raise
        finally:
            os.close(handle)
        if new:
            sync_folder(path.parent)
    except OSError as error:
        raise unwritable(path, error) from error
    return event


def last_number(path: Path) -> int:
    """Return the highest running number among a journal's last lines, 0 for a new one."""
    try:
        size = path.stat().st_size
        with path.open("rb") as stream:
            stream.seek(max(size - _TAIL, 0))
            lines = stream.read().splitlines()
    except OSError:
        return 0
    numbers = [0]
    for line in lines:
        event = _event(line)
        if event is not None:
            numbers.append(event.number)
    return max(numbers)


def read_events(folder: Path) -> tuple[tuple[Event, ...], tuple[Problem, ...]]:
    """Return all events by time, person and number, and what could not be read.

    A torn last line is what a kill left of an event that never happened: a note. Any other bad
    line asks, as something was written there once.
    """
    events: list[Event] = []
    problems: list[Problem] = []
    for path in sorted((folder / FOLDER).glob("*.jsonl")):
        found, wrong = _read_one(path, f"{FOLDER}/{path.name}")
        events.extend(found)
        problems.extend(wrong)
    unique = {
        (event.by, event.number, event.at, event.what, event.about): event for event in events
    }
    ordered = sorted(unique.values(), key=lambda event: (event.at, event.by, event.number))
    return tuple(ordered), tuple(problems)


def _read_one(path: Path, name: str) -> tuple[list[Event], list[Problem]]:
    data = read_bounded(path, MOST_BYTES)
    lines = data.split(b"\n")
    events, problems = [], []
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            continue
        event = _event(line)
        if event is not None:
            events.append(event)
        elif number == len(lines):
            problems.append(
                Problem(
                    "P019",
                    "the last line is torn; what it began was never finished and does not count.",
                    Place(name, line=number),
                    Severity.NOTE,
                )
            )
        else:
            problems.append(
                Problem(
                    "P020",
                    "this line is no event of the journal; the history lacks it.",
                    Place(name, line=number),
                    Severity.ASK,
                )
            )
    return events, problems


def _event(line: bytes) -> Event | None:
    try:
        event = Event.model_validate_json(line)
    except ValidationError:
        return None
    # A moment without a zone (typed by hand) cannot be put in order with the others.
    if event.at.tzinfo is None:
        event = event.model_copy(update={"at": event.at.replace(tzinfo=UTC)})
    return event


def now() -> datetime:
    """Return the moment, to the second, in UTC: what all events are stamped with."""
    return datetime.now(UTC).replace(microsecond=0)


def _cut_torn_line(path: Path) -> int:
    """Cut what a kill left behind the last line end; return the size that remains."""
    try:
        size = path.stat().st_size
    except FileNotFoundError:
        return 0
    if size == 0:
        return 0
    with path.open("rb+") as stream:
        stream.seek(max(size - _TAIL, 0))
        tail = stream.read()
        if tail.endswith(b"\n"):
            return size
        last = tail.rpartition(b"\n")[2]
        if _event(last) is not None:
            # Whole but for its line end, as an editor may leave it: it counts.
            stream.write(b"\n")
            return size + 1
        keep = size - len(last)
        stream.truncate(keep)
        os.fsync(stream.fileno())
        return keep


def _write_all(handle: int, data: bytes) -> None:
    while data:
        data = data[os.write(handle, data) :]

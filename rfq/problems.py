"""What can be wrong, and where: Place, Problem, Reading; and trouble outside the data.

Three kinds of trouble, three ways:

* the user's data is wrong        -> a ``Problem`` value, collected, shown with its place
* the world is in the way         -> an ``RfqError`` (exit code 3)
* a bug                           -> a plain exception; its traceback goes to the log

::

    RfqError
    ├── NoProject         no project folder here
    ├── ChangedOnDisk     somebody else saved the same record meanwhile
    ├── Locked            another process is writing
    ├── Unwritable        disk full, read-only, vanished
    ├── Unreadable        a file that cannot be opened at all
    ├── TooMuch           a file beyond the bounds of time, memory or size
    └── MissingExtra      an optional package is not installed
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Generic, TypeVar

T = TypeVar("T")


class Severity(StrEnum):
    """How much a problem holds up: stop, ask or note."""

    STOP = "stop"  # no whole result, or a request that should not go out like this
    ASK = "ask"  # somebody has to answer before the figure can be leaned on
    NOTE = "note"  # worth knowing


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """Where something stands: a file, and in it a line, a cell, a page, or an inner path.

    >>> str(Place("parts/SB-110.toml", line=14))
    'parts/SB-110.toml:14'
    >>> str(Place("reply.xlsx", sheet="Quote", cell="F12"))
    'reply.xlsx[Quote!F12]'
    >>> str(Place("letter.pdf", page=2, box=(10.0, 20.0, 30.0, 40.0)))
    'letter.pdf[page 2]'
    """

    file: str = ""
    line: int = 0
    sheet: str = ""
    cell: str = ""
    page: int = 0
    box: tuple[float, float, float, float] | None = (
        None  # x0, y0, x1, y1 in points, origin top left
    )
    path: str = ""  # XML path, mail part, form field, or record and field

    def __str__(self) -> str:
        text = self.file
        if self.line:
            text += f":{self.line}"
        inner = []
        if self.sheet or self.cell:
            inner.append("!".join(part for part in (self.sheet, self.cell) if part))
        if self.page:
            inner.append(f"page {self.page}")
        if self.path:
            inner.append(self.path)
        return text + (f"[{', '.join(inner)}]" if inner else "")


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong or open, in one sentence, with its place.

    Args:
        code: stable short name, a letter and digits (``P014``). Each is reproduced by a test, most
            in tests/problems; tests/problems/test_codes_shown.py lists the few that are not.
        message: one sentence: what was found and what would be right.
        place: where it stands.
        severity: stop, ask or note.
        why: why it matters (findings of ``rfq check``); may be empty.
        right: what would be right, where the message alone does not say it.
        subject: part number, shop or record it is about; for jumping to the field.
        saving: for 'expensive for no reason': money a piece as text, else empty.
    """

    code: str
    message: str
    place: Place = Place()
    severity: Severity = Severity.STOP
    why: str = ""
    right: str = ""
    subject: str = ""
    saving: str = ""

    def __str__(self) -> str:
        where = str(self.place)
        return f"{where}: {self.message}" if where else self.message


@dataclass(frozen=True, slots=True)
class Reading(Generic[T]):
    """A whole value, or none and the problems that prevented it; notes may come with a value.

    Raises:
        ValueError: a value together with a problem that stops, or neither value nor problem.
    """

    value: T | None
    problems: tuple[Problem, ...] = ()

    def __post_init__(self) -> None:
        stops = any(problem.severity is Severity.STOP for problem in self.problems)
        if self.value is not None and stops:
            raise ValueError("a Reading with a value cannot carry a problem that stops")
        if self.value is None and not stops:
            raise ValueError("a Reading without a value needs a problem that stops")

    @property
    def ok(self) -> bool:
        """Whether there is a whole value."""
        return self.value is not None

    def get(self) -> T:
        """The value; a caller that has not looked at ``ok`` gets the problems as an error."""
        if self.value is None:
            raise LookupError("; ".join(str(problem) for problem in self.problems))
        return self.value


class RfqError(Exception):
    """The world is in the way; the message is one sentence for the user."""


class NoProject(RfqError):
    """There is no project folder here."""


class ChangedOnDisk(RfqError):
    """A record changed on disk since it was read; both versions are named."""


class Locked(RfqError):
    """Another process holds the project's lock."""


class Unwritable(RfqError):
    """Disk full, folder read-only or gone."""


class Unreadable(RfqError):
    """A file cannot be opened at all."""


class TooMuch(RfqError):
    """A file went beyond the bounds of time, memory or size."""


class MissingExtra(RfqError):
    """An optional package is needed and not installed."""

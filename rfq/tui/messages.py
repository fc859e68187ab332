"""Messages between the app and its screens."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from textual.message import Message

from rfq.problems import Problem


@dataclass(frozen=True, slots=True)
class Job:
    """Work to be done off the event loop.

    Args:
        label: what is being done, in words.
        run: the work; it may take a ``say`` to tell how far it is.
        then: gets the result, on the event loop.
        group: newer work of a group takes the place of older.
        quiet: neither announced nor shown as an obstacle.
    """

    label: str
    run: Callable[[Callable[[str], None]], Any]
    then: Callable[[Any], object]
    group: str
    quiet: bool = False
    failed: Callable[[tuple[Problem, ...]], object] | None = None


class JobSaid(Message):
    """A job tells how far it is."""

    def __init__(self, job: Job, words: str) -> None:
        super().__init__()
        self.job = job
        self.words = words


class JobDone(Message):
    """A job has its result."""

    def __init__(self, job: Job, value: Any) -> None:
        super().__init__()
        self.job = job
        self.value = value


class JobFailed(Message):
    """A job could not be done: the data or the world is in the way, or it was stopped."""

    def __init__(
        self, job: Job, words: str, problems: tuple[Problem, ...] = (), *, stopped: bool = False
    ) -> None:
        super().__init__()
        self.job = job
        self.words = words
        self.problems = problems
        self.stopped = stopped

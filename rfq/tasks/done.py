"""What a task hands to either face."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Generic, TypeVar

from rfq.problems import Problem, Severity

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Done(Generic[T]):
    """A task's value, the problems met on the way, and the files it wrote."""

    value: T
    problems: tuple[Problem, ...] = ()
    written: tuple[Path, ...] = ()

    @property
    def stops(self) -> tuple[Problem, ...]:
        """The problems that hold it up."""
        return tuple(problem for problem in self.problems if problem.severity is Severity.STOP)


class Stopped(Exception):
    """The user's data stops the task: no whole result (exit code 1). Carries the problems."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__("; ".join(str(problem) for problem in problems))
        self.problems = problems

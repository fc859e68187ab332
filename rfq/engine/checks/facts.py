"""What the checks look at: the project, and what was found on disk and by the cost model."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property

from rfq.model.callout import Callout, Spec
from rfq.model.estimate import CalloutShare
from rfq.model.part import Part
from rfq.model.project import Project
from rfq.model.request import Request
from rfq.problems import Place, Problem, Severity


@dataclass(frozen=True)
class Facts:
    """All that the checks may look at.

    Args:
        project: the whole project.
        request: the request that is to go out.
        today: the day it is looked at.
        files: path of an attached file -> what is wrong with it, as the reader of drawings says.
        shares: part number -> what its open callouts cost, dearest first.
    """

    project: Project
    request: Request
    today: date
    files: Mapping[str, tuple[Problem, ...]] = field(default_factory=dict)
    shares: Mapping[str, tuple[CalloutShare, ...]] = field(default_factory=dict)

    @cached_property
    def parts(self) -> tuple[Part, ...]:
        """The request's parts, in its order; unknown ones are a finding of their own."""
        known = self.project.parts
        return tuple(known[line.part] for line in self.request.lines if line.part in known)

    def at_request(self, path: str = "") -> Place:
        """The place of a field of the request; a task turns the path into a line."""
        return Place(self.project.files.get(f"request:{self.request.id}", "request"), path=path)

    def at_part(self, part: Part, path: str = "") -> Place:
        """The place of a field of a part."""
        return Place(self.project.files.get(f"part:{part.number}", part.number), path=path)

    def at_shop(self, shop: str, path: str = "") -> Place:
        """The place of a field of a shop."""
        return Place(self.project.files.get(f"shop:{shop}", shop), path=path)

    def at_callout(self, part: Part, callout: Callout, path: str = "text") -> Place:
        """The place of a field of a callout."""
        return self.at_part(part, f"callouts.{part.callouts.index(callout)}.{path}")

    def specs(self, part: Part) -> Iterator[tuple[Callout, Spec]]:
        """The callouts of a part that could be read, with what they mean."""
        for callout in part.callouts:
            spec = callout.spec.value
            if spec is not None:
                yield callout, spec


Check = Callable[[Facts], Iterable[Problem]]


def finding(
    code: str,
    severity: Severity,
    place: Place,
    message: str,
    *,
    why: str,
    right: str = "",
    subject: str = "",
    saving: str = "",
) -> Problem:
    """Return a finding; ``why`` is not optional here, as a check without a reason is a nuisance."""
    return Problem(
        code, message, place, severity, why=why, right=right, subject=subject, saving=saving
    )


def about(
    problem: Problem,
    part: Part,
    place: Place,
    *,
    why: str,
    callout: Callout | None = None,
    severity: Severity | None = None,
) -> Problem:
    """Return a table's or a reader's problem as a finding about a part.

    Args:
        problem: as the table says it; its own reason wins over ``why``.
        part, callout: named at the start of the sentence.
        place: of the field it is about.
        severity: in place of the problem's own.
    """
    named = part.number if callout is None else f"{part.number}, callout {callout.number}"
    return replace(
        problem,
        place=place,
        subject=part.number,
        message=f"{named}: {problem.message}",
        why=problem.why or why,
        severity=severity or problem.severity,
    )

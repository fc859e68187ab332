"""Check a project before its request goes out."""

from __future__ import annotations

from pathlib import Path

from rfq.engine.checks import Facts, check
from rfq.engine.cost.errors import EstimateError
from rfq.engine.cost.shares import callout_shares
from rfq.model.estimate import CalloutShare
from rfq.model.project import Project
from rfq.model.request import Request
from rfq.problems import Problem, Severity
from rfq.store.verify import verify_all
from rfq.tasks.attachments import findings_of, refs_of
from rfq.tasks.cost import at_part
from rfq.tasks.done import Done
from rfq.tasks.open import Opened, located, opened, request_of, today_of
from rfq.tasks.shape_findings import shape_findings


def check_project(
    path: Path, *, request_id: str = "", fast: bool = False, as_of: str = ""
) -> Done[str]:
    """Return all findings; the value is one line that counts them.

    Args:
        path: the project.
        request_id: '' for the newest request.
        fast: leave out what needs the should-cost or the models.
        as_of: the day it is seen from; '' for today.
    Raises:
        Stopped: the project cannot be read, or has no request.
    """
    here = opened(path)
    problems = (*here.problems, *findings(here, request_id, fast=fast, as_of=as_of))
    counts = [
        f"{sum(one.severity is severity for one in problems)} {word}"
        for severity, word in (
            (Severity.STOP, "that should stop the request"),
            (Severity.ASK, "to settle"),
            (Severity.NOTE, "to know"),
        )
    ]
    return Done("findings: " + ", ".join(counts), problems)


def findings(
    here: Opened, request_id: str = "", *, fast: bool = False, as_of: str = ""
) -> tuple[Problem, ...]:
    """Return the located findings of an opened project's request, originals verified too."""
    project = here.project
    request = request_of(project, request_id)
    shares: dict[str, tuple[CalloutShare, ...]] = {}
    cost_problems: tuple[Problem, ...] = ()
    if not fast:
        shares, cost_problems = _shares(project, request)
    parts = tuple(project.parts[n.part] for n in request.lines if n.part in project.parts)
    attached = {ref.path for part in parts for _, ref in refs_of(part)}
    facts = Facts(
        project, request, today_of(project, as_of), findings_of(here.folder, parts), shares
    )
    kept = tuple(
        problem
        for problem in verify_all(here.folder, project)
        if problem.place.file not in attached  # the checks of drawings say that better
    )
    shapes = () if fast else shape_findings(here, parts)
    found = (*check(facts), *cost_problems, *shapes, *kept)
    return located(here.folder, found)


def _shares(
    project: Project, request: Request
) -> tuple[dict[str, tuple[CalloutShare, ...]], tuple[Problem, ...]]:
    """Return what the callouts of each part cost at the quantity ordered first."""
    shares: dict[str, tuple[CalloutShare, ...]] = {}
    problems: list[Problem] = []
    for line in request.lines:
        part = project.parts.get(line.part)
        if part is None:
            continue
        quantity = line.order_first or line.quantities[0]
        try:
            shares[part.number] = callout_shares(part, quantity, project.rates, request=request)
        except EstimateError as error:
            # A part that cannot be estimated can still be asked for: it is no reason to stop.
            problem = at_part(project, part, error.problem)
            problems.append(
                Problem(
                    problem.code,
                    f"{part.number}: no should-cost: {problem.message}",
                    problem.place,
                    Severity.ASK,
                    why="without it no band stands beside the quotes",
                    subject=part.number,
                )
            )
    return shares, tuple(problems)

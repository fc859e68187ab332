"""The should-cost of a project's parts, their routes and savings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from rfq.engine.cost.errors import EstimateError
from rfq.engine.cost.estimate import should_cost
from rfq.engine.cost.many import should_costs
from rfq.model.estimate import Estimate, RouteComparison, Saving
from rfq.model.part import Part, Shape
from rfq.model.project import Project
from rfq.model.request import Request
from rfq.problems import Place, Problem
from rfq.tasks.done import Done, Stopped
from rfq.tasks.open import located, opened

Lines = Iterable[tuple[str, int]]


def lines_of(request: Request) -> tuple[tuple[str, int], ...]:
    """Return each (part, quantity) of a request, in its order."""
    return tuple((line.part, quantity) for line in request.lines for quantity in line.quantities)


def estimates_of(
    project: Project, request: Request | None, lines: Lines
) -> tuple[dict[tuple[str, int], Estimate], tuple[Problem, ...]]:
    """Return the should-cost of each line that has one, and why the others have none."""
    wanted: dict[str, list[int]] = {}
    for number, quantity in lines:
        if number in project.parts:
            wanted.setdefault(number, []).append(quantity)
    done = should_costs(
        ((project.parts[number], quantities) for number, quantities in wanted.items()),
        project.rates,
        request=request,
    )
    problems = (
        at_part(project, project.parts[problem.subject], problem)
        if problem.subject in project.parts
        else problem
        for problem in done.problems
    )
    return done.found, tuple(dict.fromkeys(problems))


def at_part(project: Project, part: Part, problem: Problem) -> Problem:
    """Return an estimate's problem with the part's file as its place."""
    if problem.place.file:
        return replace(problem, subject=part.number)
    file = project.files.get(f"part:{part.number}", part.number)
    path = problem.place.path
    if path in Shape.model_fields and path not in Part.model_fields:
        path = f"shape.{path}"
    message = problem.message
    if problem.code == "E001" and part.model is not None and part.shape is None:
        message += f" Its model has them: rfq measure {part.number} --accept."
    place = replace(problem.place, file=file, path=path)
    return replace(problem, place=place, message=message, subject=part.number)


def cost_project(
    path: Path, *, part: str = "", quantity: int | None = None, whole: bool = False
) -> Done[tuple[Estimate, ...]]:
    """Return the should-cost of every line of the request, or of one part.

    Args:
        path: the project.
        part: '' for all. quantity: None for those of the request.
        whole: with drivers, assumptions and steps; always so for one part.
    Raises:
        Stopped: no such part.
    """
    here = opened(path)
    project, request = here.project, here.project.request()
    lines: Sequence[tuple[str, int]] = lines_of(request) if request else ()
    if part:
        _known(project, part)
        lines = [line for line in lines if line[0] == part] or [(part, quantity or 25)]
    elif not lines:
        lines = [(number, quantity or 25) for number in project.parts]
    if quantity is not None:
        lines = list(dict.fromkeys((number, quantity) for number, _ in lines))
    if not (part or whole):
        found, problems = estimates_of(project, request, lines)
        return Done(tuple(found.values()), located(here.folder, problems))
    estimates, refused = [], []
    for number, pieces in lines:
        if number not in project.parts:
            continue
        try:
            estimates.append(
                should_cost(project.parts[number], pieces, project.rates, request=request)
            )
        except EstimateError as error:
            refused.append(at_part(project, project.parts[number], error.problem))
    return Done(tuple(estimates), located(here.folder, dict.fromkeys(refused)))


def routes_of(
    path: Path, part: str, quantities: Sequence[int] = ()
) -> Done[RouteComparison | None]:
    """Return every route a part allows, with bands and crossing quantities."""
    from rfq.engine.cost.routes import routes

    here = opened(path)
    project = here.project
    request = project.request()
    line = request.line(part) if request else None
    wanted = tuple(quantities) or (line.quantities if line else (1, 5, 25, 100))
    try:
        return Done(routes(_known(project, part), wanted, project.rates, request=request))
    except EstimateError as error:
        problem = at_part(project, project.parts[part], error.problem)
        return Done(None, located(here.folder, (problem,)))


def savings_of(path: Path, part: str, quantity: int | None = None) -> Done[tuple[Saving, ...]]:
    """Return what changes to the request of a part would save, largest first."""
    from rfq.engine.cost.savings import savings

    here = opened(path)
    project = here.project
    request = project.request()
    line = request.line(part) if request else None
    wanted = quantity or (line.order_first or line.quantities[0] if line else 25)
    try:
        found = savings(_known(project, part), wanted, project.rates, request=request)
    except EstimateError as error:
        problem = at_part(project, project.parts[part], error.problem)
        return Done((), located(here.folder, (problem,)))
    return Done(tuple(found))


def cost_json(done: Done[tuple[Estimate, ...]]) -> dict[str, Any]:
    """Return estimates as plain values, as the outward contract has them."""
    return {
        "lines": [
            {
                "part": estimate.part,
                "revision": estimate.revision,
                "quantity": estimate.quantity,
                "route": estimate.route,
                "basis": estimate.basis,
                "low": round(estimate.low, 2),
                "middle": round(estimate.middle, 2),
                "high": round(estimate.high, 2),
                "currency": estimate.currency,
                "elements": [element.model_dump() for element in estimate.elements],
                "one_off": dict(estimate.one_off),
                "minutes": dict(estimate.minutes),
                "drivers": [driver.model_dump() for driver in estimate.drivers],
                "assumptions": [
                    {
                        "name": assumed.name,
                        "value": assumed.value,
                        "unit": assumed.unit,
                        "source": f"{assumed.basis}: {assumed.source}".rstrip(": "),
                    }
                    for assumed in estimate.assumptions
                ],
                "steps": [step.model_dump() for step in estimate.steps],
                "cautions": list(estimate.cautions),
            }
            for estimate in done.value
        ],
        "problems": [
            {"code": p.code, "place": str(p.place), "message": p.message} for p in done.problems
        ],
    }


def _known(project: Project, number: str) -> Part:
    part = project.parts.get(number)
    if part is None:
        known = ", ".join(sorted(project.parts)) or "none yet"
        raise Stopped(
            (Problem("P106", f"there is no part '{number}'; parts: {known}.", Place("parts/")),)
        )
    return part

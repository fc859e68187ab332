"""Questions that a comparison raises, ready to be asked; and who may see an answer."""

from __future__ import annotations

from dataclasses import dataclass

from rfq.model.comparison import Comparison
from rfq.model.event import Clarification
from rfq.model.project import Project
from rfq.model.request import Request
from rfq.problems import Severity

LOADED = (
    "{part} carries load, pressure or people: have the responsible engineer agree in writing "
    "before this changes material, temper, heat treatment, finish or a tolerance."
)


@dataclass(frozen=True, slots=True)
class Proposed:
    """A question that could be asked of one shop."""

    shop: str
    part: str
    quantity: int
    question: str
    why: str  # for us: the verdict and the reason


def proposed_questions(comparison: Comparison) -> tuple[Proposed, ...]:
    """Return what a comparison's flags would have us ask, worst first, each once."""
    found: dict[tuple[str, str], Proposed] = {}
    for shop in comparison.shops:
        if shop.question:
            why = f"whole reply: {shop.slip.name}" if shop.slip else "whole reply"
            found[shop.shop, shop.question] = Proposed(shop.shop, "", 0, shop.question, why)
    order = {"likely error": 0, "query": 1}
    cells = [(line, cell) for line in comparison.lines for cell in line.prices if cell.question]
    cells.sort(key=lambda one: order.get(one[1].verdict.value if one[1].verdict else "", 2))
    for line, cell in cells:
        why = f"{cell.verdict.value if cell.verdict else ''}: {cell.reason}"
        found.setdefault(
            (cell.shop, cell.question),
            Proposed(cell.shop, line.part, line.quantity, cell.question, why),
        )
    shops = {shop.shop for shop in comparison.shops}
    for problem in comparison.problems:
        if problem.severity is Severity.ASK and problem.subject in shops:
            found.setdefault(
                (problem.subject, problem.message),
                Proposed(problem.subject, "", 0, problem.message, problem.code),
            )
    return tuple(found.values())


def receivers(project: Project, request: Request, one: Clarification) -> tuple[str, ...]:
    """Return the shops that get a question or answer, in the request's order.

    An explanation or a changed requirement goes to all asked shops in the same words; a shop's
    own solution goes to itself, and to the others only with its written yes; what concerns one
    price goes to that shop.
    """
    asked = tuple(
        shop.shop
        for shop in request.asked
        if not one.part or one.part in request.parts_of(shop.shop)
    )
    if one.kind == "price":
        return (one.to_shop or one.raised_by,)
    if one.kind == "own solution" and not one.consent:
        return (one.raised_by or one.to_shop,)
    if not one.answer:
        return (one.to_shop,) if one.to_shop else ()
    return asked


def caution_of(project: Project, part: str, text: str) -> str:
    """Return the caution that goes with a change on a part, or ''."""
    known = project.parts.get(part)
    if known is None or not known.loaded:
        return ""
    return LOADED.format(part=part)

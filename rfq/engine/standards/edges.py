"""ISO 13715: edges of undefined shape, and the statement a part carries for all of them.

From memory: the sign minus takes material away (a break outside, an undercut inside), plus
leaves some (a burr outside, a passing inside); recommended sizes as below.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from rfq.model.short_form.reading import read_short_form
from rfq.model.spec import Edge
from rfq.problems import Place, Problem, Reading, Severity

#: Recommended edge sizes, mm, either sign. ISO 13715, from memory.
STEPS_MM: tuple[Decimal, ...] = tuple(
    Decimal(step) for step in ("0.02", "0.05", "0.1", "0.2", "0.3", "0.5", "1", "2.5")
)
#: What is costed when a drawing says nothing. Common practice, no source.
DEFAULT = Edge(Decimal("-0.1"), Decimal("-0.4"), "outside")


@dataclass(frozen=True, slots=True)
class EdgeStatement:
    """The edges of a part.

    Args:
        outside, inside: the limits, or None when not said.
    """

    outside: Edge | None
    inside: Edge | None


def read_statement(text: str, place: Place = Place()) -> Reading[EdgeStatement]:  # noqa: B008
    """The edges of 'ISO 13715: outside -0.3, inside +0.3' or of a single edge for all.

    Args:
        text: as typed; place: where it stands.
    Problems: T050 a part of it is no edge.

    >>> found = read_statement("ISO 13715: outside -0.3, inside +0.3").get()
    >>> found.outside.lower_mm, found.inside.upper_mm
    (Decimal('-0.3'), Decimal('0.3'))
    """
    outside = inside = None
    rest = re.sub(r"^\s*ISO 13715\s*:?\s*", "", text)
    for piece in re.split(r"[;]|,(?!\d)|\band\b", rest):
        words = piece.strip()
        if not words:
            continue
        if re.match(r"^(outside|outer|external|inside|inner|internal)\b(?!.*\bedge)", words, re.I):
            first, _, more = words.partition(" ")
            words = f"{first} edge {more}"
        elif re.match(r"^[+\-±−–]", words):
            words = f"edge {words}"
        reading = read_short_form(words, place)
        edge = reading.value
        if not isinstance(edge, Edge):
            message = (
                f"'{piece.strip()[:60]}' is no edge of ISO 13715; write for example "
                "'outside -0.3, inside +0.3'."
            )
            return Reading(None, (Problem("T050", message, place),))
        if edge.where != "inside":
            outside = edge
        if edge.where != "outside":
            inside = edge
    if outside is None and inside is None:
        message = "No edges are stated; write for example 'outside -0.3, inside +0.3'."
        return Reading(None, (Problem("T050", message, place),))
    return Reading(EdgeStatement(outside, inside))


def means(edge: Edge) -> str:
    """What an edge asks for, in words for a data sheet.

    >>> means(Edge(Decimal(0), Decimal("-0.3"), "outside"))
    'outside edges: material removed, 0 to 0.3 mm'
    >>> means(Edge(Decimal("0.3"), Decimal(0), "inside"))
    'inside edges: passing left, 0 to 0.3 mm'
    """
    where = f"{edge.where} edges" if edge.where else "edges"
    if edge.upper_mm <= 0:
        return f"{where}: material removed, {-edge.upper_mm + 0:f} to {-edge.lower_mm:f} mm"
    if edge.lower_mm >= 0:
        left = {"inside": "passing", "outside": "burr", "": "burr or passing"}[edge.where]
        return f"{where}: {left} left, {edge.lower_mm:f} to {edge.upper_mm:f} mm"
    return f"{where}: from {-edge.lower_mm:f} mm removed to {edge.upper_mm:f} mm left"


def check_edge(edge: Edge) -> tuple[Problem, ...]:
    """A note where a size is not one of the recommended steps.

    Problems: T051.

    >>> check_edge(Edge(Decimal(0), Decimal("-0.3")))
    ()
    >>> [problem.code for problem in check_edge(Edge(Decimal(0), Decimal("-0.27")))]
    ['T051']
    """
    odd = [
        value
        for value in (edge.upper_mm, edge.lower_mm)
        if value != 0 and abs(value) not in STEPS_MM
    ]
    if not odd:
        return ()
    steps = ", ".join(f"{step:f}" for step in STEPS_MM)
    return (
        Problem(
            "T051",
            f"An edge of {odd[0]:+f} mm is no recommended size of ISO 13715; those are {steps}.",
            severity=Severity.NOTE,
        ),
    )

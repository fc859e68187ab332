"""Material certificates of EN 10204:2004: what each type is, and when it can be asked for.

Source: EN 10204:2004, from memory. It is for metallic products only.
"""

from __future__ import annotations

from dataclasses import dataclass

from rfq.engine.standards.materials import Material
from rfq.model.codes import Certificate
from rfq.problems import Problem, Severity


@dataclass(frozen=True, slots=True)
class CertificateType:
    """One type.

    Args:
        type: '2.1' to '3.2'. name: name in the standard.
        specific: tests on the delivered product itself. signed_by: who validates it.
        results: holds test results.
    """

    type: str
    name: str
    specific: bool
    results: bool
    signed_by: str


TYPES: dict[str, CertificateType] = {
    found.type: found
    for found in (
        CertificateType("2.1", "declaration of compliance with the order", False, False, "maker"),
        CertificateType("2.2", "test report, non-specific", False, True, "maker"),
        CertificateType(
            "3.1",
            "inspection certificate 3.1",
            True,
            True,
            "the maker's inspection representative, independent of production",
        ),
        CertificateType(
            "3.2",
            "inspection certificate 3.2",
            True,
            True,
            "the maker's independent representative and the buyer's or an official inspector",
        ),
    )
}


def in_words(certificate: str) -> str:
    """The type as a sentence for a data sheet; '' for none.

    >>> in_words("2.2")
    'EN 10204 type 2.2, test report, non-specific, signed by maker'
    """
    found = TYPES.get(certificate)
    if found is None:
        return ""
    return f"EN 10204 type {found.type}, {found.name}, signed by {found.signed_by}"


def check_certificate(certificate: Certificate | str, material: Material) -> tuple[Problem, ...]:
    """Whether a certificate can be asked for a material.

    Problems: T030 EN 10204 asked for a plastic (stop), T031 no such type (stop), T032 3.2 costs an
        inspector's visit (note).

    >>> from rfq.engine.standards.materials import find
    >>> [problem.code for problem in check_certificate("3.1", find("POM").get())]
    ['T030']
    >>> check_certificate("3.1", find("6082").get())
    ()
    """
    if not certificate:
        return ()
    if certificate not in TYPES:
        return (
            Problem("T031", f"EN 10204 has no type '{certificate}'; it has {', '.join(TYPES)}."),
        )
    if not material.metallic:
        return (
            Problem(
                "T030",
                f"EN 10204 type {certificate} is for metals; for {material.designation} ask for "
                "the maker's declaration of conformity or a data sheet of the batch.",
                why="A 3.1 certificate belongs to a mill's heat; plastics have none.",
            ),
        )
    if certificate == "3.2":
        return (
            Problem(
                "T032",
                "Type 3.2 brings an outside inspector to the mill; type 3.1 is the usual one.",
                severity=Severity.NOTE,
                why="It costs several hundred EUR and weeks (common practice).",
            ),
        )
    return ()

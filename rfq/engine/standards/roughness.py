"""Surface texture: the Ra series, N grades, editions of the standard, what processes reach.

Sources by table below. Ra and Rz are parameters of their own; nothing here converts one into
the other.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from rfq.engine.standards.limits import Length, NotInTable, exact
from rfq.model.series import N_GRADES_RA_UM
from rfq.problems import Problem, Severity

#: Preferred Ra values, um, finest first. Seen (ISO 1302 annex series).
RA_SERIES_UM: tuple[Decimal, ...] = tuple(N_GRADES_RA_UM.values())


@dataclass(frozen=True, slots=True)
class Capability:
    """What a process reaches in the ordinary run of a shop.

    Args:
        process: name.
        best_grade, usual_grade: IT grades: finest with care, and the routine range's coarse end.
        routine_grade: finest grade of the routine range.
        ra_fine_um, ra_coarse_um: Ra range.
        basis: where the Ra range comes from (the grades are from memory throughout).
    """

    process: str
    best_grade: int
    routine_grade: int
    usual_grade: int
    ra_fine_um: Decimal
    ra_coarse_um: Decimal
    basis: str


def _capability(text: str) -> Capability:
    name, best, routine, usual, fine, coarse, basis = (cell.strip() for cell in text.split("|"))
    return Capability(
        name, int(best), int(routine), int(usual), Decimal(fine), Decimal(coarse), basis
    )


#: process | best grade with care | routine fine | routine coarse | Ra fine | Ra coarse | basis.
#: Grades: the usual handbook chart, from memory. Ra seen: engineering table 'Surface finish
#: (machining)'; memory where so marked.
_ROWS = (
    "sawing | 12 | 12 | 14 | 1.6 | 25 | seen",
    "milling | 7 | 8 | 11 | 0.8 | 6.3 | seen",
    "turning | 6 | 7 | 10 | 0.4 | 6.3 | seen",
    "boring | 6 | 7 | 10 | 0.4 | 6.3 | seen",
    "drilling | 10 | 11 | 13 | 1.6 | 6.3 | seen",
    "reaming | 6 | 6 | 8 | 0.8 | 3.2 | seen",
    "grinding | 4 | 5 | 7 | 0.1 | 1.6 | seen",
    "honing | 4 | 4 | 6 | 0.1 | 0.8 | seen",
    "lapping | 1 | 3 | 5 | 0.05 | 0.4 | seen",
    "superfinishing | 3 | 3 | 5 | 0.05 | 0.2 | seen",
    "broaching | 6 | 6 | 8 | 0.8 | 3.2 | seen",
    "wire cutting | 5 | 5 | 8 | 0.2 | 3.2 | from memory",
    "printing | 12 | 12 | 14 | 6 | 20 | from memory",
)
CAPABILITIES: dict[str, Capability] = {
    found.process: found for found in (_capability(row) for row in _ROWS)
}

#: The two editions and what an unmarked value means in them. From memory.
EDITIONS: dict[str, str] = {
    "1302": "ISO 1302:2002 with ISO 4288: 16 % of the measured values may exceed the limit.",
    "21920": "ISO 21920-1:2021: no measured value may exceed the limit (maximum rule).",
}


def capability(process: str) -> Capability:
    """What a process reaches.

    Raises:
        NotInTable: a process not held here.

    >>> found = capability("reaming")
    >>> found.routine_grade, found.ra_fine_um
    (6, Decimal('0.8'))
    """
    if process not in CAPABILITIES:
        raise NotInTable(
            f"'{process}' is not in our table of processes; it holds {', '.join(CAPABILITIES)}."
        )
    return CAPABILITIES[process]


def n_grade(ra_um: Length) -> str:
    """The N grade of a preferred Ra value, or '' for another value.

    Source: ISO 1302 annex, from memory.

    >>> n_grade(Decimal("0.8")), n_grade(Decimal("1.0"))
    ('N6', '')
    """
    value = exact(ra_um)
    return next((name for name, ra in N_GRADES_RA_UM.items() if ra == value), "")


def coarser_ra_um(ra_um: Length) -> Decimal | None:
    """The next coarser preferred Ra, um; None above the series.

    >>> coarser_ra_um(Decimal("0.8")), coarser_ra_um(Decimal("0.7")), coarser_ra_um(50)
    (Decimal('1.6'), Decimal('0.8'), None)
    """
    value = exact(ra_um)
    return next((step for step in RA_SERIES_UM if step > value), None)


def theoretical_ra_um(feed_mm_per_rev: float, nose_radius_mm: float) -> float:
    """Ra left by a round-nosed turning tool: f²/(32 r), um.

    Source: M. P. Groover (ideal roughness), formula from memory. Range: feed below the radius.

    >>> theoretical_ra_um(0.2, 0.8)
    1.5625
    """
    return feed_mm_per_rev**2 / (32 * nose_radius_mm) * 1000


def theoretical_rt_um(feed_mm_per_rev: float, nose_radius_mm: float) -> float:
    """Height of the turning ridges: f²/(8 r), um; source and range as ``theoretical_ra_um``.

    >>> theoretical_rt_um(0.2, 0.8)
    6.25
    """
    return feed_mm_per_rev**2 / (8 * nose_radius_mm) * 1000


def feed_for_ra_mm(ra_um: float, nose_radius_mm: float) -> float:
    """The turning feed that leaves a wanted Ra, mm a revolution; inverse of ``theoretical_ra_um``.

    >>> feed_for_ra_mm(1.6, 0.8)
    0.20238577
    """
    return float((32 * nose_radius_mm * ra_um / 1000) ** 0.5)


#: Largest Ra as a share of the tolerance before the ridges eat it (Rz is some 4 to 6 times
#: Ra, and is then half of the tolerance). Common practice, no source.
RA_SHARE_OF_TOLERANCE = Decimal("0.1")


def check_ra(
    ra_um: Length, tolerance_um: Length | None = None, process: str = ""
) -> tuple[Problem, ...]:
    """Roughness against tolerance and process.

    Args:
        ra_um: wanted Ra. tolerance_um: width of the size tolerance on the same face, or None.
        process: how the face is made, or ''.
    Problems: T040 rougher than the tolerance allows (ask), T041 finer than the process reaches
        in routine (ask).

    >>> [p.code for p in check_ra(Decimal("6.3"), 21)], check_ra(Decimal("1.6"), 21)
    (['T040'], ())
    >>> [p.code for p in check_ra(Decimal("0.2"), process="milling")]
    ['T041']
    """
    ra = exact(ra_um)
    problems: list[Problem] = []
    if tolerance_um is not None and ra > exact(tolerance_um) * RA_SHARE_OF_TOLERANCE:
        width = exact(tolerance_um)
        limit = [step for step in RA_SERIES_UM if step <= width * RA_SHARE_OF_TOLERANCE]
        right = f"Ra {limit[-1]}" if limit else "a wider tolerance"
        problems.append(
            Problem(
                "T040",
                f"Ra {ra} um is too rough for a tolerance of {width} um; {right} goes with it.",
                severity=Severity.ASK,
                why="The ridges would use up the tolerance (common practice: Ra up to a tenth).",
            )
        )
    if process and ra < capability(process).ra_fine_um:
        finest = capability(process).ra_fine_um
        problems.append(
            Problem(
                "T041",
                f"Ra {ra} um is finer than {process} reaches in routine (Ra {finest}); it needs a "
                "further operation.",
                severity=Severity.ASK,
                why="Another operation, often grinding or polishing, at another price.",
            )
        )
    return tuple(problems)

"""General tolerances: ISO 2768-1 (sizes, edges, angles) and ISO 2768-2 (form and position).

Sources. Linear sizes: two printed copies of DIN ISO 2768-1 table 1 (seen at second hand). They
differ in class c below 6 mm: one prints 0.15 and 0.2, which are the older DIN 7168 values; ISO
has 0.2 and 0.3, as here. The other tables are from memory. ISO 2768-2 was withdrawn and
ISO 22081:2021 holds no values in its place: see ``check_statement``.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from rfq.engine.standards.limits import Length, Limits, NotInTable, exact
from rfq.problems import Problem, Severity

_Row = tuple[Decimal | None, ...]


def _row(text: str) -> _Row:
    return tuple(None if cell == "-" else Decimal(cell) for cell in text.split())


def _ends(text: str) -> tuple[Decimal, ...]:
    return tuple(Decimal(cell) for cell in text.split())


#: Upper ends of the size bands, mm; the first band starts at 0.5 mm.
LINEAR_BANDS_MM = _ends("3 6 30 120 400 1000 2000 4000")
#: Permissible deviation ± mm. Seen at second hand, two copies.
LINEAR_MM: dict[str, _Row] = {
    "f": _row("0.05 0.05 0.1 0.15 0.2 0.3 0.5 -"),
    "m": _row("0.1 0.1 0.2 0.3 0.5 0.8 1.2 2"),
    "c": _row("0.2 0.3 0.5 0.8 1.2 2 3 4"),
    "v": _row("- 0.5 1 1.5 2.5 4 6 8"),
}
#: Upper ends for external radii and chamfer heights, mm; above 6 mm one value. From memory.
EDGE_BANDS_MM = _ends("3 6 Infinity")
#: External radii and chamfer heights ± mm. From memory.
EDGE_MM: dict[str, _Row] = {
    "f": _row("0.2 0.5 1"),
    "m": _row("0.2 0.5 1"),
    "c": _row("0.4 1 2"),
    "v": _row("0.4 1 2"),
}
#: Upper ends of the shorter leg for angles, mm. From memory.
ANGLE_BANDS_MM = _ends("10 50 120 400 Infinity")
#: Angles ± minutes of arc. From memory.
ANGLE_ARCMIN: dict[str, _Row] = {
    "f": _row("60 30 20 10 5"),
    "m": _row("60 30 20 10 5"),
    "c": _row("90 60 30 15 10"),
    "v": _row("180 120 60 30 20"),
}
#: ISO 2768-2 (withdrawn): upper ends for straightness and flatness, mm. From memory.
FLAT_BANDS_MM = _ends("10 30 100 300 1000 3000")
#: Straightness and flatness, mm. Row K seen at second hand, the others from memory.
FLAT_MM: dict[str, _Row] = {
    "H": _row("0.02 0.05 0.1 0.2 0.3 0.4"),
    "K": _row("0.05 0.1 0.2 0.4 0.6 0.8"),
    "L": _row("0.1 0.2 0.4 0.8 1.2 1.6"),
}
#: Upper ends for perpendicularity (shorter leg) and symmetry, mm. From memory.
SQUARE_BANDS_MM = _ends("100 300 1000 3000")
#: Perpendicularity, mm. From memory.
SQUARE_MM: dict[str, _Row] = {
    "H": _row("0.2 0.3 0.4 0.5"),
    "K": _row("0.4 0.6 0.8 1"),
    "L": _row("0.6 1 1.5 2"),
}
#: Symmetry, mm. From memory.
SYMMETRY_MM: dict[str, _Row] = {
    "H": _row("0.5 0.5 0.5 0.5"),
    "K": _row("0.6 0.6 0.8 1"),
    "L": _row("0.6 1 1.5 2"),
}
#: Circular run-out, mm. From memory.
RUN_OUT_MM: dict[str, Decimal] = {"H": Decimal("0.1"), "K": Decimal("0.2"), "L": Decimal("0.5")}

CLASSES = tuple(LINEAR_MM)
GEOMETRY_CLASSES = tuple(FLAT_MM)

Kind = Literal["linear", "edge"]


def _look_up(
    table: dict[str, _Row], ends: tuple[Decimal, ...], name: str, size: Decimal, what: str
) -> Decimal:
    if name not in table:
        raise NotInTable(f"'{name}' is no class for {what}; the classes are {', '.join(table)}.")
    if size <= 0 or size > ends[-1]:
        raise NotInTable(f"{what} of {size} mm is not in our table; it ends at {ends[-1]} mm.")
    value = table[name][bisect_left(ends, size)]
    if value is None:
        raise NotInTable(f"ISO 2768-1 class {name} has no value for {what} of {size} mm.")
    return value


def linear_mm(nominal_mm: Length, tolerance_class: str, kind: Kind = "linear") -> Decimal:
    """Permissible deviation ± mm of a size without its own tolerance.

    Args:
        nominal_mm: 0.5 to 4000 mm; below 0.5 mm the drawing must state it.
        tolerance_class: f, m, c or v.
        kind: 'edge' for external radii and chamfer heights.
    Raises:
        NotInTable: class, size or cell not in the table.
    Source: ISO 2768-1 tables 1 and 2; see the module.

    >>> linear_mm(30, "m"), linear_mm(30.01, "m"), linear_mm(5, "c"), linear_mm(2, "m", "edge")
    (Decimal('0.2'), Decimal('0.3'), Decimal('0.3'), Decimal('0.2'))
    """
    nominal = exact(nominal_mm)
    if nominal < Decimal("0.5"):
        raise NotInTable(
            f"ISO 2768-1 starts at 0.5 mm; a size of {nominal} mm needs its own tolerance."
        )
    if kind == "edge":
        return _look_up(EDGE_MM, EDGE_BANDS_MM, tolerance_class, nominal, "a radius or chamfer")
    return _look_up(LINEAR_MM, LINEAR_BANDS_MM, tolerance_class, nominal, "a size")


def limits(nominal_mm: Length, tolerance_class: str, kind: Kind = "linear") -> Limits:
    """Limits of size by the general tolerance; arguments and errors as ``linear_mm``.

    >>> found = limits(25, "m")
    >>> found.lower_mm, found.upper_mm, found.basis
    (Decimal('24.8'), Decimal('25.2'), 'ISO 2768-1 class m')
    """
    nominal = exact(nominal_mm)
    deviation = linear_mm(nominal, tolerance_class, kind)
    return Limits(
        nominal - deviation, nominal + deviation, f"ISO 2768-1 class {tolerance_class}", nominal
    )


def angle_arcmin(shorter_leg_mm: Length, tolerance_class: str) -> Decimal:
    """Permissible deviation ± minutes of arc, by the shorter leg of the angle.

    Raises:
        NotInTable: class not in the table, or a leg that is not above 0.
    Source: ISO 2768-1 table 3, from memory.

    >>> angle_arcmin(10, "m"), angle_arcmin(60, "v")
    (Decimal('60'), Decimal('60'))
    """
    return _look_up(
        ANGLE_ARCMIN, ANGLE_BANDS_MM, tolerance_class, exact(shorter_leg_mm), "an angle with a leg"
    )


def geometry_mm(characteristic: str, size_mm: Length, geometry_class: str) -> Decimal:
    """General geometrical tolerance of the withdrawn ISO 2768-2, mm.

    Args:
        characteristic: straightness, flatness, perpendicularity, symmetry or run-out.
        size_mm: longer side for flatness, shorter leg for perpendicularity.
        geometry_class: H, K or L.
    Raises:
        NotInTable: another characteristic, class or size.
    Source: ISO 2768-2:1989; flatness class K seen at second hand, the rest from memory.

    >>> geometry_mm("flatness", 100, "K"), geometry_mm("run-out", 40, "H")
    (Decimal('0.2'), Decimal('0.1'))
    """
    size = exact(size_mm)
    if characteristic in ("straightness", "flatness"):
        return _look_up(FLAT_MM, FLAT_BANDS_MM, geometry_class, size, characteristic)
    if characteristic == "perpendicularity":
        return _look_up(SQUARE_MM, SQUARE_BANDS_MM, geometry_class, size, characteristic)
    if characteristic == "symmetry":
        return _look_up(SYMMETRY_MM, SQUARE_BANDS_MM, geometry_class, size, characteristic)
    if characteristic == "run-out" and geometry_class in RUN_OUT_MM:
        return RUN_OUT_MM[geometry_class]
    raise NotInTable(f"ISO 2768-2 class {geometry_class} has no value for {characteristic}.")


@dataclass(frozen=True, slots=True)
class Statement:
    """A general-tolerance note, understood: 'ISO 2768-mK'.

    Args:
        linear: f, m, c, v or ''.
        geometry: H, K, L or ''.
        dated: the year of part 2 is stated.
        envelope: '-E' at the end (envelope requirement for all sizes).
    """

    linear: str
    geometry: str = ""
    dated: bool = False
    envelope: bool = False


_CLASSES = re.compile(r"(?<![A-Za-z])(?P<linear>[fmcv])?-?(?P<geometry>[HKL])?(?![A-Za-z])")
_DATED = re.compile(r"(?:2768-2|[HKL](?:\s*-\s*E)?)\s*:\s*(?:19|20)\d\d")


def read_statement(text: str) -> Statement | None:
    """The classes of a general-tolerance note, or None when it is no such note.

    >>> read_statement("ISO 2768-mK")
    Statement(linear='m', geometry='K', dated=False, envelope=False)
    >>> read_statement("ISO 2768-1 m, ISO 2768-2:1989 K")
    Statement(linear='m', geometry='K', dated=True, envelope=False)
    >>> read_statement("as discussed") is None
    True
    """
    if not re.search(r"(?<!\d)2768(?!\d)", text):
        return None
    rest = re.sub(r"\b(?:DIN|EN|ISO|class|and|part)\b|2768(?:-[12](?!\d))?", " ", text)
    linear = geometry = ""
    for found in _CLASSES.finditer(rest):
        linear = linear or found["linear"] or ""
        geometry = geometry or found["geometry"] or ""
    if not linear and not geometry:
        return None
    envelope = bool(re.search(r"(?<![A-Za-z])[fmcv]?[HKL]?\s*-\s*E(?![A-Za-z])", rest))
    return Statement(linear, geometry, bool(_DATED.search(text)), envelope)


def check_statement(statement: Statement) -> tuple[Problem, ...]:
    """Notes on a general-tolerance statement: a note, never a stop (nearly every drawing has mK).

    >>> [problem.code for problem in check_statement(Statement("m", "K"))]
    ['T001']
    >>> check_statement(Statement("m", "K", dated=True))
    ()
    """
    if not statement.geometry or statement.dated:
        return ()
    return (
        Problem(
            code="T001",
            message=(
                f"Class {statement.geometry} belongs to ISO 2768-2, which is withdrawn, and no "
                "year is given; write 'ISO 2768-2:1989' beside it or give geometrical tolerances."
            ),
            severity=Severity.NOTE,
            why=(
                "The standard that replaced it, ISO 22081:2021, holds no default values: an "
                "undated reference leaves open what is asked."
            ),
            right="ISO 2768-m and ISO 2768-2:1989 class K",
        ),
    )

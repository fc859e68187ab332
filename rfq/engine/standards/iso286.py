"""ISO 286: from '42 H7' to limits in mm, for every zone the standard has, 0 to 500 mm.

The numbers and their sources stand in ``iso286_tables``. A zone the standard does not have
(``NoSuchZone``) is told from one our table lacks (``NotInTable``).
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from decimal import Decimal

from rfq.engine.standards.iso286_tables import (
    BANDS,
    EI_FINE_UM,
    EI_MAIN_UM,
    ES_FINE_UM,
    ES_MAIN_UM,
    FINE_BANDS,
    IT_UM,
    J_HOLE_UM,
    J_SHAFT_UM,
)
from rfq.engine.standards.limits import Length, Limits, NoSuchZone, NotInTable, exact
from rfq.model.series import GRADES, HOLE_ZONES, SHAFT_ZONES

LARGEST_MM = Decimal(500)
_UM = Decimal(1000)
#: Deviations of grades 3 to 8 only carry the rule of a Δ for holes K to ZC.
_DELTA_GRADES = ("3", "4", "5", "6", "7", "8")


def tolerance_um(nominal_mm: Length, grade: str | int) -> Decimal:
    """Width of the standard tolerance IT in um.

    Args:
        nominal_mm: nominal size, above 0 up to 500 mm; 18 lies in the band 10-18.
        grade: '01', '0', 1 to 18.
    Raises:
        NoSuchZone: no such grade, or IT14 and coarser at 1 mm and below.
        NotInTable: a size above 500 mm.
    Source: ISO 286-1 table 1; IT5-IT11 seen, the rest from memory.

    >>> tolerance_um(25, 7), tolerance_um(18, 7), tolerance_um(Decimal("18.001"), 7)
    (Decimal('21'), Decimal('18'), Decimal('21'))
    """
    nominal, name = exact(nominal_mm), str(grade)
    if name not in IT_UM:
        raise NoSuchZone(f"ISO 286 has no grade IT{name}; grades go from 01, 0 and 1 to 18.")
    band = _main_band(nominal)
    if nominal <= 1 and GRADES.index(name) >= GRADES.index("14"):
        raise NoSuchZone(f"ISO 286 does not use IT{name} at {nominal} mm, only above 1 mm.")
    return IT_UM[name][band]


def limits(nominal_mm: Length, zone: str, grade: str | int, *, round_js: bool = False) -> Limits:
    """Limits of size of a tolerance class, mm.

    Args:
        nominal_mm: nominal size, above 0 up to 500 mm.
        zone: capital letters for holes, small for shafts.
        grade: '01', '0', 1 to 18.
        round_js: round JS/js of odd IT7 to IT11 as older tables do (js7 at 25 mm: ±10).
    Raises:
        NoSuchZone: the standard has no such zone, or not with this grade or at this size.
        NotInTable: it may have it; our table does not.
    Source: ISO 286-1 tables 1 to 3; see iso286_tables.

    >>> found = limits(42, "H", 7)
    >>> found.lower_mm, found.upper_mm
    (Decimal('42.000'), Decimal('42.025'))
    >>> limits(25, "P", 7).upper_deviation_um, limits(25, "P", 7).lower_deviation_um
    (Decimal('-14.000'), Decimal('-35.000'))
    """
    nominal, name = exact(nominal_mm), str(grade)
    lower, upper = deviations_um(nominal, zone, name, round_js=round_js)
    return Limits(
        nominal + (lower / _UM).quantize(_step(lower)),
        nominal + (upper / _UM).quantize(_step(upper)),
        f"ISO 286-1, {zone}{name} at {nominal} mm",
        nominal,
    )


def _step(deviation_um: Decimal) -> Decimal:
    return (
        Decimal("0.001") if deviation_um == deviation_um.to_integral_value() else Decimal("0.00001")
    )


def deviations_um(
    nominal_mm: Length, zone: str, grade: str | int, *, round_js: bool = False
) -> tuple[Decimal, Decimal]:
    """Lower and upper deviation in um; arguments, errors and source as ``limits``.

    >>> deviations_um(25, "g", 6), deviations_um(25, "K", 7)
    ((Decimal('-20'), Decimal('-7')), (Decimal('-15'), Decimal('6')))
    """
    nominal, name = exact(nominal_mm), str(grade)
    if zone not in HOLE_ZONES and zone not in SHAFT_ZONES:
        raise NoSuchZone(
            f"ISO 286 has no zone {zone!r}; i, l, o, q and w are left out, capitals are holes."
        )
    width = tolerance_um(nominal, name)
    if zone in ("js", "JS"):
        half = width / 2
        if round_js and name in ("7", "8", "9", "10", "11"):
            half = (width - width % 2) / 2
        return -half, half
    if zone in SHAFT_ZONES:
        upper, lower = _shaft_deviation(nominal, zone, name)
    else:
        upper, lower = _hole_deviation(nominal, zone, name)
    if upper is not None:
        return upper - width, upper
    assert lower is not None
    return lower, lower + width


# Fundamental deviations: (upper, lower), exactly one of them given ---------------------------

_One = tuple[Decimal | None, Decimal | None]


def _shaft_deviation(nominal: Decimal, zone: str, grade: str) -> _One:
    if zone in ES_MAIN_UM or zone in ES_FINE_UM:
        return -_clearance_um(nominal, zone, grade), None
    if zone == "j":
        return None, _of_j(J_SHAFT_UM, nominal, "j", grade)
    if zone == "k" and grade not in ("4", "5", "6", "7"):
        return None, Decimal(0)
    return None, _interference_um(nominal, zone, grade)


def _hole_deviation(nominal: Decimal, zone: str, grade: str) -> _One:
    shaft = zone.lower()
    if shaft in ES_MAIN_UM or shaft in ES_FINE_UM:
        return None, _clearance_um(nominal, shaft, grade)
    if zone == "J":
        return _of_j(J_HOLE_UM, nominal, "J", grade), None
    rank = GRADES.index(grade)
    if zone == "K" and rank > GRADES.index("8"):
        if nominal <= 3:
            return Decimal(0), None
        raise NoSuchZone(f"ISO 286 has K{grade} up to 3 mm only; at {nominal} mm K ends with K8.")
    if zone == "N" and rank > GRADES.index("8"):
        if nominal <= 1:
            raise NoSuchZone(f"ISO 286 does not use N{grade} at {nominal} mm, only above 1 mm.")
        return (Decimal(-4) if nominal <= 3 else Decimal(0)), None
    last_with_delta = "8" if zone in ("K", "M", "N") else "7"
    delta = _delta_um(nominal, zone, grade) if rank <= GRADES.index(last_with_delta) else Decimal(0)
    if zone == "M" and grade == "6" and 250 < nominal <= 315:
        return Decimal(-9), None  # the standard's one exception; the rule gives -11
    # The hole takes the shaft's own value even where the shaft's k is 0 outside grades 4 to 7.
    return -_interference_um(nominal, shaft, grade) + delta, None


def _clearance_um(nominal: Decimal, shaft: str, grade: str) -> Decimal:
    """Distance of zones a to h from the nominal size, um."""
    if shaft in ("a", "b") and nominal <= 1:
        raise NoSuchZone(f"ISO 286 does not use zones {shaft} at {nominal} mm, only above 1 mm.")
    if shaft in ES_FINE_UM:
        value = ES_FINE_UM[shaft][_fine_band(nominal)]
    else:
        value = ES_MAIN_UM[shaft][_main_band(nominal)]
    if value is None:
        if nominal > 50:
            raise NoSuchZone(f"ISO 286 has no zone {shaft} at {nominal} mm; it ends at 50 mm.")
        raise NotInTable(f"Zone {shaft} at {nominal} mm is not in our table; it ends at 10 mm.")
    return value


def _interference_um(nominal: Decimal, shaft: str, grade: str) -> Decimal:
    """Distance of zones k to zc from the nominal size, um."""
    if shaft in EI_MAIN_UM:
        value = EI_MAIN_UM[shaft][_main_band(nominal)]
    else:
        value = EI_FINE_UM[shaft][_fine_band(nominal)]
    if value is None:
        start = {"t": 24, "v": 14, "y": 18}[shaft]
        raise NoSuchZone(
            f"ISO 286 has no zone {shaft} at {nominal} mm; it begins above {start} mm."
        )
    return value


def _of_j(
    table: dict[str, tuple[Decimal | None, ...]], nominal: Decimal, zone: str, grade: str
) -> Decimal:
    row = table.get(grade)
    grades = ", ".join(table)
    if row is None:
        raise NoSuchZone(
            f"ISO 286 has no {zone}{grade}; {zone} exists in grades {grades}; take js."
        )
    value = row[_main_band(nominal)]
    if value is None:
        raise NoSuchZone(f"ISO 286 has {zone}{grade} up to 3 mm only; at {nominal} mm take js.")
    return value


def _delta_um(nominal: Decimal, zone: str, grade: str) -> Decimal:
    """Δ = IT(n) - IT(n-1), added to the deviation of holes K to ZC in grades 3 to 8; um."""
    if nominal <= 3:
        return Decimal(0)
    if grade not in _DELTA_GRADES:
        raise NotInTable(f"{zone}{grade} is not in our table; the Δ of holes begins with grade 3.")
    finer = GRADES[GRADES.index(grade) - 1]
    return tolerance_um(nominal, grade) - tolerance_um(nominal, finer)


def _main_band(nominal: Decimal) -> int:
    return _band(nominal, BANDS)


def _fine_band(nominal: Decimal) -> int:
    return _band(nominal, FINE_BANDS)


def _band(nominal: Decimal, ends: tuple[Decimal, ...]) -> int:
    if nominal <= 0:
        raise NoSuchZone(f"ISO 286 starts above 0 mm; a nominal size of {nominal} mm is no size.")
    if nominal > LARGEST_MM:
        raise NotInTable(f"{nominal} mm is not in our table of ISO 286; it ends at 500 mm.")
    return bisect_left(ends, nominal)


@dataclass(frozen=True, slots=True)
class Pairing:
    """A hole and a shaft of one nominal size.

    Args:
        hole, shaft: their limits.
        least_um: least clearance (negative: interference), um.
        most_um: greatest clearance, um.
    """

    hole: Limits
    shaft: Limits
    least_um: Decimal
    most_um: Decimal

    @property
    def kind(self) -> str:
        """'clearance', 'interference' or 'transition' (ISO 286-1)."""
        if self.least_um >= 0:
            return "clearance"
        return "interference" if self.most_um <= 0 else "transition"


def pairing(nominal_mm: Length, hole: str, shaft: str) -> Pairing:
    """Clearances of a fit such as H7/g6.

    Raises:
        NoSuchZone, NotInTable: as ``limits``.
        ValueError: a class without letters and grade.

    >>> fit = pairing(25, "H7", "g6")
    >>> int(fit.least_um), int(fit.most_um), fit.kind
    (7, 41, 'clearance')
    """
    hole_limits = limits(nominal_mm, *split_class(hole))
    shaft_limits = limits(nominal_mm, *split_class(shaft))
    return Pairing(
        hole_limits,
        shaft_limits,
        (hole_limits.lower_mm - shaft_limits.upper_mm) * _UM,
        (hole_limits.upper_mm - shaft_limits.lower_mm) * _UM,
    )


def split_class(text: str) -> tuple[str, str]:
    """Zone and grade of a class.

    >>> split_class("JS6"), split_class("h01")
    (('JS', '6'), ('h', '01'))
    """
    zone = text.rstrip("0123456789")
    grade = text[len(zone) :]
    if not zone or not grade:
        raise ValueError(f"'{text}' is no tolerance class; write for example H7.")
    return zone, grade


def grade_of(nominal_mm: Length, width_mm: Length) -> str:
    """The coarsest grade at least as tight as a tolerance width; '18' when wider, '01' when finer.

    Args:
        nominal_mm: nominal size. width_mm: tolerance width.

    >>> grade_of(25, Decimal("0.1")), grade_of(25, Decimal("0.021"))
    ('10', '7')
    """
    width_um = exact(width_mm) * _UM
    band = _main_band(exact(nominal_mm))
    fitting = [grade for grade in GRADES if IT_UM[grade][band] <= width_um]
    return fitting[-1] if fitting else GRADES[0]

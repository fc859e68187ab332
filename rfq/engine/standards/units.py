"""Unit codes of UN/ECE Recommendation 20 (and 21 with X) that turn up in quotes; a subset.

Source: the code lists, from memory and from public copies. Only what can mean pieces, mass,
length, area, time or a lump sum.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

Kind = Literal["pieces", "lot", "mass", "length", "area", "time", "share", "other"]


@dataclass(frozen=True, slots=True)
class Unit:
    """One code.

    Args:
        code, name: as in the list. kind: what it counts.
        factor: pieces in one, or size in kg, m, m2 or hours; None where it is not fixed.
    """

    code: str
    name: str
    kind: Kind
    factor: Decimal | None


_ROWS = (
    ("C62", "one", "pieces", "1"),
    ("H87", "piece", "pieces", "1"),
    ("EA", "each", "pieces", "1"),
    ("XPP", "piece", "pieces", "1"),
    ("XUN", "unit", "pieces", "1"),
    ("PR", "pair", "pieces", "2"),
    ("DZN", "dozen", "pieces", "12"),
    ("DPC", "dozen piece", "pieces", "12"),
    ("CEN", "hundred", "pieces", "100"),
    ("HC", "hundred count", "pieces", "100"),
    ("MIL", "thousand", "pieces", "1000"),
    ("T3", "thousand piece", "pieces", "1000"),
    ("NIU", "number of international units", "other", ""),
    ("SET", "set", "lot", ""),
    ("LS", "lump sum", "lot", ""),
    ("LO", "lot", "lot", ""),
    ("XLT", "lot", "lot", ""),
    ("E51", "job", "lot", ""),
    ("E48", "service unit", "other", ""),
    ("NMP", "number of packs", "other", ""),
    ("XBX", "box", "other", ""),
    ("XPK", "package", "other", ""),
    ("KGM", "kilogram", "mass", "1"),
    ("GRM", "gram", "mass", "0.001"),
    ("LBR", "pound", "mass", "0.45359237"),
    ("TNE", "tonne", "mass", "1000"),
    ("MTR", "metre", "length", "1"),
    ("MMT", "millimetre", "length", "0.001"),
    ("CMT", "centimetre", "length", "0.01"),
    ("INH", "inch", "length", "0.0254"),
    ("FOT", "foot", "length", "0.3048"),
    ("MTK", "square metre", "area", "1"),
    ("CMK", "square centimetre", "area", "0.0001"),
    ("FTK", "square foot", "area", "0.09290304"),
    ("HUR", "hour", "time", "1"),
    ("MIN", "minute", "time", ""),
    ("DAY", "day", "time", ""),
    ("WEE", "week", "time", ""),
    ("MON", "month", "time", ""),
    ("P1", "per cent", "share", "0.01"),
    ("ZZ", "mutually defined", "other", ""),
    ("XZZ", "mutually defined", "other", ""),
)


def _kind(text: str) -> Kind:
    kinds: dict[str, Kind] = {
        "pieces": "pieces",
        "lot": "lot",
        "mass": "mass",
        "length": "length",
        "area": "area",
        "time": "time",
        "share": "share",
    }
    return kinds.get(text, "other")


UNITS: dict[str, Unit] = {
    code: Unit(code, name, _kind(kind), Decimal(factor) if factor else None)
    for code, name, kind, factor in _ROWS
}


def unit(code: str) -> Unit | None:
    """The unit of a code, or None when it is not in the subset.

    >>> unit("CEN").factor, unit("KGM").kind, unit("QQ") is None
    (Decimal('100'), 'mass', True)
    """
    return UNITS.get(code.strip().upper())


def pieces(code: str) -> Decimal | None:
    """How many pieces one of this unit is; None where it does not say.

    >>> pieces("C62"), pieces("DZN"), pieces("XBX")
    (Decimal('1'), Decimal('12'), None)
    """
    found = unit(code)
    return found.factor if found is not None and found.kind == "pieces" else None

"""What the callouts ask of the shop: one value a callout, with the work and the gauge it needs.

Each fact is read once: holes, threads, fits, roughness and geometry from the callouts, plain
holes without a callout from the shape. A callout that cannot be read counts as one
characteristic checked by hand, and the estimate says so.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Literal

from rfq.engine.standards import iso286
from rfq.engine.standards.limits import NotDefined
from rfq.model.callout import Callout
from rfq.model.series import COARSE_PITCH_MM
from rfq.model.spec import (
    Angle,
    Attribute,
    Chamfer,
    Datum,
    Edge,
    Fit,
    Geometric,
    Radius,
    Size,
    Texture,
    Thread,
)

Kind = Literal["hole", "face", "shaft", "thread", "outer thread", "texture", "geometric", "other"]
Gauge = Literal["hand", "thread", "texture", "machine", "none"]

_HOLE_WORDS = ("hole", "bore", "drill", "ream", "counterbore", "seat for", "pocket")
_SHAFT_WORDS = ("shaft", "spigot", "boss", "journal", "outer", "outside", "o.d.", "shoulder")

#: Width of IT12 where a callout has no size of its own (25 mm), um; ISO 286-1.
REFERENCE_UM = 210.0


@dataclass(frozen=True, slots=True)
class Feature:
    """One callout as work.

    Args:
        number: balloon number; '' for a hole that only the shape gives.
        kind: what is made.
        count: equal features.
        size_mm: nominal size, 0 where none.
        depth_mm: depth of a hole or thread; 0 where not said.
        through: hole goes through.
        grade: IT grade asked, 16 for a general tolerance.
        tolerance_um: width of the tolerance, None for the general one.
        reference_um: IT12 at this size.
        ra_um: roughness asked on this feature, None where none.
        pitch_mm: thread pitch.
        gauge: how it is checked.
        critical: checked on every piece.
    """

    number: str
    kind: Kind
    count: int = 1
    size_mm: float = 0.0
    depth_mm: float = 0.0
    through: bool = False
    grade: int = 16
    tolerance_um: float | None = None
    reference_um: float = REFERENCE_UM
    ra_um: float | None = None
    pitch_mm: float = 0.0
    gauge: Gauge = "hand"
    critical: bool = False


def feature_of(callout: Callout, turned: bool, smallest_mm: float) -> Feature:
    """The work that one callout asks for.

    Args:
        turned: the part is turned; a plain diameter is then an outer one.
        smallest_mm: smallest size of the envelope; a larger diameter is no hole in it.
    """
    spec = callout.spec.value
    depth = float(callout.depth_mm) if callout.depth_mm is not None else 0.0
    base: dict[str, Any] = {
        "number": callout.number,
        "count": callout.times,
        "critical": callout.critical,
    }
    match spec:
        case Fit():
            size = float(spec.nominal)
            width = _width_um(size, spec.grade)
            hole = spec.internal and (
                spec.diameter or not _says(callout, ("slot", "key", "groove"))
            )
            kind: Kind = "hole" if hole else ("shaft" if turned else "face")
            grade = int(spec.grade) if spec.grade not in ("01", "0") else 1
            return Feature(
                **base,
                kind=kind,
                size_mm=size,
                depth_mm=depth,
                grade=grade,
                tolerance_um=width,
                reference_um=_it12(size),
                gauge="machine" if grade <= 7 else "hand",
            )
        case Size():
            return _sized(spec, callout, turned, smallest_mm, depth)
        case Thread():
            # a pipe thread's name is that of the bore: outside it is some 7.5 mm more (ISO 228-1)
            inches = 25.4 * float(spec.size) + 7.5
            size = float(spec.major_mm) if spec.major_mm is not None else inches
            pitch = spec.pitch
            if pitch is None:
                pitch = COARSE_PITCH_MM.get(spec.size)
            length = float(spec.depth_mm) if spec.depth_mm is not None else depth
            return Feature(
                **base,
                kind="thread" if spec.internal else "outer thread",
                size_mm=size,
                depth_mm=length,
                through=spec.through,
                pitch_mm=float(pitch) if pitch else 1.5,
                gauge="thread",
            )
        case Texture():
            ra = float(spec.value_um)
            if spec.parameter.lower().startswith("rz"):
                ra /= 4.0  # sizes work only; never shown as a conversion
            return Feature(**base, kind="texture", ra_um=ra, gauge="texture")
        case Geometric():
            width = 1000.0 * float(spec.value_mm)
            if spec.characteristic == "position":
                width *= 2.0
            return Feature(**base, kind="geometric", tolerance_um=max(width, 0.1), gauge="machine")
        case Datum() | Edge():
            return Feature(**base, kind="other", gauge="none")
        case Angle() | Chamfer() | Radius() | Attribute() | None:
            return Feature(**base, kind="other")
    return Feature(**base, kind="other")


def _sized(spec: Size, callout: Callout, turned: bool, smallest_mm: float, depth: float) -> Feature:
    size = float(spec.nominal)
    width: float | None = None
    grade = 16
    if spec.upper is not None and spec.lower is not None and spec.upper > spec.lower:
        width = 1000.0 * float(spec.upper - spec.lower)
        grade = _grade(size, width)
    hole = False
    named = _says(callout, _HOLE_WORDS[:4])
    if (spec.diameter or named) and not _says(callout, _SHAFT_WORDS):
        small = size < 0.7 * smallest_mm or smallest_mm <= 0
        hole = (
            _says(callout, _HOLE_WORDS)
            or depth > 0
            or (not turned and small)
            or (callout.times > 1 and small)
        )
    kind: Kind = "hole" if hole else ("shaft" if spec.diameter and turned else "face")
    return Feature(
        callout.number,
        kind,
        callout.times,
        size,
        depth,
        grade=grade,
        tolerance_um=width,
        reference_um=_it12(size),
        gauge="machine" if grade <= 7 else "hand",
        critical=callout.critical,
    )


def _says(callout: Callout, words: tuple[str, ...]) -> bool:
    text = callout.what.lower()
    return any(word in text for word in words)


def _it12(size_mm: float) -> float:
    try:
        return float(iso286.tolerance_um(size_mm, "12"))
    except NotDefined:
        return REFERENCE_UM * math.pow(max(1.0, size_mm / 25.0), 1.0 / 3.0)


def _width_um(size_mm: float, grade: str) -> float:
    try:
        return float(iso286.tolerance_um(size_mm, grade))
    except NotDefined:
        step = int(grade) if grade not in ("01", "0") else 1
        return _it12(size_mm) * math.pow(10.0, -(12 - step) / 5.0)


def _grade(size_mm: float, width_um: float) -> int:
    """The coarsest IT grade, 1 to 16, whose width is not above the one asked."""
    try:
        found = iso286.grade_of(size_mm, round(width_um / 1000.0, 6))
    except NotDefined:
        found = str(round(12.0 + 5.0 * math.log10(width_um / _it12(size_mm))))
    return min(16, max(1, int(found))) if found not in ("01", "0") else 1

"""What a callout is usually measured with, and whether that is good enough.

Common practice, no source: the means and their expanded uncertainties (k = 2, workshop, 20 °C)
are typical for a small shop; a shop's own figure replaces them.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from rfq.engine.standards.limits import Length, exact
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
    Spec,
    Texture,
    Thread,
)
from rfq.problems import Problem, Severity


@dataclass(frozen=True, slots=True)
class Means:
    """A measuring means.

    Args:
        name: as written on a data sheet.
        uncertainty_mm: typical expanded uncertainty, mm; None for go/no-go and judging.
        minutes_low, minutes_typical, minutes_high: minutes a characteristic and piece.
    """

    name: str
    uncertainty_mm: Decimal | None
    minutes_low: float
    minutes_typical: float
    minutes_high: float

    @property
    def attributive(self) -> bool:
        """Whether it says only yes or no."""
        return self.uncertainty_mm is None


def _means(name: str, uncertainty: str, low: float, typical: float, high: float) -> Means:
    return Means(name, Decimal(uncertainty) if uncertainty else None, low, typical, high)


CALIPER = _means("caliper", "0.03", 0.3, 0.4, 0.8)
MICROMETER = _means("micrometer", "0.004", 0.3, 0.4, 0.8)
FINE_MICROMETER = _means("comparator with gauge blocks", "0.0015", 0.5, 1.0, 2.0)
BORE_MICROMETER = _means("three-point bore gauge", "0.005", 0.4, 0.6, 1.2)
BORE_COMPARATOR = _means("air or lever bore gauge with setting ring", "0.002", 0.5, 1.0, 2.0)
PLUG_GAUGE = _means("plug gauge go/no-go", "", 0.3, 0.4, 0.8)
SNAP_GAUGE = _means("snap gauge go/no-go", "", 0.3, 0.4, 0.8)
THREAD_GAUGE = _means("thread gauge go/no-go", "", 0.4, 0.5, 0.9)
CMM = _means("coordinate measuring machine", "0.005", 0.25, 0.35, 0.6)
CMM_GEOMETRY = _means("coordinate measuring machine", "0.006", 1.0, 1.5, 2.0)
FORM_TESTER = _means("form tester", "0.0005", 2.0, 4.0, 8.0)
DIAL_GAUGE = _means("dial gauge on centres or plate", "0.003", 0.5, 1.0, 2.0)
STYLUS = _means("stylus instrument", "", 0.6, 1.0, 2.0)
PROTRACTOR = _means("bevel protractor", "", 0.4, 0.6, 1.2)
PROJECTOR = _means("profile projector or optical", "0.01", 0.4, 0.8, 1.5)
RADIUS_GAUGE = _means("radius gauge", "", 0.2, 0.3, 0.6)
EYE = _means("visual", "", 0.1, 0.2, 0.4)
LOUPE = _means("loupe or optical", "", 0.2, 0.3, 0.6)
HARDNESS_TESTER = _means("hardness tester", "", 0.5, 1.0, 2.0)

#: From cheap to fine, per kind of feature.
_OUTSIDE = (CALIPER, MICROMETER, FINE_MICROMETER)
_INSIDE = (CALIPER, BORE_MICROMETER, BORE_COMPARATOR)
_RUN_OUT = ("run-out", "total run-out")
_SHAPE = ("roundness", "cylindricity", "straightness", "flatness")
#: A means is good enough while its uncertainty is at most this share of the tolerance.
GOLDEN_SHARE = Decimal("0.2")


def usual_means(spec: Spec, width_mm: Length | None = None) -> Means:
    """The cheapest usual means that is good enough, or the finest where none is.

    Args:
        spec: what is measured. width_mm: width of its tolerance; None when not known.
    Source: common practice, no source.

    >>> from rfq.model.callout import parse_callout
    >>> usual_means(parse_callout("42 H7").get(), Decimal("0.025")).name
    'three-point bore gauge'
    >>> usual_means(parse_callout("M6-6H x 12").get()).name
    'thread gauge go/no-go'
    """
    match spec:
        case Thread():
            return THREAD_GAUGE
        case Texture():
            return STYLUS
        case Angle():
            return PROTRACTOR
        case Edge():
            return LOUPE
        case Datum():
            return CMM
        case Attribute():
            return HARDNESS_TESTER if spec.kind == "hardness" else EYE
        case Radius():
            return RADIUS_GAUGE if spec.upper is None else PROJECTOR
        case Chamfer():
            return CALIPER if spec.upper is None else PROJECTOR
        case Geometric():
            return _for_geometry(spec)
        case Fit():
            return _good_enough(_INSIDE if spec.internal else _OUTSIDE, width_mm)
        case Size():
            return _good_enough(_OUTSIDE, width_mm)


def _for_geometry(spec: Geometric) -> Means:
    if spec.characteristic in _RUN_OUT and spec.value_mm >= Decimal("0.015"):
        return DIAL_GAUGE
    fine = spec.value_mm * GOLDEN_SHARE < Decimal("0.001") * 6
    if spec.characteristic in (*_SHAPE, *_RUN_OUT) and fine:
        return FORM_TESTER
    return CMM_GEOMETRY


def _good_enough(choice: tuple[Means, ...], width_mm: Length | None) -> Means:
    if width_mm is None:
        return choice[0]
    allowed = exact(width_mm) * GOLDEN_SHARE
    for means in choice:
        if means.uncertainty_mm is not None and means.uncertainty_mm <= allowed:
            return means
    return choice[-1]


def check_means(means: Means, width_mm: Length) -> tuple[Problem, ...]:
    """Whether a means' uncertainty is above a fifth of the tolerance.

    Args:
        means: measuring means. width_mm: width of the tolerance.
    Problems: T090 (ask). Source of the fifth: common practice, no source.

    >>> [problem.code for problem in check_means(CALIPER, Decimal("0.021"))]
    ['T090']
    >>> check_means(MICROMETER, Decimal("0.021")), check_means(PLUG_GAUGE, Decimal("0.021"))
    ((), ())
    """
    width = exact(width_mm)
    if means.uncertainty_mm is None or means.uncertainty_mm <= width * GOLDEN_SHARE:
        return ()
    return (
        Problem(
            "T090",
            f"A {means.name} (uncertainty {means.uncertainty_mm} mm) is too coarse for a tolerance "
            f"of {width} mm; up to {width * GOLDEN_SHARE:f} mm is good enough.",
            severity=Severity.ASK,
            why="Above a fifth of the tolerance most good parts can't be proven good.",
        ),
    )

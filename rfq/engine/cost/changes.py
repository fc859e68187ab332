"""Changes to a run: one callout looser, one radius larger, one field of the entry different.

Each gives another ``Run``; prices of both are compared draw by draw, so the difference carries
only what the change does (common random numbers).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np

from rfq.engine.cost.arrays import Array
from rfq.engine.cost.features import Feature
from rfq.engine.cost.run import Run
from rfq.engine.standards import iso286, roughness
from rfq.engine.standards.limits import NotDefined
from rfq.model.callout import Callout
from rfq.model.series import GRADES
from rfq.model.spec import Fit, Geometric, Size, Texture, canonical, number

#: Cutters on the shelf, mm; common practice.
CUTTERS_MM = (1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0)


@dataclass(frozen=True, slots=True)
class Looser:
    """A callout's cheaper neighbour.

    Args:
        was, becomes: short forms.
        kind: 'callout' or 'texture'.
        feature: the work it then asks for.
    """

    was: str
    becomes: str
    kind: str
    feature: Feature


def with_feature(run: Run, number_: str, feature: Feature | None) -> Run:
    """The run with another work for one callout, or without it."""
    kept = []
    for each in run.entry.features:
        if each.number != number_ or not number_:
            kept.append(each)
        elif feature is not None:
            kept.append(feature)
    return replace(run, entry=replace(run.entry, features=tuple(kept)))


def difference(run: Run, other: Run, quantity: int, draws: int, seed: int) -> Array:
    """Price of the other run less this one's, draw by draw, EUR a piece."""
    return (
        other.draw([quantity], draws, seed).price - run.draw([quantity], draws, seed).price
    ).reshape(-1)


def three(values: Array) -> tuple[float, float, float]:
    """P10, P50 and P90 of draws."""
    low, middle, high = np.percentile(values, (10.0, 50.0, 90.0))
    return float(low), float(middle), float(high)


def looser(callout: Callout, feature: Feature) -> Looser | None:
    """The next looser neighbour of a callout: a grade, a texture step; None where there is none."""
    spec = callout.spec.value
    if isinstance(spec, Fit):
        return _looser_fit(spec, feature)
    if isinstance(spec, Size):
        return _looser_size(spec, feature)
    if isinstance(spec, Texture):
        return _looser_texture(spec, feature)
    if isinstance(spec, Geometric):
        return _looser_geometric(spec, feature)
    return None


def _looser_fit(spec: Fit, feature: Feature) -> Looser | None:
    place = GRADES.index(spec.grade)
    if feature.grade >= 12 or place + 1 >= len(GRADES):
        return None
    grade = GRADES[place + 1]
    other = replace_fit(spec, grade)
    try:
        iso286.limits(spec.nominal, spec.zone, grade)
        width = float(iso286.tolerance_um(spec.nominal, grade))
    except NotDefined:
        return None
    step = int(grade) if grade not in ("01", "0") else 1
    changed = replace(
        feature, grade=step, tolerance_um=width, gauge="machine" if step <= 7 else "hand"
    )
    return Looser(canonical(spec), canonical(other), "callout", changed)


def replace_fit(spec: Fit, grade: str) -> Fit:
    """The fit with another grade, without the deviations that a drawing may print beside it."""
    return replace(spec, grade=grade, stated_upper=None, stated_lower=None)


def _looser_size(spec: Size, feature: Feature) -> Looser | None:
    if spec.upper is None or spec.lower is None or feature.tolerance_um is None:
        return None
    if feature.grade >= 14:
        return None
    factor = Decimal("1.6")  # one grade, as the standard tolerances step (ISO 286-1)
    upper, lower = _round(spec.upper * factor), _round(spec.lower * factor)
    width = 1000.0 * float(upper - lower)
    if width <= feature.tolerance_um:
        return None
    grade = min(16, feature.grade + 1)
    changed = replace(
        feature, grade=grade, tolerance_um=width, gauge="machine" if grade <= 7 else "hand"
    )
    other = replace(spec, upper=upper, lower=lower)
    return Looser(canonical(spec), canonical(other), "callout", changed)


def _looser_texture(spec: Texture, feature: Feature) -> Looser | None:
    if spec.bound == "lower" or feature.ra_um is None:
        return None
    if spec.parameter == "Ra":
        step = roughness.coarser_ra_um(spec.value_um)
    else:
        step = _round(spec.value_um * Decimal(2))
    if step is None or feature.ra_um >= 6.3:
        return None
    other = replace(spec, value_um=step, lower_um=None)
    scale = float(step / spec.value_um)
    return Looser(
        canonical(spec), canonical(other), "texture", replace(feature, ra_um=feature.ra_um * scale)
    )


def _looser_geometric(spec: Geometric, feature: Feature) -> Looser | None:
    if feature.tolerance_um is None or feature.tolerance_um >= feature.reference_um:
        return None
    wider = _round(spec.value_mm * Decimal("1.6"))
    other = replace(spec, value_mm=wider)
    scale = float(wider / spec.value_mm)
    changed = replace(feature, tolerance_um=feature.tolerance_um * scale)
    return Looser(canonical(spec), canonical(other), "callout", changed)


def _round(value: Decimal) -> Decimal:
    """Rounded to two digits, as drawings print deviations.

    >>> _round(Decimal("0.0336")), _round(Decimal("-0.16")), _round(Decimal("0"))
    (Decimal('0.034'), Decimal('-0.16'), Decimal('0'))
    """
    if value == 0:
        return Decimal(0)
    return Decimal(number(round(value, 1 - value.adjusted())))


def next_cutter_radius(radius_mm: float) -> float | None:
    """The inner radius that the next larger cutter leaves room for, mm; None beyond the shelf.

    The cutter in a corner is about 1.7 r (it has to move round); the radius given is that of the
    next cutter up, 0.6 of its diameter.

    >>> next_cutter_radius(2.0), next_cutter_radius(5.0), next_cutter_radius(20.0)
    (2.5, 6.0, None)
    """
    used = 1.7 * radius_mm
    larger = [cutter for cutter in CUTTERS_MM if cutter > used * 1.001]
    for cutter in larger:
        radius = float(np.ceil(0.6 * cutter * 2.0) / 2.0)
        if radius > radius_mm:
            return radius
    return None

"""What a callout asks of a measured value: limits in the callout's own unit, or yes and no."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from rfq.engine.standards.callout_limits import limits_of
from rfq.engine.standards.gauges import Means, usual_means
from rfq.engine.standards.limits import Limits
from rfq.model.callout import Callout
from rfq.model.part import Part
from rfq.model.request import Request
from rfq.model.spec import Angle, Attribute, Datum, Edge, Texture, Thread

_DEGREE = Decimal(3600)
_ENDLESS = Decimal("Infinity")


@dataclass(frozen=True, slots=True)
class Asked:
    """What one callout asks.

    Args:
        limits: in ``unit``; None where it is judged by yes and no, or cannot be worked out.
        unit: 'mm', 'µm', '°' or ''.
        means: the usual measuring means and its uncertainty.
        why_not: why there are no limits, where a value was expected.
        times: number of equal features.
    """

    callout: Callout
    limits: Limits | None
    unit: str
    means: Means | None
    why_not: str
    times: int


def asked_of(callout: Callout, part: Part, request: Request | None) -> Asked | None:
    """Return what a callout asks; None for a datum, which asks nothing of its own."""
    spec = callout.spec.value
    if spec is None:
        return Asked(callout, None, "", None, "the callout is not understood", callout.times)
    if isinstance(spec, Datum):
        return None
    general = part.general_tolerance or (request.general_tolerance if request else "")
    limits: Limits | None = None
    unit, why = "mm", ""
    match spec:
        case Thread() | Attribute() | Edge():
            unit = ""
        case Texture():
            unit = "µm"
            upper = spec.value_um if spec.bound == "upper" else _ENDLESS
            lower = spec.lower_um or (spec.value_um if spec.bound == "lower" else Decimal(0))
            limits = Limits(lower, upper, f"{spec.parameter}, µm", spec.value_um)
        case Angle():
            unit = "°"
            if spec.upper_arcsec is None or spec.lower_arcsec is None:
                why = "the angle has no deviations of its own; judge it by the general tolerance"
            else:
                middle = spec.nominal_arcsec
                limits = Limits(
                    (middle + spec.lower_arcsec) / _DEGREE,
                    (middle + spec.upper_arcsec) / _DEGREE,
                    "deviations as written, degrees",
                    middle / _DEGREE,
                )
        case _:
            reading = limits_of(spec, general)
            limits = reading.value
            why = "" if limits is not None else reading.problems[0].message
    width = None
    if limits is not None and limits.width_mm.is_finite() and unit == "mm":
        width = limits.width_mm
    return Asked(callout, limits, unit, usual_means(spec, width), why, callout.times)

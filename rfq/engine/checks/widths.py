"""The limits a callout's own text gives, for checks that compare them with something."""

from __future__ import annotations

from rfq.engine.standards import callout_limits, threads
from rfq.engine.standards.finishes import Feature
from rfq.engine.standards.limits import Limits, NotDefined
from rfq.model.callout import Fit, Spec, Thread


def limits_of(spec: Spec, general_tolerance: str = "") -> Limits | None:
    """Return the limits of a spec (of a metric thread: its pitch diameter), or None."""
    if not isinstance(spec, Thread):
        found = callout_limits.limits_of(spec, general_tolerance).value
        return None if found is None or not found.width_mm.is_finite() else found
    if not spec.metric or spec.pitch is None:
        return None
    try:
        thread = threads.limits_of_thread(spec)
    except NotDefined:
        return None
    return Limits(thread.pitch_min_mm, thread.pitch_max_mm, "pitch diameter", spec.size)


def feature_of(spec: Spec) -> Feature | None:
    """Return what a coating would change: bore, shaft, thread; None where it cannot be told."""
    match spec:
        case Fit():
            return "bore" if spec.internal else "shaft"
        case Thread():
            return "internal thread" if spec.internal else "external thread"
    return None

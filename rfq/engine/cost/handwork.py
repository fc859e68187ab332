"""Minutes of hands and gauges: deburring, inspection. Forms: common practice."""

from __future__ import annotations

from rfq.engine.cost.arrays import Real


def deburr_min(edge_m: Real, min_per_m: Real, handling_min: Real = 0.5) -> Real:
    """Manual deburring: edge length x rate + handling, minutes.

    >>> deburr_min(1.2, 4.0)
    5.3
    """
    return edge_m * min_per_m + handling_min


def inspection_min(characteristics: Real, min_each: Real, setup_min: Real) -> Real:
    """Inspection: characteristics x minutes each + set-up, minutes.

    >>> inspection_min(60, 1.5, 45)
    135.0
    """
    return characteristics * min_each + setup_min

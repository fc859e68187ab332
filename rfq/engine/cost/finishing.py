# mypy: disable-error-code=no-any-return
"""Finishing by milling: step-over and scallop, faces and walls, rest in inner corners.

Source: geometry, where no other is named. Lengths in mm, areas in mm2, times in minutes.
"""

from __future__ import annotations

import numpy as np

from rfq.engine.cost.arrays import Real
from rfq.engine.cost.errors import require


def step_over_mm(ball_radius_mm: Real, scallop_mm: Real) -> Real:
    """Step-over that leaves a scallop of height h: 2 sqrt(2 R h - h2), mm, on a flat.

    Raises:
        EstimateError: scallop above the ball's radius, or not above zero.

    >>> float(step_over_mm(5.0, 0.01))
    0.632139225
    """
    scallop = np.asarray(scallop_mm)
    require(
        (scallop > 0) & (scallop <= np.asarray(ball_radius_mm)),
        "scallop_mm",
        "scallop_mm must be above zero and not above the ball's radius",
    )
    return 2.0 * np.sqrt(2.0 * ball_radius_mm * scallop - scallop**2)


def scallop_mm(ball_radius_mm: Real, step_mm: Real) -> Real:
    """Scallop height that a step-over leaves: R - sqrt(R2 - (ae/2)2), mm.

    >>> float(scallop_mm(5.0, 0.632139225))
    0.01
    """
    radius = np.asarray(ball_radius_mm)
    require(
        np.asarray(step_mm) <= 2 * radius, "step_mm", "step_mm must not be above the ball's width"
    )
    return radius - np.sqrt(radius**2 - (np.asarray(step_mm) / 2.0) ** 2)


def area_min(area_mm2: Real, step_mm: Real, feed_mm_per_min: Real, engaged: Real) -> Real:
    """Time to cover an area in strips: A / (ae vf eta), minutes.

    Args:
        engaged: share of the path time spent cutting, 0.55 to 0.85 (common practice).

    >>> area_min(20000.0, 0.632139, 1800.0, 0.75)
    23.43601
    """
    return area_mm2 / (step_mm * feed_mm_per_min * engaged)


def rest_area_mm2(tool_radius_mm: Real, corner_radius_mm: Real) -> Real:
    """What a cutter leaves in a 90 degree inner corner: (1 - pi/4)(R2 - r2), mm2, never below 0.

    >>> float(rest_area_mm2(8.0, 3.0))
    11.8031010
    """
    square = np.asarray(tool_radius_mm) ** 2 - np.asarray(corner_radius_mm) ** 2
    return (1.0 - np.pi / 4.0) * np.maximum(square, 0.0)


def wall_factor(height_over_thickness: Real) -> Real:
    """Slowing of a thin wall's finishing: 1 to 8, 1.3 to 15, 2 above (height over thickness).

    Between the steps the factor runs straight from 8 to 30, so that a wall a hair thinner
    never costs a jump. Source: common practice; above 30 the estimate carries a flag.

    >>> float(wall_factor(5.0)), float(wall_factor(15.0)), float(wall_factor(30.0))
    (1.0, 1.3, 2.0)
    """
    return np.interp(height_over_thickness, [8.0, 15.0, 30.0], [1.0, 1.3, 2.0])

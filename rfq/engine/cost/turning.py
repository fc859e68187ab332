# mypy: disable-error-code=no-any-return
"""Turning: passes, facing, and power (what a feed leaves: ``standards.roughness``).

Sources: handbook formulas (Groover; Carvill sec. 5.7, seen); geometry. Lengths in mm.
"""

from __future__ import annotations

import numpy as np

from rfq.engine.cost.arrays import Real
from rfq.engine.cost.errors import require


def pass_min(
    diameter_mm: Real, length_mm: Real, speed_m_per_min: Real, feed_mm_per_rev: Real
) -> Real:
    """One longitudinal pass: pi D L / (1000 vc f), minutes; D before the pass.

    >>> pass_min(50.0, 120.0, 200.0, 0.25)
    0.37699112
    """
    return np.pi * diameter_mm * length_mm / (1000.0 * speed_m_per_min * feed_mm_per_rev)


def facing_min(
    outer_mm: float,
    inner_mm: float,
    speed_m_per_min: float,
    feed_mm_per_rev: float,
    highest_speed_per_min: float | None = None,
) -> float:
    """Facing at constant cutting speed, minutes.

    Formula: pi (D2 - d2) / (4000 vc f) while the spindle can follow; below the diameter
    1000 vc / (pi n_max) the speed stays at n_max.

    Args:
        highest_speed_per_min: n_max; None ignores the limit.

    >>> facing_min(100.0, 20.0, 200.0, 0.2)
    0.1884956
    """
    require(0 <= inner_mm < outer_mm, "inner_mm", "inner_mm must lie between zero and outer_mm")
    limit = 0.0
    if highest_speed_per_min is not None:
        limit = 1000.0 * speed_m_per_min / (np.pi * highest_speed_per_min)
    turn = max(inner_mm, min(limit, outer_mm))
    followed = np.pi * (outer_mm**2 - turn**2) / (4000.0 * speed_m_per_min * feed_mm_per_rev)
    held = 0.0
    if highest_speed_per_min is not None and turn > inner_mm:
        held = (turn - inner_mm) / 2.0 / (feed_mm_per_rev * highest_speed_per_min)
    return float(followed + held)


def rough_min(
    volume_mm3: Real, speed_m_per_min: Real, feed_mm_per_rev: Real, depth_mm: Real
) -> Real:
    """Time to turn a volume away: V / (1000 vc f ap), minutes.

    >>> rough_min(100000.0, 200.0, 0.25, 2.0)
    1.0
    """
    return volume_mm3 / (1000.0 * speed_m_per_min * feed_mm_per_rev * depth_mm)


def surface_min(area_mm2: Real, speed_m_per_min: Real, feed_mm_per_rev: Real) -> Real:
    """Time to finish a turned surface: A / (1000 vc f), minutes (pass_min with A = pi D L).

    >>> surface_min(18849.556, 200.0, 0.25)
    0.376991
    """
    return area_mm2 / (1000.0 * speed_m_per_min * feed_mm_per_rev)


def turning_power_kw(
    force_n_per_mm2: Real, area_mm2: Real, speed_m_per_min: Real, efficiency: Real = 1.0
) -> Real:
    """Power of a cut of section A: kc A vc / (60000 eta), kW.

    Source: exercises of a German vocational text, chapter on turning (seen).

    >>> turning_power_kw(2500.0, 5.0, 200.0, 0.75)
    55.5556
    """
    return force_n_per_mm2 * area_mm2 * speed_m_per_min / 60000.0 / efficiency


def drilling_power_kw(
    force_n_per_mm2: float,
    diameter_mm: float,
    feed_mm_per_rev: float,
    speed_per_min: float,
    efficiency: float = 1.0,
) -> float:
    """Power of a two-edged drill, kW: two sections D f / 4 at half the rim's speed.

    Source: the same text's exercise 26 (question seen).

    >>> drilling_power_kw(2000.0, 40.0, 0.3, 800.0, 0.72)
    13.96263
    """
    section = 2.0 * diameter_mm * feed_mm_per_rev / 4.0
    middle_speed = np.pi * diameter_mm * speed_per_min / 1000.0 / 2.0
    return float(turning_power_kw(force_n_per_mm2, section, middle_speed, efficiency))

"""Holes and threads: drilling, pecking, reaming, tapping, thread milling, thread turning.

Sources: handbook formulas (from memory) and geometry. Lengths in mm, times in minutes.
"""

from __future__ import annotations

import math

import numpy as np

from rfq.engine.cost.arrays import Real
from rfq.engine.cost.errors import require


def point_length_mm(diameter_mm: Real, point_deg: float) -> Real:
    """Length of a drill's point D / (2 tan(sigma / 2)), mm: 0.300 D at 118, 0.182 D at 140 deg.

    >>> point_length_mm(10.0, 118.0)
    3.0043
    """
    require(0 < point_deg <= 180, "point_deg", "point_deg must lie between 0 and 180 degrees")
    return diameter_mm / (2.0 * math.tan(math.radians(point_deg) / 2.0))


def drill_min(
    diameter_mm: Real,
    depth_mm: Real,
    speed_m_per_min: Real,
    feed_mm_per_rev: Real,
    point_deg: float = 140.0,
    clearance_mm: float = 2.0,
) -> Real:
    """Drilling one hole: (l + e + c) / (n f), minutes.

    >>> drill_min(8.5, 25.0, 90.0, 0.2)
    0.0423501
    """
    require(np.asarray(diameter_mm) > 0, "diameter_mm", "diameter_mm must be above zero")
    speed = 1000.0 * speed_m_per_min / (np.pi * diameter_mm)
    path = depth_mm + point_length_mm(diameter_mm, point_deg) + clearance_mm
    return path / (speed * feed_mm_per_rev)


def peck_min(
    depth_mm: float,
    peck_mm: float,
    feed_mm_per_min: float,
    rapid_mm_per_min: float,
    retract_mm: float = 2.0,
    restart_mm: float = 0.5,
) -> float:
    """Deep hole with full retracts, minutes.

    Formula: N = ceil(L / q); cutting (L + R + s (N - 1)) / vf; rapid moves between pecks
    2 z_k + 2 R - s, z_k = k q, for k = 1 .. N - 1, and the last retract L + R.

    >>> peck_min(40.0, 10.0, 300.0, 15000.0)
    0.1565
    """
    require(peck_mm > 0, "peck_mm", "peck_mm must be above zero")
    pecks = math.ceil(depth_mm / peck_mm - 1e-9)
    cutting = (depth_mm + retract_mm + restart_mm * (pecks - 1)) / feed_mm_per_min
    depths = [min(k * peck_mm, depth_mm) for k in range(1, pecks + 1)]
    out = sum(z + retract_mm for z in depths)
    back = sum(z + retract_mm - restart_mm for z in depths[:-1])
    return cutting + (out + back) / rapid_mm_per_min


def ream_min(
    diameter_mm: Real,
    depth_mm: Real,
    speed_m_per_min: Real,
    feed_mm_per_rev: Real,
    clearance_mm: float = 2.0,
) -> Real:
    """Reaming one hole, in and out at feed: 2 (l + c) / (n f), minutes.

    >>> ream_min(10.0, 20.0, 20.0, 0.2)
    0.345575
    """
    speed = 1000.0 * speed_m_per_min / (np.pi * diameter_mm)
    return 2.0 * (depth_mm + clearance_mm) / (speed * feed_mm_per_rev)


def tap_min(
    diameter_mm: Real,
    pitch_mm: Real,
    length_mm: Real,
    speed_m_per_min: Real,
    return_ratio: float = 1.0,
) -> Real:
    """Rigid tapping in and out: L / (n P) (1 + 1 / k), minutes.

    Args:
        length_mm: full thread and 2 to 3 pitches of lead.
        return_ratio: return speed over cutting speed, at least 1.

    >>> tap_min(6.0, 1.0, 15.0, 15.0)
    0.0376991
    """
    require(np.asarray(pitch_mm) > 0, "pitch_mm", "pitch_mm must be above zero")
    speed = 1000.0 * speed_m_per_min / (np.pi * diameter_mm)
    return length_mm / (speed * pitch_mm) * (1.0 + 1.0 / return_ratio)


def thread_mill_min(
    diameter_mm: float,
    tool_mm: float,
    pitch_mm: float,
    length_mm: float,
    speed_m_per_min: Real,
    feed_per_tooth_mm: Real,
    teeth: int,
) -> Real:
    """Thread milling with a single profile, minutes.

    Formula: turns = ceil(L / P) + 1; path turns pi (D - Dt); the centre moves at
    n z fz (D - Dt) / D, since the edge, not the centre, runs at the feed.

    >>> thread_mill_min(10.0, 7.5, 1.5, 15.0, 60.0, 0.05, 4)
    0.6785353
    """
    require(0 < tool_mm < diameter_mm, "tool_mm", "the thread mill must be thinner than the thread")
    turns = math.ceil(length_mm / pitch_mm - 1e-9) + 1
    speed = 1000.0 * speed_m_per_min / (np.pi * tool_mm)
    centre = speed * teeth * feed_per_tooth_mm * (diameter_mm - tool_mm) / diameter_mm
    return turns * math.pi * (diameter_mm - tool_mm) / centre


def thread_turn_min(
    diameter_mm: Real, pitch_mm: Real, length_mm: Real, speed_m_per_min: Real
) -> Real:
    """Turning a thread in passes: passes (L + 3 P) / (n P), minutes.

    Passes: 4 + 4 P, rounded (common practice: 6 at 0.5 mm, 10 at 1.5 mm pitch).

    >>> float(thread_turn_min(20.0, 1.5, 20.0, 100.0))
    0.102625
    """
    passes = np.round(4.0 + 4.0 * np.asarray(pitch_mm))
    speed = 1000.0 * speed_m_per_min / (np.pi * diameter_mm)
    return passes * (length_mm + 3.0 * pitch_mm) / (speed * pitch_mm)


def rapid_min(path_mm: float, rapid_m_per_min: float, acceleration_m_per_s2: float) -> float:
    """A rapid move with its ramps, minutes.

    Formula: s / v + v / a where full speed is reached (s >= v2 / a), else 2 sqrt(s / a).

    >>> float(rapid_min(100.0, 30.0, 5.0) * 60)
    0.3
    """
    require(rapid_m_per_min > 0, "rapid_m_per_min", "rapid_m_per_min must be above zero")
    path, speed = path_mm / 1000.0, rapid_m_per_min / 60.0
    if path < speed**2 / acceleration_m_per_s2:
        seconds = 2.0 * math.sqrt(path / acceleration_m_per_s2)
    else:
        seconds = path / speed + speed / acceleration_m_per_s2
    return seconds / 60.0

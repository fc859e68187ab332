# mypy: disable-error-code=no-any-return
"""Milling: speed, feed, removal rate, force, power, and what limits them.

Sources: formulas 1.1-1.3 and 1.9 stand alike in three seen cutting-data pages; mean chip
thickness and specific force are those of Kienzle's method (DIN 6584, Tschaetsch, from memory);
the limits are geometry. Lengths in mm, speeds in m/min and 1/min, force in N/mm2.
"""

from __future__ import annotations

import numpy as np

from rfq.engine.cost.arrays import Real
from rfq.engine.cost.errors import require


def spindle_speed_per_min(cutting_speed_m_per_min: Real, diameter_mm: Real) -> Real:
    """Spindle speed n = 1000 vc / (pi D), 1/min.

    Args:
        cutting_speed_m_per_min: vc, above zero.
        diameter_mm: effective cutting diameter D, above zero (ball and bull noses: ``ball_mm``).

    Source: formula 1.1, seen in three cutting-data pages.

    >>> spindle_speed_per_min(400.0, 12.0)
    10610.3295
    """
    require(np.asarray(diameter_mm) > 0, "diameter_mm", "diameter_mm must be above zero")
    return 1000.0 * cutting_speed_m_per_min / (np.pi * diameter_mm)


def cutting_speed_m_per_min(speed_per_min: Real, diameter_mm: Real) -> Real:
    """Cutting speed vc = pi D n / 1000, m/min; the inverse of ``spindle_speed_per_min``.

    >>> cutting_speed_m_per_min(12000.0, 6.0)
    226.1947
    """
    return np.pi * diameter_mm * speed_per_min / 1000.0


def limited_speed_m_per_min(
    cutting_speed: Real, diameter_mm: Real, highest_speed_per_min: Real
) -> Real:
    """Cutting speed that is left under the spindle's highest speed, m/min.

    Formula: min(vc, pi D n_max / 1000). Source: geometry.

    >>> float(limited_speed_m_per_min(800.0, 10.0, 18000.0))
    565.4867
    """
    return np.minimum(cutting_speed, cutting_speed_m_per_min(highest_speed_per_min, diameter_mm))


def table_feed_mm_per_min(speed_per_min: Real, teeth: Real, feed_per_tooth_mm: Real) -> Real:
    """Table feed vf = n z fz, mm/min. Source: formula 1.2, seen in three cutting-data pages.

    >>> table_feed_mm_per_min(10610.33, 3, 0.1)
    3183.099
    """
    return speed_per_min * teeth * feed_per_tooth_mm


def feed_per_tooth_mm(feed_mm_per_min: Real, teeth: Real, speed_per_min: Real) -> Real:
    """Feed per tooth fz = vf / (n z), mm.

    >>> feed_per_tooth_mm(280.0, 12, 101.91)
    0.22896
    """
    return feed_mm_per_min / (teeth * speed_per_min)


def removal_rate_mm3_per_min(depth_mm: Real, width_mm: Real, feed_mm_per_min: Real) -> Real:
    """Removal rate Q = ap ae vf, mm3/min. Source: formula 1.3, seen in three pages.

    >>> removal_rate_mm3_per_min(8.0, 9.0, 3183.09886) / 1000
    229.18312
    """
    return depth_mm * width_mm * feed_mm_per_min


def engagement_rad(width_mm: Real, diameter_mm: Real) -> Real:
    """Arc of engagement of side milling: arccos(1 - 2 ae / D), rad, for 0 < ae <= D.

    Raises:
        EstimateError: width above the diameter, or not above zero.

    >>> float(engagement_rad(8.0, 16.0))
    1.5708
    """
    ratio = np.asarray(width_mm) / np.asarray(diameter_mm)
    require(
        (ratio > 0) & (ratio <= 1 + 1e-12),
        "width_mm",
        "width_mm (ae) must be above zero and not above the cutter's diameter",
    )
    return np.arccos(np.maximum(1.0 - 2.0 * ratio, -1.0))


def mean_chip_mm(feed_per_tooth: Real, width_mm: Real, diameter_mm: Real) -> Real:
    """Mean chip thickness hm = fz (2 ae / D) / phi, mm, of a 90 degree cutter.

    It is the mean of fz sin(phi) over the arc of engagement, exactly. Source: formula 1.5
    (Kienzle's method), seen in two programs' texts; the identity is tested by quadrature.

    >>> float(mean_chip_mm(0.1, 9.0, 12.0))
    0.0716197
    """
    phi = engagement_rad(width_mm, diameter_mm)
    return feed_per_tooth * (2.0 * width_mm / diameter_mm) / phi


def largest_chip_mm(feed_per_tooth: Real, width_mm: Real, diameter_mm: Real) -> Real:
    """Largest chip thickness hex = 2 fz sqrt(r - r2), r = ae / D, below r = 0.5; else fz.

    Source: geometry (formula 1.6).

    >>> float(largest_chip_mm(0.2, 4.0, 16.0))
    0.173205
    """
    ratio = np.minimum(np.asarray(width_mm) / np.asarray(diameter_mm), 0.5)
    return 2.0 * feed_per_tooth * np.sqrt(ratio - ratio**2)


def thinning_feed_mm(
    wanted_chip_mm: Real, width_mm: Real, diameter_mm: Real, most: float = 2.5
) -> Real:
    """Feed per tooth that gives a wanted largest chip at a narrow width, mm.

    Formula: hex / (2 sqrt(r - r2)) for r = ae / D < 0.5, never above ``most`` times hex.
    Source: geometry (formula 1.7); the cap is common practice.

    >>> float(thinning_feed_mm(0.10, 2.0, 16.0))
    0.1511858
    """
    ratio = np.minimum(np.asarray(width_mm) / np.asarray(diameter_mm), 0.5)
    require(ratio > 0, "width_mm", "width_mm (ae) must be above zero")
    return wanted_chip_mm * np.minimum(1.0 / (2.0 * np.sqrt(ratio - ratio**2)), most)


def specific_force_n_per_mm2(unit_force: Real, exponent: Real, chip_mm: Real) -> Real:
    """Specific cutting force kc = kc1.1 h^-mc, N/mm2 (Kienzle).

    Args:
        unit_force: kc1.1, N/mm2 at 1 mm chip.
        exponent: mc, 0.14 to 0.30 in the tables.
        chip_mm: mean chip thickness; good for 0.03 to 1 mm, below it the edge adds to kc.

    Source: formula 1.8, seen in two programs' texts (DIN 6584, from memory).

    >>> float(specific_force_n_per_mm2(700.0, 0.25, 0.0716197))
    1353.131
    """
    return unit_force * np.power(chip_mm, -np.asarray(exponent))


def cutting_power_kw(removal_mm3_per_min: Real, force_n_per_mm2: Real) -> Real:
    """Power at the cutting edge Pc = Q kc / 60e6, kW. Source: formula 1.9, seen in three pages.

    >>> cutting_power_kw(229183.118, 1353.131)
    5.16858
    """
    return removal_mm3_per_min * force_n_per_mm2 / 60e6


def torque_nm(power_kw: Real, speed_per_min: Real) -> Real:
    """Spindle torque M = 60000 Pc / (2 pi n), Nm. The handbooks' 9550 is this, rounded.

    >>> torque_nm(5.16858, 10610.33)
    4.6517
    """
    return 30000.0 * power_kw / (np.pi * speed_per_min)


def tooth_force_n(force_n_per_mm2: Real, chip_mm: Real, depth_mm: Real) -> Real:
    """Mean force on one tooth F = kc hm ap, N.

    >>> tooth_force_n(1353.131, 0.0716197, 8.0)
    775.29
    """
    return force_n_per_mm2 * chip_mm * depth_mm


def power_limited_mm3_per_min(motor_kw: Real, efficiency: Real, force_n_per_mm2: Real) -> Real:
    """Removal rate that the motor allows: P eta 60e6 / kc, mm3/min.

    >>> power_limited_mm3_per_min(11.0, 0.8, 1353.1311) / 1000
    390.20609
    """
    return motor_kw * efficiency * 60e6 / force_n_per_mm2


def power_at_speed_kw(motor_kw: Real, speed_per_min: Real, base_speed_per_min: Real) -> Real:
    """Motor power left below the base speed: P n / n_b, kW (constant torque there).

    >>> float(power_at_speed_kw(11.0, 750.0, 1500.0))
    5.5
    """
    return motor_kw * np.minimum(1.0, np.asarray(speed_per_min) / base_speed_per_min)


def ball_mm(depth_mm: Real, diameter_mm: Real) -> Real:
    """Effective diameter of a ball nose De = 2 sqrt(ap (D - ap)), mm, for ap < D / 2.

    >>> float(ball_mm(0.2, 10.0))
    2.8
    """
    return 2.0 * np.sqrt(depth_mm * (diameter_mm - depth_mm))


def length_derate(overhang_over_diameter: Real) -> Real:
    """Share of feed times depth that a long cutter keeps: min(1, (3.5 / LD)^1.5).

    Source: common practice (the cube law of bending says 8 times the flexibility at 6:1 of
    3:1; shops drop feed and depth from 3.5:1 on).

    >>> float(length_derate(6.0))
    0.44552
    """
    ratio = np.maximum(np.asarray(overhang_over_diameter), 1e-9)
    return np.minimum(1.0, np.power(3.5 / ratio, 1.5))


def flexibility_against_three(overhang_over_diameter: Real) -> Real:
    """Flexibility of a cutter against one of 3:1: (LD / 3)^3 (cantilever; 8 at 6:1 seen).

    >>> float(flexibility_against_three(6.0))
    8.0
    """
    return (np.asarray(overhang_over_diameter) / 3.0) ** 3


def tip_deflection_mm(
    force_n: Real, length_mm: Real, diameter_mm: Real, modulus: float = 580_000.0
) -> Real:
    """Deflection of a cutter's tip F L3 / (3 E I), I = pi d4 / 64, mm (solid round).

    Args:
        modulus: N/mm2; carbide about 580 000. For a fluted cutter use 0.8 d.

    >>> float(tip_deflection_mm(200.0, 24.0, 6.0))
    0.02497696
    """
    inertia = np.pi * np.asarray(diameter_mm) ** 4 / 64.0
    return force_n * np.asarray(length_mm) ** 3 / (3.0 * modulus * inertia)


def smaller_tool_factor(diameter_mm: Real, smaller_mm: Real) -> Real:
    """How much slower a smaller cutter removes: (D / d)^2 at constant vc, ap/D, ae/D, fz/D.

    >>> float(smaller_tool_factor(16.0, 6.0))
    7.1111
    """
    return (np.asarray(diameter_mm) / np.asarray(smaller_mm)) ** 2


def face_pass_min(
    length_mm: float, width_mm: float, diameter_mm: float, feed_mm_per_min: float
) -> float:
    """One slab-milling pass with its approach: (L + sqrt(d (D - d))) / vf, minutes.

    Args:
        width_mm: depth of cut d, below the cutter's diameter.

    Source: Groover, Fundamentals of Modern Manufacturing, ch. 22 (question seen).

    >>> face_pass_min(650.0, 9.0, 60.0, 437.676)
    1.53407
    """
    require(width_mm <= diameter_mm, "width_mm", "the depth is above the cutter's diameter")
    approach = float(np.sqrt(width_mm * (diameter_mm - width_mm)))
    return (length_mm + approach) / feed_mm_per_min

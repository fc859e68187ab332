"""Minutes of milling and turning of one piece: roughing, rest, corners, faces, walls, free form.

Formulas are those of ``milling``, ``finishing`` and ``turning``; here they are put in order, each
limit only ever reducing the feed: speed of the spindle, feed of the axes, power, overhang.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from rfq.engine.cost import finishing, milling, turning
from rfq.engine.cost.entry import Entry
from rfq.engine.cost.graph import Inputs

#: Most that the feed is raised in a narrow cut; common practice.
MOST_THINNING = 1.5

_KIENZLE = "Kienzle's method (DIN 6584, from memory)"


@dataclass(frozen=True, slots=True)
class Tool:
    """What one milling cutter does: table feed mm/min, removal mm3/min."""

    feed: Any
    removal: Any
    speed: Any


@dataclass(frozen=True, slots=True)
class Cutting:
    """Minutes of one piece in the cut, by kind of work.

    ``removal`` is the roughing rate in mm3/min, for savings and explanations.
    """

    rough: Any
    rest: Any
    corners: Any
    finish: Any
    removal: Any

    @property
    def total(self) -> Any:
        """All minutes in the cut."""
        return self.rough + self.rest + self.corners + self.finish


def _feed_at(p: Inputs, diameter: Any) -> Any:
    """Feed per tooth by cutter size: the table's at 12 mm, in proportion below, root above."""
    ratio = diameter / 12.0
    return p("feed_per_tooth") * np.where(ratio < 1.0, ratio, np.sqrt(ratio))


def _tool(
    p: Inputs, entry: Entry, diameter: Any, depth: Any, width: Any, *, note: bool = False
) -> Tool:
    """A roughing cutter under all limits.

    Order: spindle speed, feed of the axes, power with the torque below base speed.
    """
    manner = entry.material.manner
    teeth = 3 if manner == "easy" else 4
    wanted = p("cutting_speed")
    speed = milling.limited_speed_m_per_min(wanted, diameter, p("highest_speed"))
    rpm = 1000.0 * speed / (np.pi * diameter)
    ratio = width / diameter
    narrow = np.minimum(ratio, 0.5)  # a narrow cut thins the chip, so the feed may rise
    tooth = _feed_at(p, diameter) * np.minimum(0.5 / np.sqrt(narrow - narrow**2), MOST_THINNING)
    feed = np.minimum(rpm * teeth * tooth, p("highest_feed"))
    tooth = feed / (rpm * teeth)
    removal = depth * width * feed
    chip = tooth * 2.0 * ratio / np.arccos(1.0 - 2.0 * ratio)
    force = p("unit_force") * chip ** (-entry.material.exponent)
    motor = milling.power_at_speed_kw(p("motor_power"), rpm, p("base_speed"))
    allowed = milling.power_limited_mm3_per_min(motor, p("motor_efficiency"), force)
    share = np.minimum(1.0, allowed / removal)
    removal, feed = removal * share, feed * share
    if note and p.steps is not None:
        p.note("cutting speed", speed, "m/min", "min(vc, pi D n_max / 1000)", "geometry", "run")
        p.note("spindle speed", rpm, "1/min", "1000 vc / (pi D)", "handbook formula, seen", "run")
        p.note("mean chip", chip, "mm", "fz (2 ae / D) / phi", _KIENZLE, "run")
        p.note("specific force", force, "N/mm2", "kc1.1 hm^-mc", _KIENZLE, "run")
        p.note(
            "power", milling.cutting_power_kw(removal, force), "kW", "Q kc / 60e6",
            "handbook formula, seen", "run",
        )  # fmt: skip
        p.note("table feed", feed, "mm/min", "n z fz, limited", "handbook formula, seen", "run")
        p.note(
            "removal rate", removal / 1000.0, "cm3/min", "ap ae vf, limited by power",
            "handbook formula, seen", "run",
        )  # fmt: skip
    return Tool(feed, removal, speed)


def rough_cutter_mm(p: Inputs, entry: Entry) -> Any:
    """Largest sensible roughing cutter: the parameter, capped by part and pocket."""
    cap = 0.4 * entry.sizes_mm[1]
    if entry.pocket_width_mm:
        cap = min(cap, 0.7 * entry.pocket_width_mm)
    return np.minimum(p("roughing_cutter"), max(cap, 2.0))


def mill(p: Inputs, entry: Entry, chips_mm3: Any, area_mm2: Any, free_share: float) -> Cutting:
    """Milling minutes of one piece.

    Args:
        chips_mm3: volume to remove.
        area_mm2: surface that is milled to finish.
        free_share: share of it that is free-form.
    """
    manner = entry.material.manner
    cutter = rough_cutter_mm(p, entry)
    depth = p(f"{manner}_cut_depth") * cutter
    width = p(f"{manner}_cut_width") * cutter
    tool = _tool(p, entry, cutter, depth, width, note=True)
    reach = entry.pocket_depth_mm or 0.6 * entry.height_mm
    removal = tool.removal * milling.length_derate(reach / cutter)
    engaged = p("engaged_share_rough")
    rest_share = p("rest_share")
    rough = chips_mm3 * (1.0 - rest_share) / (removal * engaged)
    p.note("chips", chips_mm3 / 1000.0, "cm3", "stock - finished volume", "geometry", "run")
    p.note("roughing", rough, "min", "V (1 - rest) / (Q engaged)", "common practice: shares", "run")
    rest_cutter = 0.5 * cutter
    rest_removal = tool.removal / 4.0 * milling.length_derate(reach / rest_cutter)
    rest = chips_mm3 * rest_share / (rest_removal * engaged)
    p.note("rest steps", rest, "min", "V rest / (Q (d/D)^2 engaged)", "geometry", "run")
    corners = _corners(p, entry, cutter, tool)
    finish = _finish(p, entry, area_mm2, free_share)
    return Cutting(rough, rest, corners, finish, removal)


def _corners(p: Inputs, entry: Entry, cutter: Any, tool: Tool) -> Any:
    """Inner corners by the cutter that fits their radius, down to their depth."""
    count = entry.corners if entry.corners is not None else p("corner_count")
    if entry.corners == 0:
        return 0.0
    radius = entry.corner_radius_mm if entry.corner_radius_mm is not None else p("corner_radius")
    depth = (
        entry.corner_depth_mm
        if entry.corner_depth_mm is not None
        else p("corner_depth") * entry.height_mm
    )
    small = np.maximum(np.minimum(1.7 * radius, cutter), 0.3)
    slow = milling.length_derate(depth / small)
    per_size = (cutter / small) ** 2
    volume = finishing.rest_area_mm2(cutter / 2.0, radius) * depth * count
    clear = volume / (tool.removal / per_size * slow * p("engaged_share_rough"))
    manner = entry.material.manner
    teeth = 3 if manner == "easy" else 4
    speed = milling.limited_speed_m_per_min(p("finish_speed"), small, p("highest_speed"))
    feed = np.minimum(
        1000.0 * speed / (np.pi * small) * teeth * _feed_at(p, small), p("highest_feed")
    )
    wall = count * p("wall_per_corner") * depth
    walls = finishing.area_min(
        wall, p("wall_depth") * small, feed * slow, p("engaged_share_finish")
    )
    minutes = clear + walls
    p.note(
        "inner corners", minutes, "min",
        "(1 - pi/4)(R2 - r2) depth n / Q_small + n wall depth / (ap vf)",
        "geometry; overhang (3.5 / LD)^1.5 common practice", "run",
    )  # fmt: skip
    return minutes


def _finish(p: Inputs, entry: Entry, area_mm2: Any, free_share: float) -> Any:
    """Floors and walls by a cutter, free-form faces by a ball nose and its scallop."""
    manner = entry.material.manner
    teeth = 3 if manner == "easy" else 4
    cutter = np.minimum(p("finish_cutter"), max(0.4 * entry.sizes_mm[1], 2.0))
    speed = milling.limited_speed_m_per_min(p("finish_speed"), cutter, p("highest_speed"))
    feed = np.minimum(
        1000.0 * speed / (np.pi * cutter) * teeth * _feed_at(p, cutter) * 0.7, p("highest_feed")
    )
    engaged = p("engaged_share_finish")
    plain = area_mm2 * (1.0 - free_share)
    floors = p("floor_share")
    rate = feed * engaged
    minutes = plain * floors / (0.6 * cutter * rate)
    walls = plain * (1.0 - floors) / (p("wall_depth") * cutter * rate)
    minutes = minutes + walls * float(finishing.wall_factor(entry.wall_ratio))
    if free_share > 0.0:
        ball = p("ball_cutter")
        fast = milling.limited_speed_m_per_min(p("finish_speed"), 0.5 * ball, p("highest_speed"))
        ball_feed = np.minimum(
            1000.0 * fast / (np.pi * 0.5 * ball) * 2 * _feed_at(p, ball), p("highest_feed")
        )
        step = finishing.step_over_mm(ball / 2.0, p("scallop"))
        free = finishing.area_min(area_mm2 * free_share, step, ball_feed, engaged)
        p.note(
            "free-form faces", free, "min", "A / (2 sqrt(2 R h - h2) vf engaged)", "geometry", "run"
        )
        minutes = minutes + free
    p.note(
        "finishing", minutes, "min", "floors A / (0.6 D vf) + walls A / (ap vf) + free form",
        "geometry; step-over common practice", "run",
    )  # fmt: skip
    return minutes


def turn(p: Inputs, entry: Entry, chips_mm3: Any, area_mm2: Any) -> Cutting:
    """Turning minutes of one piece; a mill-turn part has a share of its chips milled.

    Args:
        chips_mm3: volume to remove.
        area_mm2: turned surface.
    """
    speed = p("cutting_speed") * np.minimum(p("turn_speed"), 1.7)
    bar = entry.stock.sizes_mm[0] if len(entry.stock.sizes_mm) == 2 else entry.diameter_mm
    speed = milling.limited_speed_m_per_min(speed, 0.7 * bar, p("lathe_highest_speed"))
    depth = np.minimum(p("turn_depth"), max(0.05 * bar, 0.3))
    feed = p("turn_feed")
    engaged = p("turn_engaged")
    milled = 0.0
    rest: Any = 0.0
    if entry.mill_turn:
        milled = p("milled_share")
        cut = mill(p, entry, chips_mm3 * milled, 0.25 * area_mm2, entry.free_form_share)
        rest = cut.total
    chip = feed
    force = p("unit_force") * chip ** (-entry.material.exponent)
    removal = 1000.0 * speed * feed * depth
    allowed = milling.power_limited_mm3_per_min(p("motor_power"), p("motor_efficiency"), force)
    removal = np.minimum(removal, allowed)
    rough = chips_mm3 * (1.0 - milled) / (removal * engaged)
    finish = turning.surface_min(area_mm2, speed, p("turn_finish_feed")) / engaged
    finish = finish + p("part_off")
    p.note("chips", chips_mm3 / 1000.0, "cm3", "stock - finished volume", "geometry", "run")
    p.note("turning speed", speed, "m/min", "min(vc, pi D n_max / 1000)", "geometry", "run")
    p.note("rough turning", rough, "min", "V / (1000 vc f ap engaged)", "handbook formula", "run")
    p.note(
        "finish turning", finish, "min", "A / (1000 vc f engaged) + parting off",
        "handbook formula", "run",
    )  # fmt: skip
    return Cutting(rough, rest, 0.0, finish, removal)

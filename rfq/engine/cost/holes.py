"""Minutes of holes, threads and tight features of one piece, callout by callout.

Drilling, reaming, boring, tapping and thread milling by the formulas of ``drilling``; what a
tolerance or a texture adds by ``precision``. The finer always contains the coarser's work, so
that a tighter callout never costs less.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from rfq.engine.cost import drilling, precision
from rfq.engine.cost.entry import Entry
from rfq.engine.cost.features import Feature
from rfq.engine.cost.graph import Inputs


@dataclass(slots=True)
class FeatureWork:
    """Minutes of one piece for its callouts.

    Args:
        holes: minutes of holes and threads.
        precise: minutes that tolerances and textures add to the run.
        grinding: minutes of grinding or honing.
        ground: number of features that are ground or honed.
        tools: cutters needed beyond the usual set.
    """

    holes: Any = 0.0
    precise: Any = 0.0
    grinding: Any = 0.0
    ground: int = 0
    tools: int = 0


def _depth(feature: Feature, entry: Entry) -> float:
    """Depth of a hole: as said, else through the part or 1.5 diameters."""
    if feature.depth_mm:
        return min(feature.depth_mm, entry.sizes_mm[0])
    if feature.through:
        return entry.length_mm if entry.turned else entry.height_mm
    usual = max(1.5 * feature.size_mm, 3.0)
    limit = entry.length_mm if entry.turned else entry.height_mm
    return min(usual, limit)


def _drill(p: Inputs, entry: Entry, diameter: float, depth: float) -> Any:
    """One drilled hole with its positioning; deep ones with pecks, large ones bored out."""
    table = entry.material.row.drill_m_per_min
    speed = np.minimum(table * p("drill_speed"), np.pi * diameter * p("highest_speed") / 1000.0)
    small = min(diameter, 20.0)
    feed = np.minimum(p("drill_feed") * small, 0.35)
    minutes = drilling.drill_min(small, depth, speed * small / diameter, feed)
    deep = depth / small
    limit = 5.0 if entry.material.manner == "easy" else 3.0
    if deep > limit:  # full retracts; a rapid move of 15 m/min for each, and slower cutting
        pecks = int(np.ceil(deep))
        minutes = minutes * (1.0 + 0.04 * (deep - limit)) + pecks * (depth + 4.0) / 15000.0
    if diameter > 20.0:  # opened by an end mill going round: chips at a modest rate
        chips = np.pi / 4.0 * (diameter**2 - 20.0**2) * depth
        # a 12 mm cutter of 3 teeth, 6 mm deep and 4 mm wide: Q = 1000 vc fz 3 / (12 pi) x 24
        rate = 1900.0 * p("cutting_speed") * p("feed_per_tooth")
        minutes = minutes + chips / (rate * p("engaged_share_rough"))
    return minutes + p("hole_position")


def _fine_hole(p: Inputs, entry: Entry, feature: Feature, depth: float) -> tuple[Any, Any]:
    """What the fit of one hole adds: (minutes at the machine, minutes of honing)."""
    diameter, grade = feature.size_mm, feature.grade
    if grade > 9:
        return 0.0, 0.0
    speed = entry.material.row.drill_m_per_min * p("drill_speed")
    pass_ = p("bore_pass") + (depth + 2.0) / (
        1000.0 * np.minimum(p("finish_speed"), 250.0) / (np.pi * diameter) * 0.08
    )
    measure = p("measure_in_cycle")
    if grade == 9:
        return 0.5 * measure, 0.0
    ream = pass_
    if diameter <= 25.0:
        slow = drilling.ream_min(
            diameter, depth, speed * p("ream_speed"), p("ream_feed") * diameter
        )
        ream = np.minimum(slow + p("hole_position"), pass_)
    if grade == 8:
        return ream + 0.7 * measure, 0.0
    seven = ream + (0.5 * pass_ if diameter > 25.0 else 0.0) + measure
    if grade == 7:
        return seven, 0.0
    six = np.maximum(seven, 2.0 * pass_ + measure) + measure
    return (six, 0.0) if grade == 6 else (six, p("grind_minutes"))


def _fine_face(p: Inputs, feature: Feature) -> tuple[Any, Any]:
    """What a tight size of a face or shaft adds: (minutes at the machine, of grinding)."""
    grade = feature.grade
    if grade > 9:
        return 0.0, 0.0
    pass_, measure = p("bore_pass"), p("measure_in_cycle")
    if grade >= 8:
        return (0.5 if grade == 9 else 1.0) * measure, 0.0
    if grade == 7:
        return 0.7 * pass_ + measure, 0.0
    six = 1.5 * pass_ + 2.0 * measure
    return (six, 0.0) if grade == 6 else (six, p("grind_minutes"))


def _thread(p: Inputs, entry: Entry, feature: Feature) -> Any:
    """One thread with its core hole: tapped to M16, milled above; outer ones turned or milled."""
    size, pitch, manner = feature.size_mm, feature.pitch_mm, entry.material.manner
    if feature.kind == "outer thread":
        length = feature.depth_mm or 1.5 * size
        if entry.turned:
            return drilling.thread_turn_min(size, pitch, length, 0.5 * p("cutting_speed"))
        return _milled(p, entry, size, pitch, length)
    depth = feature.depth_mm or _depth(feature, entry)
    core = _drill(p, entry, max(size - pitch, 0.6 * size), depth + 0.5 * size)
    if size <= 16.0:
        tapping = drilling.tap_min(size, pitch, depth + 2.5 * pitch, p(f"tap_speed_{manner}"))
        return core + tapping + p("hole_position")
    return core + _milled(p, entry, size, pitch, depth) + p("hole_position")


def _milled(p: Inputs, entry: Entry, size: float, pitch: float, length: float) -> Any:
    speed = np.minimum(p("cutting_speed"), 150.0)
    tooth = 0.5 * p("feed_per_tooth")
    teeth = 3 if entry.material.manner == "easy" else 4
    return drilling.thread_mill_min(size, 0.72 * size, pitch, length, speed, tooth, teeth)


def feature_work(p: Inputs, entry: Entry, finish_min: Any) -> FeatureWork:
    """Minutes of all callouts of one piece.

    Args:
        finish_min: finishing minutes of the whole piece; a callout's multiplier works on its
            share of them.
    """
    work = FeatureWork()
    faces = max(sum(f.count for f in entry.features if f.kind != "other"), 8)
    share = np.clip(finish_min / faces, 0.1, 3.0)
    power = p("tightness_exponent")
    sizes: set[float] = set()
    for feature in entry.features:
        minutes: Any = 0.0
        fine: Any = 0.0
        grind: Any = 0.0
        count = feature.count
        if feature.kind == "hole" and feature.size_mm > 0:
            depth = _depth(feature, entry)
            minutes = _drill(p, entry, feature.size_mm, depth)
            fine, grind = _fine_hole(p, entry, feature, depth)
            minutes = minutes + fine
            sizes.add(round(feature.size_mm, 2))
            if feature.grade <= 8:
                sizes.add(-round(feature.size_mm, 2))
        elif feature.kind in ("thread", "outer thread"):
            minutes = _thread(p, entry, feature)
            sizes.add(round(feature.size_mm, 2))
            sizes.add(1000.0 + round(feature.size_mm, 2))
        elif feature.kind in ("face", "shaft"):
            fine, grind = _fine_face(p, feature)
            work.precise = work.precise + fine * count
        precise = (_multiplier(feature, power) - 1.0) * share * count
        if feature.kind == "texture" and feature.ra_um is not None and feature.ra_um < 0.4:
            grind = p("grind_minutes")
        if np.any(np.asarray(grind) > 0):
            work.ground += count
        work.holes = work.holes + minutes * count
        work.precise = work.precise + precise
        work.grinding = work.grinding + grind * count
    work.tools = len(sizes)
    general = precision.texture_multiplier(entry.general_ra_um) * entry.general_grade_factor
    work.precise = work.precise + (general - 1.0) * finish_min
    p.note(
        "holes and threads", work.holes, "min", "sum of (l + e + c) / (n f), taps, reamers",
        "handbook formulas", "holes and threads",
    )  # fmt: skip
    p.note(
        "tolerances and textures", work.precise, "min",
        "(T / IT12)^-k on each callout's share of finishing; the larger of size and texture",
        "form of Sutherland and Roth 1975 (from memory); exponent on a seen trade rule", "run",
    )  # fmt: skip
    if work.ground:
        p.note(
            "grinding or honing", work.grinding, "min", "features x minutes", "common practice",
            "run",
        )  # fmt: skip
    return work


def _multiplier(feature: Feature, power: Any) -> Any:
    """The larger of the tolerance's and the texture's multiplier."""
    texture = precision.texture_multiplier(feature.ra_um) if feature.ra_um is not None else 1.0
    if feature.tolerance_um is None or feature.tolerance_um >= feature.reference_um:
        return texture
    return np.maximum((feature.tolerance_um / feature.reference_um) ** (-power), texture)

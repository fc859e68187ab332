"""The work on one piece and on one lot by any route, before rates and quantities.

A route fills a ``Work``; ``price`` turns it into euros. Minutes and hours are for one piece
(``*_min``) or for one lot (``*_h``), money is EUR.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

from rfq.engine.cost.cutting import Cutting, mill, turn
from rfq.engine.cost.entry import Entry
from rfq.engine.cost.graph import Inputs
from rfq.engine.cost.handwork import deburr_min
from rfq.engine.cost.holes import feature_work
from rfq.engine.cost.stock import mass_kg


@dataclass(slots=True)
class Work:
    """What a route asks for.

    Args:
        route: its name.
        first: 'stock', 'build' or 'casting', the element the material goes to.
        material: EUR of material a piece, less scrap; material_lot: least order, EUR.
        spare: EUR of one more blank, for lots of up to three.
        machine, machine_share: parameters whose product is the machine's selling rate.
        build: EUR a piece of printer and furnace; support_min: hands on it.
        run_min, hole_min, grind_min: machine minutes a piece, with loading and tool changes.
        tools_share: cutters, as a share of machine cost.
        setup_h: machine hours a lot.
        saw_min, deburr_min, wash_min: manual minutes a piece; learning shortens deburring.
        lot: EUR a lot by element; once: EUR once by name; once_h: engineer's hours by name.
        surface_mm2: finished surface. setups: number of set-ups.
        makeshift: EUR of clamping without a fixture of its own, 0 where none is needed.
    """

    route: str
    first: str = "stock"
    material: Any = 0.0
    material_lot: Any = 0.0
    spare: Any = 0.0
    machine: str = "rate_3_axis"
    machine_share: str = ""
    build: Any = 0.0
    run_min: Any = 0.0
    hole_min: Any = 0.0
    grind_min: Any = 0.0
    tools_share: Any = 0.0
    setup_h: Any = 0.0
    saw_min: Any = 0.0
    deburr_min: Any = 0.0
    support_min: Any = 0.0
    wash_min: Any = 0.0
    lot: dict[str, Any] = field(default_factory=dict)
    once: dict[str, Any] = field(default_factory=dict)
    once_h: dict[str, Any] = field(default_factory=dict)
    surface_mm2: Any = 0.0
    setups: Any = 1.0
    makeshift: Any = 0.0


def volumes(p: Inputs, entry: Entry) -> tuple[Any, Any]:
    """Finished volume mm3 and surface mm2: as given, else a share of the envelope."""
    volume: Any = entry.finished_mm3
    if volume is None:
        volume = entry.envelope_mm3 * p("mass_share_unsure")
        if entry.turned:
            volume = entry.envelope_mm3 * (0.5 + 0.5 * p("mass_share_unsure"))
    surface: Any = entry.surface_mm2
    if surface is None:
        surface = entry.envelope_mm2 * p("area_factor_unsure")
    return volume, surface


def setups_of(p: Inputs, entry: Entry) -> Any:
    """Number of set-ups: as given, else by axes."""
    if entry.setups is not None:
        return float(entry.setups)
    if entry.turned:
        return p("setups_unsure_turned")
    unsure = p("setups_unsure")
    return 1.0 + 0.5 * (unsure - 1.0) if entry.axes == 5 else unsure


def machined(p: Inputs, entry: Entry) -> Work:
    """Milling or turning from billet or bar, to the finished part."""
    volume, surface = volumes(p, entry)
    material = entry.material
    stock_kg = mass_kg(entry.stock.volume_mm3, material.density_kg_per_m3)
    part_kg = mass_kg(volume, material.density_kg_per_m3)
    price = p("material_price")
    credit = (stock_kg - part_kg) * price * p("scrap_return")
    work = Work("turned" if entry.turned else "milled")
    work.material = stock_kg * price - credit
    work.spare = stock_kg * price
    work.material_lot = p("material_minimum")
    p.note("stock mass", stock_kg, "kg", "V rho", "geometry", "stock")
    p.note("finished mass", part_kg, "kg", "V rho", "geometry", "stock")
    p.note("price", price, "EUR/kg", "", p.parameters["material_price"].source, "stock")
    p.note(
        "material", work.material, "EUR", "m_s p - (m_s - m_f) p s",
        "common practice; scrap return from memory", "stock",
    )  # fmt: skip
    manner = material.manner
    work.saw_min = entry.stock.cut_mm2 / 100.0 / p(f"saw_rate_{manner}") + p("saw_handling")
    p.note("sawing", work.saw_min, "min", "section / rate + handling", "common practice", "stock")
    chips = entry.stock.volume_mm3 - volume
    area = surface * p("finished_area_share")
    cut = (
        turn(p, entry, chips, surface)
        if entry.turned
        else mill(p, entry, chips, area, entry.free_form_share)
    )
    _machine_time(p, entry, work, cut, surface)
    return work


def _machine_time(
    p: Inputs, entry: Entry, work: Work, cut: Cutting, surface: Any, extra_setup: float = 0.0
) -> None:
    """Machine minutes, set-ups, one-offs and hands, from the minutes in the cut."""
    features = feature_work(p, entry, cut.finish)
    setups = setups_of(p, entry) + extra_setup
    if extra_setup and entry.setups is not None:
        # a printed or cast blank is only machined where callouts ask: half the set-ups, and one
        # more to find it, as it has no square datum
        setups = max(1.0, 0.5 * entry.setups) + extra_setup
    usual = 4 if entry.turned else 5
    usual += 1 if entry.corners != 0 and not entry.turned else 0
    usual += 1 if entry.free_form_share > 0 else 0
    load = p("load_fixture" if entry.parallel_faces is False else "load_vice") * setups
    changes = p("tool_change") * usual * (0.5 + 0.5 * setups)
    allowance = p("allowance")
    work.setups = setups
    work.run_min = (cut.total + features.precise + load + changes) * allowance
    work.hole_min = (features.holes + p("tool_change") * features.tools) * allowance
    work.grind_min = features.grinding * allowance
    work.tools_share = p(f"tool_cost_{entry.material.manner}")
    work.surface_mm2 = surface
    if features.ground:
        work.lot["run"] = p("grind_lot")
    p.note("in the cut", cut.total, "min", "roughing + rest + corners + finishing", "sum", "run")
    p.note("load and unload", load, "min", "set-ups x minutes", "common practice", "run")
    p.note(
        "machine time", work.run_min, "min", "(cut + tolerances + load + tool changes) allowance",
        "common practice: allowance", "run",
    )  # fmt: skip
    _machine_rate(entry, work)
    _set_up(p, entry, work, usual + features.tools)
    if not entry.repeat:
        _once(p, entry, work)
    _hands(p, entry, work)


def _set_up(p: Inputs, entry: Entry, work: Work, tools: int) -> None:
    """Machine hours to set up a lot."""
    work.setup_h = work.setups * p("setup_base") + tools * p("touch_off") / 60.0
    if entry.repeat:
        work.setup_h = work.setup_h * p("repeat_setup")
    p.note(
        "set-up of a lot", work.setup_h, "h", "set-ups x base + tools x touch-off",
        "common practice; a seen guide gives 0.5 to 1 h a simple set-up", "set-ups",
    )  # fmt: skip


def _once(p: Inputs, entry: Entry, work: Work) -> None:
    """Programming and fixture."""
    count = sum(f.count for f in entry.features if f.gauge != "none" or f.kind == "hole")
    free_dm2 = work.surface_mm2 * entry.free_form_share / 1e4
    hours = (
        p("programming_base")
        + p("programming_per_setup") * work.setups
        + p("programming_per_feature") * min(count + 4, 80)
        + p("programming_per_free_form") * free_dm2
    )
    work.once_h["programming"] = hours
    p.note(
        "programming", hours, "h", "base + set-ups + features + free form", "common practice",
        "one-offs",
    )  # fmt: skip
    work.once["fixture"] = _fixture(p, entry)
    if entry.parallel_faces is False:
        work.makeshift = p("fixture_makeshift")
    p.note(
        "fixture", work.once["fixture"], "EUR", "by clamping faces and size", "common practice",
        "one-offs",
    )  # fmt: skip


def _hands(p: Inputs, entry: Entry, work: Work) -> None:
    """Deburring, washing and marking of one piece."""
    length: Any = entry.edge_m
    if length is None:
        a, b, c = entry.sizes_mm
        around = 4.0 * math.pi * entry.diameter_mm if entry.turned else 4.0 * (a + b + c)
        length = around / 1000.0 * p("edge_factor_unsure")
    ends = sum(
        f.count * (2 if f.through else 1) for f in entry.features if f.kind in ("hole", "thread")
    )
    rate = p(f"deburr_{entry.material.manner}")
    work.deburr_min = deburr_min(length, rate, p("deburr_handling")) + ends * p("deburr_hole")
    p.note(
        "deburring", work.deburr_min, "min", "edge m x rate + handling + hole ends",
        "common practice", "deburring",
    )  # fmt: skip
    work.wash_min = p("washing") + (p("marking") if entry.marking else 0.0)


def _machine_rate(entry: Entry, work: Work) -> None:
    if entry.mill_turn:
        work.machine, work.machine_share = "rate_5_axis", "mill_turn_share"
    elif entry.turned:
        work.machine, work.machine_share = "rate_3_axis", "lathe_share"
    else:
        work.machine = "rate_5_axis" if entry.axes == 5 else "rate_3_axis"


def _fixture(p: Inputs, entry: Entry) -> Any:
    """EUR of a fixture: none with parallel faces, else by what the entry says and the size."""
    if entry.parallel_faces is True:
        return 0.0
    if entry.parallel_faces is None:
        return p("fixture_unsure")
    return p("fixture_needed") * min(1.0, max(0.3, entry.sizes_mm[0] / 200.0))


def finish_machined(p: Inputs, entry: Entry, work: Work, stock_name: str) -> bool:
    """Finish machining of a printed or cast blank, where callouts ask for it.

    Faces with a size, fit, roughness or thread are machined, with some stock on them; the rest
    stays as it came. Returns whether anything is machined.
    """
    asked = [f for f in entry.features if _needs_machining(f)]
    _, surface = volumes(p, entry)
    work.surface_mm2 = surface
    if not asked:
        work.wash_min = p("washing") + (p("marking") if entry.marking else 0.0)
        return False
    faces = sum(f.count for f in asked)
    share = min(0.6, 0.04 * faces)
    area = surface * share
    chips = area * p(stock_name)
    cut = mill(p, entry, chips, area, 0.0)
    # the inner corners come printed or cast: only a share of them lies on machined faces
    cut = Cutting(cut.rough, cut.rest, cut.corners * share, cut.finish, cut.removal)
    _machine_time(p, entry, work, cut, surface, extra_setup=1.0)
    work.machine, work.machine_share = ("rate_5_axis" if entry.axes == 5 else "rate_3_axis"), ""
    return True


def _needs_machining(feature: Any) -> bool:
    if feature.kind in ("thread", "outer thread"):
        return True
    if feature.kind == "texture":
        return bool(feature.ra_um is not None and feature.ra_um <= 3.2)
    if feature.kind == "geometric":
        return bool(feature.tolerance_um is not None and feature.tolerance_um < 200.0)
    return bool(feature.kind in ("hole", "face", "shaft") and feature.grade <= 11)

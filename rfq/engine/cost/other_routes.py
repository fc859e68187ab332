"""Printing and casting as work: laser powder bed with a shared or own plate; near-net casting.

Printing follows ``printing`` (volume and layers, shared by what lies on the plate); casting rests
on common practice throughout and says so. Both finish-machine only what callouts ask for.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from rfq.engine.cost.entry import Entry
from rfq.engine.cost.graph import Inputs
from rfq.engine.cost.printing import build_h, powder_cost
from rfq.engine.cost.work import Work, finish_machined, volumes

PLATE_MM2 = 280.0 * 280.0
OWN_FILL = 0.7  # share of a plate that parts of one kind can fill
GAP_MM = 6.0

PRINTED_SHARED = "printed, shared plate"
PRINTED_ALONE = "printed, plate of its own"
CAST = "cast and machined"


def plate_pieces(entry: Entry) -> int:
    """How many of a part fit on a plate of 280 x 280 mm, standing on its middle size.

    The footprint is largest by smallest size, the middle one is up (common practice).
    """
    return max(1, int(OWN_FILL * PLATE_MM2 / footprint_mm2(entry)))


def footprint_mm2(entry: Entry) -> float:
    """What a part takes of the plate with a gap around it."""
    a, b, c = entry.sizes_mm
    return (a + GAP_MM) * ((c if b <= 300.0 else b) + GAP_MM)


def printed(p: Inputs, entry: Entry, quantity: Any, shared: bool = True) -> Work:
    """Laser powder-bed printing of one piece in the entry's printed alloy.

    Args:
        quantity: pieces of the lot, shape (quantities, 1), or a number.
        shared: other customers' parts fill the plate; else the lot has its plates alone.
    """
    volume, _ = volumes(p, entry)
    row = entry.material
    built = volume / 1000.0 * (1.0 + p("supports"))
    lasers = p("lasers")
    gain = 1.0 + (lasers - 1.0) * p("laser_gain")
    rate = p("build_rate") * gain
    low, high = entry.sizes_mm[2], entry.sizes_mm[0]
    height = low + (high - low) * p("build_height")
    layers = height * 1000.0 / p("layer")
    fit = plate_pieces(entry)
    sharing: Any
    if shared:
        sharing = np.maximum(1.0, p("plate_fill") * PLATE_MM2 / footprint_mm2(entry))
    else:
        plates = np.ceil(np.asarray(quantity) / fit)
        sharing = quantity / plates
    hours = build_h(built, rate, layers, p("recoat"), sharing)
    machine = p("printer_rate") * (1.0 + (lasers - 1.0) * p("laser_rate"))
    work = Work(PRINTED_SHARED if shared else PRINTED_ALONE, first="build")
    powder = powder_cost(built, row.density_kg_per_m3, p("powder_waste"), p("powder_price"))
    work.material = powder
    work.build = hours * machine
    work.once_h["build preparation"] = 0.0 if entry.repeat else p("print_data")
    # labour and furnace of the plate go by share; the rate of the hands is applied in price
    work.support_min = (
        p("support_removal") * _size_factor(entry) + p("plate_labour") * 60.0 / sharing
    )
    bought = p("stress_relief") / sharing
    if entry.loaded:
        bought = bought + p("hip") / (4.0 * sharing)  # a batch takes some plates
    work.build = work.build + bought
    source = "form of Ruffo 2006, Baumers 2012, Rickenbacher 2013 (from memory)"
    p.note("built volume", built, "cm3", "V (1 + supports)", source, "build")
    p.note(
        "build rate", rate, "cm3/h", "one laser x gain of the others", "common practice", "build"
    )
    p.note("layers", layers, "", "height / layer", "geometry", "build")
    p.note("pieces sharing a plate", sharing, "", "plate fill / footprint", "geometry", "build")
    p.note("printer time", hours, "h", "V / r + layers t / (3600 N)", source, "build")
    p.note("printer rate", machine, "EUR/h", "", p.parameters["printer_rate"].source, "build")
    p.note("powder", powder, "EUR", "V rho (1 + w) p", source, "build")
    p.note("furnace, wire cut", bought, "EUR", "plate / sharing", "common practice", "build")
    p.note(
        "hands on the build", work.support_min, "min", "supports + plate labour / sharing",
        "common practice", "build",
    )  # fmt: skip
    finish_machined(p, entry, work, "print_stock")
    return work


def cast(p: Inputs, entry: Entry) -> Work:
    """Near-net casting with tooling, then finish machining; common practice throughout."""
    volume, _ = volumes(p, entry)
    mass = volume * entry.material.density_kg_per_m3 / 1e9
    work = Work(CAST, first="casting")
    each = np.maximum(1.15 * mass * p("material_price") * p("cast_factor"), p("cast_minimum_each"))
    work.material = each
    work.lot["casting"] = p("cast_lot")
    if not entry.repeat:
        work.once["casting tool"] = p("cast_tooling") * _size_factor(entry)
        p.note(
            "casting tool", work.once["casting tool"], "EUR", "by size", "common practice",
            "one-offs",
        )  # fmt: skip
    p.note("rough mass", 1.15 * mass, "kg", "1.15 m", "common practice", "casting")
    p.note("casting", each, "EUR", "mass x metal price x factor", "common practice", "casting")
    finish_machined(p, entry, work, "cast_stock")
    return work


def _size_factor(entry: Entry) -> float:
    """Growth of hand work and tools with size: 1 at 100 mm, by the root, from 0.5 to 2.5."""
    return min(2.5, max(0.5, math.sqrt(entry.sizes_mm[0] / 100.0)))

"""From work to price: rates, lots, inspection, finish, yield, one-offs, overhead and margin.

The rates of the table are selling rates; the rate of a work place is the selling rate over the
typical overhead and profit, which come back as an element of their own on everything.
Quantities stand in a column, draws in a row, so that one pass prices all quantities.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from rfq.engine.cost.arrays import Array
from rfq.engine.cost.entry import Entry
from rfq.engine.cost.graph import Inputs
from rfq.engine.cost.learning import average_factor
from rfq.engine.cost.rate import selling_factor
from rfq.engine.cost.work import Work


@dataclass(frozen=True, slots=True)
class Priced:
    """Price and elements, EUR a piece, shape (quantities, draws).

    Args:
        price: the unit price.
        elements: by name, in the order of making; they sum to the price.
        once: EUR paid once, by name, shape (draws,).
        rates: EUR/h of the work places by element, shape (draws,).
    """

    price: Array
    elements: dict[str, Array]
    once: dict[str, Any]
    rates: dict[str, Any]


def typical_factor(p: Inputs) -> float:
    """Typical overhead and profit, by which selling rates are brought to rates of work places."""
    shares = p.parameters
    return float(selling_factor(shares["selling_and_general"].typical, shares["profit"].typical))


def priced(p: Inputs, entry: Entry, work: Work, quantity: Any) -> Priced:
    """Price of one piece at each quantity.

    Args:
        quantity: pieces, shape (quantities, 1), or a number for the explanation.
    """
    n = quantity
    base = 1.0 / typical_factor(p)
    three = p("rate_3_axis") * base
    machine = three if work.machine == "rate_3_axis" else p(work.machine) * base
    if work.machine_share:
        machine = machine * p(work.machine_share)
    bench = three * p("bench_share")
    engineer = three * p("engineer_share")
    inspector = three * p("inspection_share")
    good = 1.0 / (1.0 - p("reject_share"))
    tools = 1.0 + work.tools_share
    e: dict[str, Any] = {}

    cut = work.saw_min * bench / 60.0
    goods = work.material * good
    if work.first == "stock":
        # the stockist's least order, and one spare blank for lots of up to three
        spare = np.where(np.asarray(n) <= 3, work.spare / n, 0.0)
        e["stock"] = np.maximum(goods, work.material_lot / n) + spare + cut
    elif work.first == "casting":
        e["casting"] = goods + work.lot.get("casting", 0.0) / n
    else:
        hands = work.support_min * bench / 60.0
        e["build"] = (goods + work.build * good) + hands
    e["set-ups"] = work.setup_h * machine / n
    run = work.run_min * machine * tools * good / 60.0
    if _some(work.grind_min):
        grinding = three * p("grinding_share")
        run = run + work.grind_min * grinding * good / 60.0
    e["run"] = run + work.lot.get("run", 0.0) / n
    e["holes and threads"] = work.hole_min * machine * tools * good / 60.0
    learned = average_factor(p("learning"), n)
    hands_min = work.deburr_min * learned
    e["deburring"] = hands_min * bench / 60.0
    e["inspection"] = _inspection(p, entry, n, inspector)
    e["finish"] = _finish(p, entry, work, n)
    e["packing and certificates"] = _packing(p, entry, work, n, bench)
    once: dict[str, Any] = dict(work.once)
    if _some(work.makeshift):
        # without parallel faces: a fixture, or clamping each piece by other means; the cheaper
        slow = p("makeshift_load") * work.setups / 60.0 * machine
        once["fixture"] = np.minimum(once["fixture"], work.makeshift + slow * n)
    for name, hours in work.once_h.items():
        once[name] = hours * engineer
    if not entry.repeat:
        once["measuring program"] = _measuring(entry) * p("cmm_program") / 60.0 * engineer
    if entry.first_article:
        hours = p("first_article_base") + _characteristics(entry) * p("first_article_each") / 60.0
        if entry.repeat:
            hours = 0.2 * hours
        once["first article"] = hours * inspector
        p.note(
            "first article", hours, "h", "base + characteristics x minutes", "common practice",
            "one-offs",
        )  # fmt: skip
    once = {name: value for name, value in once.items() if _some(value)}
    total_once: Any = 0.0
    for value in once.values():
        total_once = total_once + value
    e["one-offs"] = total_once / n
    cost: Any = 0.0
    for value in e.values():
        cost = cost + value
    margin = selling_factor(p("selling_and_general"), p("profit"))
    e["overhead and margin"] = cost * (margin - 1.0)
    price = cost * margin
    rates = {"machine": machine, "bench": bench, "inspection": inspector, "engineer": engineer}
    _explain(p, e, rates, work, n, margin, price, once, learned)
    return Priced(price, e, once, rates)


def _some(value: Any) -> bool:
    return not (isinstance(value, (int, float)) and value == 0.0)


def _characteristics(entry: Entry) -> int:
    return sum(feature.count for feature in entry.features if feature.gauge != "none")


def _measuring(entry: Entry) -> int:
    """Characteristics that go to the measuring machine."""
    return sum(f.count for f in entry.features if f.gauge == "machine")


def _inspection(p: Inputs, entry: Entry, n: Any, inspector: Any) -> Any:
    """In-process and final inspection of a piece: critical ones on all, the rest on a sample.

    Sample: min(N, 1 + 2 sqrt(N)) pieces (common practice for single lots).
    """
    count: dict[tuple[str, bool], int] = {}
    for feature in entry.features:
        if feature.gauge != "none":
            gauge: str = "geometric" if feature.kind == "geometric" else feature.gauge
            key = (gauge, feature.critical)
            count[key] = count.get(key, 0) + feature.count
    each = {
        "hand": "gauge_hand",
        "thread": "gauge_thread",
        "texture": "gauge_texture",
        "machine": "cmm_each",
        "geometric": "cmm_geometric",
    }
    all_min: Any = 0.0
    some_min: Any = 0.0
    for (gauge, critical), number in count.items():
        if critical:
            all_min = all_min + number * p(each[gauge])
        else:
            some_min = some_min + number * p(each[gauge])
    measured = any(gauge in ("machine", "geometric") for gauge, _ in count)
    every = any(c for g, c in count if g in ("machine", "geometric"))
    lot: Any = 0.0
    if measured:
        lot = p("cmm_setup")
        if every:
            all_min = all_min + p("cmm_piece")
        else:
            some_min = some_min + p("cmm_piece")
    sampled = np.minimum(n, 1.0 + 2.0 * np.sqrt(n)) / n
    minutes = all_min + some_min * sampled + lot / n
    p.note(
        "inspection", minutes, "min", "critical on all, the rest on min(N, 1 + 2 sqrt N), by gauge",
        "common practice", "inspection",
    )  # fmt: skip
    return minutes * inspector / 60.0


def _finish(p: Inputs, entry: Entry, work: Work, n: Any) -> Any:
    """Outside finishes: lot minimum against area, rack and masks."""
    total: Any = 0.0
    for finish in entry.finishes:
        area = work.surface_mm2 * finish.area_share / 1e4
        family = finish.family
        each = (
            area * p(f"area_price.{family}")
            + p(f"rack.{family}")
            + finish.masks * p(f"mask.{family}")
        )
        least = p(f"lot_minimum.{family}")
        cost = np.maximum(each, least / n)
        p.note(
            f"{finish.name}", cost, "EUR", "max(lot minimum / N, A p + rack + masks)",
            "common practice", "finish",
        )  # fmt: skip
        total = total + cost
    return total


def _packing(p: Inputs, entry: Entry, work: Work, n: Any, bench: Any) -> Any:
    """Washing, packing, certificates."""
    size = max(0.3, entry.sizes_mm[0] / 100.0)
    cost = work.wash_min * bench / 60.0 + p("packing") * min(size, 4.0) + p("packing_lot") / n
    if entry.certificate in ("2.1", "2.2"):
        cost = cost + p("certificate_2") / n
    elif entry.certificate == "3.1":
        cost = cost + p("certificate_3_1") / n
    elif entry.certificate == "3.2":
        cost = cost + p("certificate_3_2") / n
    return cost


def _explain(
    p: Inputs,
    e: dict[str, Any],
    rates: dict[str, Any],
    work: Work,
    n: Any,
    margin: Any,
    price: Any,
    once: dict[str, Any],
    learned: Any,
) -> None:
    if p.steps is None:
        return
    region = p.parameters["rate_3_axis"].source
    p.note("machine", rates["machine"], "EUR/h", "selling rate / typical margin", region, "run")
    p.note("bench", rates["bench"], "EUR/h", "3-axis rate x share", "common practice", "deburring")
    p.note(
        "inspection", rates["inspection"], "EUR/h", "3-axis rate x share", "common practice",
        "inspection",
    )  # fmt: skip
    p.note(
        "engineer", rates["engineer"], "EUR/h", "3-axis rate x share", "common practice",
        "one-offs",
    )  # fmt: skip
    p.note(
        "learning", learned, "x", "mean of Crawford's unit curve over the lot",
        "midpoint integral; rate common practice", "deburring",
    )  # fmt: skip
    p.note("quantity", n, "pcs", "", "", "")
    how = {
        "stock": "max(material / yield, least order / N) + spare blank for N <= 3 + sawing",
        "build": "(powder + hours x rate + furnace) / yield + hands",
        "casting": "casting / yield + lot / N",
        "set-ups": "h a lot x EUR/h / N",
        "run": "min x EUR/h / 60 (1 + cutters) / yield",
        "holes and threads": "min x EUR/h / 60 (1 + cutters) / yield",
        "deburring": "min x learning x EUR/h / 60",
        "inspection": "min x EUR/h / 60",
        "finish": "sum of finishes",
        "packing and certificates": "min x EUR/h / 60 + packing + lot / N",
        "one-offs": "sum / N",
        "overhead and margin": "cost x ((1 + SG&A)(1 + profit) - 1)",
    }
    for name, value in once.items():
        p.note(f"once: {name}", value, "EUR", "", "common practice", "one-offs")
    for name, value in e.items():
        if name != "overhead and margin":
            p.note(name, value, "EUR", how[name], "sum of the steps above", name)
    p.note(
        "overhead and margin",
        margin,
        "x",
        "(1 + SG&A)(1 + profit)",
        "common practice",
        "overhead and margin",
    )
    p.note("price at the medians of the inputs", price, "EUR", "cost x margin", "", "")

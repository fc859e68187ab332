"""The element view: a shop's breakdown against ours, where it gave one and we have elements.

Totals can't show a one-off counted twice or a wrong finish; elements can. Only a complete
breakdown of five takes part in the ratios; every other price lends its total. Our lines without
one of the five (no finish, say) keep a trace of it, so that they count by their totals.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rfq.engine.compare.against_cost import judged_price
from rfq.engine.compare.breakdown import ours_in_five
from rfq.engine.compare.elements_odd import ELEMENTS, judge_elements
from rfq.engine.compare.judgement import Judgement
from rfq.engine.compare.table import Table
from rfq.model.comparison import Band

_TRACE = 1e-6  # of the total: an element that our part doesn't have
#: What a shop's breakdown may be called out for, in words; and what a misread callout moves.
WORDS = {
    "material": "material",
    "set-up": "set-up, or a one-off counted in it",
    "run": "run time",
    "finish": "finish",
    "inspection": "inspection",
    "callout": "run and inspection together, as a misread callout would do",
}


@dataclass(frozen=True, slots=True)
class ElementFinding:
    """What the elements of one price say.

    Args:
        p_slip: probability of a slip, by the elements.
        key: the element that is out, 'callout', or '' where it is the whole price.
        next_best: the runner-up among the elements, or ''.
        ratio: the shop's element over ours.
        weight: share of the odd hypotheses that the key takes, 0 to 1.
    """

    p_slip: float
    key: str
    next_best: str
    ratio: float
    weight: float


def by_element(
    table: Table, bands: Sequence[Band | None], judgement: Judgement
) -> dict[tuple[int, int], ElementFinding]:
    """Return what the elements say of every price with a complete breakdown.

    Args:
        table: lines x shops.
        bands: of the lines, with their elements.
        judgement: of the totals; whole-reply slips found there are taken out first.
    """
    shape = (len(table.lines), len(table.shops))
    quoted = np.full((*shape, len(ELEMENTS)), np.nan)
    ours = np.ones((shape[0], len(ELEMENTS)))
    detailed: set[tuple[int, int]] = set()
    for i, band in enumerate(bands):
        five = ours_in_five(band.elements) if band is not None else {}
        whole = sum(five.values())
        if whole <= 0:
            continue
        ours[i] = [max(five.get(name, 0.0), _TRACE * whole) for name in ELEMENTS]
        for j, cell in enumerate(table.cells[i]):
            price = judged_price(cell)
            if price is None or cell.offered is None or cell.quote is None:
                continue
            slip = judgement.shops[j].slip
            taken_out = slip.factor if slip is not None and not slip.either else 1.0
            elements = _elements(table, i, j)
            if elements is None:
                quoted[i, j, ELEMENTS.index("run")] = float(price) / taken_out
            else:
                quoted[i, j] = np.array(elements) / taken_out
                detailed.add((i, j))
    if not detailed:
        return {}
    quantity = np.array([float(line.quantity) for line in table.lines])
    found = judge_elements(quoted, ours, quantity=quantity)
    out = {}
    for i, j in sorted(detailed):
        if not found.with_elements[i, j]:
            continue
        named = [(name, weight) for name, weight in found.named(i, j) if name in WORDS]
        best = found.named(i, j)[0][0] if found.named(i, j) else ""
        key = best if best in WORDS else ""
        at = ELEMENTS.index(key) if key in ELEMENTS else ELEMENTS.index("run")
        total = sum(weight for _, weight in found.named(i, j)) or 1.0
        out[i, j] = ElementFinding(
            p_slip=float(found.p_odd[i, j]),
            key=key,
            next_best=next((name for name, _ in named if name != key), "") if key else "",
            ratio=float(quoted[i, j, at] / ours[i, at]),
            weight=min(dict(named).get(key, 0.0) / total, 1.0) if key else 0.0,
        )
    return out


def _elements(table: Table, line: int, shop: int) -> list[float] | None:
    """The five elements in project currency, or None where the breakdown isn't complete."""
    cell = table.cells[line][shop]
    assert cell.offered is not None and cell.quote is not None
    price, quote, exchange = cell.offered.binding.price, cell.quote, table.given.exchange
    if not quote.breakdowns or not exchange.knows(quote.currency):
        return None
    for breakdown in quote.breakdowns:
        if breakdown.part == price.part and breakdown.quantity == price.quantity:
            values = [float(breakdown.elements.get(name, 0)) for name in ELEMENTS]
            factor = float(exchange.factor(quote.currency))
            return [value * factor for value in values] if min(values) > 0 else None
    return None

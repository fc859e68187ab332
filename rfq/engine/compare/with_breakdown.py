"""A judgement sharpened by the breakdowns that shops gave: of two probabilities the greater.

Totals find what shifts a whole price; elements find what hides in it. Where an element is out,
it is named first, and the best name by the total stays as the runner-up. A shop without a
breakdown keeps its verdict: an element that is not there is a question, not a finding.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from rfq.engine.compare.elements_odd import (
    CALLOUT_PATTERN,
    ELEMENT_START,
    ELEMENTS,
    ElementSpread,
    helmert,
    judge_elements,
)
from rfq.engine.compare.judgement import (
    CODE_ASK,
    CODE_ERROR,
    ELEMENT,
    WHOLE_REPLY,
    Judgement,
)
from rfq.engine.compare.level_and_odd import Floats
from rfq.engine.compare.posterior import LIKELY_ERROR, QUERY

_PATTERNS = {name: unit for name, unit in zip(ELEMENTS, np.eye(5), strict=True)}
_PATTERNS["callout"] = np.array(CALLOUT_PATTERN)


def judge_with_breakdown(
    judgement: Judgement,
    quoted: Floats,
    should_cost: Floats,
    spread: ElementSpread = ELEMENT_START,
) -> Judgement:
    """The judgement with every price that has a whole breakdown judged by its elements too.

    Args:
        judgement: from ``judge``, over the same lines and shops.
        quoted: L x M x 5 in the order of ``ELEMENTS``, per piece, project currency; nan where
            there is none. A shop that gave only a total: the total in any one element.
        should_cost: L x 5, our middle of each element; nan where a line has no estimate.
        spread: standard deviations of the element-wise model.

    Raises:
        ValueError: shapes that don't fit the judgement.
    """
    lines, shops = judgement.layout.lines, judgement.layout.shops
    if quoted.shape != (lines, shops, 5) or should_cost.shape != (lines, 5):
        raise ValueError(
            f"Breakdowns of shape {quoted.shape} and a should-cost of shape {should_cost.shape} "
            f"don't fit a table of {lines} lines and {shops} shops."
        )
    known = np.flatnonzero((np.nan_to_num(should_cost) > 0).all(axis=1))
    if known.size == 0:
        return judgement
    # a slip of a whole reply is taken out here as it was there
    taken_out = np.array([_shift(judgement, j) for j in range(shops)])
    found = judge_elements(quoted[known] / taken_out[None, :, None], should_cost[known], spread)
    line_of = np.full(lines, -1)
    line_of[known] = np.arange(known.size)

    basis = helmert()
    p, best, fit = judgement.p_slip.copy(), judgement.best.copy(), judgement.fit.copy()
    second, factor = judgement.second.copy(), judgement.slip_log_factor.copy()
    code = judgement.verdict_code.copy()
    element = [""] * p.size
    for at, (line, shop) in enumerate(
        zip(line_of[judgement.layout.line], judgement.layout.shop, strict=True)
    ):
        if line < 0 or not found.with_elements[line, shop] or best[at] == WHOLE_REPLY:
            continue
        p_odd = float(found.p_odd[line, shop])
        if p_odd < QUERY:
            continue
        p[at] = max(p[at], p_odd)
        code[at] = CODE_ERROR if p[at] >= LIKELY_ERROR else CODE_ASK
        names = found.named(int(line), int(shop))
        if not names or names[0][0] not in _PATTERNS:
            continue  # the whole price is shifted: the name by the total stands
        turned = basis.T @ _PATTERNS[names[0][0]]
        ratios = found.residual[line, shop, 1:]
        step = float(ratios @ turned / (turned @ turned))
        left = ratios - step * turned
        if best[at] >= 0 and judgement.p_slip[at] >= QUERY:
            second[at] = best[at]
        else:
            second[at] = -1
        best[at], element[at], factor[at] = ELEMENT, names[0][0], step
        # share of the distance in the four ratios, as a length, that the element explains
        fit[at] = max(0.0, 1.0 - float(np.linalg.norm(left) / np.linalg.norm(ratios)))
    return replace(
        judgement,
        p_slip=p,
        verdict_code=code,
        best=best,
        second=second,
        fit=fit,
        slip_log_factor=factor,
        element=tuple(element),
    )


def _shift(judgement: Judgement, shop: int) -> float:
    slip = judgement.shops[shop].slip
    return 1.0 if slip is None or slip.p < QUERY else slip.factor

"""The element view in a round: what totals can't show and a breakdown does."""

from __future__ import annotations

from decimal import Decimal as D

import numpy as np

from rfq.engine.compare.breakdown import ours_in_five
from rfq.model.codes import Verdict
from rfq.model.quote import Breakdown

SHARES = {"material": 0.20, "set-up": 0.18, "run": 0.35, "finish": 0.19, "inspection": 0.08}
ODD = (4, "birch")


def _market(market, planted: dict[str, float]):  # type: ignore[no-untyped-def]
    """Three shops with firm allocations, twelve parts; one price with some elements changed."""
    generator = np.random.default_rng(3)
    middles = np.exp(generator.normal(4.0, 0.7, 12))
    for i, middle in enumerate(middles):
        market.part(f"P{i}", 25)
        m = float(middle)
        ours = {"stock": 0.20 * m, "set_ups": 0.18 * m, "run": 0.35 * m, "finish": 0.19 * m,
                "inspection": 0.08 * m}  # fmt: skip
        market.band(f"P{i}", 25, m * 0.8, m, m * 1.25, **ours)
        known = market.estimates[f"P{i}", 25]
        elements = tuple(
            e.model_copy(update={"name": "set-ups" if e.name == "set ups" else e.name})
            for e in known.elements
        )
        market.estimates[f"P{i}", 25] = known.model_copy(update={"elements": elements})
    for shop in ("alder", "birch", "cedar"):
        prices, breakdowns = [], []
        for i, middle in enumerate(middles):
            level = np.exp(generator.normal(0, 0.08))
            values = {
                name: round(float(middle * level * share * np.exp(generator.normal(0, 0.08))), 2)
                for name, share in SHARES.items()
            }
            if (i, shop) == ODD:
                values = {n: round(v * planted.get(n, 1.0), 2) for n, v in values.items()}
            total = str(round(sum(values.values()), 2))
            prices.append(market.price(f"P{i}", 25, total))
            elements = {name: D(str(value)) for name, value in values.items()}
            breakdowns.append(Breakdown(part=f"P{i}", quantity=25, elements=elements))
        market.quote(shop, *prices, breakdowns=tuple(breakdowns))
    return market.compare(what_ifs=False)


def _asked(result):  # type: ignore[no-untyped-def]
    return {
        (line.part, x.shop)
        for line in result.lines
        for x in line.prices
        if x.verdict in (Verdict.QUERY, Verdict.LIKELY_ERROR)
    }


def test_a_one_off_counted_in_the_set_up_is_found_and_named(market, cell) -> None:  # type: ignore[no-untyped-def]
    result = _market(market, {"set-up": 2.7})
    assert _asked(result) == {("P4", "birch")}
    found = cell(result, "P4", "birch")
    assert found.slip is not None
    assert found.slip.name.startswith("set-up")
    assert "one-off" in found.question


def test_a_wrong_finish_is_found_and_named(market, cell) -> None:  # type: ignore[no-untyped-def]
    result = _market(market, {"finish": 0.3})
    assert _asked(result) == {("P4", "birch")}
    found = cell(result, "P4", "birch")
    assert found.slip is not None
    assert found.slip.name.startswith("finish")
    assert 0.2 < found.slip.factor < 0.5


def test_honest_breakdowns_raise_no_question(market) -> None:  # type: ignore[no-untyped-def]
    assert _asked(_market(market, {})) == set()


def test_our_elements_fold_into_the_five_and_keep_the_sum() -> None:
    elements = {"stock": 10.0, "set-ups": 5.0, "holes and threads": 2.0, "run": 8.0,
                "finish": 3.0, "one-offs": 4.0, "overhead and margin": 8.0}  # fmt: skip
    five = ours_in_five(elements)
    assert abs(sum(five.values()) - 40.0) < 1e-9
    assert abs(five["run"] - 10.0 * 40 / 32) < 1e-9

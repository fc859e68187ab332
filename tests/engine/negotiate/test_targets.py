"""Targets only where there is ground; letters' figures plain; next best offers for us alone."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from rfq.engine.negotiate.targets import Target, ours_in_five, plain_figure, targets
from rfq.engine.negotiate.when_to_stop import another_round
from rfq.model.codes import CellState, Verdict
from rfq.model.comparison import Band, BridgeStep, Comparison, Line, PriceCell, Quoted

D = Decimal
BAND = Band(
    low=D(80), middle=D(100), high=D(125), basis="from model",
    elements={"stock": 18, "run": 54, "finish": 18, "overhead and margin": 10},
)  # fmt: skip


def cell(shop: str, price: str, fixed: str = "0", **more: object) -> PriceCell:
    quoted = Quoted(amount=D(price), currency="EUR", per="1", quantity=25, place="")
    bridge = (
        BridgeStep(step="quoted price", amount=D(price), reason=""),
        BridgeStep(step="carriage", amount=D(fixed), reason=""),
    )
    return PriceCell.model_validate(
        {"shop": shop, "state": CellState.QUOTED, "quoted": quoted, "bridge": bridge,
         "comparable": D(price) + D(fixed), "ranked": True, **more}
    )  # fmt: skip


def found(*cells: PriceCell, band: Band | None = BAND) -> dict[str, Target]:
    line = Line(part="P-1", revision="A", quantity=25, prices=cells, should_cost=band)
    compared = Comparison(
        project="x", request="R", currency="EUR", round=1, as_of=date(2026, 7, 31), lines=(line,)
    )
    each = {("P-1", 25, one.shop): one.quoted.amount for one in cells if one.quoted}
    return {one.shop: one for one in targets(compared, each)}


def test_above_the_band_the_target_is_our_middle() -> None:
    one = found(cell("a", "150"), cell("b", "110"))["a"]
    assert (one.target, one.gain) == (D(100), D(1250))
    assert one.quoted_target == 100
    assert one.next_best == ("b", D(110))


def test_what_does_not_go_with_the_price_is_left_to_us() -> None:
    """Carriage of 20 stays: of 100 comparable, 80 is left for the quoted price."""
    assert found(cell("a", "150", "20"))["a"].quoted_target == 80
    none = found(cell("a", "50", "120"))["a"]
    assert none.target is None
    assert "above the target already" in none.why


@pytest.mark.parametrize(
    ("one", "band", "why"),
    [
        (cell("a", "110"), BAND, "inside the band"),
        (cell("a", "70"), BAND, "below the band"),
        (cell("a", "150"), None, "no should-cost"),
        (cell("a", "150"), BAND.model_copy(update={"basis": "typed"}), "typed figures alone"),
        (cell("a", "1500", verdict=Verdict.LIKELY_ERROR), BAND, "ask first"),
        (
            cell("a", "130", elements={"material": 60.0, "finish": 45.0}),
            BAND,
            "own breakdown carries the price",
        ),
    ],
)
def test_no_target_without_ground(one: PriceCell, band: Band | None, why: str) -> None:
    target = found(one, band=band)["a"]
    assert target.target is None
    assert why in target.why


def test_the_shops_own_bought_elements_move_our_middle() -> None:
    one = found(cell("a", "150", elements={"material": 30.0, "run": 80.0}))["a"]
    # Ours for material is 18 of 90 before overhead, so 20 of 100; the shop's is 10 more.
    assert one.target == D(110)
    assert "its material +10.00" in one.why


def test_ours_in_five_sum_to_the_middle() -> None:
    assert sum(ours_in_five(BAND).values()) == pytest.approx(100)


@pytest.mark.parametrize(
    ("exact", "plain"), [("100", "100"), ("130.01", "131"), ("1304", "1310"), ("0.9041", "0.905")]
)
def test_a_target_is_a_plain_figure(exact: str, plain: str) -> None:
    assert plain_figure(D(exact)) == D(plain)
    assert plain_figure(D(exact)) >= D(exact)


def test_another_round_is_weighed_against_its_delay() -> None:
    aims = tuple(found(cell("a", "150")).values())
    at = [("P-1", 25, "a")]
    worth = another_round(aims, at, (), D("1.5"), D(400), "EUR")
    assert (worth.likely_gain, worth.cost, worth.worth) == (D(625), D(600), True)
    dear = another_round(aims, at, (), D(2), D(400), "EUR")
    assert dear.worth is False
    assert "stop here and award" in dear.words
    unknown = another_round(aims, at, (), D(2), None, "EUR")
    assert unknown.worth is None
    assert another_round(aims, [], (), D(2), D(1), "EUR").likely_gain == 0

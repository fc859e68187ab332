"""From a comparison to proposals: one-offs kept whole, rules priced, reasons said."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from rfq.engine.award.options_of import Wanted, apart, wanted_of
from rfq.engine.award.proposals import CHEAPEST, NOT_ODD, SECOND, SINGLE, proposals_of
from rfq.engine.award.reasons import cautions, refused
from rfq.model.award import Proposal, Rules
from rfq.model.codes import CellState, Verdict
from rfq.model.comparison import BridgeStep, Comparison, Line, PriceCell
from rfq.model.part import Part
from rfq.model.project import Project, Settings
from rfq.model.request import Asked, Request, RequestLine
from rfq.problems import Problem, Severity

D = Decimal
SHOPS = ("ash", "birch", "cedar")


def cell(shop: str, each: str, once: str = "0", pieces: int = 20, **more: object) -> PriceCell:
    """A cell whose bridge holds the price and a one-off spread over the pieces."""
    share = D(once) / pieces
    bridge = (
        BridgeStep(step="quoted price", amount=D(each), reason=""),
        BridgeStep(step="one-offs", amount=share, reason=""),
        BridgeStep(step="accepted parts", amount=D(0), reason=""),
    )
    return PriceCell.model_validate(
        {"shop": shop, "state": CellState.QUOTED, "bridge": bridge, "ranked": True,
         "comparable": D(each) + share, "comparable_date": date(2026, 9, 1),
         "paid_before_delivery": D(10), "verdict": Verdict.IN_LINE, **more}
    )  # fmt: skip


def case(*lines: Line, critical: tuple[str, ...] = ()) -> tuple[Project, Request, Comparison]:
    numbers = tuple(dict.fromkeys(line.part for line in lines))
    parts = {
        n: Part(number=n, revision="A", name=n, material="EN AW-6082", critical=n in critical)
        for n in numbers
    }
    request = Request(
        id="R", title="t", asked=tuple(Asked(shop=s) for s in SHOPS),
        lines=tuple(
            RequestLine(part=n, quantities=tuple(x.quantity for x in lines if x.part == n),
                        order_first=20)
            for n in numbers
        ),
    )  # fmt: skip
    comparison = Comparison(project="x", request="R", currency="EUR", round=1,
                            as_of=date(2026, 7, 31), lines=lines)  # fmt: skip
    return Project(settings=Settings(name="x"), parts=parts), request, comparison


def line(part: str, *cells: PriceCell, quantity: int = 20) -> Line:
    return Line(part=part, revision="A", quantity=quantity, prices=cells)


def proposed(
    rules: Rules, *lines: Line, critical: tuple[str, ...] = ()
) -> tuple[dict[str, Proposal], tuple[Problem, ...], Wanted]:
    project, request, comparison = case(*lines, critical=critical)
    wanted, problems = wanted_of(project, request, comparison, rules)
    found, notes = proposals_of(wanted, rules, "EUR")
    return {one.name: one for one in found}, (*problems, *notes), wanted


A = line("P-1", cell("ash", "10"), cell("birch", "8", "60"), cell("cedar", "14"))
B = line("P-2", cell("ash", "12"), cell("birch", "9"), cell("cedar", "7"))


def test_a_comparable_price_is_taken_apart_into_each_and_once() -> None:
    assert apart(cell("ash", "8", "60"), 20) == (D(8), D(60))
    # With 80 % accepted everything is divided by .8, the one-off too.
    bridge = (
        BridgeStep(step="quoted price", amount=D(8), reason=""),
        BridgeStep(step="one-offs", amount=D(3), reason=""),
        BridgeStep(step="accepted parts", amount=D("2.75"), reason=""),
    )
    given = cell("ash", "8").model_copy(update={"bridge": bridge, "comparable": D("13.75")})
    assert apart(given, 20) == (D(10), D(75))


def test_proposals_side_by_side() -> None:
    found, _, _ = proposed(Rules(), A, B)
    # P-1: ash 200, birch 160 + 60, cedar 280; P-2: ash 240, birch 180, cedar 140.
    assert (found[CHEAPEST].total, set(found[CHEAPEST].shops)) == (D(340), {"ash", "cedar"})
    assert (found[SINGLE].total, found[SINGLE].shops) == (D(400), ("birch",))
    assert found[SECOND].total == D(360)  # without ash: birch 220 and cedar 140
    assert found[NOT_ODD].total == D(340)
    assert found[CHEAPEST].last_date == date(2026, 9, 1)
    assert found[CHEAPEST].paid_before_delivery == D("20.00")


def test_each_rule_has_its_price() -> None:
    found, _, _ = proposed(Rules(most_shops=1, forbidden=("cedar/P-2",)), A, B)
    best = found[CHEAPEST]
    assert best.total == D(400)
    assert best.rule_prices["at most 1 shop"] == D(20)  # ash and birch: 200 + 180
    assert best.rule_prices["nothing from cedar/P-2"] == 0


def test_a_critical_part_comes_from_two_shops_at_their_own_breaks() -> None:
    fives = line("P-1", cell("ash", "11", pieces=5), cell("birch", "9", pieces=5), quantity=5)
    whole = line("P-1", cell("ash", "10"), cell("birch", "8"))
    rules = Rules(two_shops_for_critical=True, highest_share_percent=70)
    found, _, _ = proposed(rules, fives, whole, critical=("P-1",))
    best = found[CHEAPEST]
    assert {(one.shop, one.quantity) for one in best.shares} == {("birch", 14), ("ash", 6)}
    assert best.total == D(14 * 9 + 6 * 11)
    assert best.rule_prices["critical parts from two shops"] == best.total - 160


def test_odd_and_late_prices_are_left_out_where_a_rule_says_so() -> None:
    odd = line("P-1", cell("ash", "1", verdict=Verdict.LIKELY_ERROR), cell("birch", "8"))
    found, _, _ = proposed(Rules(), odd)
    assert (found[CHEAPEST].total, found[NOT_ODD].total) == (D(20), D(160))
    late = line("P-1", cell("ash", "1", comparable_date=date(2026, 12, 1)), cell("birch", "8"))
    found, _, _ = proposed(Rules(need_date=date(2026, 10, 1)), late)
    assert found[CHEAPEST].shops == ("birch",)
    unknown = line("P-1", cell("ash", "1", comparable_date=None), cell("birch", "8"))
    found, _, _ = proposed(Rules(need_date=date(2026, 10, 1)), unknown)
    assert found[CHEAPEST].shops == ("birch",)
    assert proposed(Rules(), unknown)[0][CHEAPEST].last_date is None


def test_only_ranked_prices_take_part_and_the_reason_is_kept() -> None:
    given = line("P-1", cell("ash", "1", ranked=False, why_not_ranked="offer has expired"),
                 cell("birch", "8"))  # fmt: skip
    found, _, wanted = proposed(Rules(), given)
    assert found[CHEAPEST].shops == ("birch",)
    assert wanted.left_out == {("P-1", "ash"): "offer has expired"}
    words = refused(found[CHEAPEST], found.values(), wanted)
    assert any("P-1 from ash: not in the choice, offer has expired" in one for one in words)
    nobody = line("P-1", cell("ash", "1", ranked=False, why_not_ranked="offer has expired"))
    _, problems, _ = proposed(Rules(), nobody)
    assert next(one.code for one in problems if one.severity is Severity.STOP) == "A001"
    assert "ash: offer has expired" in problems[0].message


@pytest.mark.parametrize(
    ("rules", "said"),
    [
        (
            Rules(capacity={"ash": 15, "birch": 15, "cedar": 15}),
            "or 'no part split between shops'",
        ),
        (Rules(only=("ash",), forbidden=("ash",)), "relax 'nothing from ash' or 'only from ash'"),
        (
            Rules(only=("ash",), capacity={"ash": 5}, forbidden=("birch", "cedar")),
            "relax 'capacity of ash: 5 pcs'",
        ),
    ],
)  # fmt: skip
def test_what_stands_in_the_way_is_named(rules: Rules, said: str) -> None:
    fives = [
        line(part, *(cell(shop, "11", pieces=5) for shop in SHOPS), quantity=5)
        for part in ("P-1", "P-2")
    ]
    found, problems, _ = proposed(rules, *fives, A, B)
    assert found == {}
    assert said in problems[-1].message


def test_quantities_differ_from_what_was_asked() -> None:
    _, problems, wanted = proposed(Rules(quantities={"P-1": 30}), A, B)
    assert wanted.need == {"P-1": 30, "P-2": 20}
    assert "A003" in {one.code for one in problems}
    _, problems, _ = proposed(Rules(quantities={"P-1": 3}), A, B)
    assert "A002" in {one.code for one in problems}


def test_an_odd_price_that_is_taken_carries_a_caution() -> None:
    odd = line("P-1", cell("ash", "1", verdict=Verdict.QUERY, rank=1), cell("birch", "8"))
    found, _, _ = proposed(Rules(), odd)
    project, _, _ = case(odd)
    words = cautions(project, found[CHEAPEST], ())
    assert "P-1 from ash: the price is odd" in words[0]

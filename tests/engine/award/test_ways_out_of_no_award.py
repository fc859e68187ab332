"""What is said when no award keeps all rules, why a shop gets a line, and what was passed over."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from rfq.engine.award.options_of import wanted_of
from rfq.engine.award.proposals import CHEAPEST, NOT_ODD, SECOND, SINGLE, proposals_of, why_this
from rfq.engine.award.reasons import cautions
from rfq.model.award import Rules
from rfq.model.codes import CellState, Verdict
from rfq.model.comparison import BridgeStep, Comparison, Line, PriceCell
from rfq.model.part import FileRef, Part
from rfq.model.project import Project, Settings
from rfq.model.quote import Price, Quote, TakenException
from rfq.model.request import Asked, Request, RequestLine

D = Decimal
NOW = datetime(2026, 7, 3, tzinfo=UTC)


def cell(shop: str, each: str, **more: object) -> PriceCell:
    bridge = (BridgeStep(step="quoted price", amount=D(each), reason=""),)
    return PriceCell.model_validate(
        {"shop": shop, "state": CellState.QUOTED, "bridge": bridge, "ranked": True,
         "comparable": D(each), "comparable_date": date(2026, 9, 1),
         "paid_before_delivery": D(10), "verdict": Verdict.IN_LINE, **more}
    )  # fmt: skip


def line(part: str, *cells: PriceCell) -> Line:
    return Line(part=part, revision="A", quantity=20, prices=cells)


def project(*lines: Line, loaded: bool = False) -> tuple[Project, Request]:
    numbers = [one.part for one in lines]
    parts = {
        n: Part(number=n, revision="A", name=n, material="EN AW-6082", loaded=loaded)
        for n in numbers
    }
    request = Request(
        id="R", title="t", asked=tuple(Asked(shop=s) for s in ("ash", "fir", "oak")),
        lines=tuple(RequestLine(part=n, quantities=(20,), order_first=20) for n in numbers),
    )  # fmt: skip
    return Project(settings=Settings(name="x"), parts=parts), request


def proposed(rules: Rules, *lines: Line, prices=None):  # type: ignore[no-untyped-def]
    whole, request = project(*lines)
    comparison = Comparison(project="x", request="R", currency="EUR", round=1,
                            as_of=date(2026, 7, 3), lines=lines)  # fmt: skip
    wanted, before = wanted_of(whole, request, comparison, rules)
    found, notes = proposals_of(wanted, rules, "EUR", prices=prices)
    return {one.name: one for one in found}, [*before, *notes]


A = line("A", cell("ash", "10"), cell("fir", "8"))
B = line("B", cell("ash", "12"), cell("oak", "7"))


def test_two_rules_that_stand_in_the_way_together_are_named_together() -> None:
    rules = Rules(forbidden=("ash",), only=("ash",), capacity={"ash": 5, "fir": 5, "oak": 5})
    found, notes = proposed(rules, A, B)
    assert found == {} and notes[-1].code == "A010"
    rules = Rules(forbidden=("ash", "oak", "fir"))
    found, notes = proposed(rules, A, B)
    assert found == {} and "relax" in notes[-1].message


def test_a_part_that_nobody_can_make_is_named() -> None:
    nobody = line("B", cell("ash", "12", ranked=False, why_not_ranked="expired"))
    found, notes = proposed(Rules(), A, nobody)
    assert found == {}
    assert any("B" in note.message for note in notes if note.code in ("A001", "A010"))


def test_proposals_that_cannot_be_made_are_said_and_why() -> None:
    split = (line("A", cell("fir", "8")), line("B", cell("oak", "7", verdict=Verdict.QUERY)))
    found, notes = proposed(Rules(), *split)
    assert set(found) == {CHEAPEST}
    said = {note.message.split("'")[1]: note.message for note in notes if note.code == "A011"}
    assert set(said) == {SINGLE, SECOND, NOT_ODD}
    assert "needed for some part" in said[SECOND] and "odd prices only" in said[NOT_ODD]
    assert NOT_ODD not in proposed(Rules(without_odd=True), A, B)[0]


def test_an_order_carries_the_shop_s_own_figures_at_its_break() -> None:
    def price(quantity: int, each: str, **more: object) -> Price:
        return Price(part="A", quantity=quantity, each=D(each), currency="USD", **more)  # type: ignore[arg-type]

    own = {("A", "fir"): (price(10, "9"), price(20, "8.5", one_off=D(30)), price(50, "7"))}
    found, _ = proposed(Rules(), A, B, prices=own)
    shares = {share.shop: share for share in found[CHEAPEST].shares}
    assert (shares["fir"].quoted_each, shares["fir"].one_off) == (D("8.5"), D(30))
    assert shares["fir"].currency == "USD" and shares["oak"].quoted_each is None
    larger = {("A", "fir"): (price(50, "7"),)}
    found, _ = proposed(Rules(), A, B, prices=larger)
    assert {s.shop: s.quoted_each for s in found[CHEAPEST].shares}["fir"] == 7


def test_a_date_that_one_shop_leaves_open_is_no_date() -> None:
    late = line("B", cell("oak", "7", comparable_date=None, paid_before_delivery=None))
    best = proposed(Rules(), A, late)[0][CHEAPEST]
    assert best.last_date is None and best.note == "a shop gives no date"
    assert best.paid_before_delivery == D("10.00")
    later = line("B", cell("oak", "7", comparable_date=date(2026, 9, 8)))
    assert proposed(Rules(), A, later)[0][CHEAPEST].last_date == date(2026, 9, 8)


@pytest.mark.parametrize(
    "fields,words",
    [
        ({"rank": 1}, "lowest comparable price"),
        ({"rank": 2}, "rank 2, 25% above the lowest"),
        ({"rank": None}, ""),
        ({"rank": None, "verdict": Verdict.QUERY}, "query"),
        ({"rank": 1, "verdict": Verdict.OUTSIDE}, "lowest comparable price; outside the band"),
        ({"rank": 3, "verdict": None, "comparable": None}, "rank 3"),
    ],
)
def test_why_this_shop(fields: dict[str, object], words: str) -> None:
    lowest, own = cell("ash", "8", rank=1), cell("fir", "10", **fields)
    assert why_this(line("A", lowest, own), own) == words


def test_exceptions_on_loaded_parts_and_undecided_ones_are_cautioned() -> None:
    found, _ = proposed(Rules(), A, B)
    chosen = found[CHEAPEST]  # A from fir, B from oak

    def quote(shop: str, **taken: object) -> Quote:
        price = Price(part="A", quantity=20, each=D(8), currency="EUR")
        return Quote(
            shop=shop, request="R", received=NOW, accepted_at=NOW, source=FileRef(path="f"),
            currency="EUR", prices=(price,),
            exceptions=(TakenException.model_validate({"text": "other temper", **taken}),),
        )  # fmt: skip

    calm, loaded = project(A, B)[0], project(A, B, loaded=True)[0]
    for whole, taken, count in (
        (calm, {"part": "A", "state": "accepted"}, 0), (calm, {"part": "A"}, 1),
        (calm, {}, 1), (calm, {"part": "B"}, 0), (loaded, {"part": "A"}, 2),
        (loaded, {"part": "A", "state": "accepted"}, 1),
        (loaded, {"part": "A", "state": "refused"}, 0),
    ):  # fmt: skip
        words = cautions(whole, chosen, [quote("fir", **taken), quote("ash", part="A")])
        assert len(words) == count + 1, taken  # the last is of the should-cost, always
    assert "undecided" in cautions(calm, chosen, [quote("fir", part="A")])[0]

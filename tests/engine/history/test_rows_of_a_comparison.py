"""Which prices of a comparison become rows of the history, and what stands in them."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal
from math import log

import pytest

from rfq.engine.history.observations import lot_of, observations, work_share
from rfq.model.award import Award, Order, OrderLine, Proposal, ShareOf
from rfq.model.codes import CellState, Verdict
from rfq.model.comparison import Band, Comparison, Line, PriceCell, Quoted
from rfq.model.estimate import Element, Estimate
from rfq.model.part import Part
from rfq.model.project import Project, Settings
from rfq.model.request import Request

D = Decimal
NOW = datetime(2026, 7, 4, tzinfo=UTC)
PART = Part(number="P", revision="A", name="block", material="EN AW-6082")
ESTIMATE = Estimate(
    part="P", quantity=25, route="milled", basis="typed", low=80, middle=100, high=120,
    elements=tuple(
        Element(name=n, low=0, middle=v, high=0)
        for n, v in (("stock", 20.0), ("run", 50.0), ("finish", 10.0),
                     ("overhead and margin", 20.0))
    ),
)  # fmt: skip


def cell(shop: str, comparable: str | None, at: int | None = 25, **more: object) -> PriceCell:
    quoted = None if at is None else Quoted(amount=D(1), currency="EUR", per="1", quantity=at,
                                            place="")  # fmt: skip
    return PriceCell(shop=shop, state=CellState.QUOTED, quoted=quoted,
                     comparable=None if comparable is None else D(comparable), **more)  # type: ignore[arg-type]  # fmt: skip


def rows(*cells: PriceCell, band: bool = True, estimate: bool = True, **records: object):  # type: ignore[no-untyped-def]
    should = Band(low=D(80), middle=D(100), high=D(120), basis="typed") if band else None
    line = Line(part="P", revision="A", quantity=25, should_cost=should, prices=cells)
    project = Project(settings=Settings(name="x"), parts={"P": PART}, **records)  # type: ignore[arg-type]
    request = Request(id="R", title="t")
    comparison = Comparison(project="x", request="R", currency="EUR", round=2,
                            as_of=date(2026, 7, 3), lines=(line,))  # fmt: skip
    known = {("P", 25): ESTIMATE} if estimate else {}
    return observations(project, request, comparison, known, "one")


def test_only_a_price_at_the_very_quantity_is_a_word_on_it() -> None:
    found = rows(cell("ash", "110"), cell("fir", "90", at=10), cell("oak", None),
                 cell("elm", "0"), cell("yew", "70", at=None))  # fmt: skip
    (one,) = found
    assert (one.shop, one.comparable, one.middle, one.process) == ("ash", 110.0, 100.0, "milled")
    assert (one.low, one.high, one.basis, one.material) == (80.0, 120.0, "typed", "EN AW-6082")
    assert one.log_ratio == pytest.approx(log(1.1))
    assert one.article == ("one", "R", "P") and one.line == ("one", "R", "P", 25)
    assert (one.round, one.lot, one.currency, one.day) == (2, "6 to 25", "EUR", date(2026, 7, 3))


def test_without_a_should_cost_there_is_no_ratio() -> None:
    (one,) = rows(cell("ash", "110"), band=False, estimate=False)
    assert one.middle is None and one.log_ratio is None and one.process == ""
    assert one.work_share is None


def test_odd_prices_are_marked() -> None:
    for verdict, odd in ((Verdict.QUERY, True), (Verdict.LIKELY_ERROR, True), (None, False),
                         (Verdict.IN_LINE, False), (Verdict.OUTSIDE, False)):  # fmt: skip
        assert rows(cell("ash", "110", verdict=verdict))[0].odd is odd


def test_what_was_ordered_carries_its_dates() -> None:
    share = ShareOf(part="P", shop="ash", quantity=25, comparable_each=D(110))
    proposal = Proposal(name="cheapest", shares=(share,))
    award = Award(id="A1", request="R", round=2, decided_at=NOW, by="x", proposal=proposal,
                  reason="y")  # fmt: skip
    line = OrderLine(part="P", revision="A", quantity=25, each=D(110), currency="EUR",
                     promised=date(2026, 8, 1), received=date(2026, 8, 3))  # fmt: skip
    order = Order(id="O1", request="R", award="A1", shop="ash", placed=date(2026, 7, 5),
                  lines=(line.model_copy(update={"part": "Q"}), line))  # fmt: skip
    others = order.model_copy(update={"id": "O0", "shop": "fir"})
    foreign = order.model_copy(update={"id": "O2", "request": "S"})
    won, lost = rows(cell("ash", "110"), cell("fir", "120"), awards=(award,),
                     orders=(foreign, others, order))  # fmt: skip
    assert won.awarded and not lost.awarded
    assert (won.promised, won.received) == (date(2026, 8, 1), date(2026, 8, 3))
    assert lost.promised is None
    bare = rows(cell("ash", "110"), awards=(award,), orders=(others,))[0]
    assert bare.awarded and bare.promised is None
    other = share.model_copy(update={"quantity": 10})
    less = award.model_copy(update={"proposal": proposal.model_copy(update={"shares": (other,)})})
    assert not rows(cell("ash", "110"), awards=(less,))[0].awarded


def test_lots_and_the_share_of_work() -> None:
    assert [lot_of(n) for n in (1, 5, 6, 25, 26, 100, 101)] == [
        "1 to 5", "1 to 5", "6 to 25", "6 to 25", "26 to 100", "26 to 100", "over 100",
    ]  # fmt: skip
    assert work_share(ESTIMATE) == pytest.approx(50 / 80)  # overhead and margin spread over all
    assert work_share(None) is None
    assert work_share(ESTIMATE.model_copy(update={"elements": ()})) is None
    only = (Element(name="overhead and margin", low=0, middle=5, high=0),)
    assert work_share(ESTIMATE.model_copy(update={"elements": only})) is None

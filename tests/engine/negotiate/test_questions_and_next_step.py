"""Which questions a comparison raises, who may see an answer, and what is up next."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest

from rfq.engine.negotiate.questions import caution_of, proposed_questions, receivers
from rfq.engine.negotiate.state import request_state
from rfq.model.codes import CellState, Verdict
from rfq.model.comparison import Comparison, Line, PriceCell, ShopSummary, Slip
from rfq.model.event import Clarification
from rfq.model.part import FileRef, Part
from rfq.model.project import Project, Settings
from rfq.model.quote import Declined, Price, Quote, TakenException
from rfq.model.request import Asked, Request, RequestLine, Round
from rfq.problems import Problem, Severity

NOW = datetime(2026, 7, 3, 12, tzinfo=UTC)
PART = Part(number="P", revision="A", name="block", material="EN AW-6082", loaded=True)
REQUEST = Request(
    id="R", title="t", state="sent", lines=(RequestLine(part="P", quantities=(25,)),),
    asked=(Asked(shop="ash"), Asked(shop="fir", parts=("Q",)), Asked(shop="oak", parts=("P",))),
)  # fmt: skip


def cell(shop: str, verdict: Verdict | None, question: str) -> PriceCell:
    return PriceCell(shop=shop, state=CellState.QUOTED, verdict=verdict, question=question,
                     reason="why")  # fmt: skip


def test_the_worst_is_asked_first_and_everything_once() -> None:
    comparison = Comparison(
        project="x", request="R", currency="EUR", round=1, as_of=date(2026, 7, 3),
        lines=(
            Line(part="P", revision="A", quantity=25, prices=(
                cell("ash", None, "breaks?"), cell("fir", Verdict.QUERY, "twice?"),
                cell("oak", Verdict.OUTSIDE, ""))),
            Line(part="Q", revision="A", quantity=5, prices=(
                cell("oak", Verdict.LIKELY_ERROR, "decimal?"), cell("fir", Verdict.QUERY, "twice?"),
            )),
        ),
        shops=(
            ShopSummary(shop="ash", question="whole?", slip=Slip(name="x10", factor=10, fit=1)),
            ShopSummary(shop="fir"), ShopSummary(shop="oak", question="which currency?"),
        ),
        problems=(
            Problem("N005", "tax?", severity=Severity.ASK, subject="ash"),
            Problem("N005", "tax?", severity=Severity.ASK, subject="ash"),
            Problem("N012", "a note", severity=Severity.NOTE, subject="ash"),
            Problem("N001", "of a part", severity=Severity.ASK, subject="P"),
        ),
    )  # fmt: skip
    found = proposed_questions(comparison)
    assert [(one.shop, one.question) for one in found] == [
        ("ash", "whole?"), ("oak", "which currency?"), ("oak", "decimal?"), ("fir", "twice?"),
        ("ash", "breaks?"), ("ash", "tax?"),
    ]  # fmt: skip
    assert found[0].why == "whole reply: x10" and found[1].why == "whole reply"
    assert found[2].why == "likely error: why" and found[4].why == ": why"
    assert (found[3].part, found[3].quantity, found[5].why) == ("P", 25, "N005")


def clarification(**fields: object) -> Clarification:
    given: dict[str, object] = {"id": "Q1", "request": "R", "asked_at": NOW, "question": "q",
                                "kind": "explanation", **fields}  # fmt: skip
    return Clarification(**given)  # type: ignore[arg-type]


def project(**fields: object) -> Project:
    return Project(settings=Settings(name="x"), parts={"P": PART}, requests={"R": REQUEST},
                   **fields)  # type: ignore[arg-type]  # fmt: skip


@pytest.mark.parametrize(
    "fields,shops",
    [
        ({"answer": "a"}, ("ash", "fir", "oak")),
        ({"answer": "a", "part": "P"}, ("ash", "oak")),
        ({"kind": "price", "to_shop": "fir"}, ("fir",)),
        ({"kind": "price", "raised_by": "oak", "answer": "a"}, ("oak",)),
        ({"kind": "own solution", "raised_by": "oak", "answer": "a"}, ("oak",)),
        ({"kind": "own solution", "to_shop": "ash"}, ("ash",)),
        ({"kind": "own solution", "raised_by": "oak", "answer": "a", "consent": "yes, 3 July"},
         ("ash", "fir", "oak")),
        ({"to_shop": "fir"}, ("fir",)),
        ({"raised_by": "fir"}, ()),
    ],
)  # fmt: skip
def test_who_may_see_it(fields: dict[str, object], shops: tuple[str, ...]) -> None:
    assert receivers(project(), REQUEST, clarification(**fields)) == shops


def test_a_change_on_a_loaded_part_goes_to_the_engineer() -> None:
    assert "responsible engineer" in caution_of(project(), "P", "softer temper")
    assert caution_of(project(), "X", "softer temper") == ""
    calm = Project(settings=Settings(name="x"),
                   parts={"P": PART.model_copy(update={"loaded": False})})  # fmt: skip
    assert caution_of(calm, "P", "softer temper") == ""


# --- what is up next ------------------------------------------------------------------------------


def quote(shop: str, **fields: object) -> Quote:
    price = Price(part="P", quantity=25, each=Decimal(10), currency="EUR")
    given: dict[str, object] = {"prices": (price,), "received": NOW, **fields}
    return Quote(shop=shop, request="R", accepted_at=NOW, source=FileRef(path="f"),
                 currency="EUR", **given)  # type: ignore[arg-type]  # fmt: skip


def round_(**fields: object) -> Round:
    return Round(request="R", number=1, opened=NOW - timedelta(days=9), **fields)  # type: ignore[arg-type]


ALL = (quote("ash"), quote("fir"), quote("oak"))


@pytest.mark.parametrize(
    "state,records,words",
    [
        ("closed", {}, "closed"),
        ("open", {}, "has not gone out"),
        ("sent", {}, "make the packages"),
        ("sent", {"rounds": (round_(),)}, "waiting for ash, fir, oak"),
        ("sent", {"rounds": (round_(cut_off=NOW),)}, "waiting for"),
        ("sent", {"rounds": (round_(cut_off=NOW - timedelta(hours=1)),)}, "did not answer: remind"),
        ("sent", {"rounds": (round_(),), "quotes": ALL}, "close round 1 and compare"),
        ("sent", {"rounds": (round_(closed=NOW),), "quotes": ALL}, "compare; then award"),
        ("sent", {"rounds": (round_(closed=NOW, last=True),), "quotes": ALL}, "award"),
        ("sent", {"clarifications": (clarification(state="answered", raised_by="ash"),)},
         "1 answer to send"),
        ("sent", {"clarifications": (clarification(raised_by="ash"),)},
         "1 question of shops to answer"),
        ("sent", {"clarifications": (clarification(to_shop="ash"),)}, "make the packages"),
        ("sent", {"quotes": (quote("ash", exceptions=(TakenException(text="e"),)),)},
         "1 exception for the engineer"),
    ],
)  # fmt: skip
def test_the_next_step(state: str, records: dict[str, object], words: str) -> None:
    request = REQUEST.model_copy(update={"state": state})
    found = request_state(project(**records), request, NOW)
    assert words in found.next_step
    assert (found.newest is None) == ("rounds" not in records)


@pytest.mark.parametrize(
    "fields,answer",
    [
        ({}, "answered"),
        ({"state": "withdrawn"}, "withdrawn"),
        ({"prices": (), "declined": (Declined(part="P"),)}, "declined"),
        ({"declined": (Declined(part="Q"),)}, "answered"),
        ({"late": True}, "answered late"),
        ({"received": NOW + timedelta(minutes=1)}, "answered late"),
    ],
)
def test_a_shop_s_newest_word(fields: dict[str, object], answer: str) -> None:
    request = REQUEST
    found = request_state(
        project(rounds=(round_(closed=NOW),), quotes=(quote("ash", **fields),)), request, NOW
    )
    assert found.newest is not None
    assert [one.answer for one in found.newest.shops] == [answer, "no answer", "no answer"]
    assert found.newest.waiting == ("fir", "oak")
    assert not found.newest.open and not found.newest.overdue


def test_an_older_revision_is_told_and_exceptions_keep_their_key() -> None:
    taken = TakenException(text="e", part="P")
    records = project(
        rounds=(round_(revision=2),),
        quotes=(quote("ash", exceptions=(taken, TakenException(text="f"))),
                quote("oak", state="withdrawn", exceptions=(taken,)),
                quote("fir", revision=2, number=3)),
    )  # fmt: skip
    found = request_state(records, REQUEST, NOW)
    assert found.newest is not None
    assert [one.answer for one in found.newest.shops] == [
        "answers an older revision", "answered", "withdrawn",
    ]  # fmt: skip
    assert [(one.key, one.loaded) for one in found.exceptions] == [
        ("ash-1-1-1", True), ("ash-1-1-2", False),
    ]  # fmt: skip

"""Plain verdicts first, then proof after ISO 14253-1; undecided rejects nothing."""

from __future__ import annotations

from decimal import Decimal

import pytest

from rfq.engine.first_article.verdicts import ArticleVerdict, verdicts
from rfq.model.award import Measured
from rfq.model.callout import Callout
from rfq.model.part import Part
from rfq.model.request import Request, RequestTerms

D = Decimal


def part(*texts: str, **more: object) -> Part:
    callouts = tuple(
        Callout.model_validate({"number": str(i), "text": text, **more})
        for i, text in enumerate(texts, 1)
    )
    return Part(number="P-1", revision="A", name="p", material="EN AW-6082", callouts=callouts,
                general_tolerance="ISO 2768-m")  # fmt: skip


def judged(of: Part, *results: Measured, rule: str = "") -> ArticleVerdict:
    request = Request(id="R", title="t", terms=RequestTerms(decision_rule=rule))
    return verdicts(of, request, results)


def measured(value: str, u: str | None = None, **more: object) -> Measured:
    return Measured.model_validate(
        {"callout": "1", "value": D(value), "uncertainty": D(u) if u else None, **more}
    )


@pytest.mark.parametrize(
    ("value", "plain", "proof", "state"),
    [
        # 25 H7 is 25.000 to 25.021 (ISO 286-2); U 0.004, so g = 1.65 x 0.002 = 0.0033.
        ("25.010", "inside", "conforms, proven", "passed"),
        ("25.0177", "inside", "conforms, proven", "passed"),
        ("25.0178", "inside", "neither proven", "undecided"),
        ("25.021", "inside", "neither proven", "undecided"),
        ("25.022", "outside", "neither proven", "undecided"),
        ("25.0243", "outside", "neither proven", "undecided"),
        ("25.0244", "outside", "does not conform, proven", "failed"),
        ("24.990", "outside", "does not conform, proven", "failed"),
    ],
)
def test_plain_and_proven(value: str, plain: str, proof: str, state: str) -> None:
    whole = judged(part("25 H7"), measured(value, "0.004"))
    (one,) = whole.callouts
    assert (one.results[0].plain, one.results[0].proof, one.state) == (plain, proof, state)
    assert "1.65 u" in whole.rule


def test_the_older_editions_guard_with_the_whole_uncertainty() -> None:
    rule = "ISO 14253-1:2013, the party that measures bears the uncertainty"
    whole = judged(part("25 H7"), measured("25.0175", "0.004"), rule=rule)
    assert whole.callouts[0].state == "undecided"
    assert "g = U" in whole.rule


def test_an_undecided_value_says_which_uncertainty_would_decide_it() -> None:
    one = judged(part("25 H7"), measured("25.019", "0.004")).callouts[0].results[0]
    # 0.002 from the limit: U = 2 x 0.002 / 1.65
    assert "at most 0.0024 mm" in one.to_do
    assert "nothing is rejected" in one.to_do
    on_it = judged(part("25 H7"), measured("25.021", "0.004")).callouts[0].results[0]
    assert "another piece" in on_it.to_do


def test_a_usual_uncertainty_is_taken_and_said_where_none_is_given() -> None:
    one = judged(part("30"), measured("30.19")).callouts[0].results[0]
    assert one.assumed
    assert "usual for a caliper, assumed" in one.words
    assert one.proof == "neither proven"  # 30 ±0.2 by ISO 2768-m, caliper 0.03


def test_yes_and_no_results_and_what_is_missing() -> None:
    threads = part("4x M6-6H x 12")
    good = [Measured(callout="1", attribute="go", instance=i) for i in (1, 2, 3)]
    whole = judged(threads, *good)
    assert (whole.callouts[0].state, whole.callouts[0].missing) == ("missing", "1 of 4 results")
    whole = judged(threads, *good, Measured(callout="1", attribute="no-go", instance=4))
    assert whole.callouts[0].state == "failed"
    assert "do not release" in whole.advice
    assert judged(threads).callouts[0].missing == "no result at all"
    value = judged(threads, measured("6.0")).callouts[0].results[0]
    assert value.plain == "not judged"


def test_a_value_of_the_other_state_of_coating_is_not_judged() -> None:
    of = part("25 H7", coating="after")
    one = judged(of, measured("25.010", "0.002", state="before")).callouts[0]
    assert one.results[0].plain == "not judged"
    assert one.state == "undecided"
    assert judged(of, measured("25.010", "0.002", state="after")).callouts[0].state == "passed"


def test_datums_ask_nothing_and_geometry_and_texture_have_one_limit() -> None:
    of = part("datum A", "position Ø0.2 A", "Ra 0.8", "60° ±30'")
    whole = judged(
        of,
        Measured(callout="2", value=D("0.05")),
        Measured(callout="3", value=D("1.6")),
        Measured(callout="4", value=D("60.2")),
    )
    states = {one.asked.callout.number: one.state for one in whole.callouts}
    assert states == {"2": "passed", "3": "failed", "4": "passed"}


def test_several_pieces_each_count() -> None:
    whole = judged(part("25 H7"), measured("25.010", "0.002"), measured("25.050", "0.002", piece=2))
    assert whole.pieces == (1, 2)
    assert whole.callouts[0].state == "failed"
    assert judged(part("25 H7"), measured("25.01", "0.002")).advice.startswith("all char")

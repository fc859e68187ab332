"""What a callout asks of a first article, and what a result says without limits or values."""

from __future__ import annotations

from decimal import Decimal

import pytest

from rfq.engine.first_article.asked import asked_of
from rfq.engine.first_article.verdicts import ArticleVerdict, verdicts
from rfq.model.award import Measured
from rfq.model.callout import Callout
from rfq.model.part import Part
from rfq.model.request import Request

D = Decimal


def part(text: str, **more: object) -> Part:
    callout = Callout.model_validate({"number": "1", "text": text, **more})
    return Part(number="P", revision="A", name="p", material="EN AW-6082", callouts=(callout,),
                general_tolerance="ISO 2768-m")  # fmt: skip


def judged(of: Part, **result: object) -> ArticleVerdict:
    results = [Measured.model_validate({"callout": "1", **result})] if result else []
    return verdicts(of, Request(id="R", title="t"), results)


@pytest.mark.parametrize(
    "text,unit,lower,upper",
    [
        ("25 H7", "mm", "25", "25.021"),  # ISO 286-2
        ("Ra 0.8", "µm", "0", "0.8"),
        ("Ra 0.8 min", "µm", "0.8", "Infinity"),
        ("45° ±1°", "°", "44", "46"),
        ("flatness 0.02", "mm", "0", "0.02"),
    ],
)
def test_what_is_asked(text: str, unit: str, lower: str, upper: str) -> None:
    of = part(text)
    found = asked_of(of.callouts[0], of, None)
    assert found is not None and found.limits is not None
    assert found.unit == unit
    assert (found.limits.lower_mm, found.limits.upper_mm) == (D(lower), D(upper))


def test_what_asks_for_no_value() -> None:
    for text in ("M6-6H", "hardness 58-62 HRC"):
        of = part(text)
        found = asked_of(of.callouts[0], of, None)
        assert found is not None and found.limits is None and found.unit == ""
    datum = part("datum A")
    assert asked_of(datum.callouts[0], datum, None) is None
    unread = part("no such callout 7 7")
    found = asked_of(unread.callouts[0], unread, None)
    assert found is not None and "not understood" in found.why_not
    plain = part("45°")
    found = asked_of(plain.callouts[0], plain, None)
    assert found is not None and "no deviations of its own" in found.why_not


def test_the_advice_follows_the_worst_that_was_found() -> None:
    of = part("25 H7")
    for result, advice in (
        ({"value": "25.03", "uncertainty": "0.002"}, "do not release: at least one"),
        ({"value": "25.021", "uncertainty": "0.002"}, "better means"),
        ({}, "missing from the report"),
        ({"value": "25.01", "uncertainty": "0.002"}, "can be released"),
    ):
        assert advice in judged(of, **result).advice


def test_yes_and_no_by_gauge() -> None:
    of = part("M6-6H")
    for attribute, state in (("go", "passed"), ("pass", "passed"), ("no-go", "failed"),
                             ("fail", "failed")):  # fmt: skip
        assert judged(of, attribute=attribute, gauge="plug").callouts[0].state == state
    (neither,) = judged(of, gauge="plug").callouts[0].results
    assert "neither a value nor a yes or no" in neither.words
    (value,) = judged(of, value="6.0").callouts[0].results
    assert "a value alone says nothing" in value.words


def test_the_usual_uncertainty_is_said_to_be_assumed() -> None:
    (one,) = judged(part("25 H7"), value="25.010").callouts[0].results
    assert one.assumed and "usual for a" in one.words
    (rough,) = judged(part("Ra 0.8"), value="0.4").callouts[0].results
    assert rough.assumed and rough.uncertainty is not None and 0 < rough.uncertainty < D("0.2")
    (angle,) = judged(part("45° ±1°"), value="45").callouts[0].results
    assert angle.assumed and angle.proof == "conforms, proven"
    (least,) = judged(part("Ra 0.8 min"), value="2").callouts[0].results
    assert "0.8 µm or more" in least.words

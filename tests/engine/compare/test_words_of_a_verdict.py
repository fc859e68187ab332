"""The words of a verdict: where the price lies, what leads elsewhere, what is asked of the shop."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal
from math import log

import pytest

from rfq.engine.compare.by_element import ElementFinding
from rfq.engine.compare.explain import element_finding, facts_explain, finding, quoted_words
from rfq.engine.compare.judgement import ASK, ERROR, IN_LINE, OUTSIDE, NamedSlip
from rfq.engine.compare.slips import Explanation
from rfq.model.comparison import Band
from rfq.model.part import FileRef
from rfq.model.quote import Price, Quote, QuoteTerms

D = Decimal
BAND = Band(low=D(80), middle=D(100), high=D(120), basis="typed")
PRICE = Price(part="P", quantity=25, printed=D("90.00"), each=D(90), currency="EUR")
LEADS = (D(85), D(115))


def said(verdict: str, comparable: str = "90", band: Band | None = BAND, **more: object):  # type: ignore[no-untyped-def]
    given = {"named": None, "price": PRICE, "quantity": 25, "expected": LEADS, "alone": False,
             "adds_up": True, **more}  # fmt: skip
    return finding(verdict, comparable=D(comparable), band=band, **given)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "comparable,where",
    [("79.99", "below"), ("80", "within"), ("120", "within"), ("120.01", "above")],
)
def test_a_price_on_the_edge_of_the_band_is_within_it(comparable: str, where: str) -> None:
    assert f"is {where} the band of 80.00 to 120.00" in said(IN_LINE, comparable).reason


def test_in_line_asks_nothing_and_outside_asks_for_a_check() -> None:
    calm = said(IN_LINE)
    assert calm.question == "" and "lead to" not in calm.reason and calm.slip is None
    out = said(OUTSIDE, "150")
    assert out.question.startswith("Part P, 25 pcs, 90.00 EUR: could you check")
    assert "price level and band lead to 85.00 to 115.00" in out.reason
    between = said(OUTSIDE, "150", quantity=40, between_breaks=True)
    assert between.question.endswith("is for 25 pcs; what is it for 40 pcs?")
    assert "at the price of 25 pcs" in between.reason
    assert "is for 25 pcs" not in said(OUTSIDE, "150", quantity=40).question
    assert said(IN_LINE, between_breaks=True).question == ""


def test_who_speaks_about_the_only_quote() -> None:
    assert "so only the band speaks" in said(IN_LINE, alone=True).reason
    nothing = said(IN_LINE, band=None, alone=True, expected=None)
    assert "nothing speaks about it" in nothing.reason
    assert "no should-cost to compare with" in nothing.reason
    others = said(OUTSIDE, band=None)
    assert "the other prices lead to 85.00 to 115.00" in others.reason
    assert "lead to" not in said(OUTSIDE, band=None, expected=None).reason


def test_arithmetic_comes_before_everything() -> None:
    price = PRICE.model_copy(update={"line_total": D(999)})
    found = said(ERROR, "900", price=price, adds_up=False)
    assert "25 x 90 is not 999" in found.reason and "which of them holds" in found.question
    assert found.slip is not None and found.slip.factor == 1.0


def named(**more: object) -> NamedSlip:
    given = {"key": "x10", "factor": 10.0, "fit": 0.97, "next_best": "", "whole_reply": False,
             **more}  # fmt: skip
    return NamedSlip(**given)  # type: ignore[arg-type]


def explained(key: str, fit: float = 0.9, detail: str = "") -> Explanation:
    return Explanation(key, 1.19, fit, 0.1, True, detail)


def test_a_named_slip_with_its_runner_up() -> None:
    found = said(ERROR, "900", named=named())
    assert "far off" in found.reason and "explains 97 % of the distance" in found.reason
    assert found.slip.next_best == "" and "; or:" not in found.reason
    assert "hard to explain" in said(ASK, "900", named=named()).reason
    other = (explained("x10"), explained("dozen"))
    second = said(ERROR, "900", named=named(), other=other)
    assert "dozen" in second.slip.next_best and "; or: price of a dozen" in second.reason
    same = (explained("dozen"), explained("x10"))
    assert said(ERROR, "900", named=named(), other=same).slip.next_best == ""
    kept = said(ERROR, "900", named=named(next_best="x quantity"), other=other)
    assert "total of the line" in kept.slip.next_best


def test_an_exact_reason_wins_over_a_likely_one() -> None:
    exact = (explained("other break", 1.0, "100 pcs"), None)
    found = said(ERROR, "900", named=named(), other=exact)
    assert found.slip.name == "price of another quantity" and found.slip.reason == "100 pcs"
    assert "ten times too high" in found.slip.next_best
    assert "or for 100 pcs?" in found.question and "(100 pcs)" in found.reason
    tax = (explained("tax included", 0.9, "19 %"), explained("dozen"))
    assert "ten times" in said(ERROR, "900", named=named(), other=tax).slip.name
    nameless = said(ERROR, "900", named=named(key="", fit=0.0), other=tax)
    assert nameless.slip.name == "tax included in the price"
    assert "dozen" in nameless.slip.next_best
    whole = said(ERROR, "900", named=named(whole_reply=True), other=exact)
    assert whole.question.startswith("Your whole quotation") and "whole reply" in whole.reason
    nothing = said(ERROR, "900", named=named(key="", fit=0.0))
    assert "no named mistake fits" in nothing.reason and "explains" not in nothing.reason


def test_an_element_that_is_out_is_named_first() -> None:
    found = ElementFinding(0.95, "finish", "material", 2.5, 0.8)
    words = element_finding(ERROR, found, PRICE, 25, BAND, D(90))
    assert words.slip is not None and words.slip.factor == 2.5 and words.slip.fit == 0.8
    assert "finish is 2.50 x ours; or: material" in words.reason and "far off" in words.reason
    assert "which finish did you count" in words.question
    alone = element_finding(ASK, ElementFinding(0.6, "run", "", 0.4, 0.5), PRICE, 25, BAND, D(90))
    assert "hard to explain" in alone.reason and "; or:" not in alone.reason


def test_a_price_is_quoted_as_it_was_printed() -> None:
    assert quoted_words(PRICE) == "90.00 EUR"
    hundred = PRICE.model_copy(update={"printed": None, "per": "100"})
    assert quoted_words(hundred) == "90 EUR per 100"


def test_facts_use_the_tax_that_may_be_inside() -> None:
    at = datetime(2026, 7, 3, tzinfo=UTC)
    for state, inside in (("not stated", True), ("included", True), ("excluded", False)):
        price = PRICE.model_copy(update={"tax": state, "tax_percent": D(19)})
        terms = QuoteTerms(tax_percent=D(19))
        quote = Quote(shop="s", request="R", received=at, accepted_at=at, currency="EUR",
                      source=FileRef(path="f"), prices=(price,), terms=terms)  # fmt: skip
        best, _ = facts_explain(log(1.19), 0.05, price, 25, quote, {}, {}, {}, None)
        assert (best is not None and best.key == "tax included") is inside
        none = facts_explain(float("nan"), 0.05, price, 25, quote, {}, {}, {}, None)
        assert none == (None, None)

"""Arguments ranked by money, in both languages, from the shop's own figures and ours alone."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from rfq.engine.negotiate.arguments import Argument, arguments
from rfq.engine.negotiate.say import say
from rfq.model.codes import CellState, Verdict
from rfq.model.comparison import Band, BridgeStep, Comparison, Line, PriceCell, Quoted
from rfq.model.estimate import Saving
from rfq.model.part import FileRef, Part
from rfq.model.project import Project, Settings
from rfq.model.quote import Instalment, Payment, Price, Quote, QuoteTerms
from rfq.model.request import Asked, Request, RequestLine

D = Decimal
NOW = datetime(2026, 7, 20, tzinfo=UTC)
BAND = Band(low=D(80), middle=D(100), high=D(125), basis="typed", elements={"stock": 20, "run": 80})
LOOSER = Saving(name="callout 1 to H8", kind="callout", low=-9, middle=-6, high=-3, share=-0.06,
                was="16 H7", becomes="16 H8")  # fmt: skip
FINISH = LOOSER.model_copy(update={"name": "no finish", "kind": "finish", "middle": -4.0})


def made(
    *,
    loaded: bool = False,
    verdict: Verdict = Verdict.IN_LINE,
    payment: tuple[Instalment, ...] = (),
    savings: tuple[Saving, ...] = (),
    elements: dict[str, float] | None = None,
    breaks: tuple[tuple[int, str], ...] = ((25, "110"),),
    one_off: str | None = None,
) -> dict[str, Argument]:
    part = Part(number="P-1", revision="A", name="p", material="EN AW-6082", loaded=loaded)
    request = Request(
        id="R", title="t", asked=(Asked(shop="mill"), Asked(shop="other")),
        lines=(RequestLine(part="P-1", quantities=(25,), order_first=25, yearly=200),),
    )  # fmt: skip
    prices = [
        Price(part="P-1", quantity=q, each=D(e), currency="EUR",
              one_off=D(one_off) if one_off else None)
        for q, e in breaks
    ]  # fmt: skip
    terms = QuoteTerms(payment=Payment(text="x", instalments=payment) if payment else None)
    quote = Quote(shop="mill", request="R", received=NOW, accepted_at=NOW, currency="EUR",
                  source=FileRef(path="x"), prices=tuple(prices), terms=terms)  # fmt: skip
    bridge = (BridgeStep(step="quoted price", amount=D(110), reason=""),
              BridgeStep(step="one-offs", amount=D(one_off or 0) / 25, reason=""))  # fmt: skip

    def cell(shop: str, price: str) -> PriceCell:
        quoted = Quoted(amount=D(price), currency="EUR", per="1", quantity=25, place="")
        return PriceCell(shop=shop, state=CellState.QUOTED, quoted=quoted, comparable=D(price),
                         bridge=bridge, ranked=True, verdict=verdict,
                         elements=elements or {})  # fmt: skip

    line = Line(part="P-1", revision="A", quantity=25, should_cost=BAND,
                prices=(cell("mill", "110"), cell("other", "97.31")))  # fmt: skip
    comparison = Comparison(project="x", request="R", currency="EUR", round=1,
                            as_of=date(2026, 7, 31), lines=(line,))  # fmt: skip
    project = Project(settings=Settings(name="x"), parts={"P-1": part}, quotes=(quote,))
    found = arguments(project, request, comparison, "mill", savings={"P-1": savings},
                      prices={("P-1", "mill"): prices})  # fmt: skip
    assert [one.money for one in found] == sorted((one.money for one in found), reverse=True)
    for one in found:
        for text in one.sentences.values():
            assert "97.31" not in text
            assert "other" not in text
            assert "100.00" not in text
    return {one.key: one for one in found}


def test_an_element_that_stands_out_is_asked_about() -> None:
    found = made(elements={"material": 22.0, "run": 120.0})
    assert set(found) == {"P-1/run"}
    one = found["P-1/run"]
    assert one.money == D(25 * 40)
    assert "120.00 EUR" in one.sentence
    assert "Laufzeit" in one.said("de")
    assert one.said("pl") == one.sentence


def test_a_years_need_and_the_one_off_are_arguments() -> None:
    found = made(breaks=((25, "110"), (100, "88")), one_off="500")
    assert found["P-1/call-off"].money == D("550.00")  # 20 % of 25 x 110
    assert "(88 EUR)" in found["P-1/call-off"].sentence
    assert found["P-1/repeat"].money == D("500.00")


def test_savings_are_questions_and_loaded_parts_carry_their_caution() -> None:
    plain = made(savings=(LOOSER, FINISH))
    assert set(plain) == {"P-1/callout 1 to H8", "P-1/no finish"}
    assert plain["P-1/callout 1 to H8"].money == D(150)
    assert "Nothing is decided" in plain["P-1/callout 1 to H8"].sentence
    assert plain["P-1/callout 1 to H8"].caution == ""
    loaded = made(savings=(LOOSER, FINISH), loaded=True)
    assert set(loaded) == {"P-1/callout 1 to H8"}
    assert "engineer" in loaded["P-1/callout 1 to H8"].caution
    assert made(savings=(LOOSER.model_copy(update={"share": -0.001}),)) == {}


@pytest.mark.parametrize(
    ("payment", "key"),
    [
        ((Instalment(share=D("0.5"), event="order"), Instalment(share=D("0.5"))),
         "terms/prepayment"),
        ((Instalment(share=D(1), days=45),), "terms/earlier"),
        ((Instalment(share=D(1), days=7),), ""),
    ],
)  # fmt: skip
def test_terms_at_our_cost_of_money_against_theirs(
    payment: tuple[Instalment, ...], key: str
) -> None:
    assert set(made(payment=payment)) == ({key} if key else set())


def test_an_odd_price_is_asked_about_before_it_is_argued_with() -> None:
    assert made(verdict=Verdict.QUERY, savings=(LOOSER,), breaks=((25, "110"), (100, "9"))) == {}


def test_every_language_says_every_argument() -> None:
    facts = {"part": "P", "pieces": 1, "element": "run", "own": "1", "ours": "1", "kind": "stock",
             "was": "a", "becomes": "b", "yearly": 1, "larger": 2, "each": "1", "once": "1",
             "share": "1", "days": 1, "percent": "1"}  # fmt: skip
    for what in ("element", "saving", "call-off", "repeat", "prepayment", "earlier"):
        said = say(what, **facts)
        assert set(said) == {"en", "de"}
        assert said["en"] != said["de"]

"""The gallery of standards, checks and the bridge: code and words of what is found."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal as D
from typing import Any

import pytest

from rfq.engine.checks import Facts, check
from rfq.engine.normalise.offers import comparable
from rfq.engine.standards import edges, finishes, materials, roughness, sampling
from rfq.engine.standards.callout_limits import limits_of
from rfq.model.callout import Callout
from rfq.model.part import FileRef, Finish, Part
from rfq.model.project import Project, Settings
from rfq.model.quote import Instalment, Payment, Price, Quote, QuoteTerms
from rfq.model.rates import Freight, Rates
from rfq.model.request import Asked, Request, RequestLine, RequestTerms
from rfq.model.shop import Contact, Shop
from rfq.model.short_form.reading import read_short_form
from rfq.problems import Place, Problem

NOW = datetime(2026, 7, 20, 9, tzinfo=UTC)


def said(problems: Any, code: str, words: str) -> None:
    found = [(p.code, p.message) for p in problems]
    assert any(c == code and words in m for c, m in found), found


def test_texture_edges_and_lots() -> None:
    said(roughness.check_ra(D(6), tolerance_um=D(10), process="milling"), "T040", "is too rough")
    odd = edges.read_statement("ISO 13715: outside -0.37").get().outside
    assert odd is not None
    said(edges.check_edge(odd), "T051", "no recommended size")
    said(sampling.check_lots(1), "T080", "made for a series of lots")


def test_finishes() -> None:
    said(finishes.find("moon dust").problems, "T060", "is no finish we know")
    hard = finishes.find("hard anodise").get()
    bore = limits_of(read_short_form("12 H8", Place()).get()).get()
    said(finishes.check_build_up(bore, "bore", hard, 10.0), "T062", "more than a third")
    material = materials.find("EN AW-6082").get()
    said(finishes.check_finish(hard, material, loaded=True), "T066", "lowers the fatigue strength")


def part(**changes: Any) -> Part:
    given: dict[str, Any] = {
        "number": "TG-1", "revision": "A", "name": "block", "material": "EN AW-6082",
        "temper": "T651", "export_control": "none",
    }  # fmt: skip
    return Part(**{**given, **changes})


def checked(one: Part) -> tuple[Problem, ...]:
    request = Request(
        id="R1", title="t", lines=(RequestLine(part="TG-1", quantities=(5,)),),
        asked=(Asked(shop="s"),), rule_set="ISO GPS", general_tolerance="ISO 2768-m",
        terms=RequestTerms(decision_rule=""),
    )  # fmt: skip
    project = Project(
        settings=Settings(name="p", contact=Contact(email="me@example.com")),
        parts={"TG-1": one},
        shops={"s": Shop(id="s", name="S", country="DE", currency="EUR")},
        requests={"R1": request},
    )
    return check(Facts(project, request, date(2026, 7, 3)))


@pytest.mark.parametrize(
    ("code", "change", "words"),
    [
        ("C127", {}, "no decision rule is said"),
        ("C142", {}, "s has no mail address"),
        ("C202", {"model": FileRef(path="m.step")}, "has a model and no drawing"),
        ("C211", {}, "the stock form is not said"),
        ("C212", {"loaded": True}, "asks for no specific material certificate"),
        ("C215", {"material": "POM-C", "temper": ""}, "Moves with heat and moisture"),
        ("C225", {"callouts": (Callout(number="1", text="M6 x 12"),)}, "without a class"),
        ("C232", {"callouts": (Callout(number="1", text="12 H5", coating="after"),),
                  "finishes": (Finish(name="hard anodise"),)}, "leaves no room before coating"),
    ],
)  # fmt: skip
def test_a_request_is_told_what_is_unclear(code: str, change: dict[str, Any], words: str) -> None:
    said(checked(part(**change)), code, words)


NO_RATES = Rates()


def bridged(
    *,
    each: str = "100",
    country: str = "CH",
    rates: Rates = NO_RATES,
    **more: Any,
) -> tuple[Problem, ...]:
    terms = more.pop("terms", {})
    price = {"part": "TG-1", "quantity": 10, "each": D(each), "currency": "EUR", **more}
    quote = Quote(
        shop="s", request="R1", received=NOW, accepted_at=NOW, source=FileRef(path="f"),
        currency="EUR", prices=(Price(**price),), terms=QuoteTerms(**terms),
    )  # fmt: skip
    shop = Shop(id="s", name="Sennhof", country=country, currency="EUR")
    found = comparable(quote, part(), shop, 10, rates, {}, Settings(name="p", country="DE"))
    assert found is not None
    return found.problems


PAID = Payment(instalments=(Instalment(share=D(1)),))
BY_WEIGHT = Rates(freight=(Freight(country="CH", per_shipment=D(60), per_kg=D(1), days=3),))


@pytest.mark.parametrize(
    ("code", "given", "words"),
    [
        ("N002", {"line_total": D(700)}, "is not the line total 700"),
        ("N003", {"each": "0"}, "prices TG-1 at zero"),
        ("N005", {}, "doesn't say whether tax is in its prices"),
        ("N005", {"tax": "included"}, "an export is usually free of it"),
        ("N006", {}, "doesn't say how it delivers"),
        ("N010", {"terms": {"incoterm": "FCA", "place": "Zug"}}, "is ours to pay and not known"),
        ("N011", {"terms": {"incoterm": "EXW", "place": "Zug"}}, "can hardly clear the export"),
        ("N012", {"terms": {"incoterm": "FCA", "place": "Zug"}}, "no insurance is counted"),
        ("N013", {"terms": {"incoterm": "DAP", "place": "Kiel"}}, "rates.toml under duty"),
        ("N014", {"terms": {"incoterm": "DAP", "place": "Kiel"}}, "broker's charge is not known"),
        ("N015", {"terms": {"payment": Payment(text="as ever")}}, "compared as paid on delivery"),
        ("N017", {"terms": {"incoterm": "FCA", "place": "Zug"}, "rates": BY_WEIGHT},
         "its weight is not known"),
    ],
)  # fmt: skip
def test_a_price_that_cannot_be_compared_yet_is_asked_about(
    code: str, given: dict[str, Any], words: str
) -> None:
    said(bridged(**given), code, words)

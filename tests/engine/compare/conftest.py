"""A small invented market: parts, shops and quotes put together in a few words."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from rfq.engine.compare.matrix import compare
from rfq.model.comparison import Comparison, PriceCell
from rfq.model.estimate import Element, Estimate
from rfq.model.part import FileRef, Part
from rfq.model.project import Project, Settings
from rfq.model.quote import Instalment, LeadTime, Payment, Price, Quote, QuoteTerms
from rfq.model.rates import ExchangeRate, Rates
from rfq.model.request import Asked, Request, RequestLine, RequestTerms
from rfq.model.shop import Shop
from rfq.problems import Place

DAY = date(2026, 10, 30)
NOW = datetime(2026, 10, 30, 12, tzinfo=UTC)
ON_DELIVERY = Payment(
    text="on delivery", instalments=(Instalment(share=Decimal(1), days=0, event="delivery"),)
)


@dataclass
class Market:
    """Builder of a project with one request."""

    rates: Rates = field(default_factory=Rates)
    parts: dict[str, Part] = field(default_factory=dict)
    shops: dict[str, Shop] = field(default_factory=dict)
    quotes: list[Quote] = field(default_factory=list)
    lines: list[RequestLine] = field(default_factory=list)
    estimates: dict[tuple[str, int], Estimate] = field(default_factory=dict)
    exchange: dict[str, ExchangeRate] = field(default_factory=dict)
    currency: str = "EUR"
    revision: int = 1
    asked: dict[str, tuple[str, ...]] = field(default_factory=dict)

    def part(self, number: str, *quantities: int, **fields: object) -> Part:
        made = Part(number=number, revision="A", name=number, material="EN AW-6082", **fields)  # type: ignore[arg-type]
        self.parts[number] = made
        self.lines.append(RequestLine(part=number, quantities=quantities or (25,)))
        return made

    def band(
        self, number: str, quantity: int, low: float, middle: float, high: float, **shares: float
    ) -> None:
        elements = tuple(
            Element(name=name.replace("_", " "), low=v * 0.8, middle=v, high=v * 1.2)
            for name, v in shares.items()
        )
        self.estimates[number, quantity] = Estimate(
            part=number, quantity=quantity, route="milled", basis="typed",
            low=low, middle=middle, high=high, elements=elements,
        )  # fmt: skip

    def shop(self, name: str, country: str = "DE", currency: str = "EUR", **fields: object) -> Shop:
        made = Shop(id=name, name=name.title(), country=country, currency=currency, **fields)  # type: ignore[arg-type]
        self.shops[name] = made
        return made

    def price(
        self, part: str, quantity: int, each: str, currency: str = "EUR", **fields: object
    ) -> Price:
        given: dict[str, object] = {
            "printed": Decimal(each), "each": Decimal(each), "tax": "excluded",
            "place": Place("reply.xlsx", sheet="Quote", cell="C7"), **fields,
        }  # fmt: skip
        return Price(part=part, quantity=quantity, currency=currency, **given)  # type: ignore[arg-type]

    def quote(
        self, shop: str, *prices: Price, terms: dict[str, object] | None = None, **fields: object
    ) -> Quote:
        if shop not in self.shops:
            self.shop(shop)
        given: dict[str, object] = {
            "incoterm": "DAP", "place": "Kiel", "tax": "excluded", "payment": ON_DELIVERY,
            "lead": LeadTime(text="4 weeks", amount=4, unit="weeks", event="order"),
            **(terms or {}),
        }  # fmt: skip
        made = Quote(
            shop=shop, request="R1", received=NOW, accepted_at=NOW, source=FileRef(path="a.xlsx"),
            currency=self.shops[shop].currency, prices=prices, terms=QuoteTerms(**given), **fields,
        )  # type: ignore[arg-type]  # fmt: skip
        self.quotes.append(made)
        return made

    def rate(self, currency: str, per_eur: str) -> None:
        self.exchange[currency] = ExchangeRate(
            currency=currency, per_eur=Decimal(per_eur), on=DAY, source="ECB"
        )

    def project(self) -> tuple[Project, Request]:
        asked = tuple(Asked(shop=s, parts=self.asked.get(s, ())) for s in self.shops)
        request = Request(
            id="R1", title="round", revision=self.revision, lines=tuple(self.lines), asked=asked,
            terms=RequestTerms(first_article=False),
        )  # fmt: skip
        project = Project(
            settings=Settings(name="buoy", currency=self.currency, country="DE"),
            rates=self.rates, parts=self.parts, shops=self.shops, requests={"R1": request},
            quotes=tuple(self.quotes),
        )  # fmt: skip
        return project, request

    def compare(self, round_: int = 1, as_of: date = DAY, **options: object) -> Comparison:
        project, request = self.project()
        return compare(project, request, round_, as_of, self.exchange, self.estimates, **options)  # type: ignore[arg-type]


def cell(result: Comparison, part: str, shop: str, quantity: int = 25) -> PriceCell:
    """The cell of one line and shop."""
    line = next(x for x in result.lines if x.part == part and x.quantity == quantity)
    return next(x for x in line.prices if x.shop == shop)


@pytest.fixture
def market() -> Market:
    return Market()


@pytest.fixture(name="cell")
def _cell():  # type: ignore[no-untyped-def]
    return cell


@pytest.fixture
def new_market():  # type: ignore[no-untyped-def]
    """For properties that build many markets in one test."""
    return Market

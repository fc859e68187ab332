"""A project: all records of one folder, and where each was read."""

from __future__ import annotations

from datetime import date

from pydantic import Field

from rfq.model.award import Award, FirstArticle, Order
from rfq.model.base import CountryCode, CurrencyCode, Value
from rfq.model.draft import ColumnMap, Draft
from rfq.model.event import Clarification, Event
from rfq.model.part import Part
from rfq.model.quote import Quote
from rfq.model.rates import Rates
from rfq.model.request import Request, Round
from rfq.model.shop import Contact, Shop


class Settings(Value):
    """What project.toml holds."""

    name: str
    format: int = 1
    currency: CurrencyCode = "EUR"
    company: str = ""
    country: CountryCode = "DE"
    address: tuple[str, ...] = ()
    contact: Contact = Contact()
    logo: str = ""
    default_request: str = ""
    seen_from: date | None = None  # pins "today" for an archived project; None: the clock
    internal_note: str = ""


class ColumnMemory(Value):
    """Column maps confirmed for one shop; proposed next time, never applied in silence."""

    shop: str
    maps: tuple[ColumnMap, ...] = ()


class Project(Value):
    """Everything of one project folder.

    ``files`` maps a record's key ('part:SB-110', 'quote:2026-07/1/oakvane-1') to its file,
    relative to the folder; ``hashes`` maps the same keys to the SHA-256 of what was read, which a
    save compares so that nobody's change is overwritten.
    """

    settings: Settings
    rates: Rates = Rates()
    parts: dict[str, Part] = Field(default_factory=dict)
    shops: dict[str, Shop] = Field(default_factory=dict)
    requests: dict[str, Request] = Field(default_factory=dict)
    rounds: tuple[Round, ...] = ()
    quotes: tuple[Quote, ...] = ()
    drafts: tuple[Draft, ...] = ()
    clarifications: tuple[Clarification, ...] = ()
    awards: tuple[Award, ...] = ()
    orders: tuple[Order, ...] = ()
    first_articles: tuple[FirstArticle, ...] = ()
    columns: dict[str, ColumnMemory] = Field(default_factory=dict)
    events: tuple[Event, ...] = ()
    files: dict[str, str] = Field(default_factory=dict)
    hashes: dict[str, str] = Field(default_factory=dict)

    def request(self, name: str = "") -> Request | None:
        """Return a request by id, else the default one, else the newest by id, else None."""
        if name:
            return self.requests.get(name)
        if self.settings.default_request in self.requests:
            return self.requests[self.settings.default_request]
        return self.requests[max(self.requests)] if self.requests else None

    def rounds_of(self, request: str) -> tuple[Round, ...]:
        """Return a request's rounds in order."""
        return tuple(
            sorted((r for r in self.rounds if r.request == request), key=lambda r: r.number)
        )

    def quotes_of(self, request: str, round_: int, shop: str = "") -> tuple[Quote, ...]:
        """Return the quotes of a round (of one shop), oldest first."""
        found = (
            quote
            for quote in self.quotes
            if quote.request == request
            and quote.round == round_
            and (not shop or quote.shop == shop)
        )
        return tuple(sorted(found, key=lambda quote: (quote.shop, quote.number)))

"""A quote: what was accepted from a reply; every figure names its place."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Annotated, Literal

from pydantic import Field, model_validator

from rfq.model.base import (
    CountryCode,
    CurrencyCode,
    NotNegative,
    Number,
    Percent,
    Pieces,
    Positive,
    RecordId,
    ShopId,
    Value,
)
from rfq.model.codes import Incoterm, Scope, TaxState, Ticked
from rfq.model.part import FileRef
from rfq.problems import Place

ChargeKind = Literal[
    "one-off",
    "tooling",
    "packing",
    "freight",
    "insurance",
    "minimum order",
    "surcharge",
    "certificate",
    "first article",
    "finish",
    "discount",
    "other",
]
LeadEvent = Literal[
    "order",
    "order confirmation",
    "deposit",
    "receipt of material",
    "first article approval",
    "drawing approval",
    "not stated",
]


class Price(Value):
    """One price of one part at one quantity, as printed and as meant.

    ``printed`` is the amount in the file, ``per`` its base ('1', '100', 'lot', 'kg' ...),
    ``each`` the net price of one piece as the shop means it.
    """

    part: str
    revision: str = ""
    quantity: Pieces
    printed: Number | None = None
    per: str = "1"
    each: NotNegative | None = None
    currency: CurrencyCode | Literal[""] = ""
    tax: TaxState = "not stated"
    tax_percent: Percent | None = None
    one_off: NotNegative | None = None  # for this part, once
    one_off_name: str = ""
    minimum_quantity: Pieces | None = None
    weight_kg: Positive | None = None
    line_total: Number | None = None
    discount_percent: Percent | None = None
    lead: str = ""  # lead time of this line, as printed
    lead_days: int | None = None
    material: str = ""  # as offered
    alternative: str = ""  # not empty: another material or route; shown beside, never mixed in
    note: str = ""
    scope: dict[Scope, Ticked] = Field(default_factory=dict)  # where it differs from the quote's
    place: Place = Place()
    sure: bool = True
    evidence: str = ""  # why it is read so


class Charge(Value):
    """A charge apart from the unit prices, on a part or on the order."""

    name: str
    kind: ChargeKind = "other"
    amount: Number | None = None
    percent: Number | None = None  # of goods, where no amount is given
    currency: CurrencyCode | Literal[""] = ""
    per: Literal["order", "part", "piece", "kg"] = "order"
    part: str = ""
    owner: str = ""  # of tooling
    below: NotNegative | None = None  # a minimum order value: due below it
    place: Place = Place()


class Instalment(Value):
    """A share of the price and when it is due, in days from an event."""

    share: Annotated[Decimal, Field(gt=0, le=1)]
    days: int = 0
    event: Literal["order", "delivery", "invoice", "before delivery"] = "delivery"


class Payment(Value):
    """Payment terms as understood; ``text`` is what stands in the reply."""

    text: str = ""
    instalments: tuple[Instalment, ...] = ()
    discount_percent: Percent = Decimal(0)
    discount_days: int = 0


class LeadTime(Value):
    """A lead time with the event that starts it."""

    text: str = ""
    amount: Annotated[int, Field(ge=0, le=2000)] = 0
    unit: Literal["days", "working days", "weeks"] = "days"
    event: LeadEvent = "not stated"
    until: date | None = None  # a calendar date instead


class QuoteTerms(Value):
    """Terms of a quote, anywhere in the reply."""

    incoterm: Incoterm = ""
    incoterm_text: str = ""
    place: str = ""
    payment: Payment | None = None
    valid_until: date | None = None
    validity_text: str = ""
    lead: LeadTime | None = None
    first_article_lead: LeadTime | None = None
    order_discount_percent: Percent | None = None
    tax: TaxState = "not stated"
    tax_percent: Percent | None = None
    origin: CountryCode | Literal[""] = ""
    places: dict[str, Place] = Field(default_factory=dict)  # term -> where it stands


class TakenException(Value):
    """A shop's wish to depart from the request."""

    part: str = ""
    callout: str = ""
    text: str
    place: Place = Place()
    state: Literal["open", "accepted", "refused"] = "open"
    reason: str = ""
    by: str = ""
    cost_each: Number | None = None  # what accepting or refusing costs us a piece


class Declined(Value):
    """A part a shop does not quote."""

    part: str
    reason: str = ""
    place: Place = Place()


class Breakdown(Value):
    """A shop's own elements of one price, per piece (see codes.BREAKDOWN)."""

    part: str
    quantity: Pieces
    elements: dict[str, NotNegative]
    hours: NotNegative | None = None
    place: Place = Place()


class Quote(Value):
    """What was accepted from one reply."""

    shop: ShopId
    request: RecordId
    revision: int = 1  # of the request it answers
    round: Annotated[int, Field(ge=1)] = 1
    number: Annotated[int, Field(ge=1)] = 1  # S-1, S-2 of the same round
    received: datetime
    accepted_at: datetime
    accepted_by: str = ""
    source: FileRef
    form: str = ""  # response sheet, workbook, letter, mail, ubl, typed ...
    currency: CurrencyCode
    prices: tuple[Price, ...] = ()
    charges: tuple[Charge, ...] = ()
    terms: QuoteTerms = QuoteTerms()
    scope: dict[Scope, Ticked] = Field(default_factory=dict)
    exceptions: tuple[TakenException, ...] = ()
    declined: tuple[Declined, ...] = ()
    breakdowns: tuple[Breakdown, ...] = ()
    state: Literal["standing", "superseded", "withdrawn"] = "standing"
    late: bool = False
    own_solution: str = ""  # a proposal that stays the shop's own
    internal_note: str = ""

    @model_validator(mode="after")
    def _whole(self) -> Quote:
        for price in self.prices:
            if price.each is None or not price.sure or not price.currency:
                raise ValueError(
                    f"the price of {price.part} at {price.quantity} is not sure; settle it first"
                )
        return self

    def price(self, part: str, quantity: int) -> Price | None:
        """Return the price at exactly that quantity, alternatives left out, or None."""
        for price in self.prices:
            if price.part == part and price.quantity == quantity and not price.alternative:
                return price
        return None

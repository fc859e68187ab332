"""A request for quotation, and its rounds."""

from __future__ import annotations

from datetime import date, datetime
from typing import Annotated, Literal

from pydantic import Field, field_validator, model_validator

from rfq.model.base import (
    CurrencyCode,
    NotNegative,
    PartNumber,
    Pieces,
    RecordId,
    Sha256,
    ShopId,
    Value,
)
from rfq.model.codes import Incoterm, RuleSet


class RequestLine(Value):
    """One part and the quantities asked for; each pair is a line of the comparison."""

    part: PartNumber
    quantities: tuple[Pieces, ...] = Field(min_length=1)
    order_first: Pieces | None = None  # what is ordered first
    yearly: Pieces | None = None
    need_date: date | None = None

    @field_validator("quantities")
    @classmethod
    def _rising(cls, quantities: tuple[int, ...]) -> tuple[int, ...]:
        if list(quantities) != sorted(set(quantities)):
            raise ValueError("quantities must rise, each once")
        return quantities


class Asked(Value):
    """A shop that is asked, and for what."""

    shop: ShopId
    parts: tuple[PartNumber, ...] = ()  # empty: all parts of the request


class Override(Value):
    """A recorded way past a finding that would stop a package."""

    code: str
    subject: str = ""
    reason: str
    by: str
    on: date


class RequestTerms(Value):
    """Terms asked for; a starting text, to be read by someone qualified."""

    incoterm: Incoterm = ""
    place: str = ""
    payment: str = ""
    validity_days: Annotated[int, Field(ge=0, le=730)] = 60
    currency: CurrencyCode | Literal[""] = ""  # wished; empty: the shop's own
    first_article: bool = True
    first_article_answer_days: Annotated[int, Field(ge=0, le=90)] = 5
    sampling: str = ""
    packing: str = ""
    marking: str = ""
    tooling: str = ""
    confidentiality: str = ""
    decision_rule: str = "ISO 14253-1:2017, the party that measures bears the uncertainty"
    repeat_within_months: Annotated[int, Field(ge=0, le=60)] = 12
    other: tuple[str, ...] = ()


class Request(Value):
    """What is asked; frozen once sent."""

    id: RecordId
    revision: Annotated[int, Field(ge=1)] = 1
    title: str
    answer_by: datetime | None = None  # with time zone
    need_date: date | None = None
    lines: tuple[RequestLine, ...] = ()
    asked: tuple[Asked, ...] = ()
    terms: RequestTerms = RequestTerms()
    rule_set: RuleSet = ""
    general_tolerance: str = ""
    general_roughness: str = ""
    texture_edition: Literal["ISO 1302", "ISO 21920-1", ""] = ""
    datum_system: str = ""  # 'ISO 5459, datums as on the drawings'
    edges: str = ""
    cover_note: str = ""  # goes out
    quantities_on_data_sheets: bool = False  # off: a sheet can be forwarded by itself
    internal_note: str = ""  # never leaves
    state: Literal["open", "sent", "closed"] = "open"
    sent_at: datetime | None = None
    content_sha256: Sha256 | Literal[""] = ""  # of the content when it was frozen
    changes: tuple[str, ...] = ()  # what this revision changed, in words
    overrides: tuple[Override, ...] = ()

    @field_validator("answer_by")
    @classmethod
    def _zone(cls, moment: datetime | None) -> datetime | None:
        if moment is not None and moment.tzinfo is None:
            raise ValueError("answer_by needs a time zone, as in 2026-07-24T12:00:00+02:00")
        return moment

    @model_validator(mode="after")
    def _each_once(self) -> Request:
        parts = [line.part for line in self.lines]
        if len(set(parts)) != len(parts):
            raise ValueError("a part stands on two lines; give its quantities on one")
        shops = [asked.shop for asked in self.asked]
        if len(set(shops)) != len(shops):
            raise ValueError("a shop is asked twice; give its parts in one entry")
        return self

    def line(self, part: str) -> RequestLine | None:
        """Return the line of a part, or None."""
        return next((line for line in self.lines if line.part == part), None)

    def parts_of(self, shop: str) -> tuple[str, ...]:
        """Return the part numbers a shop is asked for, in the request's order."""
        for asked in self.asked:
            if asked.shop == shop:
                wanted = set(asked.parts) or {line.part for line in self.lines}
                return tuple(line.part for line in self.lines if line.part in wanted)
        return ()


class Round(Value):
    """One round of a request: what was asked of whom, until when."""

    request: RecordId
    number: Annotated[int, Field(ge=1, le=99)]
    revision: Annotated[int, Field(ge=1)] = 1  # of the request
    request_sha256: Sha256 | Literal[""] = ""
    asked: tuple[Asked, ...] = ()
    opened: datetime
    cut_off: datetime | None = None
    last: bool = False  # announced as the last
    argument: str = ""  # what a further round is for
    closed: datetime | None = None
    cost_per_week: NotNegative | None = None  # of delay, for 'when to stop'

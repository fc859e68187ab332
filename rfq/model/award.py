"""An award, the orders made from it, and first articles."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Annotated, Literal

from pydantic import Field

from rfq.model.base import CurrencyCode, NotNegative, Pieces, RecordId, ShopId, Value
from rfq.model.part import FileRef

Day = date  # a field named date hides the type of that name


class Rules(Value):
    """Rules of an award; each can be switched off, and its price is shown."""

    most_shops: int | None = None
    split_lines: bool = False
    highest_share_percent: int | None = None  # of a critical line to one shop
    two_shops_for_critical: bool = False
    without_odd: bool = False  # no price with verdict query or likely error
    need_date: date | None = None
    capacity: dict[str, Pieces] = Field(default_factory=dict)  # shop -> pieces
    least_order_value: dict[str, NotNegative] = Field(default_factory=dict)
    shop_fixed_cost: dict[str, NotNegative] = Field(default_factory=dict)  # qualification, freight
    forbidden: tuple[str, ...] = ()  # shop, or shop/part
    only: tuple[str, ...] = ()  # shops to choose from; empty: all
    quantities: dict[str, Pieces] = Field(default_factory=dict)  # part -> pieces; else order_first


class ShareOf(Value):
    """Pieces of one part to one shop."""

    part: str
    revision: str = ""
    shop: str  # a shop's id; a table from elsewhere may name shops its own way
    quantity: Pieces
    comparable_each: Decimal
    quoted_each: Decimal | None = None
    one_off: Decimal | None = None
    currency: str = ""
    reason: str = ""


class Proposal(Value):
    """One possible award with what it costs, when it comes, what is paid before delivery."""

    name: str  # cheapest, single shop, second-best set, without odd prices
    shares: tuple[ShareOf, ...] = ()
    total: Decimal = Decimal(0)
    last_date: date | None = None
    paid_before_delivery: Decimal | None = None
    shops: tuple[str, ...] = ()
    gap: float = 0.0  # proven relative gap to the optimum
    note: str = ""
    rule_prices: dict[str, Decimal] = Field(default_factory=dict)  # rule -> what it costs


class Award(Value):
    """A decision: who makes what, why, and what was refused."""

    id: RecordId
    request: RecordId
    round: int
    decided_at: datetime
    by: str
    proposal: Proposal
    rules: Rules = Rules()
    reason: str
    refused: tuple[str, ...] = ()  # in words: which proposals or shops, and why
    cautions: tuple[str, ...] = ()


class OrderLine(Value):
    """One line of an order and what became of it."""

    part: str
    revision: str
    quantity: Pieces
    each: NotNegative
    one_off: NotNegative = Decimal(0)
    currency: CurrencyCode
    promised: date | None = None
    received: date | None = None
    good: int | None = None
    bad: int | None = None
    disposition: str = ""


class Acknowledged(Value):
    """What a shop's acknowledgement says of one line."""

    part: str
    revision: str = ""
    quantity: int | None = None
    each: Decimal | None = None
    date: Day | None = None
    place: str = ""


class Order(Value):
    """An order to one shop."""

    id: RecordId
    request: RecordId
    award: RecordId
    shop: ShopId
    placed: date
    lines: tuple[OrderLine, ...]
    terms: dict[str, str] = Field(default_factory=dict)  # payment, incoterm ... as ordered
    acknowledgement: FileRef | None = None
    acknowledged: tuple[Acknowledged, ...] = ()
    acknowledged_terms: dict[str, str] = Field(default_factory=dict)
    invoice_total: NotNegative | None = None
    note: str = ""


class Measured(Value):
    """One measured or attribute result of one piece."""

    callout: str  # balloon number
    piece: Annotated[int, Field(ge=1)] = 1
    instance: Annotated[int, Field(ge=1)] = 1  # of a callout with a count
    value: Decimal | None = None
    attribute: Literal["", "go", "no-go", "pass", "fail"] = ""
    uncertainty: NotNegative | None = None  # expanded, k = 2
    gauge: str = ""
    by: str = ""
    state: Literal["", "before", "after"] = ""  # of coating
    place: str = ""


class FirstArticle(Value):
    """A first article's results and what was decided."""

    id: RecordId
    request: RecordId
    award: str = ""
    part: str
    revision: str
    shop: ShopId | Literal[""] = ""
    received: date
    source: FileRef | None = None
    results: tuple[Measured, ...] = ()
    disposition: Literal["", "accept", "concession", "rework", "replace"] = ""
    by: str = ""
    reason: str = ""
    released: bool = False

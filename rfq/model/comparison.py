"""A comparison as shown and printed: lines, prices with their bridge, shops."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from pydantic import Field

from rfq.model.base import Value
from rfq.model.codes import CellState, Verdict
from rfq.problems import Problem

Day = date  # a field named date hides the type of that name


class Band(Value):
    """Should-cost of a line, in the project's currency."""

    low: Decimal
    middle: Decimal
    high: Decimal
    basis: str
    elements: dict[str, float] = Field(default_factory=dict)


class Quoted(Value):
    """The price as the shop printed it."""

    amount: Decimal
    currency: str
    per: str
    quantity: int  # the break it belongs to
    place: str


class BridgeStep(Value):
    """One step from the quoted to the comparable price, per accepted part."""

    step: str
    amount: Decimal
    reason: str
    place: str = ""
    estimated: bool = False  # our own figure, not the shop's


class Slip(Value):
    """A named mistake that would explain a price."""

    name: str
    factor: float
    fit: float  # share of the log distance it explains, 0 to 1
    next_best: str = ""
    reason: str = ""


class PriceCell(Value):
    """One shop's price for one line."""

    shop: str
    state: CellState
    quoted: Quoted | None = None
    comparable: Decimal | None = None
    bridge: tuple[BridgeStep, ...] = ()
    ratio: float | None = None  # comparable / middle of the band
    z: float | None = None
    verdict: Verdict | None = None
    slip: Slip | None = None
    reason: str = ""  # of the verdict, in words
    question: str = ""  # to the shop; without any other shop's figure
    ranked: bool = False
    why_not_ranked: str = ""
    open_items: tuple[str, ...] = ()  # ours to pay and not known: ``comparable`` is without them
    rank: int | None = None
    exceptions: tuple[str, ...] = ()
    alternatives: tuple[str, ...] = ()
    missing_scope: tuple[str, ...] = ()
    elements: dict[str, float] = Field(default_factory=dict)  # shop's breakdown, project currency
    comparable_date: date | None = None
    date_steps: tuple[str, ...] = ()
    paid_before_delivery: Decimal | None = None
    expected_low: Decimal | None = None  # where level and band lead
    expected_high: Decimal | None = None
    target_question: Decimal | None = None  # affine guess between breaks; a question, not a price
    quote_revision: int | None = None  # of the request the quote answers


class Line(Value):
    """One part at one quantity."""

    part: str
    revision: str
    name: str = ""
    quantity: int
    should_cost: Band | None = None
    prices: tuple[PriceCell, ...] = ()
    market: float | None = None  # market over should-cost, posterior
    market_low: float | None = None
    market_high: float | None = None


class ShopSummary(Value):
    """One shop over all lines."""

    shop: str
    name: str = ""
    level: float | None = None  # exp(b) - 1
    level_low: float | None = None
    level_high: float | None = None
    slip: Slip | None = None
    question: str = ""
    lines_asked: int = 0
    lines_quoted: int = 0
    total: Decimal | None = None  # over the set of lines named in Comparison.like_set
    paid_before_delivery: Decimal | None = None
    date: Day | None = None
    implied_rate: float | None = None
    implied_material: float | None = None


class WhatIf(Value):
    """What decides: a changed assumption and who is lowest then."""

    name: str
    totals: dict[str, Decimal]
    winner: str
    changes: bool  # against the plain totals
    note: str = ""


class Comparison(Value):
    """All lines and shops of one round on the same basis."""

    project: str
    request: str
    currency: str
    round: int
    as_of: date
    lines: tuple[Line, ...] = ()
    shops: tuple[ShopSummary, ...] = ()
    like_set: tuple[str, ...] = ()  # 'part x quantity' that every ranked shop quoted
    what_ifs: tuple[WhatIf, ...] = ()
    exchange: tuple[str, ...] = ()  # rates used, with date and source
    problems: tuple[Problem, ...] = ()
    spread_warning: bool = False

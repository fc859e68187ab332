"""The user's own rates: money, freight, duty, machine rates; each with date and source."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Annotated

from pydantic import Field, model_validator

from rfq.model.base import CurrencyCode, NotNegative, Number, Percent, Positive, Value
from rfq.model.codes import Basis


class Rate(Value):
    """One parameter as low, typical, high with what it rests on."""

    low: Number
    typical: Number
    high: Number
    unit: str = ""
    basis: Basis = Basis.USER
    source: str = ""
    on: date | None = None

    @model_validator(mode="after")
    def _ordered(self) -> Rate:
        if not self.low <= self.typical <= self.high:
            raise ValueError("low, typical and high must stand in that order")
        return self


class ExchangeRate(Value):
    """Foreign units per EUR, as the ECB prints them."""

    currency: CurrencyCode
    per_eur: Positive
    on: date
    source: str = "the user's"


class Freight(Value):
    """What carriage from a shop costs us, where we pay it."""

    shop: str = ""  # a shop's id, or
    country: str = ""  # all shops of a country
    per_shipment: NotNegative = Decimal(0)
    per_kg: NotNegative = Decimal(0)
    currency: CurrencyCode = "EUR"
    days: Annotated[int, Field(ge=0, le=200)] = 0
    source: str = ""
    on: date | None = None


class Duty(Value):
    """Duty on goods of a tariff code from an origin."""

    origin: str  # country code
    tariff_code: str = ""  # prefix; empty: all
    percent: Percent
    source: str = ""
    on: date | None = None
    customs_days: Annotated[int, Field(ge=0, le=60)] = 0


class OwnSpreads(Value):
    """How much the user's own quotes spread, natural logarithms; from ``rfq history --apply``."""

    market: Positive
    level: Positive  # of a shop's price level
    single: Positive  # of one price
    band: Positive = Decimal(1)  # scales the width of our own bands
    shift: Number = Decimal(0)  # what the market is known to be over our should-cost
    prices: Annotated[int, Field(ge=0)] = 0  # that stand behind them
    on: date | None = None


class Rates(Value):
    """The project's rates; what is absent is a question or a shipped parameter, never a zero."""

    region: str = "DE"  # reference region of the should-cost
    exchange: tuple[ExchangeRate, ...] = ()
    exchange_day: date | None = None  # of the bundled ECB rates; None: the comparison's day
    money_percent: Percent = Decimal(8)  # our cost of money a year
    yield_percent: Annotated[Decimal, Field(gt=0, le=100)] = Decimal(100)
    freight: tuple[Freight, ...] = ()
    duty: tuple[Duty, ...] = ()
    customs_union: tuple[str, ...] = ()  # countries without duty towards us; empty: EU where we are
    insurance_percent: Percent | None = None
    broker_per_shipment: NotNegative | None = None
    bank_per_payment: NotNegative | None = None
    packing_percent: Percent | None = None
    spare_worth_percent: Percent = Decimal(0)
    parameters: dict[str, Rate] = Field(default_factory=dict)  # should-cost, by parameter name
    delay_per_week: NotNegative | None = None
    spreads: OwnSpreads | None = None  # for odd prices; None: the start values
    approval_days: Annotated[int, Field(ge=0, le=90)] = 5  # our answer to a first article

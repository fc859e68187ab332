"""A shop: who makes parts and quotes."""

from __future__ import annotations

from datetime import date
from typing import Literal

from rfq.model.base import CountryCode, CurrencyCode, ShopId, Value


class Shutdown(Value):
    """Days on which a shop does not work, besides its public holidays."""

    first: date
    last: date
    why: str = ""


class Contact(Value):
    """Whom to write to."""

    name: str = ""
    email: str = ""
    phone: str = ""


class Shop(Value):
    """One shop."""

    id: ShopId
    name: str
    country: CountryCode
    holidays_region: str = ""  # subdivision of the country for the calendar of holidays
    currency: CurrencyCode
    language: str = "en"  # of the mail: a template of that language must exist
    contact: Contact = Contact()
    address: tuple[str, ...] = ()
    processes: tuple[str, ...] = ()  # milling, turning, printing, anodising ...
    materials: tuple[str, ...] = ()  # families it works; empty: not said
    incoterm: str = ""  # usual delivery terms, with place
    payment: str = ""  # usual payment terms
    nda: Literal["signed", "not needed", "missing"] = "missing"
    nda_date: date | None = None
    may_receive_controlled: bool = False
    shutdowns: tuple[Shutdown, ...] = ()
    new_customer: bool = False
    paper: Literal["A4", "Letter"] = "A4"
    internal_note: str = ""  # never leaves

"""Customs borders, and what duty is taken from."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from rfq.model.rates import Duty

#: Member states of the customs union of the European Union. Source: Treaty on the Functioning
#: of the European Union, art. 28; list of members from memory (27 since 2020). Other countries
#: that share a customs union with it for some goods are the user's to add in rates.toml.
EU_COUNTRIES = frozenset(
    {"AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR", "HU"}
    | {"IE", "IT", "LT", "LU", "LV", "MT", "NL", "PL", "PT", "RO", "SE", "SI", "SK"}
)

#: Countries that value imports without international freight and insurance (FOB); elsewhere, as
#: in the EU (Union Customs Code, regulation 952/2013, art. 71), they are part of the value (CIF).
#: Source: from memory; United States 19 USC 1401a(b)(4)(A).
FOB_VALUED = frozenset({"US", "CA", "AU", "NZ", "ZA"})


def same_customs_area(origin: str, ours: str, own_union: Iterable[str]) -> bool:
    """Return whether goods move without a customs border.

    Args:
        origin: country code the goods come from.
        ours: our country code.
        own_union: the user's list; empty: the EU, where we are in it.

    >>> same_customs_area("PL", "DE", ()), same_customs_area("CH", "DE", ())
    (True, False)
    """
    if origin == ours:
        return True
    union = frozenset(own_union) or EU_COUNTRIES
    return origin in union and (ours in union or bool(own_union))


def duty_for(duties: Iterable[Duty], origin: str, tariff_code: str) -> Duty | None:
    """Return the duty with the longest fitting tariff prefix for an origin, or None."""
    code = _digits(tariff_code)
    best, length = None, -1
    for duty in duties:
        if duty.origin == origin:
            prefix = _digits(duty.tariff_code)
            if len(prefix) > length and code.startswith(prefix):
                best, length = duty, len(prefix)
    return best


def customs_value(
    goods: Decimal, packing: Decimal, carriage: Decimal, insurance: Decimal, ours: str
) -> Decimal:
    """Return the amount that duty is taken from in our country."""
    if ours in FOB_VALUED:
        return goods + packing
    return goods + packing + carriage + insurance


def _digits(code: str) -> str:
    return code if code.isdigit() else "".join(sign for sign in code if sign.isdigit())

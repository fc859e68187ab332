"""Foreign money into the project's currency, through the euro, with unrounded rates."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from rfq.model.rates import ExchangeRate

EURO = "EUR"
_ONE = Decimal(1)


@dataclass(frozen=True, slots=True)
class Exchange:
    """Exchange rates into one currency.

    Args:
        currency: the currency that everything is turned into.
        per_eur: foreign units per euro, as the ECB prints them (the direction never changes).
        rates: the same rates with their day and source.
    """

    currency: str
    per_eur: Mapping[str, Decimal]
    rates: Mapping[str, ExchangeRate]

    def knows(self, currency: str) -> bool:
        """Whether an amount of that currency can be converted."""
        return currency == self.currency or (
            currency in self.per_eur and self.currency in self.per_eur
        )

    def factor(self, currency: str) -> Decimal:
        """Units of the project's currency for one unit of another.

        Raises:
            KeyError: no rate; ask ``knows`` first.
        """
        if currency == self.currency:
            return _ONE
        return self.per_eur[self.currency] / self.per_eur[currency]

    def convert(self, amount: Decimal, currency: str) -> Decimal:
        """An amount in the project's currency, unrounded.

        >>> from datetime import date
        >>> usd = ExchangeRate(currency="USD", per_eur=Decimal("1.2910"), on=date(2013, 3, 21))
        >>> exchange_into("USD", {"USD": usd}).convert(Decimal(100), "EUR")
        Decimal('129.1000')
        """
        if currency == self.currency:
            return amount
        return amount * self.per_eur[self.currency] / self.per_eur[currency]

    def moved(self, currency: str, percent: Decimal) -> Exchange:
        """The same rates with one currency dearer by so many percent."""
        moved = dict(self.per_eur)
        moved[currency] = moved[currency] / (1 + percent / 100)
        return Exchange(self.currency, moved, self.rates)

    def words(self, currency: str) -> str:
        """The rate as used, with direction, day and source; empty where none was needed."""
        if currency == self.currency:
            return ""
        used = [
            f"{self.rates[code].per_eur} {code} per EUR, {self.rates[code].on.isoformat()}, "
            f"{self.rates[code].source}"
            for code in (currency, self.currency)
            if code != EURO and code in self.rates
        ]
        return " and ".join(used)


def exchange_into(currency: str, rates: Mapping[str, ExchangeRate]) -> Exchange:
    """Return the rates as conversions into one currency; the euro needs no rate.

    >>> exchange_into("EUR", {}).knows("USD")
    False
    """
    per_eur = {code: rate.per_eur for code, rate in rates.items()}
    per_eur[EURO] = _ONE
    return Exchange(currency, per_eur, dict(rates))

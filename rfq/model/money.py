"""Money rules that intake and engine share: minor units, rounding, extended amounts."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

# Digits behind the point of the minor unit, ISO 4217 (list one), where it is not 2.
_MINOR_DIGITS = {"JPY": 0, "KRW": 0, "ISK": 0, "VND": 0, "CLP": 0, "HUF": 2, "KWD": 3, "BHD": 3}


# Units and halves once each: making a Decimal costs more than using it.
_UNITS = {digits: Decimal(1).scaleb(-digits) for digits in (0, 2, 3)}
_HALVES = {digits: unit / 2 for digits, unit in _UNITS.items()}


def minor_digits(currency: str) -> int:
    """Return the digits of a currency's minor unit (ISO 4217).

    >>> minor_digits("EUR"), minor_digits("JPY")
    (2, 0)
    """
    return _MINOR_DIGITS.get(currency, 2)


def round_money(amount: Decimal, currency: str) -> Decimal:
    """Return an extended amount rounded half up to the currency's minor unit.

    Only extended amounts are rounded; unit prices keep the shop's own precision.

    >>> round_money(Decimal("10.005"), "EUR")
    Decimal('10.01')
    """
    return amount.quantize(_UNITS[minor_digits(currency)], rounding=ROUND_HALF_UP)


def last_digit(amount: Decimal) -> Decimal:
    """Return the value of one step of an amount's last printed digit.

    >>> last_digit(Decimal("12.50"))
    Decimal('0.01')
    """
    exponent = amount.as_tuple().exponent
    return Decimal(1).scaleb(exponent if isinstance(exponent, int) else 0)


def extends_to(each: Decimal, quantity: Decimal | int, total: Decimal, currency: str) -> bool:
    """Return whether quantity x each = total, within what rounding allows.

    Tolerance: half a minor unit plus quantity times half of the unit price's last digit
    (the unit price may itself have been rounded for printing).

    >>> extends_to(Decimal("33.33"), 3, Decimal("100.00"), "EUR")
    True
    >>> extends_to(Decimal("33.33"), 3, Decimal("101.00"), "EUR")
    False
    """
    off = abs(each * quantity - total)
    if not off:
        return True  # by far the commonest case
    return off <= _HALVES[minor_digits(currency)] + quantity * last_digit(each) / 2

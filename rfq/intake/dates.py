# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""Dates as replies write them; a day and month that may be exchanged are both kept."""

from __future__ import annotations

import re
from datetime import date

from rfq.intake.numbers import plain_digits

_MONTHS = {
    name: number
    for number, names in enumerate(
        (
            "jan january januar janvier gennaio enero stycznia styczeń gen ene sty",
            "feb february februar février fevrier febbraio febrero lutego luty fév lut",
            "mar march märz maerz mars marzo marca marzec mär mrz",
            "apr april avril aprile abril kwietnia kwiecień avr abr kwi",
            "may mai maggio mayo maja maj mag",
            "jun june juni juin giugno junio czerwca czerwiec giu cze",
            "jul july juli juillet luglio julio lipca lipiec lug lip juil",
            "aug august août aout agosto sierpnia sierpień ago sie",
            "sep sept september septembre settembre septiembre września wrzesień set wrz",
            "oct october oktober octobre ottobre octubre października październik okt ott paź",
            "nov november novembre noviembre listopada listopad lis",
            "dec december dezember décembre decembre dicembre diciembre grudnia grudzień dez déc dic gru",
        ),
        1,
    )
    for name in names.split()
}
_ISO = re.compile(r"(?<!\d)(\d{4})[-/.年](\d{1,2})[-/.月](\d{1,2})日?(?!\d)")
_SHORT = re.compile(r"(?<!\d)(\d{1,2})\s?[./-]\s?(\d{1,2})\s?[./-]\s?(\d{4}|\d{2})(?!\d)")
_WORDS = re.compile(
    r"(?<!\d)(\d{1,2})(?:st|nd|rd|th|er|º|°)?[.\s-]*(?:de\s+|of\s+)?([^\W\d_]{3,12})\.?[\s,-]*(?:de\s+)?(\d{4}|\d{2}(?!\d))",
    re.I,
)
_WORDS_US = re.compile(
    r"(?<![^\W\d_])([^\W\d_]{3,12})\.?\s+(\d{1,2})(?:st|nd|rd|th)?,?\s+(\d{4})", re.I
)


def dates(text: str) -> tuple[date, ...]:
    """Return the readings of the first date in a text; two where day and month may be exchanged.

    >>> dates("valid until 31.01.2027"), dates("2027年1月31日")
    ((datetime.date(2027, 1, 31),), (datetime.date(2027, 1, 31),))
    >>> dates("03/04/2027")
    (datetime.date(2027, 4, 3), datetime.date(2027, 3, 4))
    """
    plain = plain_digits(text)
    found = _ISO.search(plain)
    if found:
        return _made((int(found[1]), int(found[2]), int(found[3])))
    found = _WORDS.search(plain)
    if found and found[2].lower() in _MONTHS:
        return _made((_year(found[3]), _MONTHS[found[2].lower()], int(found[1])))
    found = _WORDS_US.search(plain)
    if found and found[1].lower() in _MONTHS:
        return _made((int(found[3]), _MONTHS[found[1].lower()], int(found[2])))
    found = _SHORT.search(plain)
    if found:
        first, second, year = int(found[1]), int(found[2]), _year(found[3])
        day_first = _made((year, second, first))
        if "/" in found[0] or "-" in found[0]:
            return tuple(dict.fromkeys(day_first + _made((year, first, second))))
        return day_first
    return ()


def _year(text: str) -> int:
    return int(text) if len(text) == 4 else 2000 + int(text)


def _made(parts: tuple[int, int, int]) -> tuple[date, ...]:
    try:
        return (date(*parts),)
    except ValueError:
        return ()

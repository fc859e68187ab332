# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""Numbers as the trade writes them: every reading a text allows, and how a choice is settled.

One text may have two readings ('1.234'); both are kept until the rest of the column, the
arithmetic of the row, or a person decides. Nothing is chosen here.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

_SPACES = "\u00a0\u202f\u2009\u2007\u2002\u2003 "
_QUOTES = "'\u2019\u2018`\u00b4\u02bc\u2032"
_MINUS = "-\u2212\u2013\u2012"

# The shapes a number can have; the first that takes the whole text wins. A separator that
# stands once before exactly three digits is the only doubtful case, and is handled below.
_SHAPES = (
    ("exp", re.compile(r"(\d+)(?:([.,])(\d+))?[eE]([+-]?\d{1,2})")),
    ("lakh", re.compile(r"(\d{1,2}(?:,\d{2})+,\d{3})(?:(\.)(\d+))?")),
    ("space", re.compile(rf"(\d{{1,3}}(?:[{_SPACES}]\d{{3}})+)(?:([.,])(\d+))?")),
    ("quote", re.compile(rf"(\d{{1,3}}(?:[{_QUOTES}]\d{{3}})+)(?:([.,])(\d+))?")),
    ("dot", re.compile(r"(\d{1,3}(?:\.\d{3})+)(?:(,)(\d+))?")),
    ("comma", re.compile(r"(\d{1,3}(?:,\d{3})+)(?:(\.)(\d+))?")),
    ("plain", re.compile(r"(\d+)(?:([.,\u00b7])(\d+))?")),
    ("bare", re.compile(r"()([.,])(\d+)")),
)
# A number inside running text: anything that begins and ends with a digit (or a dash for 'and
# no cents'), so that a malformed one is taken whole and refused, not cut in two.
TOKEN = re.compile(
    rf"(?<![\w.,])\d(?:[\d.,{_QUOTES}]|[\u00a0\u202f\u2009](?=\d{{3}}(?!\d))|[ ](?=\d{{3}}(?![\d-])))*"
    rf"(?:(?<=[.,])[-\u2013\u2014]{{1,2}})?"
)


@dataclass(frozen=True, slots=True)
class Figure:
    """A text read as a number.

    Args:
        text: what was read.
        values: every reading; empty where the text is no number; two where it is doubtful.
        decimal: '.', ',' where the text itself shows its decimal sign; '' where it shows none.
    """

    text: str
    values: tuple[Decimal, ...] = ()
    decimal: str = ""

    @property
    def sure(self) -> bool:
        """Whether there is exactly one reading."""
        return len(self.values) == 1


def plain_digits(text: str) -> str:
    """Return the text with full-width and other scripts' digits and signs as ASCII.

    >>> plain_digits("１２．５０")
    '12.50'
    >>> plain_digits("٤٥٫٩")
    '45.9'
    """
    if text.isascii():
        return text
    out = []
    for char in text:
        if char.isdecimal() and not char.isascii():
            out.append(str(unicodedata.decimal(char)))
        elif char in "\u066b":
            out.append(".")
        elif char in "\u066c":
            out.append("'")
        elif "\uff01" <= char <= "\uff5e":
            out.append(chr(ord(char) - 0xFEE0))
        elif char == "\u3000":
            out.append(" ")
        else:
            out.append(char)
    return "".join(out)


def figure(text: str) -> Figure:
    """Return every number the text can mean; without words, currency or unit.

    >>> figure("1.234,50").values, figure("1,234").values
    ((Decimal('1234.50'),), (Decimal('1234'), Decimal('1.234')))
    >>> figure("12,-").values, figure("12.3.4").values
    ((Decimal('12'),), ())
    """
    body = plain_digits(text).strip().strip(_SPACES)
    sign = 1
    if body.startswith("(") and body.endswith(")"):
        body, sign = body[1:-1].strip(), -1
    if body[:1] in _MINUS and len(body) > 1:
        body, sign = body[1:].strip(_SPACES), -1
    elif body[:1] == "+":
        body = body[1:].strip(_SPACES)
    elif re.search(r"\d[-\u2212]$", body):
        body, sign = body[:-1], -1
    if not body or len(body) > 40:
        return Figure(text)
    no_cents = re.fullmatch(r"(.*\d)[.,][-\u2013\u2014]{1,2}", body)
    if no_cents:
        whole = _whole(no_cents[1])
        return Figure(text, (sign * whole,)) if whole is not None else Figure(text)
    for name, shape in _SHAPES:
        match = shape.fullmatch(body)
        if match:
            return _read(text, name, match, sign)
    return Figure(text)


def _whole(body: str) -> Decimal | None:
    """A whole number with any grouping."""
    for name, shape in _SHAPES[1:7]:
        match = shape.fullmatch(body)
        if match and not match[3] and name != "exp":
            return Decimal(re.sub(r"\D", "", match[1]))
    return None


def _read(text: str, name: str, match: re.Match[str], sign: int) -> Figure:
    digits = re.sub(r"\D", "", match[1]) or "0"
    mark, behind = match[2] or "", match[3] or ""
    if name == "exp":
        value = Decimal(f"{digits}.{behind or 0}").scaleb(int(match[4]))
        return Figure(text, (sign * value,), mark)
    if name in ("dot", "comma") and not mark:
        inner = "." if name == "dot" else ","
        groups = match[1].split(inner)
        if len(groups) == 2:
            broken = Decimal(f"{groups[0]}.{groups[1]}")
            if groups[0].startswith("0"):
                return Figure(text, (sign * broken,), inner)
            return Figure(text, (sign * Decimal(digits), sign * broken))
        if groups[0].startswith("0"):
            return Figure(text)
        return Figure(text, (sign * Decimal(digits),), "," if inner == "." else ".")
    if name in ("lakh", "space", "quote", "dot", "comma") and digits.startswith("0"):
        return Figure(text)  # no one groups a number that begins with nought
    value = Decimal(f"{digits}.{behind}") if behind else Decimal(digits)
    shown = mark if mark in (".", ",") else ""
    if not shown and name == "lakh":
        shown = "."
    return Figure(text, (sign * value,), shown)


@dataclass(frozen=True, slots=True)
class Habit:
    """What the other figures of the same columns show about the decimal sign."""

    decimal: str = ""  # '.', ',' or '' where none or both are seen

    def settle(self, read: Figure) -> Figure:
        """Return the figure with one reading where this habit decides it."""
        if len(read.values) != 2 or not self.decimal:
            return read
        mark = "." if "." in plain_digits(read.text) else ","
        chosen = read.values[1] if mark == self.decimal else read.values[0]
        return Figure(read.text, (chosen,), mark if mark == self.decimal else "")


def habit(figures: Iterable[Figure]) -> Habit:
    """Return the decimal sign that figures show; none where they contradict each other.

    >>> habit([figure("12,50"), figure("1.234")]).decimal
    ','
    """
    seen = {read.decimal for read in figures if read.decimal}
    return Habit(seen.pop()) if len(seen) == 1 else Habit()


def from_float(value: float) -> Decimal:
    """Return a stored binary number as a spreadsheet shows it: 15 significant digits.

    >>> from_float(21.430000000000003)
    Decimal('21.43')
    """
    return Decimal(f"{value:.15g}")

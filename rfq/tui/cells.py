"""Values to text on the screen: the only place where it is made.

A string given to a widget is markup to it, and markup eats ``[h7]``; so widgets get ``Text``
from here. Control characters (a shop's name with escape codes) are shown as their pictures, never
sent to the terminal.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from rich.cells import cell_len, set_cell_size
from rich.text import Text

from rfq.problems import Problem, Severity

# Roles a bit of text can have; each is a component class of the widgets that draw bits. A role is
# never the only bearer of a meaning: a sign or a word stands beside it.
ROLES = ("plain", "dim", "head", "strong", "low", "query", "error", "good")

MARK = {Severity.STOP: "stop", Severity.ASK: "ask", Severity.NOTE: "note"}
ROLE = {Severity.STOP: "error", Severity.ASK: "query", Severity.NOTE: "dim"}


@dataclass(frozen=True, slots=True)
class Bit:
    """A piece of text with a role."""

    text: str
    role: str = "plain"


Bits = tuple[Bit, ...]


def plain(value: object) -> str:
    """Return a value as one line without anything a terminal would obey.

    >>> plain("a\\x1b[31mb")
    'a␛[31mb'
    """
    text = "" if value is None else str(value)
    if text.isascii() and text.isprintable():
        return text
    return "".join(_shown(char) for char in text)


def _shown(char: str) -> str:
    if char in "\t\n\r":
        return " "
    code = ord(char)
    if code < 32:
        return chr(0x2400 + code)
    if code == 127:
        return "␡"
    # Cc: C1 controls; Cf: direction and join marks that would turn the rest of the line around.
    return "�" if unicodedata.category(char) in ("Cc", "Cf", "Cs") else char


def bit(value: object, role: str = "plain") -> Bit:
    """Return a value as a bit of text."""
    return Bit(plain(value), role)


def bits(value: object, role: str = "plain") -> Bits:
    """Return a value as a cell of one bit."""
    return (Bit(plain(value), role),)


def text(value: object, style: str = "") -> Text:
    """Return a value as text that no widget takes for markup."""
    return Text(plain(value), style=style, no_wrap=False)


def lines(rows: Iterable[object]) -> Text:
    """Return several lines as one text; a row is a value or bits."""
    return Text("\n").join(row if isinstance(row, Text) else _row(row) for row in rows)


_STYLE = {
    "dim": "dim",
    "head": "bold",
    "strong": "bold",
    "low": "bold",
    "query": "italic",
    "error": "bold",
    "good": "",
    "plain": "",
}


def _row(row: object) -> Text:
    if isinstance(row, Bit):
        row = (row,)
    if isinstance(row, tuple):
        return Text.assemble(*((one.text, _STYLE[one.role]) for one in row))
    return Text(plain(row))


def width(value: str) -> int:
    """Return the columns a text takes."""
    return cell_len(value)


def fit(value: str, room: int, *, right: bool = False) -> str:
    """Return a text at exactly a width: filled up, or cut with an ellipsis."""
    if room <= 0:
        return ""
    size = cell_len(value)
    if size > room:
        return set_cell_size(value, room - 1) + "…"
    gap = " " * (room - size)
    return gap + value if right else value + gap


def money(amount: Decimal | float | None) -> str:
    """Return money with a fixed place for the decimal point; nothing where there is none.

    >>> money(Decimal("1234.5"))
    '1 234.50'
    """
    if amount is None:
        return ""
    return f"{Decimal(str(amount)):,.2f}".replace(",", " ")


def unit_price(amount: Decimal) -> str:
    """Return a price as quoted: two digits after the point at least, and none of the rest lost.

    >>> unit_price(Decimal("19.5")), unit_price(Decimal("0.0850")), unit_price(Decimal("441"))
    ('19.50', '0.0850', '441.00')
    """
    digits = max(2, -int(amount.as_tuple().exponent))
    return f"{amount:,.{digits}f}".replace(",", " ")


def count(number: int, word: str) -> str:
    """Return a number with its word, in the plural where it is not one.

    >>> count(1, "finding"), count(2, "finding")
    ('1 finding', '2 findings')
    """
    return f"{number} {word}" + ("" if number == 1 else "s")


def percent(share: float | None, *, sign: bool = True) -> str:
    """Return a share as whole per cent.

    >>> percent(-0.041)
    '-4 %'
    """
    if share is None:
        return ""
    return f"{share * 100:+.0f} %" if sign else f"{share * 100:.0f} %"


def strip(low: float, middle: float, high: float, price: float, room: int = 7) -> str:
    """Return the band with the price's place in it: ``│`` the middle, ``●`` the price.

    A price outside lies beyond an end, marked by an arrow there.

    >>> strip(60, 75, 90, 66)
    '--●│---'
    >>> strip(60, 75, 90, 120)
    '---│--▸'
    """
    signs = ["-"] * room

    def place(value: float) -> int:
        share = (value - low) / (high - low) if high > low else 0.5
        return max(0, min(room - 1, round(share * (room - 1))))

    signs[place(middle)] = "│"
    if price < low:
        signs[0] = "◂"
    elif price > high:
        signs[-1] = "▸"
    else:
        signs[place(price)] = "●"
    return "".join(signs)


def bar(share: float, room: int) -> str:
    """Return a bar that fills a share of a width, to an eighth of a character."""
    eighths = max(0, round(share * room * 8))
    whole, rest = divmod(eighths, 8)
    return ("█" * whole + ("" if rest == 0 else " ▏▎▍▌▋▊▉"[rest]))[:room]


def band(low: float | Decimal, middle: float | Decimal, high: float | Decimal) -> str:
    """Return low, middle and high as one text with aligned points."""
    return f"{money(low):>9} [{money(middle):>9}] {money(high):>9}"


def problem_lines(problem: Problem) -> list[Bits]:
    """Return a problem as lines: what and where, why, what would be right."""
    head: list[Bits] = [
        (
            Bit(f"{MARK[problem.severity]:<5}", ROLE[problem.severity]),
            bit(f"{problem.code}  ", "dim"),
            bit(problem),
        )
    ]
    if problem.why:
        head.append((Bit("      why    ", "dim"), bit(problem.why)))
    if problem.right and problem.right not in problem.message:
        head.append((Bit("      right  ", "dim"), bit(problem.right)))
    if problem.saving:
        head.append((Bit("      saves  ", "dim"), bit(problem.saving)))
    return head

# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""What one cell can mean as an amount: number, currency, base, or words in a number's place."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import lru_cache

from rfq.intake.grid import Cell
from rfq.intake.money import base_in, currencies_in, money
from rfq.intake.numbers import Figure

_DECLINED = re.compile(
    r"(?:no[\s-]*(?:quote|bid|offer)\w*|n\s*/?\s*q\.?|not? quot\w+|declin\w+|regret\w*|unable to quote|cannot quote|can't quote|we pass|pass"
    r"|n\s*[./]\s*a\.?|n\.\s*v\.|none|nicht angeboten|kein angebot|keine? (?:angebot|abgabe)|können wir nicht\b.*|nicht (?:möglich|lieferbar)|entfällt|absage|k\.\s*a\.?"
    r"|pas d['’ ]offre|non (?:coté|chiffré|proposé)e?|pas de prix|sans offre|non quotat[oa]|non quotabile|nessuna offerta|non offert[oa]|n\.\s*q\.?"
    r"|no cotizad[oa]|no cotizamos|sin oferta|no ofertad[oa]|no ofertamos|brak oferty|nie oferujemy|nie wyceniono|nie wykonujemy|不报价|無法報價|无法报价|不報價|不做|无法加工"
    r"|not possible|not manufacturable|outside our capabilit\w+|outside capacity|not offered|cannot (?:make|offer|supply))",
    re.IGNORECASE,
)
_LATER = re.compile(
    r"(?:t\.?\s*b\.?\s*[dac]\.?|to be (?:determined|advised|confirmed|quoted)|to follow|follows|folgt|(?:price )?(?:up)?on request|p\.?o\.?r\.?|poa|rfq|auf anfrage|a\.\s*a\.?|nach aufwand|offen"
    r"|sur demande|à définir|à suivre|a richiesta|su richiesta|da definire|da confermare|bajo (?:pedido|demanda|consulta)|a consultar|por definir|na zapytanie|do ustalenia|do uzgodnienia|待定|待确认|面议|\?+)",
    re.IGNORECASE,
)
_INCLUDED = re.compile(
    r"(?:incl\w*\.?|inkl\w*\.?|enthalten|im preis|compris\w*|inclus\w*|inclu[ií]d[oa]s?|compres[oa]|zawart[ey]|w cenie|free(?: of charge)?|foc|f\.o\.c\.|no charge|n/?c|kostenlos|gratis|kostenfrei|gratuit|gratuito|bezpłatnie|含|免费|included)",
    re.IGNORECASE,
)
_DASH = re.compile(r"[-–—_―./\\\s]+|x+|—+", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Amount:
    """A cell read as an amount.

    Args:
        values: every reading of the number (see ``numbers.Figure``).
        currencies: what the sign or the number format names.
        base: price base beside the number.
        percent: a percentage; ``values`` are in percent.
        state: '' for a number; else 'blank', 'declined', 'dash', 'later', 'included', 'date',
            'formula', 'error', 'words'.
        words: other text in the cell.
        figure: the number as text, where it came as text.
    """

    values: tuple[Decimal, ...] = ()
    currencies: tuple[str, ...] = ()
    base: str = ""
    percent: bool = False
    state: str = ""
    words: str = ""
    figure: Figure | None = None

    @property
    def declined(self) -> bool:
        """Whether the cell says that there is no price."""
        return self.state in ("declined", "dash", "later")


BLANK = Amount(state="blank")


@lru_cache(maxsize=512)
def number_format(code: str) -> tuple[tuple[str, ...], str, bool, int]:
    """Return (currencies, base, percent, scale in thousands) that a number format shows.

    >>> number_format('#,##0.00 "€"')[0], number_format('[$€-407] #,##0.00')[0]
    (('EUR',), ('EUR',))
    >>> number_format('0.00 "/100"')[1], number_format("0.0%")[2]
    ('100', True)
    """
    first = code.split(";")[0]
    literal = " ".join(re.findall(r'"([^"]*)"', first)) + " "
    literal += " ".join(re.findall(r"\[\$([^\-\]]*)", first)) + " "
    bare = re.sub(r'"[^"]*"|\[[^\]]*\]|_.|\*.', "", first)
    literal += re.sub(r"[#0?.,%\s@();_-]|(?i:general|standard)", " ", bare.replace("\\", ""))
    scaling = re.search(r"[0#?](,+)\s*$", re.sub(r"\\.|%", "", bare).strip())
    scale = len(scaling[1]) if scaling else 0
    return (
        currencies_in(literal, beside_number=True),
        base_in(literal.strip()) if re.search(r"\w|/", literal) else "",
        "%" in bare,
        scale,
    )


@lru_cache(maxsize=8192)
def text_amount(text: str) -> Amount:
    """Return what a text in the place of an amount means."""
    body = text.strip()
    if not body:
        return BLANK
    if _DASH.fullmatch(body):
        return Amount(state="dash", words=body)
    plain = body.strip(" .:;!*()[]")
    if _DECLINED.fullmatch(plain):
        return Amount(state="declined", words=body)
    if _LATER.fullmatch(plain) or (body.startswith("?") and not plain.strip("?")):
        return Amount(state="later", words=body)
    if _INCLUDED.fullmatch(plain):
        return Amount(state="included", words=body)
    read = money(body)
    if read.figure.values:
        return Amount(
            read.figure.values,
            read.currencies,
            read.base,
            read.percent,
            "",
            read.words,
            read.figure,
        )
    started = _DECLINED.match(plain)
    if started and started.end() >= 3 and not re.search(r"\d[.,]\d\d", body):
        return Amount(state="declined", words=body)
    later = _LATER.match(plain)
    if later and later.end() >= 3 and not re.search(r"\d", body):
        return Amount(state="later", words=body)
    return Amount((), read.currencies, read.base, state="words", words=body)


def amount(cell: Cell | None) -> Amount:
    """Return what a cell means as an amount; a blank is blank, never nought."""
    if cell is None:
        return BLANK
    if cell.kind == "s":
        return text_amount(cell.text)
    if cell.kind == "n":
        value = Decimal(cell.text)
        if not cell.format:
            return Amount((value,))
        currencies, base, percent, scale = number_format(cell.format)
        if percent:
            value *= 100
        if scale:
            return Amount((value, value.scaleb(-3 * scale)), currencies, base, percent)
        return Amount((value,), currencies, base, percent)
    if cell.kind == "f":
        return Amount(state="formula")
    if cell.kind == "d":
        return Amount(_from_date(cell.text), state="date", words=cell.text)
    if cell.kind == "e":
        return Amount(state="error", words=cell.text)
    return Amount(state="words", words=cell.text)


def _from_date(text: str) -> tuple[Decimal, ...]:
    """The prices a spreadsheet may have turned into this date ('12.05' into the 12th of May)."""
    try:
        day = date.fromisoformat(text[:10])
    except ValueError:
        return ()
    readings = [
        Decimal(f"{day.day}.{day.month:02d}"),
        Decimal(f"{day.day}.{day.month}"),
        Decimal(f"{day.month}.{day.day:02d}"),
        Decimal(f"{day.month}.{day.day}"),
    ]
    if day.day == 1:
        year = day.year
        readings += [Decimal(f"{day.month}.{year % 100:02d}"), Decimal(f"{day.month}.{year}")]
    return tuple(dict.fromkeys(readings))

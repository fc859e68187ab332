"""For how many pieces a price is meant: the nearest statement wins."""

from __future__ import annotations

import re

from rfq.intake.cells import amount
from rfq.intake.money import PIECE, base_in
from rfq.intake.row import Offer, Row
from rfq.intake.table import Column


def base_of(row: Row, offer: Offer, said: str) -> tuple[str, bool]:
    """Return (price base, whether it is stated); the nearest statement wins."""
    if offer.amount.base:
        return offer.amount.base, True
    if "price base" in row.by:
        cell = row.by["price base"]
        base = base_in(cell.text.strip()) or ("1" if cell.text.strip() in ("1", "1.0") else "")
        if base:
            return base, True
        number = amount(cell)
        if len(number.values) == 1 and str(number.values[0].normalize()) in (
            "1",
            "1E+1",
            "1E+2",
            "1E+3",
        ):
            return str(int(number.values[0])), True
    if offer.column.meaning == "kg price":
        return "kg", True
    beside = offer.amount.words
    if beside and base_in(beside):
        return base_in(beside), True
    if "unit" in row.by:
        text = row.by["unit"].text.strip()
        base = base_in(text)
        if base and base not in ("1", "kg") and offer.column.base in ("", "1"):
            return base, True
    if "note" in row.by:
        text = row.by["note"].text
        base = base_in(text) if len(text) < 40 else _base_in_sentence(text)
        if base and not (base == "lot" and offer.column.base == "1"):
            return base, True
    if offer.column.meaning == "lot price":
        return "lot", True
    if offer.column.base and not (said and _says_unit_alone(offer.column)):
        return offer.column.base, True
    if said:
        return said, True
    return "1", offer.column.meaning in ("unit price", "gross price")


def _says_unit_alone(column: Column) -> bool:
    """Whether the heading is a bare 'unit price', which a 'prices per 100' below may define."""
    return column.base == "1" and not re.search(
        rf"(?i)(?:per|/|je|pro|par|por|za|al|à|each|every|cad)\s*\.?\s*(?:1\s*)?(?:{PIECE})?|stück|stk|szt|每|单件",
        re.sub(r"(?i)unit\w*|unitaire|einheit\w*", "", column.heading),
    )


def _base_in_sentence(text: str) -> str:
    said = re.search(
        r"(?i)(?:price[sd]?|preise?|prix|prezz[oi]|precios?|cen[ay]|单价)\W{0,3}(?:\w+\W+){0,3}?((?:per|je|pro|pour|par|por|za|/)\s*\S+(?:\s*\S+)?)",
        text,
    )
    return base_in(said[1]) if said else ""

# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""Prices typed in by hand, with the same checks as prices that were read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rfq.intake.assemble import draft_of
from rfq.intake.grid import Book, Cell, Grid
from rfq.intake.lexicon import lexicon
from rfq.intake.matching import Known
from rfq.intake.terms_found import Said
from rfq.model.draft import Draft
from rfq.model.request import Request
from rfq.problems import Place

_HEAD = ("Part", "Rev", "Quantity", "Unit price", "Price per", "Currency", "One-off", "Lead time", "Total", "Note")  # fmt: skip


@dataclass(frozen=True, slots=True)
class TypedLine:
    """One typed line; all fields as typed."""

    part: str
    quantity: str
    price: str
    revision: str = ""
    per: str = ""
    currency: str = ""
    one_off: str = ""
    lead: str = ""
    total: str = ""
    note: str = ""


def typed_reply(
    lines: Sequence[TypedLine], *, request: Request | None = None, shop: str = "",
    terms: Sequence[str] = (), name: str = "typed in",
) -> Draft:  # fmt: skip
    """Return the draft of typed lines.

    Args:
        lines: prices as typed.
        request: the request they answer.
        shop: the shop's id.
        terms: sentences such as 'EXW Brno' or '30 days net'.
        name: stands as the file in places.
    """
    grid = Grid("typed")
    for column, text in enumerate(_HEAD, 1):
        grid.put(Cell(1, column, "s", text))
    for row, line in enumerate(lines, 2):
        values = (line.part, line.revision, line.quantity, line.price, line.per, line.currency, line.one_off, line.lead, line.total, line.note)  # fmt: skip
        for column, text in enumerate(values, 1):
            if text.strip():
                grid.put(Cell(row, column, "s", text.strip()))
    said = [Said(text, Place(name, line=n)) for n, text in enumerate(terms, 1)]
    draft = draft_of(Book("typed", [grid]), name, "", Known.of(request), lexicon(), extra=said)
    return draft.model_copy(
        update={"form": "typed", "shop": shop, "shop_confidence": 1.0 if shop else 0.0}
    )

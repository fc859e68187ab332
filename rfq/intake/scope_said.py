"""Scope that a reply says in words: 'price includes anodising', 'plating not included'.

A sentence of the whole reply ticks the quote; a remark beside one part ticks that part's prices,
and is no exception any more, because it is the scope that differs and not the part.
"""

from __future__ import annotations

from rfq.intake.letter_text import scope_of
from rfq.model.codes import Scope, Ticked
from rfq.model.draft import Draft
from rfq.model.quote import Price, TakenException

# Cells that may hold a sentence about the whole reply.
_SAYS = ("text", "term", "left out", "note")


def with_scope(draft: Draft) -> Draft:
    """Return the draft with the ticks its words give; ticks it has already win."""
    own = {taken.place for taken in draft.exceptions}
    general = (cell.raw for cell in draft.cells if cell.meaning in _SAYS and cell.place not in own)
    by_part, exceptions = _of_parts(draft)
    scope = {**scope_of(general), **draft.scope}
    if scope == draft.scope and not by_part:
        return draft
    prices = tuple(_ticked(price, by_part.get(price.part, {})) for price in draft.prices)
    return draft.model_copy(update={"scope": scope, "prices": prices, "exceptions": exceptions})


def _of_parts(
    draft: Draft,
) -> tuple[dict[str, dict[Scope, Ticked]], tuple[TakenException, ...]]:
    """Sort remarks on single parts into ticks and what stays an exception."""
    ticks: dict[str, dict[Scope, Ticked]] = {}
    left = []
    for taken in draft.exceptions:
        said = scope_of([taken.text]) if taken.part and not taken.callout else {}
        if said and _says_nothing_else(taken.text):
            ticks.setdefault(taken.part, {}).update(said)
        else:
            left.append(taken)
    return ticks, tuple(left)


def _says_nothing_else(text: str) -> bool:
    """A short remark without figures is about scope alone; a longer one may change the part."""
    return len(text) <= 60 and not any(char.isdigit() for char in text.replace("3.1", ""))


def _ticked(price: Price, ticks: dict[Scope, Ticked]) -> Price:
    if not ticks:
        return price
    return price.model_copy(update={"scope": {**ticks, **price.scope}})

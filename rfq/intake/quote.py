# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""A draft accepted into a quote: only when every price is sure and nothing is left to ask."""

from __future__ import annotations

from collections import Counter
from datetime import datetime

from rfq.model.draft import Draft
from rfq.model.part import FileRef
from rfq.model.quote import Quote, TakenException
from rfq.model.request import Request
from rfq.problems import Place, Problem, Reading, Severity


def accept(
    draft: Draft,
    *,
    request: Request,
    shop: str,
    round: int = 1,
    number: int = 1,
    received: datetime,
    accepted_at: datetime,
    accepted_by: str = "",
    source: FileRef,
) -> Reading[Quote]:
    """Return the quote of a reviewed draft, or what has to be settled first.

    Args:
        draft: as read and corrected.
        request: the request it answers.
        shop: the shop's id.
        round: round of the request.
        number: 1 for the shop's first quote of the round, 2 for the next.
        received: when the reply came.
        accepted_at: now.
        accepted_by: who accepts.
        source: the stored original.
    Problems:
        R060 a price is not sure; R061 nothing to accept; R062 a part outside the request;
        R063 the sheet answers another request or round; R064 two currencies (a note);
        R065 the same part and quantity twice.
    """
    stops: list[Problem] = []
    notes: list[Problem] = [p for p in draft.problems if p.severity is Severity.NOTE]
    asked = {line.part for line in request.lines}
    for price in draft.prices:
        at = f"{price.part} at {price.quantity}"
        if price.each is None or not price.sure or not price.currency:
            why = next(
                (p.message for p in draft.problems if p.place == price.place and p.severity is not Severity.NOTE),
                f"{at}: the price is not sure.",
            )  # fmt: skip
            stops.append(
                Problem(
                    "R060",
                    f"Not accepted, settle this first: {why}",
                    price.place,
                    subject=price.part,
                )
            )
        if price.part not in asked:
            stops.append(
                Problem(
                    "R062",
                    f"{at}: the part is not in request {request.id}; match it to a part or leave it out.",
                    price.place,
                    subject=price.part,
                )
            )
    if not draft.prices and not draft.declined:
        stops.append(
            Problem(
                "R061",
                "There is no price and no declined part in this reply; nothing can be accepted.",
                Place(draft.file),
            )
        )
    if draft.request and draft.request != request.id and draft.form == "response sheet":
        stops.append(
            Problem(
                "R063",
                f"The sheet answers request {draft.request}, not {request.id}.",
                Place(draft.file),
            )
        )
    if draft.round and draft.round != round and draft.form == "response sheet":
        stops.append(
            Problem(
                "R063",
                f"The sheet answers round {draft.round}, not round {round}.",
                Place(draft.file),
            )
        )
    twice = Counter((p.part, p.quantity) for p in draft.prices if not p.alternative)
    for (part, quantity), times in twice.items():
        if times > 1:
            stops.append(
                Problem(
                    "R065",
                    f"{part} at {quantity} stands {times} times; leave one.",
                    Place(draft.file),
                    subject=part,
                )
            )
    if stops:
        return Reading(None, tuple(stops))
    currencies = Counter(p.currency for p in draft.prices) or Counter(
        c.currency for c in draft.charges if c.currency
    )
    if len(currencies) > 1:
        notes.append(
            Problem(
                "R064",
                f"The quote holds prices in {', '.join(sorted(currencies))}.",
                Place(draft.file),
                Severity.NOTE,
            )
        )
    currency = currencies.most_common(1)[0][0] if currencies else (request.terms.currency or "EUR")
    quote = Quote(
        shop=shop,
        request=request.id,
        revision=draft.revision or request.revision,
        round=round,
        number=number,
        received=received,
        accepted_at=accepted_at,
        accepted_by=accepted_by,
        source=source,
        form=draft.form,
        currency=currency,
        prices=draft.prices,
        charges=tuple(c if c.currency else c.model_copy(update={"currency": currency}) for c in draft.charges),
        terms=draft.terms,
        scope=draft.scope,
        exceptions=_each_once(draft.exceptions),
        declined=draft.declined,
        breakdowns=draft.breakdowns,
    )  # fmt: skip
    return Reading(quote, tuple(notes))


def _each_once(exceptions: tuple[TakenException, ...]) -> tuple[TakenException, ...]:
    """Exceptions of a part said on each of its rows are one exception; its first place is kept."""
    first = {(taken.part, taken.callout, taken.text): taken for taken in reversed(exceptions)}
    return tuple(reversed(first.values()))

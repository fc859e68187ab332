"""An order acknowledgement: read as a reply, then only part, quantity, price and date are kept."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path

from rfq.intake.dates import dates
from rfq.intake.kinds import Limits
from rfq.intake.read import read_reply
from rfq.model.award import Acknowledged, Order
from rfq.model.request import Request, RequestLine
from rfq.problems import Problem, Reading


@dataclass(frozen=True, slots=True)
class Acknowledgement:
    """What a shop confirms."""

    lines: tuple[Acknowledged, ...]
    terms: dict[str, str] = field(default_factory=dict)


def read_acknowledgement(
    path: Path, order: Order, limits: Limits | None = None
) -> Reading[Acknowledgement]:
    """Return the confirmed lines and terms, to be compared with the order.

    Args:
        path: the acknowledgement in any form a reply may have.
        order: what was ordered; its parts are looked for.
        limits: see ``read_reply``.
    Problems: those of ``read_reply``; figures that are not sure come with their problem.
    """
    quantities: dict[str, set[int]] = {}
    for line in order.lines:
        quantities.setdefault(line.part, set()).add(line.quantity)
    request = Request(
        id=order.request,
        title="order",
        lines=tuple(
            RequestLine(part=p, quantities=tuple(sorted(q))) for p, q in quantities.items()
        ),
    )
    reading = read_reply(path, request, order.shop, limits=limits)
    if reading.value is None:
        return Reading(None, reading.problems)
    draft = reading.value
    lines = tuple(
        Acknowledged(
            part=price.part, revision=price.revision, quantity=price.quantity, each=price.each,
            date=_date(price.lead, order.placed, price.lead_days), place=str(price.place),
        )
        for price in draft.prices if not price.alternative
    )  # fmt: skip
    terms: dict[str, str] = {}
    if draft.terms.incoterm:
        terms["incoterm"] = f"{draft.terms.incoterm} {draft.terms.place}".strip()
    if draft.terms.payment is not None:
        terms["payment"] = draft.terms.payment.text
    problems: tuple[Problem, ...] = tuple(
        p for p in draft.problems if p.code not in ("R034", "R033")
    )
    return Reading(Acknowledgement(lines, terms), problems)


def _date(text: str, placed: date, days: int | None) -> date | None:
    found = dates(text) if text else ()
    if len(found) == 1:
        return found[0]
    return placed + timedelta(days=days) if days is not None else None

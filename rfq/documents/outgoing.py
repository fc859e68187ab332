"""What one shop may see of a request: built once, and everything that goes out is made of it.

Internal fields are emptied here, before any document is drawn, so that no document can print
them by accident; ``leaks`` then looks at the finished bytes as a second guard.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from rfq.model.part import Part
from rfq.model.project import Project
from rfq.model.request import Asked, Request, RequestLine, Round
from rfq.model.shop import Contact, Shop


@dataclass(frozen=True, slots=True)
class Outgoing:
    """A request as one shop gets it in one round.

    Args:
        company, address, contact, logo: ours; ``logo`` is a path within the project.
        request: without internal notes, other shops and overrides.
        shop: without internal note.
        parts: this shop's, in the request's order, without internal fields.
        round: number of the round. last: it is announced as the last.
        argument: what a further round is for.
        answer_by: the round's cut-off, else the request's.
        key: hash of the request's content, printed short and repeated in the response sheet.
    """

    company: str
    address: tuple[str, ...]
    country: str
    contact: Contact
    logo: str
    request: Request
    shop: Shop
    parts: tuple[Part, ...]
    round: int
    last: bool
    argument: str
    answer_by: datetime | None
    key: str

    @property
    def lines(self) -> tuple[RequestLine, ...]:
        """The request's lines of this shop's parts."""
        known = {part.number for part in self.parts}
        return tuple(line for line in self.request.lines if line.part in known)

    @property
    def name(self) -> str:
        """Request, revision and round, as printed on every page."""
        request = self.request
        return f"{request.id}, revision {request.revision}, round {self.round}"

    def need_date(self, part: Part) -> date | None:
        """When a part is wanted: its line's date, its own, or the request's."""
        line = self.request.line(part.number)
        return (line.need_date if line else None) or part.need_date or self.request.need_date


def outgoing(project: Project, request: Request, shop: Shop, round_: int) -> Outgoing:
    """Return what a shop may see.

    Args:
        project: for parts, rounds and our address.
        request: the request. shop: the shop. round_: number of the round, from 1.
    """
    this: Round | None = next(
        (one for one in project.rounds_of(request.id) if one.number == round_), None
    )
    numbers = _parts_of(request, this, shop.id)
    settings = project.settings
    mine = set(numbers)
    others = [line.part for line in request.lines if line.part not in mine]
    clean = request.model_copy(
        update={
            "internal_note": "",
            "overrides": (),
            "asked": (),
            "sent_at": None,
            "lines": tuple(line for line in request.lines if line.part in mine),
            "changes": tuple(t for t in request.changes if not any(o in t for o in others)),
        }
    )
    parts = tuple(_clean(project.parts[n]) for n in numbers if n in project.parts)
    return Outgoing(
        settings.company or settings.name,
        settings.address,
        settings.country,
        settings.contact,
        settings.logo,
        clean,
        shop.model_copy(update={"internal_note": ""}),
        parts,
        round_,
        this.last if this else False,
        this.argument if this else "",
        (this.cut_off if this else None) or request.answer_by,
        request.content_sha256 or _key(clean, parts),
    )


def _parts_of(request: Request, this: Round | None, shop: str) -> tuple[str, ...]:
    asked: Iterable[Asked] = this.asked if this and this.asked else request.asked
    for one in asked:
        if one.shop == shop:
            wanted = set(one.parts) or {line.part for line in request.lines}
            return tuple(line.part for line in request.lines if line.part in wanted)
    return ()


def _clean(part: Part) -> Part:
    callouts = tuple(
        callout.model_copy(update={"internal_note": ""}) if callout.internal_note else callout
        for callout in part.callouts
    )
    return part.model_copy(
        update={
            "internal_note": "",
            "responsible": "",
            "should_cost": (),
            "shape": None,
            "critical": False,
            "callouts": callouts,
        }
    )


def _key(request: Request, parts: tuple[Part, ...]) -> str:
    digest = hashlib.sha256(request.model_dump_json().encode())
    for part in parts:
        digest.update(part.model_dump_json().encode())
    return digest.hexdigest()

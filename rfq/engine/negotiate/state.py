"""Where a request stands: its rounds, who answered what, and what is open."""

from __future__ import annotations

from collections.abc import Sized
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from rfq.model.event import Clarification
from rfq.model.project import Project
from rfq.model.quote import Quote, TakenException
from rfq.model.request import Request, Round

Answer = Literal["no answer", "answered", "answered late", "declined", "withdrawn", "answers an "
                 "older revision"]  # fmt: skip


@dataclass(frozen=True, slots=True)
class ShopState:
    """One shop in one round.

    Args:
        shop: id. asked: part numbers. answer: its newest word in this round.
        priced: number of parts it priced; received: when.
        revision: of the request its newest quote answers; 0 for none.
    """

    shop: str
    asked: tuple[str, ...]
    answer: Answer
    priced: int = 0
    received: datetime | None = None
    revision: int = 0


@dataclass(frozen=True, slots=True)
class OpenException:
    """A shop's wish to depart from the request, with where it stands."""

    quote: Quote
    index: int  # in the quote
    taken: TakenException
    loaded: bool  # the part carries load, pressure or people

    @property
    def key(self) -> str:
        """A short name to decide it by: shop, round, number and place in the quote."""
        return f"{self.quote.shop}-{self.quote.round}-{self.quote.number}-{self.index + 1}"


@dataclass(frozen=True, slots=True)
class RoundState:
    """A round with its shops."""

    round: Round
    shops: tuple[ShopState, ...]
    open: bool
    overdue: bool  # open, past its cut-off

    @property
    def waiting(self) -> tuple[str, ...]:
        """Shops that have not answered."""
        return tuple(one.shop for one in self.shops if one.answer == "no answer")


@dataclass(frozen=True, slots=True)
class RequestState:
    """Where a request stands.

    Args:
        next_step: in words, what is up to the user now.
    """

    request: Request
    rounds: tuple[RoundState, ...]
    questions: tuple[Clarification, ...]
    exceptions: tuple[OpenException, ...]
    next_step: str

    @property
    def newest(self) -> RoundState | None:
        """The newest round, or None."""
        return self.rounds[-1] if self.rounds else None


def request_state(project: Project, request: Request, now: datetime) -> RequestState:
    """Return where a request stands.

    Args:
        project: all records. request: whose rounds. now: to tell what is overdue.
    """
    rounds = tuple(_round(project, request, one, now) for one in project.rounds_of(request.id))
    questions = tuple(
        sorted(
            (one for one in project.clarifications if one.request == request.id),
            key=lambda one: (one.asked_at, one.id),
        )
    )
    exceptions = open_exceptions(project, request)
    step = _next(project, request, rounds, questions, exceptions)
    return RequestState(request, rounds, questions, exceptions, step)


def open_exceptions(project: Project, request: Request) -> tuple[OpenException, ...]:
    """Return every exception of the quotes that stand, decided ones too, oldest quote first."""
    found = []
    for quote in sorted(project.quotes, key=lambda q: (q.round, q.shop, q.number)):
        if quote.request != request.id or quote.state != "standing":
            continue
        for index, taken in enumerate(quote.exceptions):
            part = project.parts.get(taken.part)
            found.append(OpenException(quote, index, taken, part is not None and part.loaded))
    return tuple(found)


def _round(project: Project, request: Request, one: Round, now: datetime) -> RoundState:
    asked = one.asked or request.asked
    shops = tuple(
        _shop(
            asked_shop.shop,
            asked_shop.parts or tuple(line.part for line in request.lines),
            project.quotes_of(request.id, one.number, asked_shop.shop),
            one,
        )
        for asked_shop in asked
    )
    is_open = one.closed is None
    overdue = is_open and one.cut_off is not None and now > one.cut_off
    return RoundState(one, shops, is_open, overdue)


def _shop(shop: str, asked: tuple[str, ...], quotes: tuple[Quote, ...], this: Round) -> ShopState:
    if not quotes:
        return ShopState(shop, asked, "no answer")
    newest = max(quotes, key=lambda quote: quote.number)
    priced = len({price.part for price in newest.prices})
    answer: Answer = "answered"
    if newest.state == "withdrawn":
        answer = "withdrawn"
    elif not priced and newest.declined:
        answer = "declined"
    elif newest.revision < this.revision:
        answer = "answers an older revision"
    elif newest.late or (this.closed is not None and newest.received > this.closed):
        answer = "answered late"
    return ShopState(shop, asked, answer, priced, newest.received, newest.revision)


def _next(
    project: Project,
    request: Request,
    rounds: tuple[RoundState, ...],
    questions: tuple[Clarification, ...],
    exceptions: tuple[OpenException, ...],
) -> str:
    if request.state == "closed":
        return "closed: an award is recorded"
    if request.state == "open":
        return f"revision {request.revision} has not gone out: check it, then make the packages"
    answered = [one for one in questions if one.state == "answered"]
    if answered:
        return f"{_count(answered, 'answer')} to send to all who are asked"
    mine = [one for one in questions if one.state == "open" and one.raised_by]
    if mine:
        return f"{_count(mine, 'question')} of shops to answer"
    undecided = [one for one in exceptions if one.taken.state == "open"]
    if undecided:
        return f"{_count(undecided, 'exception')} for the engineer to accept or refuse"
    if not rounds:
        return "make the packages; that opens round 1"
    newest = rounds[-1]
    if newest.open and newest.waiting and newest.overdue:
        return f"the cut-off has passed and {', '.join(newest.waiting)} did not answer: remind"
    if newest.open and newest.waiting:
        return f"waiting for {', '.join(newest.waiting)}"
    if newest.open:
        return f"all have answered: close round {newest.round.number} and compare"
    if newest.round.last:
        return "the last round is closed: award"
    return "compare; then award, or open one more round with its argument"


def _count(found: Sized, word: str) -> str:
    return f"{len(found)} {word}" + ("" if len(found) == 1 else "s")

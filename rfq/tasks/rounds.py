"""Rounds of a request: where it stands, open, close, revise, and what moved between rounds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

from rfq.documents.changes import changes_between
from rfq.documents.rounds_pdf import rounds_pdf
from rfq.engine.negotiate.movement import Movement, movements
from rfq.engine.negotiate.state import RequestState, request_state
from rfq.engine.normalise.currency import exchange_into
from rfq.model.base import Value
from rfq.model.frozen import content_sha256
from rfq.model.part import Part
from rfq.model.project import Project
from rfq.model.request import Asked, Request, Round
from rfq.problems import Place, Problem, Severity
from rfq.store.ecb import exchange_rates
from rfq.store.files import atomic_write
from rfq.store.names import frozen_key
from rfq.store.read import read_record
from rfq.store.save import Changes, changes
from rfq.store.write import render
from rfq.tasks.compare import compare_opened
from rfq.tasks.done import Done
from rfq.tasks.letters import stop
from rfq.tasks.open import Opened, moment_of, opened, request_of, today_of
from rfq.tasks.shape_changes import shapes_changed

AS_SENT = "requests/{request}/sent/parts-rev{revision}"  # parts as they were when a round ended


def rounds_state(path: Path, request_id: str = "") -> Done[RequestState]:
    """Return where a request stands: rounds, who answered, questions, exceptions, what is next."""
    return rounds_state_opened(opened(path), request_id)


def rounds_state_opened(here: Opened, request_id: str = "") -> Done[RequestState]:
    """Return where an opened project's request stands; see ``rounds_state``."""
    request = request_of(here.project, request_id)
    state = request_state(here.project, request, moment_of(here.project))
    problems = []
    digest = content_sha256(request, here.project.parts)
    if request.state == "sent" and request.content_sha256 not in ("", digest):
        problems.append(
            Problem(
                "W110",
                f"request {request.id} or one of its parts is no longer what was sent as revision "
                f"{request.revision}; make it a new revision (rfq rounds revise).",
                Place(here.project.files.get(f"request:{request.id}", "")),
                Severity.ASK,
                subject=request.id,
            )
        )
    return Done(state, tuple(problems))


def open_next_round(
    path: Path,
    cut_off: datetime | None,
    *,
    argument: str = "",
    last: bool = False,
    shops: Sequence[str] = (),
    parts: Sequence[str] = (),
    cost_per_week: Decimal | None = None,
    request_id: str = "",
) -> Done[Round]:
    """Open the next round of a request.

    Args:
        path: the project.
        cut_off: when answers are due, with time zone; one for all shops.
        argument: what the round is for; needed from the second on, unless the request changed.
        last: announce it as the last one.
        shops: who is still in; empty: all of the round before. parts: only these parts.
        cost_per_week: of delay.
    Raises:
        Stopped: the round before is open or was the last; no argument and nothing changed; a
            shop was never asked; the cut-off has no zone or has passed.
    """
    here = opened(path)
    project = here.project
    request = request_of(project, request_id)
    rounds = project.rounds_of(request.id)
    before = rounds[-1] if rounds else None
    _may_open(project, request, before, argument)
    now = moment_of(project)
    if cut_off is None or cut_off.tzinfo is None:
        raise stop(
            "W103", "a round needs one cut-off with its time zone, as 2026-08-14T12:00+02:00."
        )
    if cut_off <= now:
        raise stop("W104", f"the cut-off {cut_off.isoformat()} has passed; name a later moment.")
    digest = content_sha256(request, project.parts)
    new = Round(
        request=request.id,
        number=before.number + 1 if before else 1,
        revision=request.revision,
        request_sha256=digest,
        asked=_asked(request, before, shops, parts),
        opened=now,
        cut_off=cut_off,
        last=last,
        argument=argument.strip(),
        cost_per_week=cost_per_week,
    )
    with changes(
        here.folder, "round opened", project=project,
        about=f"round:{request.id}/{new.number}", detail=new.argument, at=now,
    ) as change:  # fmt: skip
        change.put(new)
        keep_parts_as_sent(change, here, request)
    return Done(new, (), change.written)


def close_round(path: Path, *, request_id: str = "") -> Done[Round]:
    """Close the open round; what comes later is kept and marked late.

    Raises:
        Stopped: no round is open.
    """
    here = opened(path)
    request = request_of(here.project, request_id)
    now_open = [one for one in here.project.rounds_of(request.id) if one.closed is None]
    if not now_open:
        raise stop("W106", f"no round of request {request.id} is open.")
    now = moment_of(here.project)
    closed = now_open[-1].model_copy(update={"closed": now})
    waiting = request_state(here.project, request, now).newest
    without = f"without an answer: {', '.join(waiting.waiting)}" if waiting else ""
    with changes(
        here.folder, "round closed", project=here.project,
        about=f"round:{request.id}/{closed.number}",
        detail=without if waiting and waiting.waiting else "all answered", at=now,
    ) as change:  # fmt: skip
        change.put(closed)
        keep_parts_as_sent(change, here, request)
    return Done(closed, (), change.written)


def revise(path: Path, reasons: Sequence[str] = (), *, request_id: str = "") -> Done[Request]:
    """Make a request's next revision: open again, its changes in words; the old one stays frozen.

    Asked again on a revision that has not gone out, it only brings the words up to date.

    Args:
        path: the project. reasons: changes in the user's words, put first.
    Raises:
        Stopped: the request was never sent, or is closed.
    """
    here = opened(path)
    project, request = here.project, request_of(here.project, request_id)
    if request.state == "closed":
        raise stop("W107", f"request {request.id} is closed; copy it under a new id instead.")
    again = request.state == "open" and request.revision > 1
    if request.state == "open" and not again:
        raise stop("W108", f"revision {request.revision} has not gone out yet; change it as it is.")
    old_number = request.revision - 1 if again else request.revision
    old = _frozen(here, request, old_number)
    old_parts = parts_as_sent(here, request, old_number)
    if not again and content_sha256(old, project.parts) == old.content_sha256:
        old_parts = dict(project.parts)
    shapes = shapes_changed(here, old_parts, project.parts)
    found = changes_between(old, request, old_parts, project.parts, shapes=shapes)
    kept_words = tuple(one for one in request.changes if again and not _found_by_us(one))
    words = tuple(dict.fromkeys((*reasons, *kept_words, *found.words)))
    new = request.model_copy(
        update={
            "revision": old_number + 1,
            "state": "open",
            "sent_at": None,
            "content_sha256": "",
            "changes": words,
        }
    )
    with changes(
        here.folder, "request revised", project=project, about=f"request:{request.id}",
        detail="; ".join(words), at=moment_of(project),
    ) as change:  # fmt: skip
        change.put(new)
        if not again:
            keep_parts_as_sent(change, here, request)
            if frozen_key(request) not in project.files:
                change.put(request, key=frozen_key(request))
    notes: tuple[Problem, ...] = ()
    if not words:
        notes = (
            Problem(
                "W109",
                "nothing differs from what was sent yet; change the request or its parts, then "
                "revise again, so that the shops read what changed.",
                Place(project.files.get(f"request:{request.id}", "")),
                Severity.NOTE,
            ),
        )
    return Done(new, notes, change.written)


def movement_between(
    path: Path, first: int, second: int, *, request_id: str = ""
) -> Done[tuple[Movement, ...]]:
    """Return how each price moved between two rounds, split by what moved it."""
    return movement_opened(opened(path), first, second, request_id=request_id)


def movement_opened(
    here: Opened, first: int, second: int, *, request_id: str = ""
) -> Done[tuple[Movement, ...]]:
    """Return how each price moved between two rounds of an opened project."""
    request = request_of(here.project, request_id)
    days = [_day_of(here.project, request, number) for number in (first, second)]
    done = [
        compare_opened(here, round_=number, request_id=request.id, as_of=day.isoformat())
        for number, day in zip((first, second), days, strict=True)
    ]
    exchange = tuple(_factors(here.project, request, day) for day in days)
    found = movements(done[0].value, done[1].value, exchange)
    return Done(found, done[1].problems)


def write_timeline(path: Path, to: Path, *, request_id: str = "") -> Done[Path]:
    """Write the rounds of a request as a picture and tables (PDF). Internal."""
    here = opened(path)
    state = rounds_state_opened(here, request_id).value
    moved: tuple[Movement, ...] = ()
    numbers = [one.round.number for one in state.rounds if any(shop.received for shop in one.shops)]
    if len(numbers) > 1:
        moved = movement_opened(here, numbers[-2], numbers[-1], request_id=request_id).value
    data = rounds_pdf(here.project, state, moved, moment_of(here.project))
    atomic_write(to, data)
    return Done(to, (), (to,))


# --- parts as they were -------------------------------------------------------------------


def keep_parts_as_sent(change: Changes, here: Opened, request: Request) -> None:
    """Plan to keep the parts of a sent revision, if they still are what was sent.

    They are what the next revision is compared with, to say in words what changed.
    """
    project = here.project
    if not request.content_sha256:
        return
    if content_sha256(request, project.parts) != request.content_sha256:
        return
    home = AS_SENT.format(request=request.id, revision=request.revision)
    if (here.folder / home).exists():
        return
    for line in request.lines:
        part = project.parts.get(line.part)
        if part is not None:
            change.keep(f"{home}/{part.number}.toml", render(part).encode())


def parts_as_sent(here: Opened, request: Request, revision: int) -> dict[str, Part]:
    """Return the parts kept of a revision; {} where none were."""
    home = here.folder / AS_SENT.format(request=request.id, revision=revision)
    found = {}
    for path in sorted(home.glob("*.toml")):
        reading = read_record(path.read_bytes(), Part, path.name)
        if isinstance(reading.value, Part):
            found[reading.value.number] = reading.value
    return found


def _found_by_us(words: str) -> bool:
    """Whether a change was worded by comparison, and so is found anew if it still holds."""
    signs = (" is now ", "new in this request", "no longer asked", ": another file (")
    return any(sign in words for sign in signs)


def _frozen(here: Opened, request: Request, revision: int) -> Request:
    """The frozen copy of a revision; the request itself where there is none."""
    path = here.folder / f"requests/{request.id}/revisions/request-{revision}.toml"
    if not path.is_file():
        return request
    value: Value | None = read_record(path.read_bytes(), Request, path.name).value
    return value if isinstance(value, Request) else request


def _may_open(project: Project, request: Request, before: Round | None, argument: str) -> None:
    if request.state == "closed":
        raise stop("W107", f"request {request.id} is closed; its award is recorded.")
    if before is None:
        return
    if before.closed is None:
        raise stop("W101", f"round {before.number} is still open; close it first.")
    if before.last:
        raise stop(
            "W105",
            f"round {before.number} was announced as the last; a further one breaks that word. "
            "Award, or revise the request and ask anew under a new id.",
        )
    changed = request.revision > before.revision
    if not changed and not argument.strip():
        raise stop(
            "W102",
            "a further round needs a reason the shops can act on: name the argument, or revise "
            "the request.",
        )


def _asked(
    request: Request, before: Round | None, shops: Sequence[str], parts: Sequence[str]
) -> tuple[Asked, ...]:
    former = before.asked if before is not None and before.asked else request.asked
    known = {one.shop: one for one in (*request.asked, *former)}
    for shop in shops:
        if shop not in known:
            raise stop("W111", f"shop '{shop}' was not asked; asked: {', '.join(known)}.")
    for part in parts:
        if request.line(part) is None:
            raise stop("W112", f"part '{part}' is not in request {request.id}.")
    chosen = [known[shop] for shop in shops] if shops else list(former)
    if not parts:
        return tuple(chosen)
    wanted = set(parts)
    found = []
    for one in chosen:
        mine = one.parts or tuple(line.part for line in request.lines)
        kept = tuple(part for part in mine if part in wanted)
        if kept:
            found.append(one.model_copy(update={"parts": kept}))
    return tuple(found)


def _day_of(project: Project, request: Request, number: int) -> date:
    this = next((one for one in project.rounds_of(request.id) if one.number == number), None)
    if this is not None and this.closed is not None:
        return this.closed.date()
    return today_of(project)


def _factors(project: Project, request: Request, day: date) -> Mapping[str, Decimal]:
    """Currency -> project currency a unit, on a day."""
    wanted = {project.settings.currency} | {
        price.currency
        for quote in project.quotes
        if quote.request == request.id
        for price in quote.prices
        if price.currency
    }
    rates_day = project.rates.exchange_day or day
    rates, _ = exchange_rates(rates_day, wanted, project.rates.exchange)
    into = exchange_into(project.settings.currency, rates)
    return {code: into.factor(code) for code in wanted if into.knows(code)}


def state_json(done: Done[RequestState]) -> dict[str, Any]:
    """Return a request's state as plain values."""
    state = done.value
    return {
        "request": state.request.id,
        "revision": state.request.revision,
        "state": state.request.state,
        "next": state.next_step,
        "rounds": [
            {
                **one.round.model_dump(mode="json", exclude={"request", "asked"}),
                "overdue": one.overdue,
                "shops": [
                    {
                        "shop": shop.shop,
                        "answer": shop.answer,
                        "asked": len(shop.asked),
                        "priced": shop.priced,
                        "received": shop.received.isoformat() if shop.received else None,
                        "revision": shop.revision or None,
                    }
                    for shop in one.shops
                ],
            }
            for one in state.rounds
        ],
        "questions": [one.model_dump(mode="json") for one in state.questions],
        "exceptions": [
            {"key": one.key, "shop": one.quote.shop, "loaded": one.loaded}
            | one.taken.model_dump(mode="json", exclude={"place"})
            for one in state.exceptions
        ],
        "problems": [
            {"code": p.code, "severity": p.severity.value, "message": p.message}
            for p in done.problems
        ],
    }

"""Questions, answers and exceptions: asked, answered, sent to whom they concern, decided."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Literal

from rfq.documents.letter import ShopLetter
from rfq.engine.negotiate.questions import (
    Proposed,
    caution_of,
    proposed_questions,
    receivers,
)
from rfq.engine.negotiate.state import OpenException, open_exceptions
from rfq.model.event import Clarification
from rfq.model.project import Project
from rfq.model.quote import Quote
from rfq.model.request import Request
from rfq.problems import Place, Problem, Severity
from rfq.store.journal import user_name
from rfq.store.save import changes
from rfq.tasks.compare import compare_opened, newest_round
from rfq.tasks.done import Done
from rfq.tasks.letters import free_home, keep_letter, letter_to, stop, wording_of
from rfq.tasks.open import moment_of, opened, request_of

Kind = Literal["explanation", "changed requirement", "own solution", "price"]


@dataclass(frozen=True, slots=True)
class Sent:
    """A question or answer as sent: to whom, and the letters."""

    clarification: Clarification
    letters: tuple[ShopLetter, ...]


def questions_proposed(
    path: Path, *, round_: int | None = None, request_id: str = ""
) -> Done[tuple[Proposed, ...]]:
    """Return what the flags of the comparison would have us ask; nothing is stored."""
    here = opened(path)
    done = compare_opened(here, round_=round_, request_id=request_id)
    return Done(proposed_questions(done.value))


def ask(
    path: Path,
    question: str,
    *,
    to_shop: str = "",
    from_shop: str = "",
    part: str = "",
    callout: str = "",
    kind: Kind = "explanation",
    round_: int | None = None,
    request_id: str = "",
) -> Done[Clarification]:
    """Record a question: ours to a shop, a shop's to us, or one of our own to clear up.

    Args:
        path: the project. question: in the words that are sent.
        to_shop: whom we ask. from_shop: who asked us.
        part, callout: what it is about. kind: what an answer would be.
    Raises:
        Stopped: no question; an unknown shop or part; asked both ways.
    """
    here = opened(path)
    project, request = here.project, request_of(here.project, request_id)
    if not question.strip():
        raise stop("W120", "there is no question; write it in the words that are sent.")
    if to_shop and from_shop:
        raise stop("W121", "a question goes to a shop or comes from one, not both.")
    _known(project, request, to_shop or from_shop, part)
    who = user_name(here.folder)
    one = Clarification(
        id=_free_id(project, request, who),
        request=request.id,
        round=round_ or newest_round(project, request),
        raised_by=from_shop,
        to_shop=to_shop,
        part=part,
        callout=callout,
        question=question.strip(),
        kind="price" if to_shop and kind == "explanation" else kind,
        asked_at=moment_of(project),
    )
    with changes(
        here.folder, "question recorded", project=project, at=one.asked_at,
        about=f"question:{request.id}/{one.id}", detail=one.question,
    ) as change:  # fmt: skip
        change.put(one)
    return Done(one, _cautions(project, one), change.written)


def answer(
    path: Path,
    question_id: str,
    text: str,
    *,
    kind: Kind | None = None,
    consent: str = "",
    revision: int | None = None,
    request_id: str = "",
) -> Done[Clarification]:
    """Record an answer; it goes out with ``send``.

    Args:
        path: the project. question_id: of the question. text: in the words that are sent.
        kind: 'changed requirement' where the request has to be revised for it.
        consent: the written yes of the shop whose own solution it is, as 'mail of 2026-07-20'.
        revision: of the request that the answer made.
    Raises:
        Stopped: no such question, it was sent already, or the answer is empty.
    """
    here = opened(path)
    project, request = here.project, request_of(here.project, request_id)
    one = _question(project, request, question_id)
    if one.state in ("sent", "closed") and one.answer:
        raise stop("W123", f"the answer to {one.id} was sent as it is; record a new question.")
    if not text.strip():
        raise stop("W120", "there is no answer; write it in the words that are sent.")
    new = one.model_copy(
        update={
            "answer": text.strip(),
            "kind": kind or one.kind,
            "consent": consent or one.consent,
            "revision": revision if revision is not None else one.revision,
            # A shop's answer to our own question comes in; nobody else gets it.
            "state": "closed" if one.to_shop and one.state == "sent" else "answered",
            "answered_at": moment_of(project),
        }
    )
    with changes(
        here.folder, "question answered", project=project, at=new.answered_at,
        about=f"question:{request.id}/{one.id}", detail=new.answer,
    ) as change:  # fmt: skip
        change.put(new)
    notes = list(_cautions(project, new))
    if new.kind == "changed requirement" and new.revision is None:
        notes.append(
            Problem(
                "W124",
                "this changes the request: revise it (rfq rounds revise), so that every shop "
                "quotes the same, then say which revision the answer made.",
                severity=Severity.ASK,
                subject=one.id,
            )
        )
    return Done(new, tuple(notes), change.written)


def send(
    path: Path, question_id: str, *, allow: Sequence[str] = (), request_id: str = ""
) -> Done[Sent]:
    """Write the letters of a question or answer, the same words to each it concerns.

    An explanation or a changed requirement goes to all asked shops; a shop's own solution to
    itself, and to the others only with its written yes; a question on a price to that shop.

    Args:
        path: the project. question_id: of the question.
        allow: figures that stand in it and equal another shop's price by accident, such as a size.
    Raises:
        Stopped: no such question; nobody to send it to; sent already; a letter gives something
            away.
    """
    here = opened(path)
    project, request = here.project, request_of(here.project, request_id)
    one = _question(project, request, question_id)
    if one.state in ("sent", "closed"):
        raise stop("W123", f"{one.id} was sent already, to {', '.join(one.sent_to)}.")
    to = receivers(project, request, one)
    if not to or not all(to):
        raise stop("W125", f"{one.id} has no answer yet, and no shop it is put to.")
    kind = "clarification" if one.answer else "question"
    number = newest_round(project, request)
    rounds = project.rounds_of(request.id)
    due = next((r.cut_off for r in reversed(rounds) if r.closed is None), None)
    values = {
        "part": _part_words(project, one.part),
        "callout": one.callout,
        "question": one.question,
        "answer": one.answer,
        "new_revision": str(one.revision) if one.revision else "",
        "answer_by": "",
    }
    if due is not None:
        del values["answer_by"]
    wording = wording_of(here)
    quoted = any(quote.request == request.id for quote in project.quotes)
    compared = compare_opened(here, request_id=request.id).value if quoted else None
    made = tuple(
        letter_to(here, request, number, shop, kind, values, wording=wording, answer_by=due,
                  comparison=compared, allowed=allow)
        for shop in to
    )  # fmt: skip
    moment = moment_of(project)
    home = free_home(here, f"requests/{request.id}/questions/{one.id}/{kind}")
    new = one.model_copy(update={"state": "sent", "sent_at": moment, "sent_to": to})
    with changes(
        here.folder, "answer sent" if one.answer else "question sent", project=project, at=moment,
        about=f"question:{request.id}/{one.id}", detail=", ".join(to),
    ) as change:  # fmt: skip
        change.put(new)
        for letter in made:
            keep_letter(change, home, letter)
    return Done(Sent(new, made), _cautions(project, new), change.written)


def exceptions(path: Path, request_id: str = "") -> Done[tuple[OpenException, ...]]:
    """Return the exceptions of the quotes that stand, decided ones too."""
    here = opened(path)
    return Done(open_exceptions(here.project, request_of(here.project, request_id)))


def decide_exception(
    path: Path,
    key: str,
    accept: bool,
    reason: str,
    *,
    by: str = "",
    cost_each: Decimal | None = None,
    request_id: str = "",
) -> Done[Quote]:
    """Accept or refuse a shop's exception; from then on it counts in the comparison.

    Args:
        path: the project. key: as ``exceptions`` names it ('kupfermond-1-1-1').
        accept: True to accept. reason: of the engineer. by: the engineer; '' for the user.
        cost_each: what accepting or refusing costs us a piece, project currency.
    Raises:
        Stopped: no such exception, or no reason.
    """
    here = opened(path)
    project, request = here.project, request_of(here.project, request_id)
    found = {one.key: one for one in open_exceptions(project, request)}
    if key not in found:
        known = ", ".join(found) or "none"
        raise stop("W126", f"there is no exception '{key}'; there are {known}.")
    if not reason.strip():
        raise stop("W127", "say why; the shop and the next reader need the engineer's reason.")
    one = found[key]
    taken = one.taken.model_copy(
        update={
            "state": "accepted" if accept else "refused",
            "reason": reason.strip(),
            "by": by or user_name(here.folder),
            "cost_each": cost_each if cost_each is not None else one.taken.cost_each,
        }
    )
    wishes = tuple(
        taken if index == one.index else wish for index, wish in enumerate(one.quote.exceptions)
    )
    new = one.quote.model_copy(update={"exceptions": wishes})
    moment = moment_of(project)
    with changes(
        here.folder, f"exception {taken.state}", project=project, at=moment,
        about=f"quote:{request.id}/{new.round}/{new.shop}-{new.number}",
        detail=f"{taken.text}: {taken.reason}",
    ) as change:  # fmt: skip
        change.put(new)
    caution = caution_of(project, taken.part, taken.text) if accept else ""
    notes = (
        Problem("W128", caution, Place(), Severity.ASK, subject=taken.part),
    ) if caution else ()  # fmt: skip
    return Done(new, notes, change.written)


def _cautions(project: Project, one: Clarification) -> tuple[Problem, ...]:
    if one.kind == "price" or not one.part:
        return ()
    caution = caution_of(project, one.part, f"{one.question} {one.answer}")
    if not caution:
        return ()
    return (Problem("W128", caution, Place(), Severity.NOTE, subject=one.part),)


def _question(project: Project, request: Request, question_id: str) -> Clarification:
    mine = {one.id: one for one in project.clarifications if one.request == request.id}
    if question_id not in mine:
        known = ", ".join(sorted(mine)) or "none"
        raise stop("W122", f"there is no question '{question_id}'; there are {known}.")
    return mine[question_id]


def _known(project: Project, request: Request, shop: str, part: str) -> None:
    asked: Sequence[str] = [one.shop for one in request.asked]
    if shop and shop not in asked:
        raise stop("W111", f"shop '{shop}' was not asked; asked: {', '.join(asked)}.")
    if part and request.line(part) is None:
        raise stop("W112", f"part '{part}' is not in request {request.id}.")


def _part_words(project: Project, number: str) -> str:
    part = project.parts.get(number)
    return f"{part.number} {part.revision} {part.name}" if part is not None else number


def _free_id(project: Project, request: Request, who: str) -> str:
    """The person's name is in it, so that two people's questions never share a file."""
    plain = unicodedata.normalize("NFKD", who).encode("ascii", "ignore").decode().lower()
    slug = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:20].strip("-") or "q"
    taken = {one.id for one in project.clarifications if one.request == request.id}
    number = 1
    while f"{slug}-{number}" in taken:
        number += 1
    return f"{slug}-{number}"

"""Take a reply in: read it, keep it, and accept it as a quote when it is sure."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any

from rfq.intake.quote import accept as accept_draft
from rfq.intake.read import read_reply
from rfq.model.draft import Draft
from rfq.model.part import FileRef
from rfq.model.project import Project
from rfq.model.quote import Price, Quote
from rfq.model.request import Request
from rfq.problems import NoProject, Place, Problem, Reading, Severity, Unreadable
from rfq.store.journal import user_name
from rfq.store.names import key_of
from rfq.store.originals import Kept, place_reply
from rfq.store.save import changes
from rfq.tasks.compare import newest_round
from rfq.tasks.done import Done
from rfq.tasks.open import Opened, find_folder, moment_of, opened, request_of

# Below this confidence a shop or part that was only guessed from the text is asked about.
SURE_OF_SHOP = 0.85
_MOST_BYTES = 100_000_000  # a reply beyond this is not a quotation


def take_reply(
    file: Path,
    *,
    project: Path | None = None,
    shop: str = "",
    round_: int | None = None,
    request_id: str = "",
    accept: bool = False,
    received: str = "",
) -> Done[Draft | None]:
    """Read a reply; in a project keep the file and the draft, and on ``accept`` the quote.

    Args:
        file: the reply as it came.
        project: the project folder; None: the one around the present folder, if there is one.
        shop: the shop's id; '' to take it from the file.
        round_: number of the round; None: the open one.
        request_id: '' for the newest request.
        accept: store it as a quote; refused while a price is unsure.
        received: the day it came, as 2026-07-17; '' for what the file says, else today.
    Raises:
        NoProject: ``accept`` outside a project.
        Stopped: the project cannot be read, or has no request.
    """
    here = _project(project, needed=accept or project is not None)
    if here is None:
        reading = read_reply(file, shop=shop or None)
        return Done(reading.value, _problems(reading))
    request = request_of(here.project, request_id)
    return take_into(
        here, request, file, shop=shop, round_=round_, accept=accept, received=received
    )


def take_into(
    here: Opened,
    request: Request,
    file: Path,
    *,
    shop: str = "",
    round_: int | None = None,
    accept: bool = False,
    received: str = "",
) -> Done[Draft | None]:
    """Read a reply into an opened project; see ``take_reply``."""
    project = here.project
    if shop and shop not in project.shops:
        known = ", ".join(sorted(project.shops)) or "none yet"
        problem = Problem("R101", f"there is no shop '{shop}'; shops: {known}.", Place("shops/"))
        return Done(None, (problem,))
    data = _bytes(file)
    reading = _read(project, request, file, shop)
    draft = reading.value
    if draft is not None and not shop and draft.shop in project.columns:
        # Now that the sender is known, the columns confirmed for that shop may be proposed.
        reading = _read(project, request, file, draft.shop)
        draft = reading.value
    if draft is None:
        return Done(None, _problems(reading))
    number = round_ if round_ is not None else (draft.round or open_round(project, request))
    sender = shop or (draft.shop if draft.shop_confidence >= SURE_OF_SHOP else "")
    draft = draft.model_copy(
        update={
            "shop": sender if sender in project.shops else "",
            "request": draft.request or request.id,
            "round": number,
        }
    )
    problems = list(_problems(reading))
    twin = _twin(project, draft)
    if twin:
        problems.append(
            Problem(
                "R102",
                f"this very file is here already ({twin}); nothing was stored again.",
                Place(file.name),
                Severity.NOTE,
            )
        )
    quote: Quote | None = None
    moment = moment_of(project)
    came = moment_of(project, received) if received else (draft.received or moment)
    draft = draft.model_copy(update={"received": came})
    kept = place_reply(here.folder, request.id, number, draft.shop, came.date(), file.name, data)
    if accept:
        quote, refused = _accepted(here, request, draft, number, came, kept.source.path)
        problems += refused
    if twin and quote is None:
        return Done(draft, tuple(problems))
    written = _store(here, draft, quote, kept, at=moment)
    return Done(draft, tuple(problems), written)


def accept_stored(here: Opened, draft: Draft) -> Done[Quote | None]:
    """Accept a stored (perhaps corrected) draft as a quote.

    Args:
        here: the project. draft: as it is now, corrections included.
    """
    project = here.project
    request = request_of(project, draft.request)
    moment = moment_of(project)
    received = draft.received or moment
    path = draft.file
    quote, refused = _accepted(here, request, draft, draft.round, received, path)
    if quote is None:
        return Done(None, tuple(refused))
    with changes(
        here.folder, "reply accepted", project=project, file=path, sha256=draft.sha256, at=moment
    ) as change:
        change.put(draft, key=key_of(draft, number=draft.number))
        for older in _superseded(project, quote):
            change.put(older)
        change.put(quote)
    return Done(quote, tuple(refused), change.written)


def open_round(project: Project, request: Request) -> int:
    """Return the newest round that is open, else the newest there is."""
    rounds = project.rounds_of(request.id)
    still_open = [one.number for one in rounds if one.closed is None]
    return max(still_open) if still_open else newest_round(project, request)


def draft_json(file: Path, done: Done[Draft | None]) -> dict[str, Any]:
    """Return a reading as plain values, as the outward contract has them."""
    draft = done.value
    problems = [
        {"code": p.code, "severity": p.severity.value, "place": str(p.place), "message": p.message}
        for p in dict.fromkeys((*done.problems, *(draft.problems if draft else ())))
    ]
    if draft is None:
        return {
            "file": str(file),
            "sha256": None,
            "shop": None,
            "form": None,
            "complete": False,
            "prices": [],
            "order_charges": [],
            "terms": {},
            "problems": problems,
        }
    return {
        "file": str(file),
        "sha256": draft.sha256,
        "shop": draft.shop or None,
        "form": draft.form,
        "complete": draft.complete,
        "prices": [_price_json(price) for price in draft.prices if not price.alternative],
        "alternatives": [_price_json(price) for price in draft.prices if price.alternative],
        "order_charges": [
            {
                "name": charge.name,
                "kind": charge.kind,
                "amount": _text(charge.amount),
                "percent": _text(charge.percent),
                "currency": charge.currency,
                "part": charge.part,
                "place": str(charge.place),
            }
            for charge in draft.charges
        ],
        "terms": draft.terms.model_dump(mode="json", exclude={"places"}, exclude_none=True),
        "scope": {scope.value: tick for scope, tick in draft.scope.items()},
        "declined": [one.model_dump(mode="json", exclude={"place"}) for one in draft.declined],
        "exceptions": [{"part": one.part, "text": one.text} for one in draft.exceptions],
        "problems": problems,
    }


def _problems(reading: Reading[Draft]) -> tuple[Problem, ...]:
    """What stands in the way of the reading, then what is open in the draft, each once."""
    own = reading.value.problems if reading.value is not None else ()
    return tuple(dict.fromkeys((*reading.problems, *own)))


def _read(project: Project, request: Request, file: Path, shop: str) -> Reading[Draft]:
    return read_reply(
        file,
        request=request,
        shop=shop or None,
        parts=project.parts,
        shops=project.shops,
        memory=project.columns.get(shop),
    )


def _project(path: Path | None, *, needed: bool) -> Opened | None:
    try:
        return opened(path if path is not None else find_folder("."))
    except NoProject:
        if needed:
            raise
        return None


def _bytes(file: Path) -> bytes:
    try:
        if file.exists() and not file.is_file():
            # A pipe or a device would be waited for without end.
            raise Unreadable(f"{file} is not a file; name the reply itself.")
        if file.stat().st_size > _MOST_BYTES:
            raise Unreadable(
                f"{file} has more than {_MOST_BYTES // 1_000_000} MB; no quotation has."
            )
        return file.read_bytes()
    except OSError as error:
        raise Unreadable(f"{file} cannot be read: {error.strerror or error}.") from error


def _accepted(
    here: Opened, request: Request, draft: Draft, round_: int, received: datetime, path: str
) -> tuple[Quote | None, list[Problem]]:
    if not draft.shop:
        return None, [
            Problem(
                "R103", "whose reply this is is not known; say it with --shop.", Place(draft.file)
            )
        ]
    known = here.project.quotes_of(request.id, round_, draft.shop)
    reading = accept_draft(
        draft,
        request=request,
        shop=draft.shop,
        round=round_,
        number=max((quote.number for quote in known), default=0) + 1,
        received=received,
        accepted_at=moment_of(here.project),
        accepted_by=user_name(here.folder),
        source=FileRef(path=path, sha256=draft.sha256),
    )
    quote = reading.value
    if quote is None:
        return None, list(reading.problems)
    this = next((one for one in here.project.rounds_of(request.id) if one.number == round_), None)
    cut_off = (this.cut_off if this else None) or request.answer_by
    if cut_off is not None and received > cut_off:
        quote = quote.model_copy(update={"late": True})
    return quote, list(reading.problems)


def _superseded(project: Project, quote: Quote) -> list[Quote]:
    return [
        older.model_copy(update={"state": "superseded"})
        for older in project.quotes_of(quote.request, quote.round, quote.shop)
        if older.state == "standing"
    ]


def _store(
    here: Opened, draft: Draft, quote: Quote | None, kept: Kept, *, at: datetime
) -> tuple[Path, ...]:
    project = here.project
    what = "reply accepted" if quote is not None else "reply read"
    path = kept.source.path
    mine = [
        one
        for one in project.drafts
        if (one.request, one.round, one.shop) == (draft.request, draft.round, draft.shop)
    ]
    number = next(
        (one.number for one in mine if one.sha256 == draft.sha256),
        max((one.number for one in mine), default=0) + 1,
    )
    draft = draft.model_copy(update={"file": path, "number": number})
    with changes(
        here.folder, what, project=project, file=path, sha256=draft.sha256, at=at,
        about=f"round:{draft.request}/{draft.round}",
    ) as change:  # fmt: skip
        if kept.data is not None:
            change.keep(path, kept.data)
        change.put(draft, key=key_of(draft, number=number))
        if quote is not None:
            for older in _superseded(project, quote):
                change.put(older)
            change.put(quote)
    return change.written


def _twin(project: Project, draft: Draft) -> str:
    for quote in project.quotes:
        if quote.source.sha256 == draft.sha256:
            return f"accepted from {quote.shop}, round {quote.round}"
    for other in project.drafts:
        if other.sha256 == draft.sha256:
            return f"a draft of {other.shop or 'an unknown shop'}, round {other.round}"
    return ""


def unsure(draft: Draft) -> tuple[Problem, ...]:
    """Return one problem for each price that is not sure, for a face that wants to list them."""
    return tuple(
        Problem("R104", f"{p.part} at {p.quantity}: {p.evidence or 'not sure'}", p.place)
        for p in draft.prices
        if not p.sure or p.each is None
    )


def _price_json(price: Price) -> dict[str, Any]:
    return {
        "part": price.part,
        "revision": price.revision,
        "quantity": price.quantity,
        "each": _text(price.each),
        "currency": price.currency,
        "printed": _text(price.printed),
        "per": price.per,
        "one_off": _text(price.one_off),
        "tax": price.tax,
        "place": str(price.place),
        "sure": price.sure,
        "alternative": price.alternative,
        "minimum_quantity": price.minimum_quantity,
        "evidence": price.evidence,
    }


def _text(amount: object) -> str | None:
    return None if amount is None else str(amount)

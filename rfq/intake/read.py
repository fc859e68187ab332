# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""The one door for replies: any file a shop sends to a Draft, or why there is none."""

from __future__ import annotations

import gc
import hashlib
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from rfq.intake.kinds import Limits, file_kind, shown_name
from rfq.problems import Place, Problem, Reading, Severity, TooMuch

_FORMS = {
    "xlsx": "workbook",
    "xls": "workbook",
    "xlsb": "workbook",
    "ods": "workbook",
    "workbook": "workbook",
    "csv": "csv",
    "html": "web page",
    "pdf": "letter",
    "text": "text",
}


def read_reply(
    path: str | Path,
    request: Any = None,
    shop: Any = None,
    *,
    parts: Any = None,
    shops: Iterable[Any] | Mapping[str, Any] | None = None,
    memory: Any = None,
    limits: Limits | None = None,
    headings: Path | None = None,
) -> Reading[Any]:
    """Return the draft of a reply in any form.

    Args:
        path: workbook, CSV, PDF, mail, UBL XML, filled form.
        request: the request it answers (model.Request); without it parts are read as printed.
        shop: the shop it comes from (model.Shop or its id), where that is known.
        parts: the project's parts; their revisions are checked.
        shops: the project's shops, to tell the sender from the file.
        memory: ColumnMemory confirmed for this shop, proposed where the headings are the same.
        limits: bounds of size, time and memory.
        headings: a project's own heading lexicon (same columns as ``headings.csv``).
    Raises:
        Unreadable: the file cannot be opened at all.
    Problems:
        R001 to R009 the file itself; R010 to R045 its content.
    """
    from rfq.intake.assemble import as_mapping
    from rfq.intake.lexicon import lexicon
    from rfq.intake.matching import Known

    path = Path(path)
    limits = limits or Limits()
    name = shown_name(path)
    try:
        kind, refused = file_kind(path, limits)
        if refused is not None:
            return Reading(None, (refused,))
        with path.open("rb") as file:
            sha256 = hashlib.file_digest(file, "sha256").hexdigest()
        known = Known.of(request, as_mapping(parts) if parts else None)
        words = lexicon(headings)
        currency = getattr(shop, "currency", "") or ""
        maps = memory.maps if memory is not None else ()
        context = {"shop_currency": currency, "memory": maps}
        # tens of thousands of small values and no cycles: the collector only costs time here
        collecting = gc.isenabled()
        gc.disable()
        try:
            reading = read_by_kind(kind, path, name, known, words, limits, context, request, sha256)
        finally:
            if collecting:
                gc.enable()
    except TooMuch as error:
        return Reading(None, (Problem("R007", str(error), Place(name)),))
    return _with_sender(reading, kind, shop, shops)


def read_by_kind(
    kind: str, path: Path, name: str, known: Any, words: Any, limits: Limits,
    context: dict[str, Any], request: Any, sha256: str = "",
) -> Reading[Any]:  # fmt: skip
    """Return the draft of a file whose kind is known; see :func:`read_reply`."""
    if kind == "xml":
        from rfq.intake.ubl import read_ubl

        return read_ubl(path, sha256, known, limits)
    if kind == "eml":
        from rfq.intake.mail import read_mail

        return read_mail(path, sha256, known, words, limits, context, read_by_kind)
    if kind == "pdf":
        from rfq.intake.letter import read_letter

        return _against(read_letter(path, sha256, known, words, limits, context), request)
    if kind == "text":
        from rfq.intake.csv_file import read_csv

        book = read_csv(path, limits)
    else:
        from rfq.intake.guard import book_of, run_child

        answer, problem = run_child(kind, path, limits)
        if problem is not None:
            return Reading(None, (problem,))
        book = book_of(answer)
    if book.kind == "text":
        from rfq.intake.plain_text import read_plain_text

        return read_plain_text(book.text, name, sha256, known, words, context)
    from rfq.intake.response_sheet import is_response_sheet, read_response_sheet

    if is_response_sheet(book):
        return read_response_sheet(book, name, sha256, request, known)
    from rfq.intake.assemble import draft_of

    return Reading(draft_of(book, name, sha256, known, words, **context))


def _against(reading: Reading[Any], request: Any) -> Reading[Any]:
    """Check our own PDF form against the request, which a letter's reader does not know."""
    draft = reading.value
    if draft is None or request is None or draft.form != "response sheet":
        return reading
    if draft.request == request.id and draft.revision == request.revision:
        return reading
    text = f"The form answers request '{draft.request}', revision {draft.revision}; the request is {request.id}, revision {request.revision}: ask whether the prices still hold."
    problems = (*draft.problems, Problem("R047", text, Place(draft.file), Severity.ASK))
    return Reading(draft.model_copy(update={"problems": problems}), reading.problems)


def _with_sender(reading: Reading[Any], kind: str, shop: Any, shops: Any) -> Reading[Any]:
    """Say from which shop the reply is, by what is given or by what stands in it."""
    if reading.value is None:
        return reading
    from rfq.intake.scope_said import with_scope

    draft = with_scope(reading.value)
    update: dict[str, Any] = {}
    if draft.form in ("", kind, *_FORMS):
        update["form"] = _FORMS.get(draft.form or kind, draft.form or kind)
    identity = getattr(shop, "id", shop) or ""
    if identity:
        update["shop"], update["shop_confidence"] = identity, 1.0
    elif shops:
        from rfq.intake.matching import match_shop

        records = list(shops.values() if isinstance(shops, Mapping) else shops)
        best, sure = ("", 0.0)
        texts = [t for t in (draft.shop, draft.sender) if t]
        texts += [
            c.raw for c in draft.cells[:80] if c.meaning in ("text", "term") and len(c.raw) < 80
        ]
        for text in texts:
            found, ratio = match_shop(text, records)
            if ratio > sure:
                best, sure = found, ratio
        if best and sure >= 0.8:
            update["shop"], update["shop_confidence"] = best, round(sure, 2)
        if sure < 0.95:
            text = (
                f"The reply may be from {best} (confidence {sure:.0%}); confirm the shop."
                if best and sure >= 0.8
                else "The reply doesn't say from which shop it is; give the shop."
            )
            update["problems"] = (
                *draft.problems,
                Problem("R046", text, Place(draft.file), Severity.ASK),
            )
            if not (best and sure >= 0.8):
                update["shop"] = ""
    problems = tuple(p for p in reading.problems)
    return Reading(draft.model_copy(update=update), problems)

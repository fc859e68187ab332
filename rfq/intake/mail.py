# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""A mail (.eml): attachments go the ways of their kind, the body's own text is read, quoted older
mail is not, and a correction in the body needs a yes.
"""

from __future__ import annotations

import re
import tempfile
from collections.abc import Callable
from datetime import UTC, datetime
from email import policy
from email.message import EmailMessage
from email.parser import BytesParser
from email.utils import parseaddr, parsedate_to_datetime
from pathlib import Path
from typing import Any

from rfq.intake.kinds import Limits, file_kind, shown_name, stop
from rfq.intake.lexicon import Lexicon
from rfq.intake.matching import Known
from rfq.problems import Place, Problem, Reading, RfqError, Severity, TooMuch

_QUOTED = re.compile(
    r"(?im)^\s*(?:-{2,}\s*(?:original message|ursprüngliche nachricht|message d'origine|messaggio originale|mensaje original|oryginalna wiadomość|forwarded message|weitergeleitete nachricht|原始邮件)|_{10,}\s*$|on .{5,90}\bwrote:\s*$|am .{5,90}\bschrieb .{0,80}:?\s*$|le .{5,90}a écrit\s*:|il .{5,90}ha scritto:|el .{5,90}escribió:|w dniu .{5,90}(?:napisał|pisze).{0,60}|(?:from|von|de|da|od|发件人)\s*:\s.{0,90}$\n\s*(?:sent|gesendet|envoyé|date|datum|inviato|enviado|to|an|à|a|do|wysłano|发送时间)\s*:)"
)
_CORRECTION = re.compile(
    r"(?i)\b(?:correction|corrected|please note that|instead of|mistake|typo|wrong in (?:our|the)|should (?:read|be)|supersedes|replaces|amend\w*|korrektur|korrigier\w*|berichtig\w*|statt|irrtümlich|fehler|erratum|rectificat\w*|au lieu de|correzione|errata|invece di|corrección|en lugar de|korekta|zamiast|更正|应为)"
)
_LIMIT_PARTS = 60
_LIMIT_LINE = 1_000_000  # RFC 5322, 2.1.1 allows 998 signs; programs that break it stay far below
_LIMIT_MAIL = 34_000_000  # bytes: attachments of 25 MB, the most that mail servers commonly take
_LIMIT_MARKS = 5_000  # lines that may part a mail
_LIMIT_BODY = 2_000_000  # bytes of a body, whose quoted older mail may be long


def own_text(body: str) -> tuple[str, str]:
    """Return (what the sender wrote, quoted older mail).

    >>> own_text("10 pcs at 45.90\\n> 10 pcs at 40.00\\n")[0].strip()
    '10 pcs at 45.90'
    """
    older = ""
    cut = _QUOTED.search(body)
    if cut:
        body, older = body[: cut.start()], body[cut.start() :]
    own: list[str] = []
    quoted: list[str] = []
    for line in body.splitlines():
        (quoted if line.lstrip().startswith((">", "|>")) else own).append(line)
    return "\n".join(own), "\n".join(quoted) + older


def read_mail(
    path: Path, sha256: str, known: Known, words: Lexicon, limits: Limits,
    context: dict[str, Any], read: Callable[..., Reading[Any]],
) -> Reading[Any]:  # fmt: skip
    """Return the draft of a mail.

    Problems: R054 several attachments hold prices; R055 a correction in the body; R056 quoted
    older mail holds figures (not read); R003 the mail is damaged.
    """
    from rfq.intake.csv_file import decode
    from rfq.intake.plain_text import read_plain_text

    name = shown_name(path)
    _bounded(path, name)
    try:
        with path.open("rb") as file:  # in pieces; parsebytes would hold the mail five times
            message = BytesParser(policy=policy.default).parse(file)
        parts = [p for p in message.walk() if not p.is_multipart()][:_LIMIT_PARTS]
    except Exception:
        return Reading(
            None, (stop("R003", f"{name} is damaged and cannot be read as a mail.", name),)
        )
    sender = parseaddr(_header(message, "From"))
    received = _date(_header(message, "Date"))
    body, page, drafts, problems = "", "", [], []
    for number, part in enumerate(parts, 1):
        try:
            data = part.get_payload(decode=True) or b""
            part.set_payload("")  # a large attachment is held once
        except Exception:
            continue
        assert isinstance(data, bytes)
        filename = _filename(part)
        kind = part.get_content_type()
        if not filename and len(data) > _LIMIT_BODY:
            raise TooMuch(
                f"{name} holds {len(data) / 1e6:.0f} MB of running text; it was not read."
            )
        if not filename and kind == "text/plain" and not body.strip():
            charset = part.get_content_charset() or ""
            body = _decoded(data, charset)
            continue
        if not filename and kind == "text/html":
            written = _own_page(decode(data[: limits.cell_characters * 4])[0])
            page = page or written
            if not body.strip():  # some programs write an empty text beside the page
                body = _text_of_html(written)
            continue
        if not filename or not data:
            continue
        reading = _attachment(data, filename, number, known, words, limits, context, read)
        if reading is None:
            continue
        if reading.value is None:
            problems += [
                Problem(
                    p.code,
                    f"Attachment {filename}: {p.message}",
                    Place(name, path=f"part {number}: {filename}"),
                    Severity.NOTE,
                )
                for p in reading.problems
            ]
        else:
            drafts.append((filename, number, reading.value))
    own, quoted = own_text(body)
    priced = [(f, n, d) for f, n, d in drafts if d.prices or d.declined]
    if priced:
        draft = priced[0][2]
        update: dict[str, Any] = {"prices": draft.prices, "problems": draft.problems}
        if len(priced) > 1:
            listed = ", ".join(f for f, _, _ in priced)
            problems.append(
                Problem(
                    "R054",
                    f"Several attachments hold prices ({listed}); {priced[0][0]} was read: say whether it is the one that stands.",
                    Place(name),
                    Severity.ASK,
                )
            )
        problems += _corrections(own, name, known, words, context, draft)
        draft = draft.model_copy(update=update)
    else:
        draft = _table_of_page(page, name, sha256, known, words, limits, context)
        if draft is None:
            draft = read_plain_text(
                own, name, sha256, known, words, context, kind="mail", path="body"
            ).get()
        if not draft.prices and problems:
            problems = [
                p
                if p.severity is Severity.ASK
                else Problem(p.code, p.message, p.place, Severity.ASK)
                for p in problems
            ]
    if quoted and re.search(r"\d+[.,]\d{2}\b", quoted):
        problems.append(
            Problem(
                "R056",
                "Quoted older mail holds figures; it was not read.",
                Place(name, path="body"),
                Severity.NOTE,
            )
        )
    draft = draft.model_copy(
        update={
            "file": name,
            "sha256": sha256,
            "form": f"mail, {draft.form}" if priced else "mail",
            "sender": sender[1] or sender[0],
            "shop": draft.shop or sender[0],
            "received": received,
            "problems": (*draft.problems, *problems),
        }
    )
    return Reading(draft)


def _decoded(data: bytes, charset: str) -> str:
    """A body's text; one torn sign doesn't make all of it another encoding with other signs."""
    from rfq.intake.csv_file import decode

    try:
        text = data.decode(charset or "utf-8")
    except UnicodeDecodeError:
        text = data.decode(charset or "utf-8", "replace")
        whole = sum(not char.isascii() and char != "\ufffd" for char in text)
        return text if whole >= text.count("\ufffd") else decode(data)[0]
    except LookupError:
        return decode(data)[0]
    return text


def _bounded(path: Path, name: str) -> None:
    """Refuse a mail whose lines or parts have no end, before a parser takes minutes over it."""
    if path.stat().st_size > _LIMIT_MAIL:
        raise TooMuch(
            f"{name} has more than {_LIMIT_MAIL / 1e6:.0f} MB; save its attachments and read those."
        )
    parts = 0
    with path.open("rb") as file:
        while line := file.readline(_LIMIT_LINE + 1):
            parts += line.startswith(b"--")
            if len(line) > _LIMIT_LINE or parts > _LIMIT_MARKS:
                what = "a line longer" if len(line) > _LIMIT_LINE else "more parts"
                raise TooMuch(f"{name} holds {what} than any mail program writes; it was not read.")


def _header(message: EmailMessage, name: str) -> str:
    try:
        return str(message.get(name, ""))
    except Exception:
        return ""


def _date(text: str) -> datetime | None:
    try:
        moment = parsedate_to_datetime(text)
    except (ValueError, TypeError, IndexError):
        return None
    return moment if moment.tzinfo else moment.replace(tzinfo=UTC)


def _filename(part: Any) -> str:
    """An attachment's name without folders and control characters; '' for none."""
    try:
        raw = part.get_filename() or ""
    except Exception:
        raw = "attachment"
    return shown_name(raw) if raw else ""


def _text_of_html(text: str) -> str:
    """The text of an HTML body: tags and styles away, cells two spaces apart."""
    text = re.sub(r"(?is)<(script|style|head)\b.*?</\1>", " ", text)
    # what is crossed out or never displayed isn't said; the 1 of a footnote is no digit
    text = re.sub(r"(?is)<(s|strike|del)\b[^>]{0,200}>.{0,500}?</\1>", " ", text)
    text = re.sub(_UNSEEN, " ", text)
    text = re.sub(r"(?i)(?<=\d)<su[bp]\b[^>]{0,200}>", " ", text)
    text = re.sub(r"(?i)<br\s*/?>|</p>|</tr>|</div>|</li>|</h\d>", "\n", text)
    text = re.sub(r"(?i)</t[dh]>", "    ", text)
    text = re.sub(r"<[^>]{0,2000}>", "", text)
    import html

    return html.unescape(text)


_UNSEEN = re.compile(
    r"(?is)<(p|div|span|td|li)\b[^>]{0,300}display\s*:\s*none[^>]{0,300}>.{0,1000}?</\1>"
)
_PAGE_QUOTED = re.compile(
    r"""(?i)<[a-z]+[^>]{0,300}(?:class|id)=["']?(?:gmail_quote|divRplyFwdMsg|appendonsend|moz-cite-prefix|yahoo_quoted|OLK_SRC_BODY_SECTION)"""
    r"""|<(?:b|strong)\b[^>]{0,200}>\s*(?:<[^>]{0,200}>\s*){0,3}(?:from|von|de|da|od|发件人)\s*[:：]"""
    r"""|-{2,}\s*(?:original message|ursprüngliche nachricht|message d'origine|messaggio originale|mensaje original|forwarded message|weitergeleitete nachricht|原始邮件)"""
)


def _own_page(page: str) -> str:
    """The sender's own part of an HTML body: what is quoted is cut away."""
    cut = _PAGE_QUOTED.search(page)
    page = page[: cut.start()] if cut else page
    kept, depth, at = [], 0, 0
    for tag in re.finditer(r"(?i)<(/?)blockquote\b[^>]{0,2000}>", page):
        if depth == 0:
            kept.append(page[at : tag.start()])
        depth = max(0, depth - 1) if tag[1] else depth + 1
        at = tag.end()
    if depth == 0:
        kept.append(page[at:])
    return "".join(kept)


def _table_of_page(
    page: str, name: str, sha256: str, known: Known, words: Lexicon, limits: Limits,
    context: dict[str, Any],
) -> Any:  # fmt: skip
    """The draft of an HTML body whose table holds prices; None where none does.

    The running text a program writes beside it has lost the columns of empty cells.
    """
    if not re.search(r"(?i)<table\b", page):
        return None
    from rfq.intake.assemble import draft_of
    from rfq.intake.guard import book_of, run_child

    with tempfile.TemporaryDirectory(prefix="rfq-") as folder:
        path = Path(folder) / "body"
        path.write_text('<html><meta charset="utf-8">' + page, encoding="utf-8")
        answer, problem = run_child("html", path, limits)
    if problem is not None:
        return None
    draft = draft_of(book_of(answer), name, sha256, known, words, **context)
    return draft if draft.prices or draft.declined else None


def _attachment(
    data: bytes, filename: str, number: int, known: Known, words: Lexicon, limits: Limits,
    context: dict[str, Any], read: Callable[..., Reading[Any]],
) -> Reading[Any] | None:  # fmt: skip
    """The draft of one attachment; None for signatures, pictures and drawings."""
    if re.search(
        r"(?i)\.(?:png|jpe?g|gif|bmp|ics|vcf|p7s|asc|sig|step|stp|dxf|dwg|igs)$", filename
    ):
        return None
    if len(data) > limits.file_bytes:
        return Reading(None, (stop("R007", f"{filename} is too large.", filename),))
    with tempfile.TemporaryDirectory(prefix="rfq-") as folder:
        # our own name: the sender's may hold anything
        path = Path(folder) / f"part-{number}"
        path.write_bytes(data)
        try:
            kind, refused = file_kind(path, limits)
            if refused is not None:
                return Reading(
                    None,
                    (
                        Problem(
                            refused.code,
                            refused.message.replace(path.name, filename),
                            Place(filename),
                        ),
                    ),
                )
            if kind == "eml":
                return Reading(
                    None,
                    (
                        stop(
                            "R002",
                            f"{filename} is a mail inside the mail; save it and read it by itself.",
                            filename,
                        ),
                    ),
                )
            reading = read(kind, path, filename, known, words, limits, context, None)
        except RfqError as error:
            return Reading(None, (stop("R007", str(error).replace(path.name, filename), filename),))
    return reading


def _corrections(
    own: str, name: str, known: Known, words: Lexicon, context: dict[str, Any], draft: Any
) -> list[Problem]:
    """A correction in the body is shown and needs a yes; it is not applied."""
    out = []
    for number, line in enumerate(own.splitlines(), 1):
        place = Place(name, line=number, path="body")
        figures = re.search(r"\d+[.,]\d{2}\b|\d{2,}\s*(?:EUR|USD|€|\$|%)|[€$£]\s*\d", line)
        if figures and (_CORRECTION.search(line) or known.find(line, loose=False)):
            out.append(
                Problem(
                    "R055",
                    f"The mail's text says: '{line.strip()[:160]}'; the attachment was read as it is: say whether this changes it.",
                    place,
                    Severity.ASK,
                )
            )
    return out

"""The mail to a shop, as a draft file a mail program opens and as plain text. Never sent by us."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP
from typing import Final

from rfq.documents.outgoing import Outgoing
from rfq.documents.request_pdf import cover_values
from rfq.documents.wording import Letter, Wording, day_in_words, moment_in_words
from rfq.model.part import Part

# Mail gates commonly stop messages from 10 MB on, some from 20 or 25; base64 adds 37 %.
# Common practice, no source.
GATE_BYTES: Final = 10_000_000
_BASE64: Final = 78 / 57  # 57 bytes become a line of 76 signs and its end
_HEAD_BYTES: Final = 20_000  # text, headers and part headers
# The standard library asks the system for these, and systems differ.
_KINDS: Final = {
    "pdf": ("application", "pdf"),
    "xlsx": ("application", "vnd.openxmlformats-officedocument.spreadsheetml.sheet"),
    "xml": ("application", "xml"),
    "json": ("application", "json"),
    "step": ("model", "step"),
    "stp": ("model", "step"),
    "png": ("image", "png"),
    "dxf": ("image", "vnd.dxf"),
}
_NAMED: Final = 6  # parts and files named one by one; more are counted
_WORDS: Final = {
    "en": {
        "part": "1 part", "parts": "{n} parts", "more": "and {n} more, see the part list",
        "files": "and {n} more, see manifest.json",
        "pcs": "pcs", "split": "mail {n} of {m}", "nofinish": "none",
    },
    "de": {
        "part": "1 Teil", "parts": "{n} Teile", "more": "und {n} weitere, siehe Teileliste",
        "files": "und {n} weitere, siehe manifest.json",
        "pcs": "Stück", "split": "Mail {n} von {m}", "nofinish": "keine",
    },
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Mail:
    """A draft: file name, bytes of the .eml, and what it weighs as sent."""

    name: str
    data: bytes
    attachments: tuple[str, ...]

    @property
    def size(self) -> int:
        """Bytes as a mail gate counts them."""
        return len(self.data)


def request_letter(out: Outgoing, wording: Wording, attached: Sequence[str]) -> Letter:
    """Return subject and body of the request's mail, in the shop's language."""
    language = out.shop.language if wording.has("request", out.shop.language) else "en"
    return wording.letter("request", language, letter_values(out, language, attached))


def reminder_letter(out: Outgoing, wording: Wording, asked_on: datetime) -> Letter:
    """Return a reminder to a shop that has not answered."""
    language = out.shop.language if wording.has("reminder", out.shop.language) else "en"
    values = letter_values(out, language, ())
    values["asked_on"] = day_in_words(asked_on.date(), language)
    return wording.letter("reminder", language, values)


def letter_values(out: Outgoing, language: str, attached: Sequence[str]) -> dict[str, str]:
    """Return what the blanks of a request's letters stand for, in a language."""
    words = _WORDS.get(language, _WORDS["en"])
    values = cover_values(out)
    if out.answer_by is not None:
        values["answer_by"] = moment_in_words(out.answer_by, language)
        values["answer_day"] = out.answer_by.date().isoformat()
    days = sorted({day for part in out.parts if (day := out.need_date(part))})
    values["need_by"] = " / ".join(
        dict.fromkeys(day_in_words(day, language) for day in (days[:1] + days[-1:]))
    )
    count = len(out.parts)
    values["part_count"] = words["part"] if count == 1 else words["parts"].format(n=count)
    values["parts"] = _few([f"{p.number} {p.revision} {p.name}" for p in out.parts], words)
    values["quantities"] = _quantities(out, words)
    values["materials"] = _few(list(dict.fromkeys(_material(p) for p in out.parts)), words)
    finishes = [f"{f.name} {f.grade}".strip() for part in out.parts for f in part.finishes]
    values["finishes"] = _few(list(dict.fromkeys(finishes)), words) or words["nofinish"]
    values["files"] = _few(list(attached), {"more": words["files"]})
    values["argument"] = out.argument
    values["changes"] = _few(list(out.request.changes), words) if out.request.revision > 1 else ""
    return values


def _material(part: Part) -> str:
    return f"{part.material} {part.temper}".strip()


def _quantities(out: Outgoing, words: Mapping[str, str]) -> str:
    """Quantities, the same ones once: '5 / 25 pcs: 11 parts, 25 / 100 pcs: SB-210'."""
    sets: dict[tuple[int, ...], list[str]] = {}
    for line in out.lines:
        sets.setdefault(line.quantities, []).append(line.part)
    said = []
    for quantities, parts in sets.items():
        text = f"{' / '.join(map(str, quantities))} {words['pcs']}"
        if len(sets) > 1:
            few = ", ".join(parts) if len(parts) <= 3 else words["parts"].format(n=len(parts))
            text += f" ({few})"
        said.append(text)
    return _few(said, words)


def _few(texts: Sequence[str], words: Mapping[str, str]) -> str:
    if len(texts) <= _NAMED:
        return ", ".join(texts)
    return ", ".join([*texts[:_NAMED], words["more"].format(n=len(texts) - _NAMED)])


def drafts(
    out: Outgoing,
    letter: Letter,
    files: Mapping[str, bytes],
    *,
    gate: int = GATE_BYTES,
) -> tuple[Mail, ...]:
    """Return the mail as one draft, or as several where one would be stopped on its way.

    Args:
        out: whom it goes to and who asks. letter: its words.
        files: attachments by name. gate: greatest size of one mail in bytes, as sent.
    """
    loads = split(files, gate)
    words = _WORDS.get(out.shop.language, _WORDS["en"])
    mails = []
    for number, load in enumerate(loads, 1):
        name = "mail.eml" if len(loads) == 1 else f"mail-{number}-of-{len(loads)}.eml"
        part_of = "" if len(loads) == 1 else words["split"].format(n=number, m=len(loads))
        subject = f"{letter.subject} ({part_of})" if part_of else letter.subject
        data = _draft(out, subject, letter.body, {one: files[one] for one in load})
        mails.append(Mail(name, data, tuple(load)))
    return tuple(mails)


def split(files: Mapping[str, bytes], gate: int) -> list[list[str]]:
    """Return file names in loads below ``gate`` bytes as sent; the given order is kept.

    A file too big by itself gets a load of its own; ``too_big`` names those.
    """
    loads: list[list[str]] = [[]]
    weight = _HEAD_BYTES
    for name, data in files.items():
        one = int(len(data) * _BASE64) + 300
        if loads[-1] and weight + one > gate:
            loads.append([])
            weight = _HEAD_BYTES
        loads[-1].append(name)
        weight += one
    return loads


def too_big(files: Mapping[str, bytes], gate: int = GATE_BYTES) -> tuple[str, ...]:
    """Return the files no mail below ``gate`` can carry."""
    return tuple(name for name, data in files.items() if len(data) * _BASE64 + _HEAD_BYTES > gate)


def plain_text(out: Outgoing, letter: Letter) -> bytes:
    """Return the mail as text to paste: whom to, subject, body."""
    to = out.shop.contact.email or out.shop.name
    return f"To: {to}\nSubject: {letter.subject}\n\n{letter.body}".encode()


def _draft(out: Outgoing, subject: str, body: str, files: Mapping[str, bytes]) -> bytes:
    message = EmailMessage(policy=SMTP.clone(max_line_length=78))
    to = _address(out.shop.contact.name or out.shop.name, out.shop.contact.email)
    if to is not None:
        message["To"] = to
    sender = _address(out.contact.name or out.company, out.contact.email)
    if sender is not None:
        message["From"] = sender
    message["Subject"] = subject
    message["X-Unsent"] = "1"  # mail programs that know it open the file as a draft
    message.set_content(body, cte="quoted-printable")
    for name, data in files.items():
        main, sub = _KINDS.get(name.rpartition(".")[2].lower(), ("application", "octet-stream"))
        message.add_attachment(data, maintype=main, subtype=sub, filename=name)
    if files:
        digest = hashlib.sha256(subject.encode() + "".join(files).encode()).hexdigest()
        message.set_boundary(f"=_rfq_{digest[:32]}")  # the library's own is random
    return message.as_bytes()


def _address(name: str, email: str) -> Address | None:
    """A header address, or None where the address is none."""
    if "@" not in email:
        return None
    clean = " ".join("".join(c if c.isprintable() else " " for c in name).split())
    try:
        return Address(clean, addr_spec=email.strip())
    except (ValueError, IndexError):
        return None

"""The last look at what goes out: do the finished bytes hold anything that must not leave?

Every file is looked at as it is and as whatever it packs: zip members (a workbook is a zip),
PDF streams and PDF text, mail parts in base64 or quoted-printable; and every word is looked for
in UTF-8, UTF-16 and Latin-1, escaped for XML, JSON and addresses, and in base64.
"""

from __future__ import annotations

import base64
import binascii
import json
import re
import zlib
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from email import message_from_bytes
from html import unescape
from io import BytesIO
from typing import Final
from urllib.parse import quote
from xml.sax.saxutils import escape
from zipfile import BadZipFile, ZipFile

from rfq.model.project import Project
from rfq.model.request import Request
from rfq.problems import Place, Problem, Severity

SHORTEST: Final = 4  # signs; shorter words are found everywhere by accident
_STREAM: Final = re.compile(rb"stream\r?\n(.*?)\r?\n?endstream", re.DOTALL)
_OCTAL: Final = re.compile(rb"\\([0-7]{3})")
_DEEPEST: Final = 6
_LARGEST: Final = 200_000_000  # bytes unpacked of one member


def leak_scan(files: Mapping[str, bytes], forbidden: Iterable[str]) -> tuple[Problem, ...]:
    """Return one problem (D020) for each forbidden word found in a file.

    Args:
        files: finished files by name.
        forbidden: words that must not leave; shorter than four signs are not looked for.
    """
    words = sorted({w.strip() for w in forbidden if len(w.strip()) >= SHORTEST})
    looks = {word: _look(word) for word in words}
    problems = []
    clean: set[bytes] = set()  # a drawing stands in the folder, the zip and the mail alike
    for name, data in files.items():
        found: dict[str, str] = {}
        for where, view in _views(name, data, 0):
            if view in clean:
                continue
            here = [word for word, look in looks.items() if look.sees(view)]
            for word in here:
                found.setdefault(word, where)
            if not here:
                clean.add(view)
        problems += [
            Problem(
                "D020",
                f"'{_short(word)}' must not leave the project and stands in this file; "
                "nothing was written.",
                Place(name, path=found[word]),
                Severity.STOP,
                subject=name,
            )
            for word in words
            if word in found
        ]
    return tuple(problems)


def forbidden_words(
    project: Project, request: Request, shop: str, extra: Iterable[str] = ()
) -> tuple[str, ...]:
    """Return what must not reach a shop: internal texts, other shops, people, local paths.

    Args:
        project: all records. request: the one going out. shop: id of the shop it goes to.
        extra: more of the same, such as the project's folder and the user's name.
    """
    words = [*extra, project.settings.internal_note]
    words += [note for one in project.requests.values() for note in (one.internal_note,)]
    for override in request.overrides:
        words += [override.reason, override.by]
    for part in project.parts.values():
        words += [part.internal_note, part.responsible]
        words += [callout.internal_note for callout in part.callouts]
        words += [own.source for own in part.should_cost]
    for other in project.shops.values():
        words.append(other.internal_note)
        if other.id != shop:
            words += [other.name, other.contact.email]
            words.append(other.contact.name if " " in other.contact.name else "")
            words.append(other.id if len(other.id) > SHORTEST else "")
    words += [quote.internal_note for quote in project.quotes]
    words += [asked.internal_note for asked in project.clarifications]
    known = {project.shops[shop].name, project.settings.company} if shop in project.shops else set()
    lines = [line.strip() for word in words for line in word.splitlines()]
    return tuple(
        dict.fromkeys(line for line in lines if len(line) >= SHORTEST and line not in known)
    )


# --- what a file packs --------------------------------------------------------------------


def _views(name: str, data: bytes, depth: int) -> Iterator[tuple[str, bytes]]:
    """Yield (where, bytes) of a file and of everything it packs."""
    yield "", data
    if depth >= _DEEPEST:
        return
    if data.lstrip()[:1] == b"<":
        # A workbook's XML may write a letter as &#379;
        yield "", unescape(data.decode("utf-8", "replace")).encode()
    if data[:4] == b"PK\x03\x04":
        yield from _zip(data, depth)
    elif data[:5] == b"%PDF-":
        yield from _pdf(data)
    elif name.lower().endswith(".eml") or re.match(rb"(To|From|Subject|MIME-Version):", data):
        yield from _mail(data, depth)


def _zip(data: bytes, depth: int) -> Iterator[tuple[str, bytes]]:
    try:
        with ZipFile(BytesIO(data)) as archive:
            for info in archive.infolist():
                yield info.filename, info.filename.encode() + b"\n" + info.comment + info.extra
                if info.file_size <= _LARGEST:
                    for where, view in _views(info.filename, archive.read(info), depth + 1):
                        yield f"{info.filename} {where}".strip(), view
    except (BadZipFile, RuntimeError, zlib.error, NotImplementedError):
        return  # a broken or locked archive of the user's; its own bytes were looked at


def _pdf(data: bytes) -> Iterator[tuple[str, bytes]]:
    yield "strings", _OCTAL.sub(lambda found: bytes([int(found[1], 8) & 255]), data)
    for found in _STREAM.finditer(data):
        plain = _unpacked(found[1])
        if plain is not None:
            yield "stream", plain
            yield "stream", _OCTAL.sub(lambda one: bytes([int(one[1], 8) & 255]), plain)
    yield "text", _pdf_text(data).encode("utf-8", "replace")


def _unpacked(stream: bytes) -> bytes | None:
    candidates = [stream]
    with suppress(ValueError):  # reportlab packs its streams in ASCII85 as well
        candidates.append(base64.a85decode(b"<~" + stream.strip().removeprefix(b"<~"), adobe=True))
    for one in candidates:
        try:
            return zlib.decompressobj().decompress(one, _LARGEST)
        except zlib.error:
            continue
    return None


def _pdf_text(data: bytes) -> str:
    """Text as a reader sees it: what kerning or several fonts tear apart in the streams."""
    import pypdfium2

    try:
        document = pypdfium2.PdfDocument(data)
    except pypdfium2.PdfiumError:
        return ""
    try:
        texts = list(document.get_metadata_dict().values())
        for number in range(len(document)):
            page = document[number]
            textpage = page.get_textpage()
            text = textpage.get_text_range()
            texts += [text, " ".join(text.split())]
            textpage.close()
            page.close()
        return "\n".join(texts)
    finally:
        document.close()


def _mail(data: bytes, depth: int) -> Iterator[tuple[str, bytes]]:
    from email.header import decode_header, make_header

    for part in message_from_bytes(data).walk():
        for key, value in part.items():
            try:
                yield f"header {key}", str(make_header(decode_header(str(value)))).encode()
            except (ValueError, LookupError, UnicodeError):
                continue
        if part.is_multipart():
            continue
        body = part.get_payload(decode=True)
        if isinstance(body, bytes):
            inner = part.get_filename() or part.get_content_type()
            for where, view in _views(inner, body, depth + 1):
                yield f"{inner} {where}".strip(), view


# --- what a word looks like ---------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Look:
    """A word's spellings as plain bytes, searched first for speed, and as a pattern."""

    spellings: tuple[bytes, ...]
    pattern: re.Pattern[bytes]

    def sees(self, view: bytes) -> bool:
        """Whether the word stands in these bytes, as a whole word where it is plain."""
        return any(one in view for one in self.spellings) and bool(self.pattern.search(view))


def _look(word: str) -> _Look:
    """All spellings of a word; a plain word is found as a whole word only."""
    spellings: set[bytes] = set()
    for form in {word, escape(word), escape(word, {'"': "&quot;"}), json.dumps(word)[1:-1],
                 quote(word), " ".join(word.split())}:  # fmt: skip
        for encoding in ("utf-8", "utf-16-le", "utf-16-be", "latin-1"):
            try:
                spellings.add(form.encode(encoding))
            except UnicodeEncodeError:
                continue
    coded = [one for one in _in_base64(word.encode()) if len(one) > SHORTEST + 1]
    whole = [_bounded(spelling) for spelling in sorted(spellings)]
    whole += [re.escape(one) for one in coded]
    return _Look((*sorted(spellings), *coded), re.compile(b"|".join(whole)))


def _bounded(spelling: bytes) -> bytes:
    # Whole words only, so that shop 'mill-east' is not found in 'mill-eastern'; a UTF-16
    # letter ends in a zero byte, which is no letter, so the same rule serves.
    text = re.escape(spelling)
    before = rb"(?<![A-Za-z0-9])" if spelling[:1].isalnum() else b""
    after = rb"(?![A-Za-z0-9])" if spelling[-1:].isalnum() else b""
    return before + text + after


def _in_base64(word: bytes) -> Iterator[bytes]:
    """The word inside base64, at each of the three ways it may be cut."""
    for shift in range(3):
        try:
            coded = base64.b64encode(b"\0" * shift + word)
        except binascii.Error:  # pragma: no cover - cannot happen on bytes
            continue
        first = (0, 2, 3)[shift]
        last = len(coded) - (4 if (shift + len(word)) % 3 else 0)
        yield coded[first:last]


def _short(word: str) -> str:
    return word if len(word) <= 40 else word[:37] + "..."

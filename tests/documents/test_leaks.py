"""The leak scan finds a word however it is packed, and nothing where there is nothing."""

from __future__ import annotations

import base64
import json
import zlib
from email.message import EmailMessage
from io import BytesIO
from zipfile import ZIP_DEFLATED, ZipFile

import pytest
from openpyxl import Workbook
from pypdf import PdfWriter
from reportlab.pdfgen.canvas import Canvas

from rfq.documents.leaks import leak_scan

WORD = "Żabińska & Söhne <geheim>"
PLAIN = "SECRET-MARKER-77"


def _zip(name: str, data: bytes) -> bytes:
    out = BytesIO()
    with ZipFile(out, "w", ZIP_DEFLATED) as archive:
        archive.writestr(name, data)
    return out.getvalue()


def _pdf_text(word: str) -> bytes:
    out = BytesIO()
    canvas = Canvas(out, pageCompression=1)
    canvas.drawString(50, 500, f"nothing but {word} here")
    canvas.save()
    return out.getvalue()


def _pdf_meta(word: str) -> bytes:
    writer = PdfWriter()
    writer.add_blank_page(100, 100)
    writer.add_metadata({"/Author": word})
    out = BytesIO()
    writer.write(out)
    return out.getvalue()


def _pdf_attachment(word: str) -> bytes:
    writer = PdfWriter()
    writer.add_blank_page(100, 100)
    writer.add_attachment("note.txt", word.encode())
    out = BytesIO()
    writer.write(out)
    return out.getvalue()


def _hidden_sheet(word: str) -> bytes:
    book = Workbook()
    sheet = book.create_sheet("inner")
    sheet["A1"] = word
    sheet.sheet_state = "hidden"
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def _property(word: str) -> bytes:
    book = Workbook()
    book.properties.lastModifiedBy = word
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def _mail(word: str, *, cte: str) -> bytes:
    message = EmailMessage()
    message["Subject"] = "drawing"
    message.set_content(f"we think {word} would", cte=cte)
    return message.as_bytes()


def _mail_head(word: str) -> bytes:
    message = EmailMessage()
    message["Subject"] = f"for {word}"
    message.set_content("x")
    return message.as_bytes()


PACKED = {
    "utf-8.txt": lambda w: f"a {w} b".encode(),
    "utf-16.txt": lambda w: f"a {w} b".encode("utf-16"),
    "utf-16-be.txt": lambda w: f"a {w} b".encode("utf-16-be"),
    "entry.json": lambda w: json.dumps({"x": w}).encode(),
    "b.txt": lambda w: b"data:" + base64.b64encode(f"12{w}3".encode()),
    "a.zip": lambda w: _zip("a.txt", w.encode()),
    "named.zip": lambda w: _zip(w.replace("/", "-"), b""),
    "nested.zip": lambda w: _zip("b.zip", _zip("a.txt", w.encode())),
    "meta.pdf": _pdf_meta,
    "attached.pdf": _pdf_attachment,
    "hidden.xlsx": _hidden_sheet,
    "who.xlsx": _property,
    "quoted.eml": lambda w: _mail(w, cte="quoted-printable"),
    "coded.eml": lambda w: _mail(w, cte="base64"),
    "head.eml": _mail_head,
    "sheet-in-mail.eml": lambda w: _with_file(_hidden_sheet(w)),
}


def _with_file(data: bytes) -> bytes:
    message = EmailMessage()
    message.set_content("see attached")
    message.add_attachment(data, maintype="application", subtype="zip", filename="a.xlsx")
    return message.as_bytes()


@pytest.mark.parametrize("name", PACKED)
@pytest.mark.parametrize("word", [WORD, PLAIN])
def test_a_word_is_found_however_it_is_packed(name: str, word: str) -> None:
    files = {name: PACKED[name](word), "clean.txt": b"nothing"}
    problems = leak_scan(files, [word, "not there at all"])
    assert [problem.code for problem in problems] == ["D020"]
    assert problems[0].place.file == name
    assert leak_scan({name: PACKED[name]("harmless")}, [word]) == ()


def test_text_of_a_pdf_is_read() -> None:
    assert leak_scan({"a.pdf": _pdf_text(PLAIN)}, [PLAIN])
    assert leak_scan({"a.pdf": _pdf_text("Söhne-Marker")}, ["Söhne-Marker"])


def test_latin_1_is_read() -> None:
    assert leak_scan({"a.txt": "für Söhne".encode("latin-1")}, ["Söhne"])


def test_part_of_another_word_is_no_leak() -> None:
    assert leak_scan({"a.txt": b"mill-eastern steel"}, ["mill-east"]) == ()
    assert leak_scan({"a.txt": b"from mill-east."}, ["mill-east"])


def test_short_words_are_not_looked_for() -> None:
    assert leak_scan({"a.txt": b"abc"}, ["abc"]) == ()


def test_broken_files_are_no_obstacle() -> None:
    broken = {
        "a.zip": b"PK\x03\x04garbage",
        "b.pdf": b"%PDF-1.7 garbage stream\n" + zlib.compress(b"x")[:5] + b"\nendstream",
        "c.eml": b"Subject: =?utf-8?b?!!!?=\n\nbody",
    }
    assert leak_scan(broken, [PLAIN]) == ()

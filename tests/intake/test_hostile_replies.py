# ruff: noqa: E501 - one made file stands on one line
"""Hostile and broken files: one clear sentence in bounded time and memory, never a traceback."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
import time
import zipfile
from pathlib import Path

import pytest
from openpyxl import Workbook

from rfq.intake.kinds import Limits, shown_name
from rfq.intake.read import read_reply
from rfq.problems import Unreadable


def small_workbook() -> bytes:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for row in (
        ["Part", "Qty", "Unit price EUR", "Total"],
        ["BR-1041", 10, 45.9, 459],
        ["SH-2007", 50, 25.27, 1263.5],
    ):
        sheet.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def with_part(data: bytes, name: str, content: bytes, *, times: int = 1) -> bytes:
    """The workbook with one part of its package replaced or added (its content many times)."""
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(data)) as old,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for entry in old.infolist():
            if entry.filename != name:
                new.writestr(entry.filename, old.read(entry))
        with new.open(name, "w", force_zip64=True) as part:
            for _ in range(times):
                part.write(content)
    return out.getvalue()


SHEET = "xl/worksheets/sheet1.xml"
OPEN = b'<?xml version="1.0"?><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
BOMB = (
    b'<?xml version="1.0"?><!DOCTYPE w [<!ENTITY a "aaaaaaaaaa">'
    + b"".join(b'<!ENTITY %c "%s">' % (c + 1, b"&%c;" % c * 10) for c in range(ord("a"), ord("i")))
    + b"]><worksheet>&i;</worksheet>"
)
EXTERNAL = b'<?xml version="1.0"?><!DOCTYPE w [<!ENTITY x SYSTEM "file:///etc/passwd">]><worksheet>&x;</worksheet>'
QUOTATION = b'<?xml version="1.0"?>%s<Quotation xmlns="urn:oasis:names:specification:ubl:schema:xsd:Quotation-2">%s</Quotation>'


def hostile() -> dict[str, bytes]:
    book = small_workbook()
    blanks = (
        OPEN
        + b"".join(b'<row r="%d">' % r + b"<c/>" * 1000 + b"</row>" for r in range(1, 2500))
        + b"</sheetData></worksheet>"
    )
    huge = b"Part;Qty;Price EUR\nBR-1041;10;" + b"9" * 10_000_000 + b"\n"
    return {
        "zip bomb.xlsx": with_part(book, SHEET, b" " * 1_000_000, times=200),
        "entity bomb.xlsx": with_part(book, SHEET, BOMB),
        "external entity.xlsx": with_part(book, SHEET, EXTERNAL),
        "blank cells.xlsx": with_part(book, SHEET, blanks),
        "deep.xlsx": with_part(book, SHEET, OPEN + b"<row>" * 100_000),
        "big cell.csv": huge,
        "one big cell.txt": b"x" * 10_000_000,
        "nulls.csv": b"\0" * 100_000 + b"Part;Price",
        "random.xlsx": bytes(range(256)) * 400,
        "random.csv": bytes(reversed(range(256))) * 400,
        "cut.xlsx": book[: len(book) // 2],
        "program.xlsx": b"\x7fELF" + b"\0" * 5000,
        "picture.csv": b"\x89PNG\r\n\x1a\n" + b"\0" * 500,
        "entity bomb.xml": BOMB.replace(b"worksheet", b"Quotation"),
        "external.xml": EXTERNAL.replace(b"worksheet", b"Quotation"),
        "deep.xml": b"<a>" * 200_000,
        "other.xml": b'<?xml version="1.0"?><Invoice xmlns="urn:x"/>',
        "no lines.xml": QUOTATION % (b"", b"<x/>"),
        "cut.pdf": b"%PDF-1.7\n" + b"1 0 obj << /Type /Catalog >>" * 50,
        "old.xls": b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
        + b"W\0o\0r\0k\0b\0o\0o\0k\0"
        + b"\xff" * 9000,
        "mail.eml": b"From: a\nTo: b\nSubject: =?utf-8?b?////?=\nContent-Type: multipart/mixed; boundary=x\n\n--x\nContent-Type: text/plain; charset=nonsense\n\n\xff\xfe\n--x",
        "empty.csv": b"",
        "macro.xlsm": with_part(book, "xl/vbaProject.bin", b"Sub Auto_Open()" * 100),
    }


CASES = hostile()
ODD = {
    "no lines.xml",
    "macro.xlsm",
    "random.csv",
    "mail.eml",
    "nulls.csv",
    "one big cell.txt",
    "blank cells.xlsx",
    "deep.xlsx",
}


@pytest.mark.parametrize("name", CASES)
def test_refused_in_time_with_one_sentence(name: str, tmp_path: Path) -> None:
    path = tmp_path / name
    path.write_bytes(CASES[name])
    before = sorted(tmp_path.iterdir())
    started = time.monotonic()
    reading = read_reply(path)
    assert time.monotonic() - started < 5.0
    assert sorted(tmp_path.iterdir()) == before
    if name not in ODD:
        assert reading.value is None
    if reading.value is None:
        message = reading.problems[0].message
        assert message.endswith(".") and "Traceback" not in message and "root:" not in message
        assert len(message) < 300
    elif name != "macro.xlsm":
        assert not [p for p in reading.value.prices if p.sure]
    if name == "macro.xlsm":
        assert {p.part for p in reading.get().prices} == {"BR-1041", "SH-2007"}


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="memory is read from /proc")
@pytest.mark.parametrize(
    "name", ["zip bomb.xlsx", "blank cells.xlsx", "big cell.csv", "one big cell.txt"]
)
def test_memory_stays_below_300_mb(name: str, tmp_path: Path) -> None:
    path = tmp_path / name
    path.write_bytes(CASES[name])
    code = (
        "import resource, sys, json; from rfq.intake.read import read_reply; read_reply(sys.argv[1]); "
        "own = next(int(l.split()[1]) for l in open('/proc/self/status') if l.startswith('VmHWM')); "
        "print(json.dumps([own, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss]))"
    )
    done = subprocess.run([sys.executable, "-c", code, str(path)], capture_output=True, check=True)
    own, child = json.loads(done.stdout)
    assert own + child < 300_000


def test_formulas_and_links_are_not_followed(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["Part", "Qty", "Unit price EUR"])
    sheet.append(["BR-1041", 10, '=WEBSERVICE("http://example.com/")'])
    sheet.append(["SH-2007", 50, "=[1]Sheet1!A1"])
    book.save(tmp_path / "f.xlsx")
    draft = read_reply(tmp_path / "f.xlsx").get()
    assert [p.each for p in draft.prices] == [None, None]
    assert {p.code for p in draft.problems if p.subject} == {"R014"}


def test_a_name_with_control_characters_is_shown_clean() -> None:
    assert shown_name("a/b\\\x1b[2Jx\n.csv") == "?[2Jx?.csv"


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(Unreadable):
        read_reply(tmp_path / "nothing.csv")


def test_too_large_a_file(tmp_path: Path) -> None:
    path = tmp_path / "large.csv"
    with path.open("wb") as file:
        os.truncate(file.fileno(), 50_000_000)
    assert read_reply(path).problems[0].code == "R007"


def test_a_child_that_hangs_is_ended(tmp_path: Path) -> None:
    path = tmp_path / "b.xlsx"
    path.write_bytes(small_workbook())
    reading = read_reply(path, limits=Limits(seconds=0.001))
    assert reading.value is None and reading.problems[0].code == "R007"

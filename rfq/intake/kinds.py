# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""What a file is, by its content and not its ending; and the bounds a file must keep.

Signatures: ZIP local header, OLE compound file, PDF header, XML; as their formats define them.
"""

from __future__ import annotations

import re
import zipfile
from dataclasses import dataclass
from pathlib import Path

from rfq.problems import Place, Problem, TooMuch, Unreadable

OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


@dataclass(frozen=True, slots=True)
class Limits:
    """Bounds of one reading.

    Args:
        file_bytes: largest file.
        unpacked_bytes: largest sum of what a packed file unpacks to.
        ratio: largest unpacked to packed ratio of an entry above one megabyte.
        memory_bytes: private memory of the child that reads it.
        seconds: wall clock of the child; more is given to large files.
        cells: most cells of a file.
        cell_characters: longest text of a cell.
    """

    file_bytes: int = 40_000_000
    unpacked_bytes: int = 120_000_000
    ratio: int = 150
    memory_bytes: int = 260_000_000
    seconds: float = 4.5
    cells: int = 600_000
    cell_characters: int = 100_000


def shown_name(path: Path | str) -> str:
    """Return a file's name without folders and control characters, as messages show it.

    >>> shown_name("../x/\\x1b[31mred.csv")
    '?[31mred.csv'
    """
    name = re.split(r"[/\\]", str(path))[-1]
    return "".join(char if char.isprintable() else "?" for char in name)[:120] or "file"


def stop(code: str, message: str, file: str) -> Problem:
    """A problem that leaves no value."""
    return Problem(code, message, Place(file))


def file_kind(path: Path, limits: Limits) -> tuple[str, Problem | None]:
    """Return (kind, None), or ('', why the file cannot be read).

    Kinds: xlsx, xlsb, ods, xls, pdf, xml, html, eml, text.

    Raises:
        Unreadable: the file is not there or cannot be opened.
        TooMuch: it is larger than the bounds.
    """
    name = shown_name(path)
    try:
        size = path.stat().st_size
        if not path.is_file():
            raise Unreadable(f"{name} is not a file.")
        with path.open("rb") as file:
            head = file.read(8192)
    except OSError as error:
        raise Unreadable(f"{name} cannot be opened: {error.strerror}.") from error
    if size > limits.file_bytes:
        raise TooMuch(
            f"{name} has {size / 1e6:.0f} MB; replies up to {limits.file_bytes / 1e6:.0f} MB "
            "are read."
        )
    if not head.strip(b"\0 \t\r\n"):
        return "", stop("R001", f"{name} is empty: ask the shop to send it again.", name)
    if head.startswith(b"PK"):
        return _zip_kind(path, name, limits)
    if head.startswith(OLE):
        return _ole_kind(path, name)
    if b"%PDF-" in head[:1024]:
        return "pdf", None
    for signature, what in (
        (b"\x89PNG", "a picture (PNG)"),
        (b"\xff\xd8\xff", "a picture (JPEG)"),
        (b"II*\0", "a picture (TIFF)"),
        (b"MM\0*", "a picture (TIFF)"),
        (b"GIF8", "a picture (GIF)"),
        (b"Rar!", "a RAR archive"),
        (b"7z\xbc\xaf", "a 7z archive"),
        (b"\x1f\x8b", "a gzip archive"),
        (b"MZ", "a program"),
        (b"\x7fELF", "a program"),
        (b"{\\rtf", "a word processor's file"),
    ):
        if head.startswith(signature):
            return "", stop(
                "R002",
                f"{name} is {what}, whatever its ending says; ask for a spreadsheet or a PDF "
                "with text, or type the prices in.",
                name,
            )
    return _text_kind(head, name)


def _text_kind(head: bytes, name: str) -> tuple[str, Problem | None]:
    utf16 = head.startswith((b"\xff\xfe", b"\xfe\xff"))
    start = head.decode("utf-16" if utf16 else "latin-1", "replace").lstrip(
        "\ufeff\u00ef\u00bb\u00bf \t\r\n"
    )
    lowered = start[:4000].lower()
    if re.match(r"<!doctype html|<html|<table|<meta|<head|<body", lowered):
        return "html", None
    if lowered.startswith("<"):
        if re.search(r"<html[\s>]", lowered[:600]):
            return "html", None
        return "xml", None
    if not utf16:
        odd = sum(byte < 9 or 13 < byte < 27 for byte in head)
        nulls = head.count(0)
        if odd > 4 + len(head) // 100 and not (nulls and nulls > len(head) // 3):
            return "", stop(
                "R002",
                f"{name} holds binary data of no known kind; ask for a spreadsheet, CSV or PDF.",
                name,
            )
    lines = start[:4000].splitlines()[:30]
    headers = sum(
        bool(re.match(r"(?i)(from|to|subject|date|mime-version|received|return-path|message-id|content-type|delivered-to|x-[\w-]+)\s*:", line))
        for line in lines
    )  # fmt: skip
    return ("eml" if headers >= 3 else "text"), None


def _zip_kind(path: Path, name: str, limits: Limits) -> tuple[str, Problem | None]:
    try:
        with zipfile.ZipFile(path) as archive:
            entries = archive.infolist()
            names = {entry.filename for entry in entries}
            mimetype = b""
            if "mimetype" in names and archive.getinfo("mimetype").file_size < 200:
                mimetype = archive.read("mimetype")
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError, RuntimeError, EOFError):
        return "", stop(
            "R003",
            f"{name} is damaged: its packed content cannot be opened; ask the shop to send it "
            "again.",
            name,
        )
    total = sum(entry.file_size for entry in entries)
    packed = max(path.stat().st_size, 1)
    bomb = any(
        entry.file_size > 1_000_000 and entry.file_size > limits.ratio * max(entry.compress_size, 1)
        for entry in entries
    )
    if total > limits.unpacked_bytes or bomb or len(entries) > 5000:
        raise TooMuch(
            f"{name} unpacks to {total / 1e6:.0f} MB from {packed / 1e6:.2f} MB; it was not opened."
        )
    if any(entry.flag_bits & 1 for entry in entries):
        return "", _locked(name)
    if "xl/workbook.bin" in names:
        return "xlsb", None
    if any(entry.lower().endswith("workbook.xml") for entry in names):
        return "xlsx", None
    if b"opendocument.spreadsheet" in mimetype or (not mimetype and "content.xml" in names):
        return "ods", None
    what = (
        "a word processor's file"
        if "word/document.xml" in names or b"text" in mimetype
        else "an archive"
    )
    way = (
        "save it as PDF and read that"
        if "word" in what
        else "unpack it and read the files one by one"
    )
    return "", stop("R002", f"{name} is {what}; {way}.", name)


def _locked(name: str) -> Problem:
    return stop(
        "R004", f"{name} is protected with a password; ask the shop for an open copy.", name
    )


def _ole_kind(path: Path, name: str) -> tuple[str, Problem | None]:
    with path.open("rb") as file:
        body = file.read(4_000_000)
    if "EncryptedPackage".encode("utf-16-le") in body:
        return "", _locked(name)
    if "Workbook".encode("utf-16-le") in body or "Book".encode("utf-16-le") in body:
        return "xls", None
    return "", stop(
        "R002", f"{name} is an old office file but no workbook; ask for a spreadsheet or PDF.", name
    )

"""What all our workbooks share: safe text cells, no author, the same bytes for the same input."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from io import BytesIO
from typing import TYPE_CHECKING, Any, Final
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

if TYPE_CHECKING:
    from openpyxl.cell.cell import Cell, MergedCell
    from openpyxl.workbook.workbook import Workbook

_STAMP: Final = re.compile(rb"(<dcterms:modified[^>]*>)[^<]*(</dcterms:modified>)")
_FORMULA_SIGNS: Final = ("=", "+", "-", "@", "\t", "\r")


def put_text(cell: Cell | MergedCell, text: str) -> Cell:
    """Write a text that stays a text, whatever it begins with; return the cell.

    A spreadsheet takes '=1+1' from a part's name for a formula. The cell is written as a string
    and, where it begins like a formula, with the quote mark a person would type before it, so
    it stays a string when edited; its text reads back unchanged.
    """
    found: Any = cell  # the stubs know neither merged cells nor styles well
    clean = "".join(char if char.isprintable() or char == "\n" else " " for char in text)[:32000]
    found.value = clean
    found.data_type = "s"
    if clean.startswith(_FORMULA_SIGNS):
        found.quotePrefix = True
    kept: Cell = found
    return kept


def workbook_bytes(book: Workbook, when: datetime, title: str) -> bytes:
    """Return a workbook as bytes: no author, all times the given one.

    Args:
        book: the workbook. when: written as made and changed. title: of the document.
    """
    moment = _utc(when)
    properties = book.properties
    properties.creator = ""
    properties.lastModifiedBy = ""
    properties.title = title
    properties.created = moment.replace(tzinfo=None)
    raw = BytesIO()
    book.save(raw)
    stamp = moment.strftime("%Y-%m-%dT%H:%M:%SZ").encode()
    files = {}
    with ZipFile(raw) as archive:
        for name in archive.namelist():
            data = archive.read(name)
            if name == "docProps/core.xml":
                data = _STAMP.sub(rb"\g<1>" + stamp + rb"\g<2>", data)
            files[name] = data
    return steady_zip(files, when)


def steady_zip(files: dict[str, bytes], when: datetime) -> bytes:
    """Return a zip archive whose bytes depend on names, contents and ``when`` only."""
    moment = _utc(when)
    stamp = (
        max(1980, moment.year), moment.month, moment.day,
        moment.hour, moment.minute, moment.second,
    )  # fmt: skip
    out = BytesIO()
    with ZipFile(out, "w", ZIP_DEFLATED) as archive:
        for name, data in files.items():
            info = ZipInfo(name, stamp)
            info.compress_type = ZIP_DEFLATED
            info.external_attr = 0o644 << 16
            info.create_system = 3
            archive.writestr(info, data)
    return out.getvalue()


def _utc(when: datetime) -> datetime:
    return when.astimezone(UTC) if when.tzinfo else when.replace(tzinfo=UTC)

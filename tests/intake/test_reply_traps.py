# ruff: noqa: E501 - one made file stands on one line
"""What real replies do: one made file for each item, with the right answer.

All files are invented for these tests; the list of traps is common practice (no source).
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook
from openpyxl.comments import Comment
from openpyxl.worksheet.worksheet import Worksheet

from rfq.intake.read import read_reply
from rfq.model.draft import Draft
from rfq.model.request import Request, RequestLine
from rfq.problems import Severity

PARTS = ("BR-1041", "SH-2007", "PL-3310", "CV-0420")
REQUEST = Request(
    id="2026-07",
    title="Brackets",
    lines=tuple(RequestLine(part=p, quantities=(10, 50, 100)) for p in PARTS),
)


@dataclass(frozen=True)
class Case:
    name: str
    make: Callable[[Path], Path]
    each: dict[tuple[str, int], str]  # (part, quantity) -> price; others must not be read
    currency: str = "EUR"
    unsure: frozenset[tuple[str, int]] = frozenset()
    request: bool = True
    one_off: dict[str, str] = field(default_factory=dict)
    declined: frozenset[str] = frozenset()
    codes: frozenset[str] = frozenset()
    check: Callable[[Draft], Any] | None = None


def book(
    rows: list[list[Any]], dress: Callable[[Workbook, Worksheet], None] | None = None
) -> Callable[[Path], Path]:
    def make(folder: Path) -> Path:
        workbook = Workbook()
        sheet = workbook.active
        assert sheet is not None
        for row in rows:
            sheet.append(row)
        if dress:
            dress(workbook, sheet)
        path = folder / "reply.xlsx"
        workbook.save(path)
        return path

    return make


def text(content: str, name: str = "reply.csv", encoding: str = "utf-8") -> Callable[[Path], Path]:
    def make(folder: Path) -> Path:
        path = folder / name
        path.write_bytes(content.encode(encoding))
        return path

    return make


def table(
    rows: list[list[str]], delimiter: str = ";", encoding: str = "utf-8"
) -> Callable[[Path], Path]:
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter, lineterminator="\r\n").writerows(rows)
    return text(out.getvalue(), encoding=encoding)


HEAD = ["Part No", "Description", "Qty", "Unit Price EUR", "Total EUR"]
TWO = {("BR-1041", 10): "45.90", ("SH-2007", 50): "25.27"}


def two(first: Any = 45.9, second: Any = 25.27) -> list[list[Any]]:
    return [["BR-1041", "Bracket", 10, first, 459], ["SH-2007", "Shaft", 50, second, 1263.5]]


def _hide_row(_: Workbook, sheet: Worksheet) -> None:
    sheet.row_dimensions[2].hidden = True


def _hidden_sheet(workbook: Workbook, sheet: Worksheet) -> None:
    old = workbook.create_sheet("last year")
    old.append(HEAD)
    for row in two(40, 20):
        old.append(row)
    old.sheet_state = "hidden"


def _comment(_: Workbook, sheet: Worksheet) -> None:
    sheet["D2"].comment = Comment("Price without anodising", "shop")


def _merge(_: Workbook, sheet: Worksheet) -> None:
    sheet.merge_cells("C3:E3")
    sheet.merge_cells("A3:A4")
    sheet.merge_cells("B3:B4")


def _format(code: str) -> Callable[[Workbook, Worksheet], None]:
    def dress(_: Workbook, sheet: Worksheet) -> None:
        for row in (2, 3):
            sheet.cell(row, 4).number_format = code

    return dress


def _two_tables(side: bool) -> Callable[[Path], Path]:
    if side:
        return book([
            ["Part No", "Qty", "Unit price EUR", None, "Part No", "Qty", "Unit price EUR"],
            ["BR-1041", 10, 45.9, None, "SH-2007", 50, 25.27],
            ["PL-3310", 10, 86.5, None, "CV-0420", 100, 8.38],
        ])  # fmt: skip
    return book([
        ["Milled parts"], ["Part No", "Qty", "Unit price EUR"], ["BR-1041", 10, 45.9], ["PL-3310", 10, 86.5],
        [], ["Turned parts"], ["Drawing", "Name", "Pieces", "Price each EUR", "Total"],
        ["SH-2007", "Shaft", 50, 25.27, 1263.5], ["CV-0420", "Cover", 100, 8.38, 838],
    ])  # fmt: skip


FOUR = {**TWO, ("PL-3310", 10): "86.5", ("CV-0420", 100): "8.38"}
E = frozenset

CASES = [
    Case("preamble and letterhead", book([["Muster Works"], ["Street 5"], [], ["Quotation 4711", None, "Date", "2026-11-20"], [], HEAD, *two()]), TWO),
    Case("two-row merged headings", book([["Angebot"], [], ["Teil", "Bezeichnung", "Preis je Stück EUR bei Losgröße"], [None, None, "10", "50", "100"], ["BR-1041", "Winkel", 45.9, 40.1, 36], ["SH-2007", "Welle", 30, 25.27, 22]], _merge), {("BR-1041", 10): "45.9", ("BR-1041", 50): "40.1", ("BR-1041", 100): "36", ("SH-2007", 10): "30", ("SH-2007", 50): "25.27", ("SH-2007", 100): "22"}),
    Case("two-row headings in CSV, no merges", table([["Part", "Price per piece (EUR)", "", ""], ["", "10 pcs", "50 pcs", "100 pcs"], ["BR-1041", "45,90", "40,10", "36,00"]]), {("BR-1041", 10): "45.90", ("BR-1041", 50): "40.10", ("BR-1041", 100): "36.00"}),
    Case("quantity columns in one row", book([["Item", "Part number", "10 pcs", "50 pcs", "100 pcs", "Currency"], [1, "BR-1041", 45.9, 40.1, 36, "EUR"], [2, "SH-2007", 30, 25.27, 22, "EUR"]]), {("BR-1041", 10): "45.9", ("BR-1041", 50): "40.1", ("BR-1041", 100): "36", ("SH-2007", 10): "30", ("SH-2007", 50): "25.27", ("SH-2007", 100): "22"}),
    Case("quantity and price pairs in a row", book([["Part", "Qty 1", "Price 1 EUR", "Qty 2", "Price 2 EUR"], ["BR-1041", 10, 45.9, 50, 40.1], ["SH-2007", 10, 30, 50, 25.27]]), {("BR-1041", 10): "45.9", ("BR-1041", 50): "40.1", ("SH-2007", 10): "30", ("SH-2007", 50): "25.27"}),
    Case("breaks in rows below, part once", book([HEAD, ["BR-1041", "Bracket", 10, 45.9, 459], [None, None, 50, 40.1, 2005], [None, None, 100, 36, 3600], ["SH-2007", "Shaft", 50, 25.27, 1263.5]]), {("BR-1041", 10): "45.9", ("BR-1041", 50): "40.1", ("BR-1041", 100): "36", ("SH-2007", 50): "25.27"}),
    Case("one-off column", book([[*HEAD[:4], "Set-up (one-time) EUR"], ["BR-1041", "Bracket", 10, 45.9, 120], ["SH-2007", "Shaft", 50, 25.27, None]]), TWO, one_off={"BR-1041": "120"}),
    Case("one-off rows between items", book([HEAD, two()[0], [None, "Fixture, one time", 1, 350, 350], two()[1]]), TWO, one_off={"BR-1041": "350"}),
    Case("one-off row naming its part", book([HEAD, *two(), [None, "Tooling for SH-2007", 1, 200, 200]]), TWO, one_off={"SH-2007": "200"}),
    Case("prices per 100 on some lines only", table([["Teil", "Menge", "PE", "Preis EUR", "Gesamt EUR"], ["BR-1041", "10", "1", "45,90", "459,00"], ["SH-2007", "50", "100", "2.527,00", "1.263,50"]]), TWO),
    Case("per 100 told only by arithmetic", table([["Teil", "Menge", "Preis EUR", "Gesamt EUR"], ["BR-1041", "10", "45,90", "459,00"], ["SH-2007", "50", "2.527,00", "1.263,50"]]), TWO, codes=E({"R022"})),
    Case("per 100 in the cell", table([["Part", "Qty", "Price"], ["BR-1041", "10", "€45.90"], ["SH-2007", "50", "€2,527.00 / 100"]], ","), TWO),
    Case("price unit C and M", table([["Part", "Qty", "UOM", "Price USD", "Ext"], ["BR-1041", "10", "EA", "45.90", "459.00"], ["SH-2007", "50", "C", "2527.00", "1263.50"], ["CV-0420", "100", "M", "8380.00", "838.00"]], ","), {**TWO, ("CV-0420", 100): "8.38"}, currency="USD"),
    Case("lot prices", book([["P/N", "Qty", "Lot price EUR"], ["BR-1041", 10, 459], ["SH-2007", 50, 1263.5]]), TWO),
    Case("per kg with weights", book([["Part", "Qty", "Weight kg/pc", "Price EUR/kg", "Total EUR"], ["BR-1041", 10, 1.5, 30.6, 459], ["SH-2007", 50, 0.95, 26.6, 1263.5]]), TWO),
    Case("decimal comma, thousands dot", table([HEAD, ["BR-1041", "", "10", "1.045,90", "10.459,00"], ["SH-2007", "", "50", "25,27", "1.263,50"]]), {("BR-1041", 10): "1045.90", ("SH-2007", 50): "25.27"}),
    Case("straight apostrophe", table([HEAD, ["BR-1041", "", "10", "1'045.90", "10'459.00"]]), {("BR-1041", 10): "1045.90"}),
    Case("curly apostrophe", table([HEAD, ["BR-1041", "", "10", "1’045.90", "10’459.00"]]), {("BR-1041", 10): "1045.90"}),
    Case("narrow and no-break spaces", table([HEAD, ["BR-1041", "", "10", "1\u202f045,90", "10\u00a0459,00"]]), {("BR-1041", 10): "1045.90"}),
    Case("lakh grouping", table([["Part", "Qty", "Rate INR", "Amount INR"], ["BR-1041", "10", "1,23,456.50", "12,34,565.00"]]), {("BR-1041", 10): "123456.50"}, currency="INR"),
    Case("full-width digits", table([["零件号", "数量", "单价(元)", "金额"], ["BR-1041", "１０", "４５．９０", "４５９．００"]]), {("BR-1041", 10): "45.90"}, currency="CNY"),
    Case("no cents", table([["Teil", "Menge", "Preis EUR"], ["BR-1041", "10", "45,-"], ["SH-2007", "50", "25,27"]]), {("BR-1041", 10): "45", ("SH-2007", 50): "25.27"}),
    Case("1.234 settled by the column", table([["Part", "Qty", "Unit price EUR"], ["BR-1041", "10", "1.234"], ["SH-2007", "50", "25,27"]]), {("BR-1041", 10): "1234", ("SH-2007", 50): "25.27"}),
    Case("1.234 settled by arithmetic", table([HEAD, ["BR-1041", "", "10", "1.234", "12,34"]]), {("BR-1041", 10): "1.234"}),
    Case("1.234 alone is asked", table([["Part", "Qty", "Unit price EUR"], ["BR-1041", "10", "1.234"]]), {("BR-1041", 10): "1234"}, unsure=E({("BR-1041", 10)}), codes=E({"R011"})),
    Case("currency as a symbol in the cell", table([["Part", "Qty", "Price"], ["BR-1041", "10", "€ 45.90"], ["SH-2007", "50", "€ 25.27"]]), TWO),
    Case("currency suffix", table([["Part", "Qty", "Price"], ["BR-1041", "10", "45,90 zł"], ["SH-2007", "50", "25,27 zł"]]), TWO, currency="PLN"),
    Case("currency code per line", book([["Part", "Qty", "Price", "Currency"], ["BR-1041", 10, 45.9, "EUR"], ["SH-2007", 50, 25.27, "EUR"]]), TWO),
    Case("currency only in a footer", book([["Part", "Qty", "Price"], ["BR-1041", 10, 45.9], ["SH-2007", 50, 25.27], [], ["All prices in CHF, ex works"]]), TWO, currency="CHF"),
    Case("currency in the number format", book([["Part", "Qty", "x", "Price"], ["BR-1041", 10, None, 45.9], ["SH-2007", 50, None, 25.27]], _format('#,##0.00 "€"')), TWO),
    Case("currency in the locale format", book([["Part", "Qty", "x", "Price"], ["BR-1041", 10, None, 45.9], ["SH-2007", 50, None, 25.27]], _format("[$£-809]#,##0.00")), TWO, currency="GBP"),
    Case("no currency at all is asked", book([["Part", "Qty", "Price"], ["BR-1041", 10, 45.9], ["SH-2007", 50, 25.27]]), TWO, currency="", unsure=E(TWO), codes=E({"R015"})),
    Case("yen or yuan is asked", book([["Part", "Qty", "Price ¥"], ["BR-1041", 10, 45.9], ["SH-2007", 50, 25.27]]), TWO, currency="", unsure=E(TWO), codes=E({"R015"})),
    Case("tax included", table([["Teil", "Menge", "Preis inkl. 19% MwSt EUR"], ["BR-1041", "10", "54,62"], ["SH-2007", "50", "30,07"]]), TWO, codes=E({"R016"}), check=lambda d: {p.tax for p in d.prices} == {"included"}),
    Case("tax included, rate unknown", table([["Part", "Qty", "Price EUR incl. VAT"], ["BR-1041", "10", "54.62"]]), {("BR-1041", 10): "54.62"}, unsure=E({("BR-1041", 10)}), codes=E({"R016"})),
    Case("net and gross columns", table([["Part", "Qty", "Net price EUR", "Gross price EUR"], ["BR-1041", "10", "45.90", "54.62"], ["SH-2007", "50", "25.27", "30.07"]]), TWO),
    Case("VAT row below", table([HEAD, ["BR-1041", "", "10", "45.90", "459.00"], ["", "", "", "Net total", "459.00"], ["", "", "", "VAT 19%", "87.21"], ["", "", "", "Total incl. VAT", "546.21"]], ","), {("BR-1041", 10): "45.90"}, check=lambda d: d.prices[0].tax == "excluded"),
    Case("sums that look like items", book([["Part", "Description", "Qty", "Unit price EUR", "Total EUR"], two()[0], ["Subtotal", None, 10, None, 459], two()[1], ["TOTAL", "all parts", 60, None, 1722.5]]), TWO),
    Case("two tables on one sheet", _two_tables(False), FOUR),
    Case("two tables side by side", _two_tables(True), FOUR),
    Case("transposed", book([["Part No", "BR-1041", "SH-2007"], ["Description", "Bracket", "Shaft"], ["Qty", 10, 50], ["Unit price EUR", 45.9, 25.27], ["Total", 459, 1263.5]]), TWO),
    Case("hidden row", book([HEAD, ["BR-1041", "Bracket", 10, 40, 400], *two()], _hide_row), TWO, codes=E({"R025"})),
    Case("hidden sheet with older prices", book([HEAD, *two()], _hidden_sheet), TWO, codes=E({"R026"})),
    Case("formula without result in the price", book([["Part", "Qty", "Unit price EUR"], ["BR-1041", 10, "=40+5.9"], ["SH-2007", 50, 25.27]]), {("SH-2007", 50): "25.27"}, codes=E({"R014"}), check=lambda d: any(p.part == "BR-1041" and p.each is None and not p.sure for p in d.prices)),
    Case("formula without result in the total", book([HEAD, ["BR-1041", "", 10, 45.9, "=C2*D2"], ["SH-2007", "", 50, 25.27, "=C3*D3"]]), TWO),
    Case("price turned into a date", book([HEAD, ["BR-1041", "", 10, __import__("datetime").datetime(2026, 5, 12), 120.5], two()[1]]), {("BR-1041", 10): "12.05", ("SH-2007", 50): "25.27"}, codes=E({"R013"})),
    Case("price turned into a date, no total", book([["Part", "Qty", "Unit price EUR"], ["BR-1041", 10, __import__("datetime").datetime(2026, 5, 12)], ["SH-2007", 50, 25.27]]), {("BR-1041", 10): "12.05", ("SH-2007", 50): "25.27"}, unsure=E({("BR-1041", 10)}), codes=E({"R013"})),
    Case("prices as sentences in cells", book([["Thank you for your request."], ["BR-1041: 10 pcs at EUR 45.90 each"], ["SH-2007: 50 pcs at EUR 25.27 each"]]), TWO),
    Case("no quote, N/A, TBD, dash", book([["Part", "Qty", "Price EUR"], ["BR-1041", 10, 45.9], ["SH-2007", 50, "no quote"], ["PL-3310", 10, "N/A"], ["CV-0420", 100, "-"]]), {("BR-1041", 10): "45.9"}, declined=E({"SH-2007", "PL-3310", "CV-0420"})),
    Case("price to come", book([["Part", "Qty", "Price EUR"], ["BR-1041", 10, 45.9], ["SH-2007", 50, "TBD"]]), {("BR-1041", 10): "45.9"}, declined=E({"SH-2007"}), codes=E({"R037"})),
    Case("respelled part numbers, shuffled", book([["Part", "Qty", "Price EUR"], ["sh 2007", 50, 25.27], ["BR1041 Rev. B", 10, 45.9], ["cv-420/A", 100, 8.38], ["PL_3310-C", 10, 86.5]]), FOUR),
    Case("part number nearly the same is asked", book([["Part", "Qty", "Price EUR"], ["BR-1O41", 10, 45.9], ["SH-2007", 50, 25.27]]), TWO, unsure=E({("BR-1041", 10)}), codes=E({"R019"})),
    Case("only some parts quoted", book([HEAD, two()[0]]), {("BR-1041", 10): "45.9"}, codes=E({"R036"})),
    Case("minimum quantity raises the total", book([["Part", "Qty", "MOQ", "Unit price EUR", "Total EUR"], ["BR-1041", 10, 25, 45.9, 1147.5], ["SH-2007", 50, 25, 25.27, 1263.5]]), TWO, check=lambda d: d.prices[0].minimum_quantity == 25),
    Case("alternative in other material", book([HEAD, two()[0], [None, "Alternative: EN AW-6060", 10, 39, 390], two()[1]]), TWO, check=lambda d: any(p.alternative and p.each == 39 for p in d.prices)),
    Case("line discount", book([["Part", "Qty", "List price EUR", "Disc %", "Unit price EUR", "Total"], ["BR-1041", 10, 51, 10, 45.9, 459], ["SH-2007", 50, 25.27, 0, 25.27, 1263.5]]), TWO),
    Case("line discount not yet taken off", book([["Part", "Qty", "Unit price EUR", "Disc %", "Total"], ["BR-1041", 10, 51, 10, 459], ["SH-2007", 50, 25.27, None, 1263.5]]), TWO),
    Case("discount, freight and terms in a footer", book([HEAD, *two(), [], ["5 % discount on the order. Freight EUR 85.00. Payment 14 days 2 % discount, 30 days net. DAP Berlin, Incoterms 2020. Lead time 4-5 weeks after order. Valid until 31.01.2027"]]), TWO, check=lambda d: (d.terms.order_discount_percent, [c.amount for c in d.charges if c.kind == "freight"], d.terms.incoterm, d.terms.place, d.terms.payment.discount_percent, d.terms.lead.amount, str(d.terms.valid_until)) == (5, [Decimal(85)], "DAP", "Berlin", 2, 5, "2027-01-31")),
    Case("comment that changes the scope", book([HEAD, *two()], _comment), TWO, codes=E({"R031"})),
    Case("breakdown columns before the price", book([["Part", "Qty", "Material", "Machining", "Setup", "Finish", "Unit price EUR"], ["BR-1041", 10, 10.5, 25, 6.4, 4, 45.9], ["SH-2007", 50, 5, 15, 2.27, 3, 25.27]]), TWO, check=lambda d: d.breakdowns[0].elements["material"] == Decimal("10.5") and not any(p.one_off for p in d.prices)),
    Case("newlines and delimiters in quoted cells", table([HEAD, ["BR-1041", "Bracket;\nmilled, \"A\"", "10", "45,90", "459,00"], ["SH-2007", "Shaft", "50", "25,27", "1.263,50"]]), TWO),
    Case("numbers stored as text", book([HEAD, ["BR-1041", "", "10", "45.90", "459.00"], ["SH-2007", "", "50", "25.27", "1263.50"]]), TWO),
    Case("tabs and UTF-16", table([HEAD, ["BR-1041", "Winkel", "10", "45,90", "459,00"]], "\t", "utf-16"), {("BR-1041", 10): "45.90"}),
    Case("no headings", book([["BR-1041", "Bracket", 10, 45.9, 459], ["SH-2007", "Shaft", 50, 25.27, 1263.5], ["All prices EUR"]]), TWO, codes=E({"R045"})),
    Case("line total contradicts", book([HEAD, ["BR-1041", "", 10, 45.9, 495], two()[1]]), TWO, unsure=E({("BR-1041", 10)}), codes=E({"R012"})),
    Case("nought is asked", book([["Part", "Qty", "Price EUR"], ["BR-1041", 10, 0], ["SH-2007", 50, 25.27]]), {("BR-1041", 10): "0", ("SH-2007", 50): "25.27"}, unsure=E({("BR-1041", 10)}), codes=E({"R023"})),
    Case("a blank is no price", book([["Part", "Qty", "Price EUR"], ["BR-1041", 10, None], ["SH-2007", 50, 25.27]]), {("SH-2007", 50): "25.27"}),
    Case("unfilled template", book([HEAD, ["BR-1041", "Bracket", 10, None, None], ["SH-2007", "Shaft", 50, None, None]]), {}, codes=E({"R027"})),
    Case("same line twice with two prices", book([["Part", "Qty", "Price EUR"], ["BR-1041", 10, 45.9], ["BR-1041", 10, 47]]), {("BR-1041", 10): "47"}, unsure=E({("BR-1041", 10)}), codes=E({"R021"})),
    Case("'price' is for all pieces, told by the sum", book([["Part", "Qty", "Price EUR"], ["BR-1041", 10, 459], ["SH-2007", 50, 1263.5], ["Total", None, 1722.5]]), TWO),
    Case("sum contradicts the prices", book([["Part", "Qty", "Unit price EUR"], ["BR-1041", 10, 45.9], ["SH-2007", 50, 25.27], ["Total", None, 1800]]), TWO, unsure=E(TWO), codes=E({"R032"})),
    Case("French", table([["Repère plan", "Désignation", "Qté", "P.U. HT (€)", "Montant HT"], ["BR-1041", "Équerre", "10", "45,90", "459,00"], ["SH-2007", "Arbre", "50", "25,27", "1 263,50"], ["", "", "", "Total HT", "1 722,50"], ["", "", "", "TVA 20 %", "344,50"], ["Délai : 4 semaines. Port en sus. 30 jours fin de mois."]], encoding="cp1252"), TWO, check=lambda d: d.terms.lead.amount == 4),
    Case("Italian", table([["Codice disegno", "Descrizione", "Q.tà", "Prezzo unitario €", "Importo €"], ["BR-1041", "Staffa", "10", "45,90", "459,00"], ["SH-2007", "Albero", "50", "25,27", "1.263,50"], ["Attrezzatura una tantum per SH-2007", "", "1", "200,00", "200,00"]]), TWO, one_off={"SH-2007": "200"}),
    Case("Spanish", table([["Nº plano", "Descripción", "Cantidad", "Precio unitario EUR", "Importe"], ["BR-1041", "Soporte", "10", "45,90", "459,00"], ["SH-2007", "Eje", "50", "25,27", "1.263,50"]]), TWO),
    Case("Polish cp1250", table([["Lp.", "Nr rysunku", "Nazwa", "Ilość", "Cena jedn. netto [PLN]", "Wartość netto"], ["1", "BR-1041", "Wspornik łożyska", "10", "45,90", "459,00"], ["2", "SH-2007", "Wał", "50", "25,27", "1 263,50"]], encoding="cp1250"), TWO, currency="PLN"),
    Case("Chinese GB18030", table([["序号", "图号", "名称", "数量", "含税单价(13%)", "备注"], ["1", "BR-1041", "支架", "10", "51.87", "人民币"], ["2", "SH-2007", "轴", "50", "28.56", "人民币"], ["", "", "", "", "报价含13%增值税", ""]], ",", "gb18030"), TWO, currency="CNY"),
    Case("without a request: as printed", book([["Part No", "Rev", "Qty", "Unit Price USD"], ["XK-77-02", "B", 10, 45.9], ["900.12.33", "C", 50, 25.27]]), {("XK-77-02", 10): "45.9", ("900.12.33", 50): "25.27"}, currency="USD", request=False),
    Case("shop's own number beside ours", book([["Our item", "Your part no", "Qty", "Each EUR"], ["90001234", "BR-1041", 10, 45.9], ["90001235", "SH-2007", 50, 25.27]]), TWO),
    Case("part number only in the description", book([["Art. no", "Description", "Qty", "Each EUR"], ["90001234", "Bracket acc. to BR-1041 rev B", 10, 45.9], ["90001235", "Shaft SH-2007", 50, 25.27]]), TWO),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_what_real_replies_do(case: Case, tmp_path: Path) -> None:
    reading = read_reply(case.make(tmp_path), REQUEST if case.request else None)
    draft = reading.get()
    prices = [p for p in draft.prices if not p.alternative and p.each is not None]
    got = {(p.part, p.quantity): p for p in prices}
    said = "\n".join(f"{p.code} {p}" for p in draft.problems)
    assert set(got) == set(case.each), said
    for key, each in case.each.items():
        price = got[key]
        assert price.each == Decimal(each), said
        assert price.currency == case.currency, said
        assert price.sure is (key not in case.unsure), said
        if not price.sure:
            asked = [p for p in draft.problems if p.place == price.place]
            assert any(p.severity is Severity.ASK and p.subject == price.part for p in asked)
    one_offs = {p.part: p.one_off for p in prices if p.one_off}
    assert one_offs == {part: Decimal(v) for part, v in case.one_off.items()}, said
    assert {d.part for d in draft.declined} == case.declined, said
    assert case.codes <= {p.code for p in draft.problems}, said
    if case.check:
        assert case.check(draft), (draft.terms, draft.charges, said)

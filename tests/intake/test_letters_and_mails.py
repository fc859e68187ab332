# ruff: noqa: E501 - one made file stands on one line
"""Quotation letters as PDF (eleven layouts of our own) and prices in mails."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from email.message import EmailMessage
from pathlib import Path
from typing import Any

import pytest
from reportlab.lib import colors
from reportlab.lib.pagesizes import A4, letter
from reportlab.lib.styles import getSampleStyleSheet
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import PageBreak, Paragraph, SimpleDocTemplate, Spacer, Table, TableStyle

from rfq.intake.mail import own_text
from rfq.intake.read import read_reply
from rfq.model.request import Request, RequestLine
from rfq.problems import Severity

REQUEST = Request(
    id="2026-07",
    title="Brackets",
    lines=tuple(
        RequestLine(part=p, quantities=(10, 50, 100)) for p in ("BR-1041", "SH-2007", "PL-3310")
    ),
)
Flow = list[Any]
STYLE = getSampleStyleSheet()["Normal"]


def para(text: str) -> Paragraph:
    return Paragraph(text, STYLE)


def grid(
    rows: list[list[str]], *, ruled: bool, right: bool = True, spans: list[Any] | None = None
) -> Table:
    style: list[Any] = [("ALIGN", (2, 1), (-1, -1), "RIGHT")] if right else []
    if ruled:
        style.append(("GRID", (0, 0), (-1, -1), 0.5, colors.black))
    return Table(rows, style=TableStyle(style + (spans or [])), hAlign="LEFT")


def pdf(path: Path, flow: Flow, size: tuple[float, float] = A4) -> Path:
    SimpleDocTemplate(str(path), pagesize=size).build(flow)
    return path


HEAD_DE = ["Pos.", "Zeichnungs-Nr.", "Bezeichnung", "Menge", "Einzelpreis EUR", "Gesamt EUR"]
ROWS_DE = [
    ["1", "BR-1041 Index B", "Lagerbock, gefräst", "10", "45,90", "459,00"],
    ["2", "SH-2007 Index A", "Welle", "50", "25,27", "1.263,50"],
]


def one_ruled() -> Flow:
    return [para("Muster Zerspanung"), para("Angebot 4711 vom 20.11.2026"), Spacer(1, 20), grid([HEAD_DE, *ROWS_DE], ruled=True), para("Lieferzeit 4 Wochen ab Auftragsbestätigung, EXW Musterstadt. 14 Tage 2 % Skonto, 30 Tage netto.")]  # fmt: skip


def one_unruled() -> Flow:
    return [para("Quotation"), grid([["Item", "Part number", "Qty", "Unit price USD", "Extended"], ["1", "BR-1041 Rev B", "10", "45.90", "459.00"], ["2", "SH-2007 Rev A", "50", "25.27", "1,263.50"], ["", "", "", "Total", "1,722.50"]], ruled=False), para("Prices valid 30 days.")]  # fmt: skip


def two_tables() -> Flow:
    return [para("Milled parts"), grid([["Part", "Description", "Qty", "Price each EUR"], ["BR-1041", "Bracket", "10", "45.90"]], ruled=True), Spacer(1, 30), para("Turned parts"), grid([["Drawing", "Name", "Pieces", "Unit price EUR", "Total EUR"], ["SH-2007", "Shaft", "50", "25.27", "1263.50"]], ruled=True)]  # fmt: skip


def breaks_as_columns() -> Flow:
    return [para("Offer, prices per piece in EUR"), grid([["Part", "Description", "10 pcs", "50 pcs", "100 pcs"], ["BR-1041", "Bracket", "45.90", "40.10", "36.00"], ["SH-2007", "Shaft", "30.00", "25.27", "22.00"]], ruled=True)]  # fmt: skip


def two_row_head() -> Flow:
    return [para("Angebot"), grid([["Teil", "Bezeichnung", "Preis je Stück EUR bei Losgröße", "", ""], ["", "", "10", "50", "100"], ["BR-1041", "Lagerbock", "45,90", "40,10", "36,00"], ["SH-2007", "Welle", "30,00", "25,27", "22,00"]], ruled=True, spans=[("SPAN", (2, 0), (4, 0))])]  # fmt: skip


def sentences() -> Flow:
    return [para("Dear Ms Example,"), para("thank you for your request. We are pleased to offer:"), para("BR-1041 Rev B: 10 pcs at EUR 45.90 each, 50 pcs at EUR 40.10 each."), para("SH-2007 Rev A: 50 pcs at EUR 25.27 each plus EUR 200.00 one-off for tooling."), para("Delivery 4 weeks after order. Payment 30 days net.")]  # fmt: skip


def two_languages() -> Flow:
    return [para("Angebot / Quotation"), grid([["Pos. / Item", "Zeichnung / Drawing", "Menge / Qty", "Einzelpreis / Unit price EUR", "Gesamt / Total EUR"], ["1", "BR-1041", "10", "45,90", "459,00"], ["2", "SH-2007", "50", "25,27", "1.263,50"]], ruled=True), para("Preise netto ab Werk / Prices net ex works")]  # fmt: skip


def two_pages() -> Flow:
    return [grid([HEAD_DE, ROWS_DE[0]], ruled=False), PageBreak(), grid([HEAD_DE, ROWS_DE[1]], ruled=False), para("Zwischensumme 1.722,50 EUR zzgl. 19 % MwSt.")]  # fmt: skip


def one_offs_and_freight() -> Flow:
    return [grid([["Item", "Part number", "Qty", "Unit price EUR", "Total EUR"], ["1", "BR-1041", "10", "45.90", "459.00"], ["", "Fixture, one time", "1", "350.00", "350.00"], ["2", "SH-2007", "50", "25.27", "1263.50"], ["", "Freight", "", "", "85.00"], ["", "Total", "", "", "2157.50"]], ruled=True)]  # fmt: skip


def wrapped_description() -> Flow:
    rows = [["Part", para("Description"), "Qty", "Unit price EUR", "Total EUR"], ["BR-1041", para("Bearing bracket, milled from plate, deburred all round, clear anodised 10 micrometres"), "10", "45.90", "459.00"], ["SH-2007", para("Shaft"), "50", "25.27", "1263.50"]]  # fmt: skip
    return [Table(rows, colWidths=[70, 150, 50, 90, 80], style=TableStyle([("GRID", (0, 0), (-1, -1), 0.5, colors.black), ("VALIGN", (0, 0), (-1, -1), "TOP")]))]  # fmt: skip


def price_per_hundred() -> Flow:
    return [grid([["Teil", "Bezeichnung", "Menge", "Preis € / 100 Stück", "Gesamtpreis €"], ["BR-1041-B", "Lagerbock", "10", "4.590,00", "459,00"], ["SH-2007-A", "Welle", "50", "2.527,00", "1.263,50"]], ruled=False)]  # fmt: skip


TWO = {("BR-1041", 10): "45.90", ("SH-2007", 50): "25.27"}
SIX = {("BR-1041", 10): "45.90", ("BR-1041", 50): "40.10", ("BR-1041", 100): "36.00", ("SH-2007", 10): "30.00", ("SH-2007", 50): "25.27", ("SH-2007", 100): "22.00"}  # fmt: skip
LAYOUTS: list[tuple[Callable[[], Flow], dict[tuple[str, int], str], str]] = [
    (one_ruled, TWO, "EUR"),
    (one_unruled, TWO, "USD"),
    (two_tables, TWO, "EUR"),
    (breaks_as_columns, SIX, "EUR"),
    (two_row_head, SIX, "EUR"),
    (sentences, {**TWO, ("BR-1041", 50): "40.10"}, "EUR"),
    (two_languages, TWO, "EUR"),
    (two_pages, TWO, "EUR"),
    (one_offs_and_freight, TWO, "EUR"),
    (wrapped_description, TWO, "EUR"),
    (price_per_hundred, TWO, "EUR"),
]


@pytest.mark.parametrize("size", [A4, letter], ids=["A4", "Letter"])
@pytest.mark.parametrize(
    ("flow", "wanted", "currency"), LAYOUTS, ids=lambda v: getattr(v, "__name__", "")
)
def test_letter_layouts(
    tmp_path: Path,
    flow: Callable[[], Flow],
    wanted: dict[tuple[str, int], str],
    currency: str,
    size: tuple[float, float],
) -> None:
    draft = read_reply(pdf(tmp_path / "letter.pdf", flow(), size), REQUEST).get()
    said = "\n".join(f"{p.code} {p}" for p in draft.problems)
    got = {(p.part, p.quantity): p.each for p in draft.prices}
    assert got == {key: Decimal(value) for key, value in wanted.items()}, said
    assert all(p.sure and p.currency == currency for p in draft.prices), said
    assert all(p.place.page and p.place.box for p in draft.prices)
    if flow is one_offs_and_freight:
        assert {p.part: p.one_off for p in draft.prices if p.one_off} == {"BR-1041": 350}
        assert [c.amount for c in draft.charges if c.kind == "freight"] == [85]
    if flow is one_ruled:
        assert draft.terms.incoterm == "EXW"
        assert draft.terms.payment is not None and draft.terms.payment.discount_percent == 2


def test_scanned_page_is_refused_with_the_way_on(tmp_path: Path) -> None:
    from PIL import Image

    picture = tmp_path / "scan.png"
    Image.new("RGB", (300, 400), "white").save(picture)
    canvas = Canvas(str(tmp_path / "scan.pdf"))
    canvas.drawImage(str(picture), 0, 0, 595, 842)
    canvas.save()
    reading = read_reply(tmp_path / "scan.pdf", REQUEST)
    assert reading.value is None
    assert (
        reading.problems[0].code == "R052" and "type the prices in" in reading.problems[0].message
    )


def test_scrambled_text_layer_is_refused(tmp_path: Path) -> None:
    shift = str.maketrans(
        "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789",
        "qxzjkvbpygfwmucldrhsnioteaQXZJKVBPYGFWMUCLDRHSNIOTEA7301985264",
    )
    canvas = Canvas(str(tmp_path / "odd.pdf"))
    for n, line in enumerate(
        (
            "Quotation for machined parts",
            "Part number Description Qty Unit price",
            "BR-1041 Bracket 10 45.90",
            "SH-2007 Shaft 50 25.27",
        )
    ):
        canvas.drawString(72, 700 - 20 * n, line.translate(shift))
    canvas.save()
    reading = read_reply(tmp_path / "odd.pdf", REQUEST)
    assert reading.value is None and reading.problems[0].code == "R053"


def test_encrypted_and_broken_pdf(tmp_path: Path) -> None:
    from reportlab.lib.pdfencrypt import StandardEncryption

    canvas = Canvas(str(tmp_path / "locked.pdf"), encrypt=StandardEncryption("secret"))
    canvas.drawString(72, 700, "BR-1041 10 pcs EUR 45.90 each")
    canvas.save()
    assert read_reply(tmp_path / "locked.pdf").problems[0].code == "R004"
    (tmp_path / "broken.pdf").write_bytes(b"%PDF-1.7\n1 0 obj\n<<" + b"\0" * 400)
    assert read_reply(tmp_path / "broken.pdf").problems[0].code == "R003"


def mail(path: Path, body: str, **files: bytes) -> Path:
    message = EmailMessage()
    message["From"] = "Ana Example <ana@shop.example.com>"
    message["To"] = "lead@example.com"
    message["Date"] = "Fri, 20 Nov 2026 10:00:00 +0100"
    message["Subject"] = "Quotation"
    message.set_content(body)
    for name, data in files.items():
        message.add_attachment(
            data,
            maintype="application",
            subtype="octet-stream",
            filename=name.replace("__", "/").replace("_", "."),
        )
    path.write_bytes(message.as_bytes())
    return path


OLDER = "\nOn Mon, 2 Nov 2026 the design lead wrote:\n> BR-1041 10 pcs last time EUR 39.00 each\n"


def test_prices_in_a_mails_body_and_quoted_mail_is_no_price(tmp_path: Path) -> None:
    body = (
        "Hello,\n\nBR-1041: 10 pcs EUR 45.90 each\nSH-2007: 50 pcs EUR 25.27 each\n\nLead time 4 weeks. Ex works.\n"
        + OLDER
    )
    draft = read_reply(mail(tmp_path / "m.eml", body), REQUEST).get()
    assert {(p.part, p.quantity): p.each for p in draft.prices} == {
        k: Decimal(v) for k, v in TWO.items()
    }
    assert all(p.sure and p.place.path == "body" and p.place.line for p in draft.prices)
    assert draft.sender == "ana@shop.example.com" and draft.received is not None
    assert "R056" in {p.code for p in draft.problems}


def test_a_table_in_a_mails_body(tmp_path: Path) -> None:
    body = "Hello,\n\nPart        Qty    Unit price EUR\nBR-1041     10             45.90\nSH-2007     50             25.27\n\nRegards\n"
    draft = read_reply(mail(tmp_path / "m.eml", body), REQUEST).get()
    assert {(p.part, p.quantity): p.each for p in draft.prices} == {
        k: Decimal(v) for k, v in TWO.items()
    }, draft.problems
    assert all(p.sure for p in draft.prices)


def test_breaks_below_a_part_in_a_mail(tmp_path: Path) -> None:
    body = "BR-1041 Bracket:\n10 pcs 45,90 EUR/Stk\n50 pcs 40,10 EUR/Stk\n"
    draft = read_reply(mail(tmp_path / "m.eml", body), REQUEST).get()
    assert {(p.part, p.quantity): p.each for p in draft.prices} == {
        ("BR-1041", 10): Decimal("45.90"),
        ("BR-1041", 50): Decimal("40.10"),
    }


def test_attachment_is_read_and_a_correction_in_the_body_needs_a_yes(tmp_path: Path) -> None:
    sheet = b"Part;Qty;Unit price EUR;Total EUR\r\nBR-1041;10;45,90;459,00\r\n"
    draft = read_reply(
        mail(
            tmp_path / "m.eml",
            "Please find our offer.\nCorrection: BR-1041 is EUR 47.50 each.\n",
            **{"..__..__offer_csv": sheet},
        ),
        REQUEST,
    ).get()
    assert [(p.part, p.each) for p in draft.prices] == [("BR-1041", Decimal("45.90"))]
    asked = [p for p in draft.problems if p.code == "R055"]
    assert asked and asked[0].severity is Severity.ASK and not draft.complete


def test_two_priced_attachments_are_asked_about(tmp_path: Path) -> None:
    sheet = b"Part;Qty;Unit price EUR\r\nBR-1041;10;45,90\r\n"
    draft = read_reply(
        mail(tmp_path / "m.eml", "Two offers.", a_csv=sheet, b_csv=sheet.replace(b"45", b"46")),
        REQUEST,
    ).get()
    assert "R054" in {p.code for p in draft.problems}


def test_own_text_cuts_what_others_wrote() -> None:
    own, older = own_text("Neu: 10 Stk 45,90\n\nAm 2.11.2026 um 10:00 schrieb Lead:\n> alt 39,00\n")
    assert "45,90" in own and "39,00" not in own and "39,00" in older

"""Quotation letters drawn here in many layouts; the right answers stand beside them.

The letters are invented (parts SB-110 ... of a buoy); what shops' letters look like is common
practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from reportlab.lib import colors
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import getSampleStyleSheet
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Paragraph, SimpleDocTemplate, Spacer, Table

from rfq.intake.read import read_reply
from rfq.model.codes import Scope
from rfq.model.draft import Draft
from rfq.model.request import Request, RequestLine
from rfq.problems import Severity

REQUEST = Request(
    id="r-1",
    title="buoy",
    lines=tuple(
        RequestLine(part=part, quantities=(5, 25, 100)) for part in ("SB-110", "SB-115", "SB-130")
    ),
)
Want = dict[tuple[str, int], str]
STYLE = getSampleStyleSheet()["Normal"]
GRID: list[Any] = [("GRID", (0, 0), (-1, -1), 0.5, colors.black)]
SPAN: list[Any] = [*GRID, ("VALIGN", (0, 0), (-1, -1), "MIDDLE")]


def flow(path: Path, *items: Any) -> Path:
    story = [Paragraph(item, STYLE) if isinstance(item, str) else item for item in items]
    SimpleDocTemplate(str(path), pagesize=A4).build(story)
    return path


def draft_of(path: Path, request: Request | None = REQUEST) -> Draft:
    reading = read_reply(path, request)
    assert reading.value is not None, reading.problems
    draft = reading.value
    assert isinstance(draft, Draft)
    return draft


def asked(draft: Draft) -> list[str]:
    return [f"{p.code} {p}" for p in draft.problems if p.severity is not Severity.NOTE]


def check(draft: Draft, want: Want, currency: str = "EUR") -> None:
    got = {(p.part, p.quantity): p.each for p in draft.prices}
    assert got == {key: Decimal(value) for key, value in want.items()}, asked(draft)
    for price in draft.prices:
        assert price.sure, asked(draft)
        assert price.currency == currency
        assert price.place.page >= 1
        assert price.place.box is not None


def side_by_side_languages(path: Path) -> Path:
    canvas = Canvas(str(path), pagesize=A4)
    canvas.setFont("Helvetica", 9)
    y = 790.0
    for left, right in (
        ("Sehr geehrte Damen und Herren,", "Dear Sir or Madam,"),
        ("wir danken für Ihre Anfrage und bieten", "thank you for your request; we offer"),
        ("wie folgt an. Alle Preise in EUR netto", "as follows. All prices in EUR net,"),
        ("zuzüglich gesetzlicher Mehrwertsteuer.", "plus statutory value added tax."),
    ):
        canvas.drawString(50, y, left)
        canvas.drawString(310, y, right)
        y -= 12
    columns = (50, 90, 180, 300, 380, 470)
    rows = (
        ("Pos.", "Zeichnung", "Bezeichnung", "Menge", "Einzelpreis EUR", "Gesamt EUR"),
        ("Item", "Drawing", "Description", "Qty", "Unit price EUR", "Total EUR"),
        ("1", "SB-110", "Deckel / cap", "25", "154,53", "3.863,25"),
        ("2", "SB-115", "Schott / bulkhead", "25", "101,81", "2.545,25"),
    )
    y -= 20
    for number, row in enumerate(rows):
        for column, (x, text) in enumerate(zip(columns, row, strict=True)):
            if number > 1 and column > 2:
                canvas.drawRightString(x + 60, y, text)
            else:
                canvas.drawString(x, y, text)
        y -= 11 if number == 0 else 16
    for label, value in (
        ("Summe netto / Net total", "6.408,50"),
        ("MwSt. / VAT 19 %", "1.217,62"),
        ("Endbetrag / Grand total", "7.626,12"),
    ):
        canvas.drawString(310, y, label)
        canvas.drawRightString(530, y, value)
        y -= 13
    y -= 20
    for left, right in (
        ("Lieferung: DAP Musterhafen", "Delivery: DAP Musterhafen"),
        ("Zahlung: 30 Tage netto", "Payment: 30 days net"),
        ("Gültig bis: 31.12.2026", "Valid until: 31 December 2026"),
    ):
        canvas.drawString(50, y, left)
        canvas.drawString(310, y, right)
        y -= 12
    canvas.save()
    return path


def breaks_inside_cells(path: Path) -> Path:
    rows = [
        ["Part", "Quantity breaks", "Price EUR/pc"],
        ["SB-110", "5\n25\n100", "287.03\n154.53\n129.55"],
        ["SB-115", "5\n25", "239.61\n101.81"],
    ]
    return flow(path, "Offer", Table(rows, style=GRID), "Prices net. Ex works.")


def part_beside_the_middle(path: Path) -> Path:
    rows = [
        ["Part", "Name", "Qty", "Unit price EUR"],
        ["SB-110", "cap", "5", "287.03"],
        ["", "", "25", "154.53"],
        ["", "", "100", "129.55"],
        ["SB-115", "bulkhead", "5", "239.61"],
        ["", "", "25", "101.81"],
        ["", "", "100", "82.33"],
    ]
    spans = [("SPAN", (c, r), (c, r + 2)) for c in (0, 1) for r in (1, 4)]
    return flow(path, "Offer", Table(rows, style=[*SPAN, *spans]), "Prices net, excl. VAT.")


def per_hundred_with_set_up(path: Path) -> Path:
    rows = [
        ["Position", "Article", "Quantity", "Price per 100 pcs", "Amount"],
        ["10", "SB-110 / B", "25", "€ 15.453,00", "€ 3.863,25"],
        ["20", "SB-115 / A", "25", "€ 10.181,00", "€ 2.545,25"],
        ["", "Setup SB-110", "1", "€ 120,00", "€ 120,00"],
    ]
    return flow(path, "Quotation", Table(rows, style=GRID), "zzgl. 19% MwSt.")


def turned(path: Path) -> Path:
    rows = [
        ["", "SB-110", "SB-115", "SB-130"],
        ["Material", "AlMg1", "AlMg1", "1.4404"],
        ["5 pcs", "287.03 EUR", "239.61 EUR", "166.27 EUR"],
        ["25 pcs", "154.53 EUR", "101.81 EUR", "52.05 EUR"],
    ]
    return flow(path, "Quotation", Table(rows, style=GRID), "Prices each, excl. VAT.")


def a_table_for_each_part(path: Path) -> Path:
    head = ["Quantity", "Unit price"]
    return flow(
        path,
        "Prices for SB-110",
        Table([head, ["5", "287.03 €"], ["25", "154.53 €"]], style=GRID),
        Spacer(1, 20),
        "Prices for SB-115",
        Table([head, ["5", "239.61 €"], ["25", "101.81 €"]], style=GRID),
        "Lead time 3 weeks ARO",
    )


def part_lines_between_rows(path: Path) -> Path:
    head = ["Qty", "Unit price EUR", "Lead time"]
    rows = [
        ["Article: SB-110 Rev B", "", ""], head, ["5", "287,03", "3 weeks"],
        ["25", "154,53", "4 weeks"], ["Article: SB-115 Rev A", "", ""], head,
        ["5", "239,61", "3 weeks"], ["25", "101,81", "4 weeks"],
    ]  # fmt: skip
    return flow(path, Table(rows, style=GRID))


def sentences_in_german(path: Path) -> Path:
    return flow(
        path,
        "Sehr geehrte Damen und Herren,",
        "vielen Dank für Ihre Anfrage. Wir bieten Ihnen freibleibend an:",
        "Position 1: Zeichnung SB-110 Index B, Gehäusedeckel, bei Abnahme von 25 Stück zum Preis "
        "von 154,53 EUR je Stück, bei 100 Stück 129,55 EUR je Stück.",
        "Position 2: Zeichnung SB-115 Index A, Schott, bei Abnahme von 5 Stück zum Preis von "
        "239,61 EUR je Stück.",
        "Die Preise verstehen sich netto zuzüglich der gesetzlichen Mehrwertsteuer, ab Werk.",
    )


def lines_under_a_part(path: Path) -> Path:
    return flow(
        path,
        "SB-110, housing end cap, revision B",
        "5 pieces: EUR 287.03 per piece",
        "25 pieces: EUR 154.53 per piece",
        Spacer(1, 12),
        "SB-115, sensor bulkhead, revision A",
        "5 pieces: EUR 239.61 per piece",
        "25 pieces: EUR 101.81 per piece",
        "Tooling for SB-115: EUR 350.00 once",
    )


def labels_with_values(path: Path) -> Path:
    blocks = []
    for part, revision, price in (("SB-110", "B", "154.53"), ("SB-115", "A", "101.81")):
        blocks += [
            f"Part number: {part}", f"Revision: {revision}", "Quantity: 25 pcs",
            f"Unit price: {price} EUR", "Lead time: 4 weeks", Spacer(1, 10),
        ]  # fmt: skip
    return flow(path, "Our quotation, net, excl. VAT", Spacer(1, 10), *blocks)


def one_line_each(path: Path) -> Path:
    return flow(
        path,
        "We are pleased to quote, prices net, excl. VAT:",
        "SB-110 rev B, 5 pcs: 287.03 EUR each",
        "SB-110 rev B, 25 pcs: 154.53 EUR each",
        "SB-115 rev A, 25 pcs: 101.81 EUR each",
    )


TWO: Want = {("SB-110", 25): "154.53", ("SB-115", 25): "101.81"}
FOUR: Want = {**TWO, ("SB-110", 5): "287.03", ("SB-115", 5): "239.61"}
LAYOUTS: list[tuple[Callable[[Path], Path], Want]] = [
    (side_by_side_languages, TWO),
    (breaks_inside_cells, {**FOUR, ("SB-110", 100): "129.55"}),
    (part_beside_the_middle, {**FOUR, ("SB-110", 100): "129.55", ("SB-115", 100): "82.33"}),
    (per_hundred_with_set_up, TWO),
    (turned, {**FOUR, ("SB-130", 5): "166.27", ("SB-130", 25): "52.05"}),
    (a_table_for_each_part, FOUR),
    (part_lines_between_rows, FOUR),
    (sentences_in_german, {**TWO, ("SB-110", 100): "129.55", ("SB-115", 5): "239.61"}),
    (lines_under_a_part, FOUR),
    (labels_with_values, TWO),
    (one_line_each, {**TWO, ("SB-110", 5): "287.03"}),
]


@pytest.mark.parametrize(("draw", "want"), LAYOUTS, ids=lambda v: getattr(v, "__name__", ""))
def test_a_layout_reads_exactly(tmp_path: Path, draw: Callable[[Path], Path], want: Want) -> None:
    if draw is sentences_in_german:
        want = {key: value for key, value in want.items() if key != ("SB-115", 25)}
    check(draft_of(draw(tmp_path / "letter.pdf")), want)


def test_terms_around_the_table(tmp_path: Path) -> None:
    draft = draft_of(side_by_side_languages(tmp_path / "letter.pdf"))
    assert (draft.terms.incoterm, draft.terms.place) == ("DAP", "Musterhafen")
    assert draft.terms.valid_until == date(2026, 12, 31)
    assert draft.terms.payment is not None
    assert draft.terms.payment.instalments[0].days == 30
    assert (draft.terms.tax, draft.terms.tax_percent) == ("excluded", Decimal(19))


def test_set_up_and_tooling_keep_their_part(tmp_path: Path) -> None:
    draft = draft_of(per_hundred_with_set_up(tmp_path / "a.pdf"))
    assert {p.part: p.one_off for p in draft.prices} == {"SB-110": Decimal(120), "SB-115": None}
    draft = draft_of(lines_under_a_part(tmp_path / "b.pdf"))
    once = [(c.part, c.amount) for c in draft.charges] + [
        (p.part, p.one_off) for p in draft.prices if p.one_off
    ]
    assert ("SB-115", Decimal(350)) in once


def test_the_demo_letter_reads_as_it_is_printed(demo_source: Path) -> None:
    """Against the text that PDFium gives line by line, told apart by another road."""
    import pypdfium2

    path = demo_source / "incoming" / "zaffrel-letter.pdf"
    text = pypdfium2.PdfDocument(path)[0].get_textpage().get_text_bounded()
    rows = re.findall(r"(?m)^(SB-\d+) ([A-Z]) .*? (\d+) (\d+\.\d\d)\s*$", text)
    assert len(rows) >= 15
    draft = draft_of(path, None)
    check(draft, {(part, int(count)): price for part, _, count, price in rows})
    assert {(p.part, p.revision) for p in draft.prices} == {(row[0], row[1]) for row in rows}
    assert draft.terms.incoterm == "DAP"
    assert draft.terms.place == "Musterhafen"
    assert draft.terms.valid_until == date(2026, 10, 31)
    assert draft.terms.lead is not None
    assert (draft.terms.lead.amount, draft.terms.lead.unit) == (6, "weeks")
    assert draft.terms.lead.event == "order"
    assert draft.terms.payment is not None
    assert draft.terms.payment.instalments[0].days == 45
    ticked = {scope for scope, said in draft.scope.items() if said == "in"}
    assert ticked == {
        Scope.FINISH, Scope.MASKS, Scope.CERTIFICATES, Scope.FIRST_ARTICLE, Scope.PACKING,
    }  # fmt: skip


def test_a_price_is_found_in_its_box(tmp_path: Path) -> None:
    """The box of a price, in points from the top left, holds exactly its figures on the page."""
    import pypdfium2

    path = part_beside_the_middle(tmp_path / "letter.pdf")
    page = pypdfium2.PdfDocument(path)[0]
    for price in draft_of(path).prices:
        assert price.place.box is not None
        x0, y0, x1, y1 = price.place.box
        high = page.get_height()
        text = page.get_textpage().get_text_bounded(x0 - 1, high - y1 - 1, x1 + 1, high - y0 + 1)
        assert Decimal(text.strip()) == price.printed


def test_a_declined_part_in_a_sentence(tmp_path: Path) -> None:
    path = flow(
        tmp_path / "letter.pdf",
        "SB-110 rev B, 25 pcs: 154.53 EUR each, net.",
        "Unfortunately we are not able to offer SB-130.",
    )
    draft = draft_of(path)
    assert [d.part for d in draft.declined] == ["SB-130"]


def test_what_a_price_contains(tmp_path: Path) -> None:
    path = flow(
        tmp_path / "letter.pdf",
        "SB-110 rev B, 25 pcs: 154.53 EUR each, net.",
        "Included: anodising, certificates 3.1. Not included: freight. Packing is extra.",
    )
    assert draft_of(path).scope == {
        Scope.FINISH: "in", Scope.CERTIFICATES: "in", Scope.FREIGHT: "out", Scope.PACKING: "out",
    }  # fmt: skip


def bold_by_hand_and_hidden_prices(path: Path) -> Path:
    canvas = Canvas(str(path), pagesize=A4)
    canvas.setFont("Helvetica", 10)
    canvas.drawString(50, 800, "Quotation 77")
    canvas.setFillColor(colors.navy)
    canvas.rect(45, 756, 500, 16, fill=1, stroke=0)
    canvas.setFillColor(colors.white)
    for x, text in ((50, "Part"), (150, "Description"), (300, "Qty"), (420, "Unit price EUR")):
        canvas.drawString(x, 760, text)
    y = 742
    for part, count, price, hidden in (
        ("SB-110", "5", "287.03", "99.99"),
        ("SB-110", "25", "154.53", "1.00"),
        ("SB-115", "25", "101.81", "2.00"),
    ):
        canvas.setFillColor(colors.black)
        for beside in (0, 0.3):
            canvas.drawString(50 + beside, y, part)
            canvas.drawRightString(320 + beside, y, count)
            canvas.drawRightString(490 + beside, y, price)
        canvas.setFillColor(colors.white)
        canvas.drawRightString(540, y, hidden)
        y -= 14
    canvas.drawString(50, y, "SB-130")
    canvas.drawRightString(320, y, "25")
    canvas.drawRightString(490, y, "11.11")
    canvas.save()
    return path


def test_hidden_prices_are_left_out_and_said(tmp_path: Path) -> None:
    draft = draft_of(bold_by_hand_and_hidden_prices(tmp_path / "letter.pdf"))
    check(draft, {**TWO, ("SB-110", 5): "287.03"})
    assert any(p.code == "R078" and "11.11" in p.message for p in draft.problems)


def table_over_pages(path: Path, *, repeat: bool) -> Path:
    canvas = Canvas(str(path), pagesize=A4)
    number = 0
    for page, parts in enumerate((("SB-110",), ("SB-115", "SB-130")), 1):
        canvas.setFont("Helvetica", 9)
        canvas.drawString(50, 810, "Werkstatt Beispiel, Angebot 4711")
        y = 770
        if page == 1 or repeat:
            titles = ("Teil", "Bezeichnung", "Menge", "Preis je Stück EUR")
            for x, text in zip((50, 150, 300, 400), titles, strict=True):
                canvas.drawString(x, y, text)
            y -= 16
        for part in parts:
            for count in (5, 25, 100):
                number += 1
                canvas.drawString(50, y, part if count == 5 else "")
                canvas.drawString(150, y, "Deckel, eloxiert")
                canvas.drawRightString(330, y, str(count))
                canvas.drawRightString(470, y, f"1.{number:03d},50")
                y -= 14
        canvas.drawString(50, 30, f"Werkstatt Beispiel GmbH, Musterweg 4, Seite {page} von 2")
        canvas.showPage()
    canvas.save()
    return path


@pytest.mark.parametrize("repeat", [True, False])
def test_a_table_that_runs_over_the_page(tmp_path: Path, *, repeat: bool) -> None:
    draft = draft_of(table_over_pages(tmp_path / "letter.pdf", repeat=repeat))
    want = {
        (part, count): f"{1000 + 3 * n + k + 1}.50"
        for n, part in enumerate(("SB-110", "SB-115", "SB-130"))
        for k, count in enumerate((5, 25, 100))
    }
    check(draft, want)
    assert {p.place.page for p in draft.prices} == {1, 2}


@pytest.mark.parametrize("turn", [90, 270])
def test_a_page_lying_on_its_side(tmp_path: Path, turn: int) -> None:
    """The page is stored upright with its text on the side, and shown turned: it reads as shown."""
    from pypdf import PdfWriter

    canvas = Canvas(str(tmp_path / "side.pdf"), pagesize=A4)
    if turn == 90:
        canvas.translate(A4[0], 0)
        canvas.rotate(90)
    else:
        canvas.translate(0, A4[1])
        canvas.rotate(-90)
    for y, row in ((500, ("Part", "Qty", "Unit price EUR")), (480, ("SB-110", "25", "154.53"))):
        for x, text in zip((50, 250, 450), row, strict=True):
            canvas.drawString(x, y, text)
    canvas.save()
    writer = PdfWriter(clone_from=tmp_path / "side.pdf")
    writer.pages[0].rotate(turn)
    writer.write(tmp_path / "letter.pdf")
    draft = draft_of(tmp_path / "letter.pdf")
    check(draft, {("SB-110", 25): "154.53"})
    box = draft.prices[0].place.box
    assert box is not None
    assert 448 < box[0] < 452
    assert 95 < box[1] < 116  # 595 - 480 = 115 from the top of the page as shown


def test_text_recognised_in_a_scan_is_never_sure(tmp_path: Path) -> None:
    from PIL import Image

    picture = tmp_path / "scan.png"
    Image.new("RGB", (300, 400), "white").save(picture)
    canvas = Canvas(str(tmp_path / "scan.pdf"), pagesize=A4)
    canvas.drawImage(str(picture), 0, 0, 595, 842)
    text = canvas.beginText(50, 760)
    text.setTextRenderMode(3)
    text.textLine("We offer SB-110 Rev B, 25 pcs: 154.53 EUR each, net, delivery in 4 weeks.")
    canvas.drawText(text)
    canvas.save()
    draft = draft_of(tmp_path / "scan.pdf")
    assert draft.prices
    assert not any(p.sure for p in draft.prices)
    assert any(p.code == "R077" for p in draft.problems)


def test_a_scanned_page_beside_a_letter_is_named(tmp_path: Path) -> None:
    from PIL import Image

    picture = tmp_path / "scan.png"
    Image.new("RGB", (300, 400), "white").save(picture)
    canvas = Canvas(str(tmp_path / "both.pdf"), pagesize=A4)
    canvas.drawString(50, 760, "We offer, net, excl. VAT:")
    canvas.drawString(50, 746, "SB-110 Rev B, 25 pcs: 154.53 EUR each")
    canvas.showPage()
    canvas.drawImage(str(picture), 0, 0, 595, 842)
    canvas.save()
    draft = draft_of(tmp_path / "both.pdf")
    assert any(p.code == "R074" and p.place.page == 2 for p in draft.problems)


def test_a_figure_without_a_part_is_asked_about(tmp_path: Path) -> None:
    rows = [["Qty", "Unit price EUR"], ["5", "287.03"], ["25", "154.53"]]
    draft = draft_of(flow(tmp_path / "letter.pdf", "Our offer", Table(rows, style=GRID)))
    assert not draft.prices
    assert any(p.code == "R076" for p in draft.problems)


def glyphs_without_meaning(path: Path) -> Path:
    """A letter in a font whose codes are mapped to private signs, as some printers' drivers do."""
    from pypdf import PdfReader, PdfWriter
    from pypdf.generic import DecodedStreamObject, NameObject

    source = path.with_name("plain.pdf")
    part_beside_the_middle(source)
    writer = PdfWriter(clone_from=PdfReader(source))
    lines = "".join(f"<{code:02x}> <{0xE000 + code:04x}>\n" for code in range(32, 122))
    stream = DecodedStreamObject()
    stream.set_data(
        (
            "/CIDInit /ProcSet findresource begin 12 dict begin begincmap /CMapType 2 def\n"
            "1 begincodespacerange <00> <ff> endcodespacerange\n"
            f"90 beginbfchar\n{lines}endbfchar endcmap end end"
        ).encode()
    )
    fonts: Any = writer.pages[0]["/Resources"]["/Font"]  # type: ignore[index]
    for font in fonts.values():
        font.get_object()[NameObject("/ToUnicode")] = writer._add_object(stream)
    writer.write(path)
    return path


def refused(path: Path) -> str:
    reading = read_reply(path, REQUEST)
    assert reading.value is None
    assert len(reading.problems) == 1
    message = reading.problems[0].message
    assert message.count("\n") == 0
    return f"{reading.problems[0].code} {message}"


def test_a_scrambled_text_layer_is_refused_with_the_way_on(tmp_path: Path) -> None:
    said = refused(glyphs_without_meaning(tmp_path / "letter.pdf"))
    assert said.startswith("R053")
    assert "scrambled" in said
    assert "type the prices in" in said


def test_a_language_that_is_not_known_is_not_taken_for_scrambled(tmp_path: Path) -> None:
    path = flow(
        tmp_path / "letter.pdf",
        "Geachte heer, hierbij ontvangt u onze offerte voor de gevraagde onderdelen.",
        "Onderdeel SB-110: 25 stuks, EUR 154.53 per stuk. Levertijd vier weken na opdracht.",
    )
    assert draft_of(path, None).file == "letter.pdf"


@pytest.mark.parametrize("seed", range(6))
def test_exchanged_letters_are_refused(tmp_path: Path, seed: int) -> None:
    """Letters and figures exchanged among themselves: it looks like text and means nothing."""
    import random
    import string

    chance = random.Random(seed)
    mixed = chance.sample(string.ascii_lowercase, 26)
    figures = chance.sample(string.digits, 10)
    table = str.maketrans(
        string.ascii_lowercase + string.ascii_uppercase + string.digits,
        "".join(mixed) + "".join(mixed).upper() + "".join(figures),
    )
    text = (
        "We thank you for your request and are pleased to offer the following parts, net and "
        "without tax, delivered to your harbour within six weeks of your order. The prices hold "
        "until the end of October. Part SB-110, 25 pieces, EUR 154.53 each."
    )
    assert refused(flow(tmp_path / "letter.pdf", text.translate(table))).startswith("R053")


def test_a_locked_letter_is_refused(tmp_path: Path, demo_source: Path) -> None:
    from pypdf import PdfWriter

    writer = PdfWriter(clone_from=demo_source / "incoming" / "zaffrel-letter.pdf")
    writer.encrypt("secret")
    writer.write(tmp_path / "locked.pdf")
    assert refused(tmp_path / "locked.pdf").startswith("R004")


def test_broken_files_are_refused(tmp_path: Path, demo_source: Path) -> None:
    data = (demo_source / "incoming" / "zaffrel-letter.pdf").read_bytes()
    junk = b"%PDF-1.7\n" + bytes(range(256))
    for name, part in (("cut", data[: len(data) // 2]), ("junk", junk)):
        path = tmp_path / f"{name}.pdf"
        path.write_bytes(part)
        assert refused(path).startswith("R003")


def test_two_thousand_pages_are_not_read(tmp_path: Path) -> None:
    canvas = Canvas(str(tmp_path / "long.pdf"))
    for number in range(2000):
        canvas.drawString(50, 700, f"page {number}")
        canvas.showPage()
    canvas.save()
    assert "2,000 pages" in refused(tmp_path / "long.pdf")


def test_a_page_that_unpacks_without_end_is_put_aside(tmp_path: Path) -> None:
    import zlib

    data = zlib.compress(b"0" * 300_000_000, 9)
    head = (
        "%PDF-1.4\n1 0 obj<</Type/Catalog/Pages 2 0 R>>endobj\n"
        "2 0 obj<</Type/Pages/Kids[3 0 R]/Count 1>>endobj\n"
        "3 0 obj<</Type/Page/Parent 2 0 R/MediaBox[0 0 500 500]/Contents 4 0 R>>endobj\n"
        f"4 0 obj<</Length {len(data)}/Filter/FlateDecode>>stream\n"
    )
    path = tmp_path / "bomb.pdf"
    path.write_bytes(head.encode() + data + b"\nendstream endobj\ntrailer<</Root 1 0 R>>")
    assert refused(path)[:4] in ("R003", "R007", "R052")

"""Order acknowledgements in the forms replies have."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from pathlib import Path

from reportlab.pdfgen.canvas import Canvas

from rfq.intake.ack import read_acknowledgement
from rfq.model.award import Order, OrderLine

ORDER = Order(
    id="2026-07-zaffrel",
    request="2026-07",
    award="a-1",
    shop="zaffrel",
    placed=date(2026, 8, 3),
    lines=(
        OrderLine(part="SB-110", revision="B", quantity=25, each=Decimal("154.53"), currency="EUR"),
        OrderLine(part="SB-115", revision="A", quantity=25, each=Decimal("101.81"), currency="EUR"),
    ),
    terms={"payment": "30 days net", "incoterm": "DAP Musterhafen"},
)


def test_an_acknowledgement_letter(tmp_path: Path) -> None:
    canvas = Canvas(str(tmp_path / "ack.pdf"))
    y = 780
    canvas.drawString(50, y, "Order acknowledgement 77, prices net, excl. VAT")
    for row in (
        ("Part", "Rev", "Qty", "Unit price EUR", "Delivery date"),
        ("SB-110", "B", "25", "154.53", "2026-09-14"),
        ("SB-115", "A", "20", "103.00", "2026-09-21"),
    ):
        y -= 20
        for x, text in zip((50, 150, 200, 260, 380), row, strict=True):
            canvas.drawString(x, y, text)
    for text in ("Delivery: FCA Exampletown", "Payment: 14 days net"):
        y -= 20
        canvas.drawString(50, y, text)
    canvas.save()
    reading = read_acknowledgement(tmp_path / "ack.pdf", ORDER)
    assert reading.value is not None, reading.problems
    assert [(a.part, a.revision, a.quantity, a.each, a.date) for a in reading.value.lines] == [
        ("SB-110", "B", 25, Decimal("154.53"), date(2026, 9, 14)),
        ("SB-115", "A", 20, Decimal("103.00"), date(2026, 9, 21)),
    ]
    assert all(a.place == "ack.pdf[page 1]" for a in reading.value.lines)
    assert reading.value.terms["incoterm"] == "FCA Exampletown"
    assert "14 days" in reading.value.terms["payment"]


def test_an_acknowledgement_as_csv_with_lead_times(tmp_path: Path) -> None:
    path = tmp_path / "ack.csv"
    path.write_text(
        "Part;Qty;Unit price EUR;Lead time\nSB-110;25;154,53;6 weeks\nSB-115;25;101,81;6 weeks\n",
        encoding="utf-8",
    )
    reading = read_acknowledgement(path, ORDER)
    assert reading.value is not None, reading.problems
    assert {a.date for a in reading.value.lines} == {date(2026, 9, 14)}


def test_a_figure_in_doubt_comes_with_its_problem(tmp_path: Path) -> None:
    path = tmp_path / "ack.csv"
    path.write_text("Part;Qty;Unit price EUR\nSB-110;25;1.234\n", encoding="utf-8")
    reading = read_acknowledgement(path, ORDER)
    assert reading.value is not None
    assert any(p.code == "R011" for p in reading.problems)


def test_what_cannot_be_read_is_refused(tmp_path: Path) -> None:
    (tmp_path / "ack.pdf").write_bytes(b"%PDF-1.7\nnothing here")
    reading = read_acknowledgement(tmp_path / "ack.pdf", ORDER)
    assert reading.value is None
    assert reading.problems[0].code == "R003"

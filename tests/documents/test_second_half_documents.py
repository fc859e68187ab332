"""Decision record, rounds and first article: what they say, the same bytes twice, read back."""

from __future__ import annotations

import io
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path

import pypdfium2
import pytest
from openpyxl import load_workbook

from rfq.documents.award_pdf import award_pdf
from rfq.documents.first_article_pdf import first_article_form_pdf, first_article_report
from rfq.documents.first_article_xlsx import first_article_form
from rfq.documents.order_data import order_csv, order_json
from rfq.documents.rounds_pdf import rounds_pdf
from rfq.engine.first_article.verdicts import verdicts
from rfq.engine.negotiate.state import request_state
from rfq.intake.measured import read_measured
from rfq.model.award import Award, FirstArticle, Order, OrderLine, Proposal, ShareOf
from rfq.model.project import Project
from rfq.model.request import Round
from rfq.store.load import load_project

WHEN = datetime(2026, 7, 31, 12, tzinfo=UTC)


@pytest.fixture(scope="module")
def buoy() -> Project:
    return load_project(Path(__file__).resolve().parents[2] / "demo_project").get()


def text_of(data: bytes) -> str:
    document = pypdfium2.PdfDocument(data)
    pages = [document[i].get_textpage().get_text_range() for i in range(len(document))]
    return " ".join(" ".join(pages).split())


ORDER = Order(
    id="award-1-wiklina", request="2026-07", award="award-1", shop="wiklina",
    placed=date(2026, 7, 31), terms={"incoterm": "DAP", "place": "Musterhafen"},
    lines=(OrderLine(part="SB-140", revision="A", quantity=25, each=Decimal("12.5"),
                     one_off=Decimal(40), currency="EUR", promised=date(2026, 9, 8)),),
)  # fmt: skip


def test_the_decision_record_says_who_what_why_and_what_was_refused(buoy: Project) -> None:
    share = ShareOf(part="SB-140", revision="A", shop="wiklina", quantity=25,
                    comparable_each=Decimal("41.20"), quoted_each=Decimal("12.5"),
                    currency="EUR", reason="lowest comparable price")  # fmt: skip
    chosen = Proposal(name="cheapest", shares=(share,), total=Decimal("1030.00"),
                      shops=("wiklina",), rule_prices={"at most 1 shop": Decimal(20)})  # fmt: skip
    other = Proposal(name="single shop", total=Decimal("1200.00"), shops=("kupfermond",))
    award = Award(id="award-1", request="2026-07", round=1, decided_at=WHEN, by="Ana Reling",
                  proposal=chosen, reason="lowest and in time", refused=("kupfermond: dearer",),
                  cautions=("ask first",))  # fmt: skip
    data = award_pdf(buoy, award, (chosen, other))
    assert award_pdf(buoy, award, (chosen, other)) == data
    text = text_of(data)
    for said in (
        "Ana Reling", "lowest and in time", "SB-140", "12.50", "at most 1 shop", "single shop",
        "kupfermond: dearer", "ask first", "internal: not for shops",
    ):  # fmt: skip
        assert said in text


def test_the_order_data_is_exact_and_safe(buoy: Project) -> None:
    text = order_csv(buoy, ORDER).decode()
    assert "award-1-wiklina,2026-07-31" in text
    assert ",25,12.50,40.00,EUR,352.50,2026-09-08,DAP,Musterhafen," in text
    assert '"line_total": "352.50"' in order_json(buoy, ORDER).decode()
    part = buoy.parts["SB-140"].model_copy(update={"name": "=cmd()"})
    evil = buoy.model_copy(update={"parts": {"SB-140": part}})
    assert ",'=cmd()," in order_csv(evil, ORDER).decode()


def test_the_timeline_names_rounds_shops_and_what_is_next(buoy: Project) -> None:
    request = buoy.requests["2026-07"]
    rounds = (
        Round(request=request.id, number=1, asked=request.asked, opened=WHEN.replace(day=3),
              cut_off=WHEN.replace(day=24), closed=WHEN.replace(day=25)),
        Round(request=request.id, number=2, asked=request.asked[:1], opened=WHEN.replace(day=26),
              last=True, argument="call-off lots"),
    )  # fmt: skip
    project = buoy.model_copy(update={"rounds": rounds})
    state = request_state(project, request.model_copy(update={"state": "sent"}), WHEN)
    data = rounds_pdf(project, state, (), WHEN)
    text = text_of(data)
    for said in ("round 1", "round 2, last", "call-off lots", "waiting for kupfermond",
                 "announced as the last", "internal"):  # fmt: skip
        assert said in text
    assert rounds_pdf(project, state, (), WHEN) == data


def test_the_form_asks_every_characteristic_and_reads_back(buoy: Project, tmp_path: Path) -> None:
    part, request = buoy.parts["SB-140"], buoy.requests["2026-07"]
    data = first_article_form(part, request, ORDER, WHEN, pieces=2, company="Vornwick")
    assert first_article_form(part, request, ORDER, WHEN, pieces=2, company="Vornwick") == data
    text = text_of(first_article_form_pdf(part, request, ORDER, WHEN, pieces=2))
    book = load_workbook(io.BytesIO(data))
    assert book.sheetnames == ["Part", "Material and processes", "Characteristics"]
    said = {str(cell.value) for sheet in book for row in sheet.iter_rows() for cell in row}
    for fact in ("SB-140", "award-1-wiklina", "EN AW-6082 T6", "2.2"):
        assert fact in said
    sheet = book["Characteristics"]
    heads = {cell.value: cell.column for cell in sheet[4]}
    for row in range(5, sheet.max_row + 1):
        value = {"1": 40.05, "2": "go", "3": 3.0, "4": 80.0, "5": 1.6}
        balloon = sheet.cell(row, heads["Balloon"]).value
        for piece in (1, 2):
            sheet.cell(row, heads[f"Piece {piece}"]).value = value[balloon]
        sheet.cell(row, heads["Uncertainty"]).value = 0.004 if balloon != "2" else None
        sheet.cell(row, heads["By"]).value = "Ada"
    path = tmp_path / "filled.xlsx"
    book.save(path)
    reading = read_measured(path, part)
    assert reading.problems == ()
    results = reading.get()
    assert len(results) == 2 * 6  # five characteristics, one of them twice, on two pieces
    assert {(one.callout, one.piece, one.instance) for one in results if one.callout == "2"} == {
        ("2", 1, 1), ("2", 1, 2), ("2", 2, 1), ("2", 2, 2),
    }  # fmt: skip
    assert {one.by for one in results} == {"Ada"}
    judged = verdicts(part, request, results)
    assert {one.state for one in judged.callouts} == {"passed"}
    for callout in part.callouts:
        assert callout.text in text

    article = FirstArticle(id="SB-140-1", request="2026-07", part="SB-140", revision="A",
                           shop="wiklina", received=WHEN.date(), results=results,
                           disposition="accept", by="Ben Mole", reason="as asked",
                           released=True)  # fmt: skip
    report = text_of(first_article_report(part, request, ORDER, article, judged, WHEN))
    for fact in ("ISO 14253-1:2017", "burden of proof", "accepted as it is", "Ben Mole",
                 "released", "critical characteristics on every piece"):  # fmt: skip
        assert fact in report

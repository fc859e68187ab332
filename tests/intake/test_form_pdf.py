"""Our fillable form: written by the documents, filled as a shop would, and read back exactly."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfWriter
from reportlab.pdfgen.canvas import Canvas

from rfq.documents.outgoing import outgoing
from rfq.documents.request_form import response_form
from rfq.intake.read import read_reply
from rfq.model import response as names
from rfq.model.codes import Scope
from rfq.model.draft import Draft
from rfq.model.project import Project
from rfq.store.load import load_project

NOW = datetime(2026, 7, 6, 9, 0, tzinfo=UTC)
FILLED = {
    "Unit price/1": "287.03",
    "Unit price/2": "154,53",
    "One-off charges/2": "180",
    "Lead time/2": "4 weeks",
    "Material/2": "",
    names.TERM_CURRENCY: "EUR",
    names.TERM_DELIVERY: "FCA",
    names.TERM_PLACE: "Exampletown",
    names.TERM_PAYMENT: "30 days net",
    names.TERM_VALID: "2026-12-31",
    names.TERM_TAX: "excluded",
    names.SCOPE_LABEL + Scope.FINISH.value: "in",
    names.SCOPE_LABEL + Scope.FREIGHT.value: "out",
}


@pytest.fixture(scope="module")
def project(demo_source: Path) -> Project:
    reading = load_project(demo_source)
    assert reading.value is not None
    return reading.value


def form(project: Project, path: Path, filled: dict[str, str]) -> Path:
    out = outgoing(project, project.requests["2026-07"], project.shops["zaffrel"], 1)
    path.write_bytes(response_form(out, NOW))
    writer = PdfWriter(clone_from=path)
    for page in writer.pages:
        writer.update_page_form_field_values(page, filled, auto_regenerate=False)
    writer.write(path)
    return path


def read(project: Project, path: Path, **more: Any) -> Draft:
    request = more.pop("request", project.requests["2026-07"])
    draft = read_reply(path, request, parts=project.parts).get()
    assert isinstance(draft, Draft)
    return draft


def test_a_filled_form_reads_exactly(project: Project, tmp_path: Path) -> None:
    draft = read(project, form(project, tmp_path / "form.pdf", FILLED))
    first = project.requests["2026-07"].lines[0]
    assert [(p.part, p.quantity, p.each, p.one_off) for p in draft.prices] == [
        (first.part, first.quantities[0], Decimal("287.03"), None),
        (first.part, first.quantities[1], Decimal("154.53"), Decimal(180)),
    ]
    assert all(p.sure and p.currency == "EUR" for p in draft.prices), draft.problems
    assert [p.place.path for p in draft.prices] == ["Unit price/1", "Unit price/2"]
    assert draft.prices[1].lead_days == 28
    assert (draft.request, draft.round, draft.shop) == ("2026-07", 1, "zaffrel")
    assert (draft.terms.incoterm, draft.terms.place) == ("FCA", "Exampletown")
    assert draft.terms.valid_until == date(2026, 12, 31)
    assert draft.terms.tax == "excluded"
    assert draft.scope[Scope.FINISH] == "in"
    assert draft.scope[Scope.FREIGHT] == "out"


def test_an_unfilled_form_says_that_it_is_empty(project: Project, tmp_path: Path) -> None:
    draft = read(project, form(project, tmp_path / "form.pdf", {}))
    assert not draft.prices
    assert any(p.code == "R027" for p in draft.problems)


def test_a_doubtful_number_in_a_field_is_asked(project: Project, tmp_path: Path) -> None:
    draft = read(project, form(project, tmp_path / "form.pdf", {**FILLED, "Unit price/1": "1.234"}))
    price = next(p for p in draft.prices if p.place.path == "Unit price/1")
    assert not price.sure
    assert any(p.code == "R011" and p.place == price.place for p in draft.problems)


def test_the_form_of_another_request_is_named(project: Project, tmp_path: Path) -> None:
    path = form(project, tmp_path / "form.pdf", FILLED)
    other = project.requests["2026-07"].model_copy(update={"id": "2026-08"})
    draft = read(project, path, request=other)
    assert any(p.code == "R047" for p in draft.problems)


def test_fields_of_a_foreign_form_are_asked_about(project: Project, tmp_path: Path) -> None:
    canvas = Canvas(str(tmp_path / "letter.pdf"))
    canvas.drawString(50, 780, "We offer, net, excl. VAT:")
    canvas.drawString(50, 760, "SB-110 Rev B, 25 pcs: 154.53 EUR each")
    fields: Any = canvas.acroForm
    fields.textfield(name="surcharge", value="plus 12 %", x=50, y=700, width=100, height=16)
    canvas.save()
    draft = read(project, tmp_path / "letter.pdf")
    assert [p.each for p in draft.prices] == [Decimal("154.53")]
    assert any(p.code == "R079" and "plus 12 %" in p.message for p in draft.problems)

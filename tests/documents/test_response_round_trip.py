"""The response sheet and the form, filled in by other programs, read back exactly."""

from __future__ import annotations

import shutil
import subprocess
from datetime import date, datetime
from decimal import Decimal
from io import BytesIO
from pathlib import Path

import pytest
from openpyxl import load_workbook
from pypdf import PdfReader, PdfWriter

from rfq.documents.outgoing import outgoing
from rfq.documents.request_form import response_form
from rfq.documents.request_xlsx import response_sheet
from rfq.intake.read import read_reply
from rfq.model import response as names
from rfq.model.codes import Scope
from rfq.model.draft import Draft
from rfq.model.project import Project

PRICES = {
    ("RG-110", 5): "412.50", ("RG-110", 25): "268.4", ("RG-110", 100): "214.335",
    ("RG-204", 25): "96", ("RG-204", 100): "81.1", ("RG-310", 50): "18.75",
}  # fmt: skip


def sheet_of(project: Project, now: datetime) -> bytes:
    out = outgoing(project, project.requests["2026-07"], project.shops["oakvane"], 1)
    return response_sheet(out, now)


def cells_to_fill(data: bytes) -> list[tuple[str, str | float]]:
    """Addresses and answers, found by the headings as a clerk finds them."""
    sheet = load_workbook(BytesIO(data))[names.QUOTE_SHEET]
    answers: list[tuple[str, str | float]] = []
    head = next(r for r in sheet.iter_rows() if r[0].value == names.LINE)
    column = {str(cell.value): cell.column_letter for cell in head}
    labels = {str(row[0].value): row[0].row for row in sheet.iter_rows() if row[0].value}
    for row in sheet.iter_rows(min_row=head[0].row + 1):
        key = (row[1].value, row[4].value)
        if key in PRICES:
            at = row[0].row
            answers.append((f"{column[names.UNIT_PRICE]}{at}", float(PRICES[key])))
            if key == ("RG-110", 5):
                answers.append((f"{column[names.ONE_OFF]}{at}", 350.0))
                answers.append((f"{column[names.ONE_OFF_FOR]}{at}", "fixture"))
            answers.append((f"{column[names.LEAD_TIME]}{at}", "20 working days"))
            answers.append((f"{column[names.LEAD_FROM]}{at}", "order"))
    answers += [
        (f"B{labels[names.TERM_VALID]}", "2026-12-31"),
        (f"B{labels[names.TERM_ORIGIN]}", "GB"),
        (f"B{labels[names.SCOPE_LABEL + Scope.FINISH.value]}", "in"),
        (f"B{labels[names.SCOPE_LABEL + Scope.FREIGHT.value]}", "out"),
    ]
    return answers


def assert_reads_back(draft: Draft, totals: bool) -> None:
    assert draft.request == "2026-07" and draft.revision == 2 and draft.round == 1
    assert draft.shop == "oakvane"
    found = {(p.part, p.quantity): p for p in draft.prices}
    assert set(found) == set(PRICES)
    for key, price in found.items():
        assert price.each == Decimal(PRICES[key]), key
        assert price.currency == "GBP" and price.sure
        if totals:
            assert price.line_total is not None
            assert abs(price.line_total - key[1] * Decimal(PRICES[key])) < Decimal("0.01")
    assert found["RG-110", 5].one_off == 350
    assert draft.terms.incoterm == "DAP"
    assert draft.terms.valid_until == date(2026, 12, 31)
    assert draft.scope[Scope.FINISH] == "in" and draft.scope[Scope.FREIGHT] == "out"


def saved_by_office(data: bytes, folder: Path, ending: str) -> Path:
    """The filled sheet, opened, calculated and written by LibreOffice."""
    office = shutil.which("soffice")
    if office is None:
        pytest.skip("LibreOffice (soffice) is not installed here")
    book = load_workbook(BytesIO(data))
    for where, value in cells_to_fill(data):
        book[names.QUOTE_SHEET][where] = value
    source = folder / "typed" / "sheet.xlsx"
    source.parent.mkdir()
    book.save(source)
    done = subprocess.run(
        [office, f"-env:UserInstallation={(folder / 'profile').as_uri()}", "--headless",
         "--convert-to", ending, "--outdir", str(folder), str(source)],
        capture_output=True, timeout=120, check=False,
    )  # fmt: skip
    target = folder / f"sheet.{ending}"
    if not target.exists():
        pytest.fail(f"LibreOffice saved nothing: {done.stderr.decode()[-300:]}")
    return target


@pytest.mark.parametrize("ending", ["xlsx", "ods"])
def test_saved_by_office_it_reads_back(
    ending: str, river_project: Project, now: datetime, tmp_path: Path
) -> None:
    filled = saved_by_office(sheet_of(river_project, now), tmp_path, ending)
    reading = read_reply(filled, request=river_project.requests["2026-07"])
    assert_reads_back(reading.get(), totals=True)


def test_filled_in_with_rows_inserted_it_reads_back(
    river_project: Project, now: datetime, tmp_path: Path
) -> None:
    data = sheet_of(river_project, now)
    book = load_workbook(BytesIO(data))
    sheet = book[names.QUOTE_SHEET]
    for where, value in cells_to_fill(data):
        sheet[where] = value
    sheet.insert_rows(3)
    sheet.insert_rows(11)
    path = tmp_path / "filled.xlsx"
    for row in sheet.iter_rows():
        for cell in row:
            if isinstance(cell.value, str) and cell.value.startswith("=IF("):
                cell.value = None  # this library does not calculate; a program would
    book.save(path)
    reading = read_reply(path, request=river_project.requests["2026-07"])
    assert_reads_back(reading.get(), totals=False)


def test_answer_cells_are_open_and_the_rest_is_not(river_project: Project, now: datetime) -> None:
    data = sheet_of(river_project, now)
    sheet = load_workbook(BytesIO(data))[names.QUOTE_SHEET]
    assert sheet.protection.sheet and not sheet.protection.insertRows
    assert sheet.protection.password is None
    for where, _ in cells_to_fill(data):
        assert not sheet[where].protection.locked
    assert sheet["A1"].protection.locked and sheet["B2"].protection.locked


def test_only_what_is_asked_is_asked(river_project: Project, now: datetime) -> None:
    book = load_workbook(BytesIO(sheet_of(river_project, now)))
    assert book.sheetnames == [names.QUOTE_SHEET, names.BREAKDOWN_SHEET]
    assert all(sheet.sheet_state == "visible" for sheet in book)
    words = " ".join(
        str(cell.value).lower() for sheet in book for row in sheet for cell in row if cell.value
    )
    for never in ("overhead", "profit", "hourly rate", "sub-supplier"):
        assert never not in words


def test_the_file_names_no_person(river_project: Project, now: datetime) -> None:
    properties = load_workbook(BytesIO(sheet_of(river_project, now))).properties
    assert not properties.creator and not properties.lastModifiedBy
    assert properties.modified == now.replace(tzinfo=None)


def test_the_form_has_the_asked_fields(river_project: Project, now: datetime) -> None:
    out = outgoing(river_project, river_project.requests["2026-07"],
                   river_project.shops["oakvane"], 1)  # fmt: skip
    data = response_form(out, now)
    fields = PdfReader(BytesIO(data)).get_fields() or {}
    assert fields[names.REQUEST]["/V"] == "2026-07"
    assert fields["Part/4"]["/V"] == "RG-204" and fields["Quantity/4"]["/V"] == "25"
    assert set(names.TERMS) <= set(fields)
    writer = PdfWriter(clone_from=BytesIO(data))
    for page in writer.pages:
        writer.update_page_form_field_values(page, {"Unit price/4": "96.50"}, auto_regenerate=False)
    filled = BytesIO()
    writer.write(filled)
    again = PdfReader(BytesIO(filled.getvalue())).get_fields() or {}
    assert again["Unit price/4"]["/V"] == "96.50"

"""The form of a first article's report: part, material and processes, characteristics.

It asks for the information that AS9102 Rev C spreads over its forms 1 to 3, in a layout of our
own; what comes back is read by ``rfq.intake.measured``.
"""

from __future__ import annotations

from datetime import datetime
from typing import Final

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font
from openpyxl.worksheet.worksheet import Worksheet

from rfq.documents.limits import General, state
from rfq.documents.spreadsheet import put_text, workbook_bytes
from rfq.model.award import Order
from rfq.model.part import Part
from rfq.model.request import Request
from rfq.model.spec import Datum

PART_SHEET: Final = "Part"
MATERIAL_SHEET: Final = "Material and processes"
RESULTS_SHEET: Final = "Characteristics"
HEADS: Final = ("Balloon", "What", "Asked", "Limits", "Holds", "Instance", "Critical")
TAIL: Final = ("Gauge", "Uncertainty", "By", "State")


def first_article_form(
    part: Part,
    request: Request | None,
    order: Order | None,
    when: datetime,
    *,
    pieces: int = 1,
    company: str = "",
) -> bytes:
    """Return the form as a workbook; a row a characteristic and instance, a column a piece.

    Args:
        part: numbered as in the package. request: general tolerances and decision rule.
        order: its number and shop; may be None. when: written into the file.
        pieces: columns for results.
        company: who asks.
    """
    book = Workbook()
    first = book.active
    assert isinstance(first, Worksheet)
    first.title = PART_SHEET
    _pairs(first, "First article: the part", _part_rows(part, request, order, company))
    _pairs(
        book.create_sheet(MATERIAL_SHEET), "Material, special processes, tests",
        _material_rows(part),
    )  # fmt: skip
    _results(book.create_sheet(RESULTS_SHEET), part, request, pieces)
    return workbook_bytes(book, when, f"First article {part.number} {part.revision}")


def _part_rows(
    part: Part, request: Request | None, order: Order | None, company: str
) -> list[tuple[str, str]]:
    return [
        ("For", company),
        ("Part number", part.number),
        ("Part name", part.name),
        ("Revision", part.revision),
        ("Drawing", part.drawing.path.rpartition("/")[2] if part.drawing else ""),
        ("Order", order.id if order else ""),
        ("Request", f"{request.id}, revision {request.revision}" if request else ""),
        ("Decision rule", request.terms.decision_rule if request else ""),
        ("Maker (name, place)", ""),
        ("Serial number or mark of each piece", ""),
        ("Full or partial report, and why", "full"),
        ("Reason (new part, new revision, new place or process)", "new part"),
        ("Departures from the drawing, with our agreement", ""),
        ("Signed, day", ""),
    ]


def _material_rows(part: Part) -> list[tuple[str, str]]:
    rows = [
        ("Material asked", f"{part.material} {part.temper}".strip()),
        ("Standard", part.material_standard),
        ("Certificate asked (EN 10204)", part.certificate or "none"),
        ("Material used, heat number", ""),
        ("Certificate number", ""),
    ]
    for finish in part.finishes:
        asked = " ".join(word for word in (finish.name, finish.standard, finish.grade) if word)
        rows += [
            (f"Process asked: {asked}", ""),
            ("  done by (name, place)", ""),
            ("  certificate number, thickness measured", ""),
        ]
    return [*rows, ("Tests asked", ""), ("Test report number", "")]


def _pairs(sheet: Worksheet, title: str, rows: list[tuple[str, str]]) -> None:
    put_text(sheet.cell(1, 1), title).font = Font(bold=True, size=13)
    for number, (name, text) in enumerate(rows, 3):
        put_text(sheet.cell(number, 1), name).font = Font(bold=True)
        put_text(sheet.cell(number, 2), text)
    sheet.column_dimensions["A"].width = 48
    sheet.column_dimensions["B"].width = 60


def _results(sheet: Worksheet, part: Part, request: Request | None, pieces: int) -> None:
    put_text(sheet.cell(1, 1), f"{part.number} {part.revision}: results").font = Font(
        bold=True, size=13
    )
    put_text(
        sheet.cell(2, 1),
        "Lengths in mm, texture in µm, angles in degrees; go, no-go, pass or fail where a gauge or "
        "an eye decides. Uncertainty: expanded, k = 2, in the same unit.",
    )
    heads = [*HEADS, *(f"Piece {number}" for number in range(1, pieces + 1)), *TAIL]
    for column, head in enumerate(heads, 1):
        cell = put_text(sheet.cell(4, column), head)
        cell.font = Font(bold=True)
        cell.alignment = Alignment(wrap_text=True, vertical="top")
    general = General.of(part, request)
    row = 5
    for callout in part.callouts:
        if isinstance(callout.spec.value, Datum):
            continue
        stated = state(callout, general)
        limits = "; ".join(f"{one.name} {one.words}".strip() for one in stated.bounds)
        for instance in range(1, callout.times + 1):
            texts = (
                callout.number, callout.what, callout.text, limits,
                f"{callout.coating} coating" if callout.coating else "", "",
                "every piece" if callout.critical else "",
            )  # fmt: skip
            for column, text in enumerate(texts, 1):
                put_text(sheet.cell(row, column), text)
            sheet.cell(row, 6).value = instance
            if callout.measured_with:
                put_text(sheet.cell(row, len(HEADS) + pieces + 1), callout.measured_with)
            if callout.coating:
                put_text(sheet.cell(row, len(heads)), callout.coating)
            row += 1
    for letter, width in zip("ABCDEFG", (9, 26, 24, 30, 14, 9, 12), strict=True):
        sheet.column_dimensions[letter].width = width
    sheet.freeze_panes = "C5"

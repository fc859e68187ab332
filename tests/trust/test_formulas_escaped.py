"""What we write for spreadsheets never runs: a text that begins like a formula stays a text.

The signs are those after which spreadsheet programs take a cell for a formula (common practice).
"""

from __future__ import annotations

import csv
import io
import zipfile
from datetime import UTC, date, datetime
from decimal import Decimal
from io import BytesIO
from typing import Any

import pytest
from openpyxl import load_workbook

from rfq.documents.comparison_xlsx import comparison_xlsx
from rfq.documents.frames import as_csv
from rfq.documents.outgoing import outgoing
from rfq.documents.request_xlsx import response_sheet
from rfq.model.codes import CellState
from rfq.model.comparison import BridgeStep, Comparison, Line, PriceCell, Quoted
from rfq.model.part import Part
from rfq.model.project import Project, Settings
from rfq.model.request import Asked, Request, RequestLine
from rfq.model.shop import Shop

EVIL = ("=cmd|'/c calc'!A0", "+1+1", "-2+3", "@SUM(1)", '=HYPERLINK("http://192.0.2.1")', "\t=1+1",
        "\r=1", "＝1+1")  # fmt: skip


def comparison(text: str) -> Comparison:
    step = BridgeStep(step=text, amount=Decimal(41), reason=text, place=text)
    cell = PriceCell(
        shop="oakvane", state=CellState.QUOTED, ranked=True, comparable=Decimal(41),
        quoted=Quoted(amount=Decimal(41), currency="EUR", per="1", quantity=5, place=text),
        bridge=(step,), reason=text, question=text, exceptions=(text,),
    )  # fmt: skip
    line = Line(part="P", revision="A", name=text, quantity=5, prices=(cell,))
    return Comparison(
        project=text, request="r", currency="EUR", round=1, as_of=date(2026, 7, 1), lines=(line,)
    )


def no_formulas(data: bytes, *, ours: bool = False) -> int:
    """Check a workbook; return the number of texts that begin like a formula and stayed texts."""
    kept = 0
    for sheet in load_workbook(BytesIO(data)).worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    # our own sums may stand there; nothing of the input's may
                    assert ours and "cmd" not in str(cell.value) and "192" not in str(cell.value)
                elif isinstance(cell.value, str) and cell.value[:1] in "=+-@" and cell.value:
                    kept += 1
                    assert cell.quotePrefix or cell.value.strip("-+ ") == "", cell.coordinate
    with zipfile.ZipFile(BytesIO(data)) as archive:
        names = " ".join(archive.namelist())
    assert "externalLink" not in names and "vbaProject" not in names
    return kept


@pytest.mark.parametrize("text", EVIL)
def test_comparison_workbook(text: str) -> None:
    kept = no_formulas(comparison_xlsx(comparison(text)), ours=True)
    assert kept or text[0] not in "=+-@"


@pytest.mark.parametrize("text", EVIL)
def test_comparison_csv(text: str) -> None:
    seen: list[str] = []
    for row in csv.reader(io.StringIO(as_csv(comparison(text)).decode())):
        seen += [cell for cell in row if text.strip() in cell]
        for cell in row:
            numeric = cell.replace("-", "").replace(".", "").replace("+", "").isdigit()
            assert not cell.startswith(("=", "+", "@", "\t", "\r")), cell
            assert not cell.startswith("-") or numeric, cell
    assert seen


@pytest.mark.parametrize("text", EVIL)
def test_response_sheet(text: str) -> None:
    part = Part(number="P", revision="A", name=text, material=text, shop_note=text)
    request = Request(
        id="r", title=text, cover_note=text, lines=(RequestLine(part="P", quantities=(5,)),),
        asked=(Asked(shop="oakvane"),),
    )  # fmt: skip
    shop = Shop(id="oakvane", name=text, country="GB", currency="GBP")
    project = Project(
        settings=Settings(name="x", company=text), parts={"P": part}, shops={"oakvane": shop},
        requests={"r": request},
    )  # fmt: skip
    out: Any = outgoing(project, request, shop, 1)
    no_formulas(response_sheet(out, datetime(2026, 7, 1, tzinfo=UTC)), ours=True)

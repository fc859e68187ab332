"""The comparison as a workbook: prices side by side, every bridge, the shops. Internal."""

from __future__ import annotations

from datetime import UTC, datetime, time
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Final

from rfq.documents.spreadsheet import put_text, workbook_bytes
from rfq.model.comparison import Comparison, PriceCell

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

INTERNAL: Final = "Internal: holds should-costs and every shop's prices. Not for shops."
_MONEY: Final = "#,##0.00"


def comparison_xlsx(comparison: Comparison) -> bytes:
    """Return the comparison as .xlsx with the sheets Prices, Bridges, Shops.

    Texts never become formulas; figures are numbers with two digits shown, bridges with six.
    """
    from openpyxl import Workbook

    book = Workbook()
    first: Any = book.active
    first.title = "Prices"
    _prices(first, comparison)
    _bridges(book.create_sheet("Bridges"), comparison)
    _shops(book.create_sheet("Shops"), comparison)
    when = datetime.combine(comparison.as_of, time(12), UTC)
    return workbook_bytes(book, when, f"comparison {comparison.request}")


def _head(sheet: Worksheet, comparison: Comparison, heads: list[str]) -> int:
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    put_text(sheet.cell(1, 1), INTERNAL).font = Font(bold=True)
    put_text(
        sheet.cell(2, 1),
        f"{comparison.project}, request {comparison.request}, round {comparison.round}, comparable "
        f"{comparison.currency} per accepted piece, landed, as of {comparison.as_of}",
    )
    for column, head in enumerate(heads, 1):
        put_text(sheet.cell(4, column), head).font = Font(bold=True)
        sheet.column_dimensions[get_column_letter(column)].width = max(10, min(44, len(head) + 4))
    sheet.freeze_panes = "A5"
    return 5


def _prices(sheet: Worksheet, comparison: Comparison) -> None:
    shops = [shop.shop for shop in comparison.shops]
    heads = ["part", "rev", "pcs", "low", "middle", "high"]
    for shop in shops:
        heads += [shop, f"{shop}: verdict"]
    row = _head(sheet, comparison, heads)
    for line in comparison.lines:
        put_text(sheet.cell(row, 1), line.part)
        put_text(sheet.cell(row, 2), line.revision)
        sheet.cell(row, 3, line.quantity)
        if line.should_cost is not None:
            band = line.should_cost
            for offset, amount in enumerate((band.low, band.middle, band.high)):
                _money(sheet, row, 4 + offset, amount)
        cells = {cell.shop: cell for cell in line.prices}
        for index, shop in enumerate(shops):
            cell = cells.get(shop)
            if cell is None:
                continue
            column = 7 + 2 * index
            if cell.comparable is not None:
                _money(sheet, row, column, cell.comparable)
            put_text(sheet.cell(row, column + 1), _said(cell))
        row += 1


def _said(cell: PriceCell) -> str:
    words = []
    if cell.state.value != "quoted":
        words.append(cell.state.value)
    if cell.verdict is not None:
        words.append(cell.verdict.value)
    if cell.slip is not None:
        words.append(f"may be {cell.slip.name}")
    if cell.comparable is not None and not cell.ranked:
        words.append(f"not ranked: {cell.why_not_ranked}")
    return "; ".join(words)


def _bridges(sheet: Worksheet, comparison: Comparison) -> None:
    heads = ["part", "pcs", "shop", "step", "amount", "reason", "place", "whose figure"]
    row = _head(sheet, comparison, heads)
    for line in comparison.lines:
        for cell in line.prices:
            if cell.comparable is None:
                continue
            for step in cell.bridge:
                put_text(sheet.cell(row, 1), line.part)
                sheet.cell(row, 2, line.quantity)
                put_text(sheet.cell(row, 3), cell.shop)
                put_text(sheet.cell(row, 4), step.step)
                sheet.cell(row, 5, step.amount).number_format = "#,##0.000000"
                put_text(sheet.cell(row, 6), step.reason)
                put_text(sheet.cell(row, 7), step.place)
                put_text(sheet.cell(row, 8), "our estimate" if step.estimated else "")
                row += 1


def _shops(sheet: Worksheet, comparison: Comparison) -> None:
    heads = ["shop", "level", "level low", "level high", "asked", "quoted"]
    heads += ["total of like lines", "paid before delivery", "date", "whole reply"]
    row = _head(sheet, comparison, heads)
    for shop in comparison.shops:
        put_text(sheet.cell(row, 1), shop.shop)
        for offset, level in enumerate((shop.level, shop.level_low, shop.level_high)):
            if level is not None:
                sheet.cell(row, 2 + offset, level).number_format = "+0%;-0%;0%"
        sheet.cell(row, 5, shop.lines_asked)
        sheet.cell(row, 6, shop.lines_quoted)
        _money(sheet, row, 7, shop.total)
        _money(sheet, row, 8, shop.paid_before_delivery)
        if shop.date is not None:
            sheet.cell(row, 9, shop.date)
        put_text(sheet.cell(row, 10), shop.slip.name if shop.slip else "")
        row += 1


def _money(sheet: Worksheet, row: int, column: int, amount: Decimal | None) -> None:
    if amount is not None:
        sheet.cell(row, column, amount).number_format = _MONEY

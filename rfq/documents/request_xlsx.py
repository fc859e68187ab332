"""The response sheet: what a shop fills in, and what reads back without a question.

First tab: prices and terms. Second tab: a breakdown, welcome and never needed. Answer cells are
open, the rest is protected without a password; rows may be inserted. Nothing is found by its
address when it comes back, only by the texts in ``rfq.model.response``.
"""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any, Final, get_args

from rfq.documents.outgoing import Outgoing
from rfq.documents.spreadsheet import put_text, workbook_bytes
from rfq.documents.wording import moment_in_words
from rfq.model import response as names
from rfq.model.codes import Incoterm, Scope, TaxState
from rfq.model.part import Part
from rfq.model.quote import LeadEvent

if TYPE_CHECKING:
    from openpyxl.workbook.workbook import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

_WIDTHS: Final = {
    names.LINE: 26, names.PART: 24, names.REVISION: 9, names.NAME: 28, names.QUANTITY: 10,
    names.UNIT_PRICE: 13, names.CURRENCY: 10, names.LINE_TOTAL: 13, names.ONE_OFF: 13,
    names.ONE_OFF_FOR: 22, names.LEAD_TIME: 18, names.LEAD_FROM: 20, names.MATERIAL: 24,
    names.EXCEPTIONS: 34, names.DECLINED: 22,
}  # fmt: skip
_FIXED: Final = frozenset(
    {names.LINE, names.PART, names.REVISION, names.NAME, names.QUANTITY, names.LINE_TOTAL}
)
_CURRENCIES: Final = "EUR,USD,GBP,CHF,PLN,CZK,SEK,NOK,DKK,HUF,RON,TRY,CNY,JPY,INR,CAD"
_MONEY: Final = "#,##0.00##"


def response_sheet(out: Outgoing, now: datetime) -> bytes:
    """Return the response sheet of one shop as XLSX.

    Args:
        out: what the shop may see. now: written into the file as its date.
    """
    from openpyxl import Workbook

    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = names.QUOTE_SHEET
    first = _head(sheet, out)
    last = _prices(sheet, out, first)
    _terms(sheet, out, last + 2)
    _layout(sheet, first)
    _breakdown(book, out)
    _mark(book)
    return workbook_bytes(book, now, f"Response sheet {out.name}")


def _mark(book: Workbook) -> None:
    from openpyxl.packaging.custom import IntProperty

    properties: Any = book.custom_doc_props  # type: ignore[attr-defined] # not in the stubs
    properties.append(IntProperty(name=names.PROPERTY, value=names.VERSION))


def _head(sheet: Worksheet, out: Outgoing) -> int:
    """Write the header block; return the row of the price table's headings."""
    from openpyxl.styles import Alignment, Font

    values: tuple[tuple[str, int | str], ...] = (
        (names.MARK, names.VERSION),
        (names.REQUEST, out.request.id),
        (names.REVISION_OF_REQUEST, out.request.revision),
        (names.ROUND, out.round),
        (names.SHOP, out.shop.id),
        (names.SHEET_KEY, out.key),
    )
    for row, (label, value) in enumerate(values, 1):
        put_text(sheet.cell(row, 1), label).font = Font(bold=True)
        cell = sheet.cell(row, 2)
        if isinstance(value, int):
            cell.value = value
        else:
            put_text(cell, value)
        cell.alignment = Alignment(horizontal="left")
    texts = (
        f"{out.company}: {out.request.title}",
        f"For {out.shop.name}. Please answer by "
        f"{moment_in_words(out.answer_by) if out.answer_by else 'a day you name'}.",
        "Fill the bordered cells. Prices are net, for one piece, at the quantity of the row. "
        "Leave empty what you do not offer; rows may be inserted for other quantities, materials.",
        f"Questions: {', '.join(w for w in (out.contact.name, out.contact.email) if w)}",
    )
    for row, text in enumerate(texts, 1):
        put_text(sheet.cell(row, 4), text)
    return len(values) + 2


def _prices(sheet: Worksheet, out: Outgoing, first: int) -> int:
    """Write the price table; return its last row."""
    from openpyxl.utils import get_column_letter

    for column, title in enumerate(names.COLUMNS, 1):
        _title(sheet, first, column, title)
    letter = {title: get_column_letter(column) for column, title in enumerate(names.COLUMNS, 1)}
    parts = {part.number: part for part in out.parts}
    row = first
    for number, line in enumerate(out.lines, 1):
        for quantity in line.quantities:
            row += 1
            _price_row(sheet, row, number, parts[line.part], quantity, out)
            price, pieces = letter[names.UNIT_PRICE], letter[names.QUANTITY]
            total = sheet.cell(row, names.COLUMNS.index(names.LINE_TOTAL) + 1)
            total.value = f'=IF({price}{row}="","",{pieces}{row}*{price}{row})'
            total.number_format = "#,##0.00"
    down = max(row, first + 1)
    span = {title: f"{one}{first + 1}:{one}{down + 50}" for title, one in letter.items()}
    _number(sheet, span[names.UNIT_PRICE], "Net price of one piece, zero or more.")
    _number(sheet, span[names.ONE_OFF], "Once for this part, zero or more.")
    _choice(sheet, span[names.CURRENCY], _CURRENCIES, strict=False)
    _choice(sheet, span[names.LEAD_FROM], ",".join(get_args(LeadEvent)), strict=True)
    return row


def _price_row(
    sheet: Worksheet, row: int, number: int, part: Part, quantity: int, out: Outgoing
) -> None:
    from openpyxl.styles import Alignment

    fixed = {
        names.PART: part.number,
        names.REVISION: part.revision,
        names.NAME: part.name,
        names.CURRENCY: out.request.terms.currency or out.shop.currency,
    }
    for column, title in enumerate(names.COLUMNS, 1):
        cell = sheet.cell(row, column)
        if title == names.LINE:
            cell.value = number
            cell.alignment = Alignment(horizontal="left")
        elif title == names.QUANTITY:
            cell.value = quantity
        elif title in fixed:
            put_text(cell, fixed[title])
        if title not in _FIXED:
            _open(sheet, row, column)
        if title in (names.UNIT_PRICE, names.ONE_OFF):
            cell.number_format = _MONEY


def _terms(sheet: Worksheet, out: Outgoing, first: int) -> None:
    """Write the block of terms and scope; the answer stands right of each label."""
    from openpyxl.styles import Font

    put_text(sheet.cell(first, 1), "Terms of your quote").font = Font(bold=True)
    terms = out.request.terms
    given = {
        names.TERM_CURRENCY: terms.currency or out.shop.currency,
        names.TERM_DELIVERY: terms.incoterm,
        names.TERM_PLACE: terms.place,
        names.TERM_PAYMENT: terms.payment,
        names.TERM_TAX: "excluded",
    }
    row = first
    for label in names.TERMS:
        row += 1
        put_text(sheet.cell(row, 1), label)
        cell = sheet.cell(row, 2)
        if given.get(label):
            put_text(cell, given[label])
        _open(sheet, row, 2)
        where = f"B{row}"
        if label == names.TERM_CURRENCY:
            _choice(sheet, where, _CURRENCIES, strict=False)
        elif label == names.TERM_DELIVERY:
            _choice(sheet, where, ",".join(r for r in get_args(Incoterm) if r), strict=False)
        elif label == names.TERM_TAX:
            _choice(sheet, where, ",".join(get_args(TaxState)), strict=True)
        elif label == names.TERM_LEAD_FROM:
            _choice(sheet, where, ",".join(get_args(LeadEvent)), strict=True)
        elif label in (names.TERM_FREIGHT, names.TERM_PACKING, names.TERM_MINIMUM):
            cell.number_format = _MONEY
            _number(sheet, where, "Zero or more.")
        elif label == names.TERM_VALID:
            cell.number_format = "yyyy-mm-dd"
    for scope in Scope:
        row += 1
        put_text(sheet.cell(row, 1), names.SCOPE_LABEL + scope.value)
        _open(sheet, row, 2)
        _choice(sheet, f"B{row}", "in,out", strict=True)


def _breakdown(book: Workbook, out: Outgoing) -> None:
    """Write the second tab."""
    sheet = book.create_sheet(names.BREAKDOWN_SHEET)
    put_text(
        sheet.cell(1, 1),
        "Welcome and never needed: what of the unit price is what, for one piece. "
        "Hours: machine hours for the whole quantity.",
    )
    titles = (
        names.BREAKDOWN_PART,
        names.BREAKDOWN_QUANTITY,
        *names.BREAKDOWN_COLUMNS,
        names.BREAKDOWN_HOURS,
    )
    for column, title in enumerate(titles, 1):
        _title(sheet, 3, column, title)
    row = 3
    for line in out.lines:
        for quantity in line.quantities:
            row += 1
            put_text(sheet.cell(row, 1), line.part)
            sheet.cell(row, 2).value = quantity
            for column in range(3, len(titles) + 1):
                _open(sheet, row, column)
                sheet.cell(row, column).number_format = _MONEY
    sheet.column_dimensions["A"].width = 20
    for letter in "BCDEFGH":
        sheet.column_dimensions[letter].width = 13
    sheet.freeze_panes = "A4"
    _protect(sheet)


# --- how cells look -----------------------------------------------------------------------


def _title(sheet: Worksheet, row: int, column: int, text: str) -> None:
    from openpyxl.styles import Alignment, Border, Font, PatternFill, Side

    cell = put_text(sheet.cell(row, column), text)
    cell.font = Font(bold=True)
    cell.fill = PatternFill("solid", fgColor="E4E4E4")
    cell.alignment = Alignment(wrap_text=True, vertical="center")
    cell.border = Border(bottom=Side("medium"))


def _open(sheet: Worksheet, row: int, column: int) -> None:
    """Make a cell one to fill: unlocked, with a border."""
    from openpyxl.styles import Alignment, Border, Protection, Side

    side = Side("thin", color="808080")
    cell = sheet.cell(row, column)
    cell.protection = Protection(locked=False)
    cell.border = Border(left=side, right=side, top=side, bottom=side)
    cell.alignment = Alignment(wrap_text=True, vertical="top")


def _number(sheet: Worksheet, where: str, hint: str) -> None:
    from openpyxl.worksheet.datavalidation import DataValidation

    rule = DataValidation(type="decimal", operator="greaterThanOrEqual", formula1="0")
    rule.allow_blank = True
    rule.showErrorMessage = True
    rule.errorTitle = "A number, please"
    rule.error = hint
    rule.add(where)
    sheet.add_data_validation(rule)


def _choice(sheet: Worksheet, where: str, words: str, *, strict: bool) -> None:
    from openpyxl.worksheet.datavalidation import DataValidation

    rule = DataValidation(type="list", formula1=f'"{words}"')
    rule.allow_blank = True
    rule.showErrorMessage = strict  # a rule or currency we did not think of may be typed
    rule.error = "Please take one of the list."
    rule.add(where)
    sheet.add_data_validation(rule)


def _layout(sheet: Worksheet, first: int) -> None:
    from openpyxl.utils import get_column_letter

    for column, title in enumerate(names.COLUMNS, 1):
        sheet.column_dimensions[get_column_letter(column)].width = _WIDTHS[title]
    sheet.freeze_panes = f"C{first + 1}"  # part and headings stay in sight
    sheet.row_dimensions[first].height = 30
    sheet.print_title_rows = f"{first}:{first}"
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToWidth = 1
    sheet.page_setup.fitToHeight = 0
    if sheet.sheet_properties.pageSetUpPr is not None:
        sheet.sheet_properties.pageSetUpPr.fitToPage = True
    _protect(sheet)


def _protect(sheet: Worksheet) -> None:
    """Protect without a password; rows and columns may be inserted, sized and formatted."""
    guard = sheet.protection
    guard.sheet = True
    for may in ("insertRows", "deleteRows", "insertColumns", "formatCells", "formatColumns",
                "formatRows", "sort", "autoFilter"):  # fmt: skip
        setattr(guard, may, False)  # False: not forbidden

"""The fillable PDF form (AcroForm): the same questions as the response sheet, for those who print.

Fields are named after ``rfq.model.response`` (``FORM_FIELD``), so a filled form reads back like a
response sheet. Part and quantity are read-only fields: a program reads which price is which.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any, Final, get_args

from rfq.documents.fonts import BOLD, clip
from rfq.documents.look import BODY, LABEL, SMALL, Running, Sheet, Style
from rfq.documents.outgoing import Outgoing
from rfq.documents.wording import moment_in_words
from rfq.model import response as names
from rfq.model.codes import Scope
from rfq.model.quote import LeadEvent

_ROW: Final = 18.0
_FIELD: Final = 14.5
_COLUMNS: Final = (
    (names.PART, 88.0),
    (names.QUANTITY, 42.0),
    (names.UNIT_PRICE, 66.0),
    (names.CURRENCY, 38.0),
    (names.ONE_OFF, 62.0),
    (names.LEAD_TIME, 66.0),
    (names.MATERIAL, 70.0),
    (names.EXCEPTIONS, 80.0),
)
_READ_ONLY: Final = frozenset({names.PART, names.QUANTITY})


def response_form(out: Outgoing, now: datetime) -> bytes:
    """Return the fillable form of one shop as PDF.

    Args:
        out: what the shop may see. now: written into the file as its date.
    """
    sheet = Sheet(
        paper=out.shop.paper,
        title=f"Response form {out.name}",
        subject=out.request.title,
        running=Running(
            f"Response form {out.name}", out.company, "Send it back by mail, filled in"
        ),
        when=now,
    )
    _head(sheet, out)
    _prices(sheet, out)
    _terms(sheet, out)
    return sheet.finish()


def _field(
    sheet: Sheet,
    name: str,
    x: float,
    y: float,
    width: float,
    value: str = "",
    *,
    high: float = _FIELD,
    read_only: bool = False,
    lines: bool = False,
) -> None:
    from reportlab.lib.colors import black, white

    flags = " ".join(word for word, on in (("readOnly", read_only), ("multiline", lines)) if on)
    form: Any = sheet.canvas.acroForm
    form.textfield(
        name=name, tooltip=name, value=value, x=x, y=y, width=width, height=high,
        fontName="Helvetica", fontSize=8, borderWidth=0.5, borderColor=black, fillColor=white,
        textColor=black, forceBorder=True, fieldFlags=flags, maxlen=2000 if lines else 120,
    )  # fmt: skip


def _head(sheet: Sheet, out: Outgoing) -> None:
    answer = moment_in_words(out.answer_by) if out.answer_by else "a day you name"
    sheet.paragraph(f"{out.request.title}: answer of {out.shop.name}", Style(13, BOLD, 17))
    sheet.paragraph(
        f"Please answer by {answer}. Prices are net, for one piece, at the quantity of the row. "
        "Leave empty what you do not offer; under exceptions, write why. The response sheet "
        "(.xlsx) asks the same.",
        BODY,
    )
    sheet.y -= 6
    given = (
        (names.MARK, str(names.VERSION)),
        (names.REQUEST, out.request.id),
        (names.REVISION_OF_REQUEST, str(out.request.revision)),
        (names.ROUND, str(out.round)),
        (names.SHOP, out.shop.id),
        (names.SHEET_KEY, out.key),
    )
    half = (sheet.right - sheet.left) / 2
    for place, (label, value) in enumerate(given):
        x = sheet.left + half * (place % 2)
        if not place % 2:
            sheet.y -= _ROW
        sheet.text(x, sheet.y + 4, label, SMALL)
        _field(sheet, label, x + 84, sheet.y, half - 92, value, read_only=True)
    sheet.y -= 8


def _titles(sheet: Sheet) -> None:
    sheet.y -= 11
    x = sheet.left
    for title, width in _scaled(sheet):
        sheet.text(x + 1, sheet.y + 2, clip(title, width - 2, 7, BOLD), Style(7, BOLD, 8.6))
        x += width
    sheet.rule(sheet.left, sheet.y, sheet.right, sheet.y, 0.6)
    sheet.y -= 2


def _scaled(sheet: Sheet) -> list[tuple[str, float]]:
    room = sheet.right - sheet.left
    total = sum(width for _, width in _COLUMNS)
    return [(title, width * room / total) for title, width in _COLUMNS]


def _prices(sheet: Sheet, out: Outgoing) -> None:
    sheet.heading("Prices")
    _titles(sheet)
    currency = out.request.terms.currency or out.shop.currency
    row = 0
    for line in out.lines:
        for quantity in line.quantities:
            row += 1
            if sheet.need(_ROW):
                _titles(sheet)
            sheet.y -= _ROW
            given = {names.PART: line.part, names.QUANTITY: str(quantity), names.CURRENCY: currency}
            x = sheet.left
            for title, width in _scaled(sheet):
                _field(
                    sheet,
                    names.FORM_FIELD.format(heading=title, row=row),
                    x,
                    sheet.y,
                    width - 1.5,
                    given.get(title, ""),
                    read_only=title in _READ_ONLY,
                )
                x += width


def _terms(sheet: Sheet, out: Outgoing) -> None:
    sheet.heading("Terms of your quote")
    terms = out.request.terms
    given = {
        names.TERM_CURRENCY: terms.currency or out.shop.currency,
        names.TERM_DELIVERY: terms.incoterm,
        names.TERM_PLACE: terms.place,
        names.TERM_PAYMENT: terms.payment,
        names.TERM_TAX: "excluded",
    }
    half = (sheet.right - sheet.left) / 2
    labels = [label for label in names.TERMS if label != names.TERM_REMARKS]
    for place, label in enumerate(labels):
        if not place % 2:
            sheet.need(_ROW)
            sheet.y -= _ROW
        x = sheet.left + half * (place % 2)
        sheet.text(x, sheet.y + 4, label, SMALL)
        _field(sheet, label, x + 106, sheet.y, half - 114, given.get(label, ""))
    sheet.y -= 12
    sheet.need(20 + LABEL.leading)
    sheet.paragraph(
        f"Lead times count from: {', '.join(get_args(LeadEvent)[:-1])}. "
        "Valid until: a date as 2026-12-31.",
        LABEL,
    )
    sheet.heading("In the unit price: in or out")
    third = (sheet.right - sheet.left) / 4
    for place, scope in enumerate(Scope):
        if not place % 4:
            sheet.need(_ROW)
            sheet.y -= _ROW
        x = sheet.left + third * (place % 4)
        sheet.text(x, sheet.y + 4, scope.value, SMALL)
        _field(sheet, names.SCOPE_LABEL + scope.value, x + 58, sheet.y, third - 64)
    sheet.y -= 6
    sheet.heading(names.TERM_REMARKS)
    sheet.need(64)
    sheet.y -= 60
    _field(sheet, names.TERM_REMARKS, sheet.left, sheet.y, sheet.right - sheet.left, high=56,
           lines=True)  # fmt: skip

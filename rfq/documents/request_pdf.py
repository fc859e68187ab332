"""The request as a document: two pages of cover, the part list, one data sheet a part."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from io import BytesIO
from typing import Final

from rfq.documents.changes import Changes
from rfq.documents.data_sheet import data_sheet
from rfq.documents.fonts import BOLD, clip, wrap
from rfq.documents.look import BODY, LABEL, SMALL, STRONG, TITLE, Running, Sheet, Style
from rfq.documents.outgoing import Outgoing
from rfq.documents.tables import Column, Row, facts, table
from rfq.documents.views import View
from rfq.documents.wording import Wording, day_in_words, moment_in_words
from rfq.model.part import Part
from rfq.model.request import RequestLine

LOGO_ROOM: Final = (130.0, 40.0)  # points


def request_pdf(
    out: Outgoing,
    wording: Wording,
    now: datetime,
    *,
    logo: bytes | None = None,
    views: Mapping[str, Sequence[View]] | None = None,
    changes: Changes | None = None,
    progress: Callable[[int], None] | None = None,
) -> bytes:
    """Return the request of one shop as PDF.

    Args:
        out: what the shop may see. wording: texts of the cover. now: date of the document.
        logo: bytes of a PNG or JPEG; one that is none is left out (``readable_image`` tells).
        views: outlines by part number.
        changes: what this revision changed; marked where it stands.
        progress: called with the number of pages done.
    """
    confidential = out.request.terms.confidentiality.strip().split("\n")[0]
    if not confidential.lower().startswith("confidential"):
        confidential = f"Confidential: {confidential or 'for quoting only'}"
    running = Running(
        f"Request for quotation {out.name}",
        out.company,
        confidential,
    )
    sheet = Sheet(
        paper=out.shop.paper,
        title=f"Request for quotation {out.name}: {out.request.title}",
        subject=out.request.title,
        keywords=f"{out.request.id}, {out.key[:8]}",
        running=running,
        when=now,
        progress=progress,
    )
    values = cover_values(out)
    sheet.bookmark("Request", 0)
    _cover(sheet, out, now, logo, changes)
    sheet.new_page()
    sheet.bookmark("Terms", 0)
    _terms(sheet, wording, values)
    sheet.new_page()
    sheet.bookmark("Part list", 0)
    _part_list(sheet, out)
    if out.parts:
        sheet.new_page()
        sheet.bookmark("Data sheets", 0)
    for place, part in enumerate(out.parts):
        if place:
            sheet.new_page()
        data_sheet(
            sheet,
            out,
            part,
            views=(views or {}).get(part.number, ()),
            changed=changes.of(part.number) if changes else None,
        )
    return sheet.finish()


def cover_values(out: Outgoing) -> dict[str, str]:
    """Return what the blanks of the cover and of the letters stand for."""
    request, terms = out.request, out.request.terms
    delivery = " ".join(word for word in (terms.incoterm, terms.place) if word)
    rules = {"ISO GPS": "ISO 8015 and the ISO GPS standards"}.get(
        request.rule_set, request.rule_set
    )
    return {
        "company": out.company,
        "request": request.id,
        "revision": str(request.revision),
        "round": str(out.round),
        "title": request.title,
        "shop": out.shop.name,
        "contact": out.shop.contact.name or out.shop.name,
        "sender": out.contact.name,
        "phone": out.contact.phone,
        "email": out.contact.email,
        "answer_by": moment_in_words(out.answer_by) if out.answer_by else "",
        "validity_days": str(terms.validity_days) if terms.validity_days else "",
        "currency": terms.currency or out.shop.currency,
        "delivery": delivery,
        "payment": terms.payment,
        "first_article_answer_days": str(terms.first_article_answer_days)
        if terms.first_article
        else "",
        "decision_rule": terms.decision_rule,
        "sampling": terms.sampling,
        "packing": terms.packing,
        "marking": terms.marking,
        "tooling": terms.tooling,
        "confidentiality": terms.confidentiality,
        "repeat_months": str(terms.repeat_within_months) if terms.repeat_within_months else "",
        "rule_set": rules,
        "datum_system": request.datum_system,
        "general_tolerance": request.general_tolerance,
        "general_roughness": request.general_roughness,
        "edges": request.edges,
    }


def readable_image(data: bytes) -> bool:
    """Return whether a logo can be drawn."""
    from reportlab.lib.utils import ImageReader

    try:
        ImageReader(BytesIO(data)).getSize()
    except Exception:  # the imaging library raises whatever it likes on a broken file
        return False
    return True


# --- pages --------------------------------------------------------------------------------


def _cover(
    sheet: Sheet, out: Outgoing, now: datetime, logo: bytes | None, changes: Changes | None
) -> None:
    request = out.request
    if logo is not None and readable_image(logo):
        _logo(sheet, logo)
    sheet.y -= 8
    sheet.text(sheet.left, sheet.y - 18, "Request for quotation", TITLE)
    sheet.y -= 24
    sheet.paragraph(request.title, Style(12, BOLD, 16))
    sheet.y -= 6
    top = sheet.y
    half = (sheet.right - sheet.left) / 2
    ours = _address(
        sheet, sheet.left, half - 8, "From", out.company, out.address,
        (out.contact.name, out.contact.email, out.contact.phone),
    )  # fmt: skip
    sheet.y = top
    contact = out.shop.contact
    theirs = _address(
        sheet, sheet.left + half, half - 8, "To", out.shop.name, out.shop.address,
        (contact.name, contact.email, contact.phone),
    )  # fmt: skip
    sheet.y = min(ours, theirs) - 6
    answer = moment_in_words(out.answer_by) if out.answer_by else "a day you name"
    days = sorted({day for part in out.parts if (day := out.need_date(part))})
    wanted = ""
    if days:
        wanted = day_in_words(days[0])
        if len(days) > 1:
            wanted += f" to {day_in_words(days[-1])}, part by part as in the part list"
    _boxed(sheet, "Please answer by", answer)
    facts(
        sheet,
        (
            ("Request", f"{out.name}" + ("; the last round" if out.last else "")),
            ("Date", day_in_words(now.date())),
            ("Asked", _asked(out)),
            ("Parts wanted", wanted),
            ("Delivery", cover_values(out)["delivery"]),
            (
                "Prices in",
                out.request.terms.currency or f"{out.shop.currency}, or the currency you name",
            ),
            (
                "Where to ask",
                ", ".join(w for w in (out.contact.name, out.contact.email, out.contact.phone) if w),
            ),
            ("Content key", f"{out.key[:8]} (repeated in the response sheet)"),
        ),
    )
    if out.argument:
        sheet.heading(f"What round {out.round} is for")
        sheet.paragraph(out.argument)
    if request.cover_note:
        sheet.heading("What it is about")
        sheet.paragraph(request.cover_note)
    words = changes.words if changes else request.changes
    if words:
        sheet.heading(f"What changed in revision {request.revision}")
        for text in words:
            sheet.paragraph(text, BODY, indent=10, hang="•", changed=True)
    sheet.heading("How to answer")
    for text in (
        "The response sheet (.xlsx) is the quickest for both of us: fill the open cells, send it "
        "back. The form (.pdf) asks the same; your own form or mail will do as well.",
        "Per part and quantity: the net price of one piece, one-off charges beside it, the lead "
        "time and what it counts from, the material you would use, your exceptions.",
        "Not asked: your overhead, profit, rates or who your sub-suppliers are. A breakdown on the "
        "second tab is welcome and never needed.",
        "If you do not quote a part, write why in one word; it is no drawback for the others.",
    ):
        sheet.paragraph(text, BODY, indent=10, hang="•")
    sheet.heading("What this package holds")
    sheet.paragraph(
        "This document; the response sheet and the form; the request as UBL 2.1 XML for programs; "
        "drawings and models as files of their own, named PART_REVISION. The manifest lists every "
        "file with its SHA-256."
    )


def _address(
    sheet: Sheet,
    x: float,
    room: float,
    label: str,
    name: str,
    address: Sequence[str],
    contact: Sequence[str],
) -> float:
    y = sheet.y - 9
    sheet.text(x, y, label, LABEL)
    for style, texts in ((STRONG, (name,)), (BODY, address), (BODY, contact)):
        for text in texts:
            for line in wrap(text, room, style.size, style.face) if text else ():
                y -= style.leading
                sheet.text(x, y, line, style)
    return y - 4


def _boxed(sheet: Sheet, label: str, text: str) -> None:
    high = 34.0
    sheet.need(high + 6)
    sheet.box(sheet.left, sheet.y - high, sheet.right - sheet.left, high, line=1.0, grey=0.94)
    sheet.text(sheet.left + 8, sheet.y - 11, label, LABEL)
    room = sheet.right - sheet.left - 16
    sheet.text(sheet.left + 8, sheet.y - 26, clip(text, room, 13, BOLD), Style(13, BOLD))
    sheet.y -= high + 4


def _logo(sheet: Sheet, logo: bytes) -> None:
    from reportlab.lib.utils import ImageReader

    image = ImageReader(BytesIO(logo))
    across, down = image.getSize()
    scale = min(LOGO_ROOM[0] / across, LOGO_ROOM[1] / down)
    wide, high = across * scale, down * scale
    sheet.canvas.drawImage(image, sheet.right - wide, sheet.y - high - 2, wide, high, mask="auto")


def _asked(out: Outgoing) -> str:
    prices = sum(len(line.quantities) for line in out.lines)
    parts = len(out.parts)
    return f"{parts} part{'s' if parts != 1 else ''}, {prices} price{'s' if prices != 1 else ''}"


def _terms(sheet: Sheet, wording: Wording, values: Mapping[str, str]) -> None:
    sheet.heading("Terms")
    sheet.paragraph(
        "A starting text; terms you need otherwise go under exceptions in your answer.", SMALL
    )
    sheet.y -= 2
    for number, line in enumerate(wording.text("cover", "en", values).strip().split("\n"), 1):
        if line:
            sheet.paragraph(line, BODY, indent=18, hang=f"{number}.")
            sheet.y -= 2
    sheet.heading("Cautions")
    for line in wording.text("cautions", "en", {}).strip().split("\n"):
        if line:
            sheet.paragraph(line, BODY, indent=10, hang="•")
            sheet.y -= 2


def _part_list(sheet: Sheet, out: Outgoing) -> None:
    sheet.heading("Part list", ruled=False)
    parts = {part.number: part for part in out.parts}
    rows = [
        _line(number, line, parts[line.part], out.need_date(parts[line.part]))
        for number, line in enumerate(out.lines, 1)
    ]
    table(
        sheet,
        (
            Column("Line", 24, "right"),
            Column("Part", 66),
            Column("Rev.", 25),
            Column("Name", 90),
            Column("Material", 88),
            Column("Finish", 70),
            Column("Quantities in pcs", 72),
            Column("First order", 33, "right"),
            Column("A year", 30, "right"),
            Column("Wanted", 56),
        ),
        rows,
        style=Style(8, leading=10.2),
    )


def _line(number: int, line: RequestLine, part: Part, wanted: date | None) -> Row:
    return Row(
        [
            str(number),
            part.number,
            part.revision,
            part.name,
            " ".join(word for word in (part.material, part.temper) if word),
            ", ".join(finish.name for finish in part.finishes) or "none",
            " / ".join(str(quantity) for quantity in line.quantities),
            str(line.order_first) if line.order_first is not None else "",
            str(line.yearly) if line.yearly is not None else "",
            wanted.isoformat() if wanted else "",
        ]
    )

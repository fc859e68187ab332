"""The data sheet of a part: what a machinist quotes from, and a clerk forwards as it is.

It can go to the anodiser or the dealer by itself, so quantities and terms of ours are on it only
where the request wants them there. Balloon numbers are those of the response sheet and of the
first-article report.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Final

from rfq.documents.cautions import caution_block
from rfq.documents.fonts import BOLD, REGULAR, clip, wrap
from rfq.documents.limits import General, Stated, state
from rfq.documents.look import LABEL, SMALL, STRONG, Sheet, Style
from rfq.documents.outgoing import Outgoing
from rfq.documents.proposals import proposal_block
from rfq.documents.symbols import balloon, shown
from rfq.documents.tables import Cell, Column, Drawn, Row, facts, table
from rfq.documents.views import View, draw_views
from rfq.documents.wording import day_in_words
from rfq.model.part import FileRef, Finish, Part
from rfq.model.spec import number

_CERTIFICATES: Final = {
    "2.1": "EN 10204 type 2.1, declaration of compliance",
    "2.2": "EN 10204 type 2.2, test report, non-specific",
    "3.1": "EN 10204 type 3.1, specific inspection, from the mill's heat",
    "3.2": "EN 10204 type 3.2, specific inspection, with an independent inspector",
}
_COLUMNS: Final = (
    Column("No.", 23, "centre"),
    Column("Characteristic", 82),
    Column("On the drawing", 98),
    Column("Lower limit", 50, "point"),
    Column("Upper limit", 50, "point"),
    Column("Unit", 26),
    Column("Basis and conditions", 108),
    Column("Sheet, zone", 35),
    Column("Measured with", 62),
    Column("State", 29),
)
_UNMEASURED: Final = tuple(
    replace(column, share=column.share + (62 if column.title.startswith("Basis") else 0))
    for column in _COLUMNS
    if column.title != "Measured with"
)
_DRAWING_ROOM: Final = 84.0
_ROW: Final = Style(7.5, REGULAR, 9.4)


def data_sheet(
    sheet: Sheet,
    out: Outgoing,
    part: Part,
    *,
    views: Sequence[View] = (),
    changed: Mapping[str, str] | None = None,
) -> None:
    """Draw the data sheet of a part, starting at the top of the present page.

    Args:
        sheet: what to draw on, at the top of a page.
        out: what the shop may see. part: one of ``out.parts``.
        views: outlines of the measured model, drawn with overall dimensions.
        changed: fields and callouts ('callout 3') that this revision changed; marked.
    """
    marks = changed or {}
    general = General.of(part, out.request)
    sheet.bookmark(f"{part.number} {part.revision}  {part.name}", 1)
    _title_block(sheet, out, part, marks)
    if views:
        draw_views(sheet, views)
    _material(sheet, part, marks)
    if out.request.quantities_on_data_sheets:
        _quantities(sheet, out, part)
    _characteristics(sheet, part, general, marks)
    _general(sheet, out, part, general)
    _finishes(sheet, part, marks)
    _asked(sheet, out, part)
    caution_block(sheet, part)
    proposal_block(sheet, part)


# --- blocks -------------------------------------------------------------------------------


def _title_block(sheet: Sheet, out: Outgoing, part: Part, marks: Mapping[str, str]) -> None:
    """Ruled fields as on a drawing: number, revision, title, files with their short hashes."""
    left, right, top = sheet.left, sheet.right, sheet.y
    wide = right - left
    high = 34.0
    cells = (
        ("Part number", part.number, 0.36, 15.0),
        ("Revision", part.revision, 0.12, 15.0),
        ("Title", part.name, 0.52, 12.0),
    )
    x = left
    for label, text, share, size in cells:
        width = wide * share
        sheet.box(x, top - high, width, high, line=0.7)
        sheet.text(x + 4, top - 9, label, LABEL)
        style = Style(size, BOLD, size)
        while size > 9 and clip(text, width - 8, size, BOLD) != text:
            size -= 1
            style = Style(size, BOLD, size)
        sheet.text(x + 4, top - high + 7, clip(text, width - 8, size, BOLD), style)
        x += width
    sheet.y = top - high
    drawing = "none: this sheet governs" + (", and the model" if part.model else "")
    if part.drawing is not None:
        drawing = f"{_file(part.drawing)}; the drawing governs"
    small = (
        ("Drawing", drawing, 0.5),
        ("Model", _file(part.model) if part.model else "none", 0.5),
    )
    fields = [
        (label, wrap(text, wide * share - 8, SMALL.size)[:2], share) for label, text, share in small
    ]
    high = 13.0 + 8.6 * max(len(lines) for _, lines, _ in fields)
    x, top = left, sheet.y
    for label, lines, share in fields:
        width = wide * share
        sheet.box(x, top - high, width, high, line=0.7)
        sheet.text(x + 4, top - 9, label, LABEL)
        for place, line in enumerate(lines):
            sheet.text(x + 4, top - 18 - 8.6 * place, line, SMALL)
        x += width
    sheet.y = top - high
    if marks:
        sheet.change_bar(sheet.y, 34 + high)
        sheet.y -= 3
        sheet.paragraph(
            f"Changed in revision {out.request.revision} (bars in the margin): "
            + "; ".join(dict.fromkeys(marks.values())),
            STRONG,
            changed=True,
        )
    sheet.y -= 2


def _file(ref: FileRef) -> str:
    name = ref.path.replace("\\", "/").rsplit("/", 1)[-1]
    return name + (f" (SHA-256 {ref.sha256[:8]}…)" if ref.sha256 else "")


def _material(sheet: Sheet, part: Part, marks: Mapping[str, str]) -> None:
    sheet.heading("Material")
    material = " ".join(word for word in (part.material, part.temper) if word)
    facts(
        sheet,
        (
            ("Material", material),
            ("Standard", part.material_standard),
            ("Form of stock", part.form),
            ("Condition, notes", part.material_note),
            ("Certificate", _CERTIFICATES.get(part.certificate, "")),
            ("Also allowed", ", ".join(part.other_materials)),
            ("Supplied by us", part.customer_supplied),
        ),
        changed=frozenset(
            name
            for name, keys in (
                ("Material", ("material", "temper")),
                ("Standard", ("material_standard",)),
                ("Form of stock", ("form",)),
                ("Certificate", ("certificate",)),
            )
            if any(key in marks for key in keys)
        ),
    )


def _quantities(sheet: Sheet, out: Outgoing, part: Part) -> None:
    line = out.request.line(part.number)
    if line is None:
        return
    day = out.need_date(part)
    facts(
        sheet,
        (
            (
                "Quantities asked",
                ", ".join(f"{q:,}".replace(",", " ") for q in line.quantities) + " pcs",
            ),
            ("Wanted", day_in_words(day) if day else ""),
        ),
    )


def _characteristics(sheet: Sheet, part: Part, general: General, marks: Mapping[str, str]) -> None:
    sheet.heading("Characteristics")
    if not part.callouts:
        sheet.paragraph("All characteristics are on the drawing; none is picked out here.")
        return
    governs = (
        "An extract of the drawing for quoting; the drawing governs."
        if part.drawing is not None
        else "There is no drawing: this table governs, with the model for everything else."
    )
    sheet.paragraph(
        f"{governs} Limits are computed from the tolerance class or the general tolerance. "
        "A double ring is checked on every piece; 'open' may be changed by agreement; (E) asks for "
        "perfect form at maximum material.",
        SMALL,
    )
    sheet.y -= 3
    stated = [
        state(callout, general, inch=part.inch, coatings=part.finishes) for callout in part.callouts
    ]
    # A column nobody fills gives its room to the words.
    measured = any(callout.measured_with for callout in part.callouts)
    columns = _COLUMNS if measured else _UNMEASURED
    rows = [_row(one, f"callout {one.callout.number}" in marks, measured) for one in stated]
    table(sheet, columns, rows, style=_ROW)


def _row(stated: Stated, changed: bool, measured: bool) -> Row:
    callout = stated.callout
    lower, upper, unit, words = [], [], [], []
    for bounds in stated.bounds:
        lower.append(bounds.lower)
        upper.append(bounds.upper)
        unit.append(bounds.unit)
        if bounds.name:
            words.append(bounds.name)
        if bounds.inch_lower or bounds.inch_upper:
            lower.append(bounds.inch_lower)
            upper.append(bounds.inch_upper)
            unit.append("in")
            if bounds.name:
                words.append("")
    words.append(stated.words)
    what = callout.what or stated.kind
    if callout.what and stated.kind and stated.kind not in callout.what.lower():
        what = f"{callout.what} ({stated.kind})"
    cells: list[Cell] = [
        Drawn(13.0, _ring(callout.number, callout.critical)),
        what,
        shown(callout, stated.spec, _DRAWING_ROOM),
        "\n".join(lower),
        "\n".join(upper),
        "\n".join(unit),
        "\n".join(words),
        ", ".join(word for word in (str(callout.sheet), callout.zone) if word),
        *([callout.measured_with] if measured else []),
        callout.state,
    ]
    return Row(cells, changed)


def _ring(text: str, critical: bool) -> Callable[[Sheet, float, float, float], None]:
    def paint(sheet: Sheet, x: float, top: float, width: float) -> None:
        balloon(sheet, x + width / 2, top - 6.2, text, critical=critical)

    return paint


def _general(sheet: Sheet, out: Outgoing, part: Part, general: General) -> None:
    request = out.request
    sheet.need(90)  # six short lines that are read together
    sheet.heading("Where nothing else is said")
    facts(
        sheet,
        (
            (
                "Rules of reading",
                "ISO 8015 and the ISO GPS standards"
                if request.rule_set == "ISO GPS"
                else request.rule_set,
            ),
            ("General tolerances", general.tolerance),
            (
                "Surface texture",
                " ".join(
                    w
                    for w in (
                        general.roughness,
                        f"({general.texture_edition})" if general.texture_edition else "",
                    )
                    if w
                ),
            ),
            ("Edges", general.edges),
            ("Datum system", request.datum_system),
            ("Conformity", request.terms.decision_rule),
            ("Visible faces", part.cosmetic),
        ),
    )


def _finishes(sheet: Sheet, part: Part, marks: Mapping[str, str]) -> None:
    sheet.heading("Finish", ruled=not part.finishes)
    if not part.finishes:
        sheet.paragraph("None: as machined, clean and dry.")
        return
    rows = [
        Row([finish.name, _standard(finish), _thickness(finish), finish.colour, _masks(finish),
             finish.note, finish.state], "finishes" in marks)
        for finish in part.finishes
    ]  # fmt: skip
    table(
        sheet,
        (
            Column("Finish", 96),
            Column("Standard, class", 96),
            Column("Thickness in µm", 50),
            Column("Colour", 60),
            Column("Masked", 110),
            Column("Notes", 110),
            Column("State", 30),
        ),
        rows,
        style=_ROW,
    )


def _standard(finish: Finish) -> str:
    return ", ".join(word for word in (finish.standard, finish.grade) if word)


def _thickness(finish: Finish) -> str:
    return number(finish.thickness_um) if finish.thickness_um is not None else "as the class"


def _masks(finish: Finish) -> str:
    if not finish.masks and not finish.masked:
        return "nothing"
    count = f"{finish.masks}: " if finish.masks else ""
    return f"{count}{finish.masked}".rstrip(": ")


def _asked(sheet: Sheet, out: Outgoing, part: Part) -> None:
    terms = out.request.terms
    first = ""
    if terms.first_article:
        first = (
            "one piece with a report of every numbered characteristic; the lot after our "
            f"written release within {terms.first_article_answer_days} working days"
        )
    pairs = (
        ("First article", first),
        ("Sampling", terms.sampling),
        ("Packing", terms.packing),
        ("Marking", part.marking or terms.marking),
        ("Assembly steps", part.assembly),
        ("Tariff code", part.tariff_code),
        (
            "Export control",
            "controlled: do not pass on" if part.export_control == "controlled" else "",
        ),
        ("Note", part.shop_note),
    )
    if any(text for _, text in pairs):
        sheet.heading("Checks, packing, marking")
        facts(sheet, pairs)

"""What a model told, for ourselves: views with numbered findings, figures typed and measured.

Internal, and marked so on every page: it says what we think costs without need.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from rfq.documents.look import SMALL, TITLE, Running, Sheet
from rfq.documents.tables import Column, Row, table
from rfq.documents.views import View, draw_views

INTERNAL: Final = "INTERNAL: what we find in the shape. Not for shops."
CAUTION: Final = (
    "A changed corner, wall or size of a part that carries load, pressure or people goes back to "
    "the responsible engineer before it is asked for. What a model cannot tell (material, temper, "
    "finish, which tolerances matter) is not here."
)


@dataclass(frozen=True, slots=True)
class Marked:
    """A finding with its number: in words, where (x y z in mm) and from where it is seen."""

    number: str
    words: str
    where: str = ""
    seen: str = ""
    view: str = ""  # the view its balloon stands in


def shape_pdf(
    *,
    title: str,
    source: str,
    views: Sequence[View],
    findings: Sequence[Marked],
    figures: Sequence[tuple[str, str, str, str]],
    remarks: Sequence[str] = (),
    when: datetime,
    paper: str = "A4",
) -> bytes:
    """Return the sheet as PDF.

    Args:
        title: part number, revision and name. source: the model's name and hash.
        views: of the model, the findings pinned in them.
        findings: in the order of their numbers.
        figures: name, typed, measured, where from.
        remarks: what stands against the measurement, one sentence each.
        when: the moment written into the file. paper: 'A4' or 'Letter'.
    """
    sheet = Sheet(
        paper=paper,
        title=f"Measured {title}",
        running=Running(f"Measured: {title}", INTERNAL, source),
        when=when,
        subject="figures and findings of a model",
    )
    sheet.bookmark(title)
    sheet.y -= TITLE.leading
    sheet.text(sheet.left, sheet.y + 4, title, TITLE)
    sheet.gap(5)
    sheet.paragraph(f"From {source}.", SMALL)
    for remark in remarks:
        sheet.paragraph(remark)
    draw_views(sheet, views)
    sheet.heading("Findings", mark="Findings")
    if findings:
        rows = [Row([f.number, f.words, f.where, f.seen, f.view]) for f in findings]
        table(
            sheet,
            (
                Column("No.", 20, "centre"),
                Column("What is there, and what would cost less", 250),
                Column("At x, y, z in mm", 84),
                Column("Seen", 56),
                Column("View", 44),
            ),
            rows,
        )
        sheet.gap(4)
        sheet.paragraph(CAUTION, SMALL)
    else:
        sheet.paragraph("Nothing in the shape costs without need, as far as the model tells.")
    sheet.heading("Figures", mark="Figures")
    table(
        sheet,
        (
            Column("figure", 150),
            Column("typed", 90, "right"),
            Column("measured", 90, "right"),
            Column("where from", 150),
        ),
        [Row(list(row)) for row in figures],
    )
    return sheet.finish()

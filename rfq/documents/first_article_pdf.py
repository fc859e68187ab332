"""A first article on paper: the empty form, or the results with their verdicts."""

from __future__ import annotations

from datetime import datetime

from rfq.documents.limits import General, state
from rfq.documents.look import SMALL, TITLE, Running, Sheet
from rfq.documents.tables import Column, Row, facts, table
from rfq.engine.first_article.verdicts import ArticleVerdict
from rfq.engine.first_article.what_to_do import DISPOSITIONS, LOADED
from rfq.engine.standards.sampling import in_words
from rfq.model.award import FirstArticle, Order
from rfq.model.part import Part
from rfq.model.request import Request
from rfq.model.spec import Datum


def first_article_form_pdf(
    part: Part,
    request: Request | None,
    order: Order | None,
    when: datetime,
    *,
    pieces: int = 1,
    paper: str = "A4",
    company: str = "",
) -> bytes:
    """Return the empty form to print: numbered like the package, a column a piece."""
    sheet = _sheet(part, order, when, paper, "first article report")
    _head(sheet, part, request, order, company)
    sheet.heading("Material, special processes, tests", mark="Material and processes", ruled=False)
    rows = [Row([f"{part.material} {part.temper}".strip(), part.certificate or "none", "", ""])]
    rows += [Row([f"{f.name} {f.grade}".strip(), f.standard, "", ""]) for f in part.finishes]
    table(
        sheet,
        (Column("Asked", 3), Column("Standard, certificate", 2), Column("Done by", 2.5),
         Column("Heat or certificate number", 2.5)),
        rows,
    )  # fmt: skip
    sheet.heading("Characteristics", mark="Characteristics", ruled=False)
    columns = (
        Column("No", 0.7), Column("What", 2.2), Column("Asked", 2), Column("Limits", 2.2),
        Column("of", 0.5, "right"),
        *(Column(f"Piece {n}", 1.4) for n in range(1, pieces + 1)),
        Column("Gauge, uncertainty", 1.8),
    )  # fmt: skip
    general = General.of(part, request)
    lines = []
    for callout in part.callouts:
        if isinstance(callout.spec.value, Datum):
            continue
        stated = state(callout, general)
        limits = "; ".join(b.words for b in stated.bounds)
        for instance in range(1, callout.times + 1):
            lines.append(
                Row([callout.number, callout.what, callout.text, limits,
                     f"{instance}/{callout.times}" if callout.times > 1 else "",
                     *([""] * pieces), callout.measured_with])
            )  # fmt: skip
    table(sheet, columns, lines)
    _signatures(sheet)
    return sheet.finish()


def first_article_report(
    part: Part,
    request: Request | None,
    order: Order | None,
    article: FirstArticle,
    judged: ArticleVerdict,
    when: datetime,
    *,
    paper: str = "A4",
    company: str = "",
) -> bytes:
    """Return the results with their verdicts, the rule they follow, and what to do. Internal."""
    sheet = _sheet(part, order, when, paper, "first article results")
    _head(sheet, part, request, order, company)
    facts(
        sheet,
        [
            ("Rule", judged.rule + "; who measures bears the burden of proof"),
            ("Pieces", ", ".join(map(str, judged.pieces))),
            ("Advice", judged.advice),
            ("Decision", DISPOSITIONS.get(article.disposition, "not decided yet")),
            ("By", article.by),
            ("Reason", article.reason),
            ("Lot", "released" if article.released else "not released"),
            ("Checks of the lot", _checks(part, request, order)),
            ("Caution", LOADED if part.loaded else ""),
        ],
    )
    sheet.heading("Characteristics", mark="Characteristics", ruled=False)
    columns = (
        Column("No", 0.6), Column("What", 1.8), Column("Asked", 1.8), Column("Piece", 0.7),
        Column("Value", 1.2, "point"), Column("Plain", 1), Column("Proof", 1.7),
        Column("In words, and what to do", 4.6),
    )  # fmt: skip
    rows = []
    for one in judged.callouts:
        callout = one.asked.callout
        for found in one.results:
            result = found.result
            times = f".{result.instance}" if one.asked.times > 1 else ""
            words = found.words + (f". To do: {found.to_do}" if found.to_do else "")
            rows.append(
                Row(
                    [callout.number, callout.what, callout.text, f"{result.piece}{times}",
                     str(result.value) if result.value is not None else result.attribute,
                     found.plain, found.proof, words],
                    strong=found.state in ("failed", "undecided"),
                )
            )  # fmt: skip
        if one.missing:
            rows.append(
                Row([callout.number, callout.what, callout.text, "", "", "", "missing",
                     one.missing], strong=True)
            )  # fmt: skip
    table(sheet, columns, rows, style=SMALL)
    return sheet.finish()


def _sheet(part: Part, order: Order | None, when: datetime, paper: str, subject: str) -> Sheet:
    return Sheet(
        paper=paper,
        title=f"First article {part.number} {part.revision}",
        running=Running(
            f"First article {part.number} {part.revision}", order.id if order else "", part.name
        ),
        when=when,
        subject=subject,
    )


def _head(
    sheet: Sheet, part: Part, request: Request | None, order: Order | None, company: str
) -> None:
    sheet.y -= TITLE.leading
    sheet.text(sheet.left, sheet.y + 4, "First article", TITLE)
    sheet.gap(5)
    facts(
        sheet,
        [
            ("For", company),
            ("Part", f"{part.number}, revision {part.revision}: {part.name}"),
            ("Order", order.id if order else ""),
            ("Request", f"{request.id}, revision {request.revision}" if request else ""),
            ("Drawing", part.drawing.path.rpartition("/")[2] if part.drawing else ""),
        ],
    )


def _checks(part: Part, request: Request | None, order: Order | None) -> str:
    """How the lot is checked after release: as asked, else the plain offer for its size."""
    if request is not None and request.terms.sampling:
        return request.terms.sampling
    lots = [line.quantity for line in order.lines if line.part == part.number] if order else []
    return in_words(lots[0]) if lots else ""


def _signatures(sheet: Sheet) -> None:
    sheet.gap(14)
    sheet.need(30)
    sheet.y -= 26
    for x, words in ((sheet.left, "measured by, day"), (sheet.left + 190, "released by, day")):
        sheet.rule(x, sheet.y, x + 170, sheet.y, 0.6)
        sheet.text(x, sheet.y - 9, words, SMALL)

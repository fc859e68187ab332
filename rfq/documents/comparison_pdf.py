"""The comparison as a PDF for ourselves: a page to decide from, then the pictures and reasons.

Internal, and marked so on every page: it holds should-costs and every shop's prices. Black and
greys only; each shop has a letter, so that nothing hangs on colour.
"""

from __future__ import annotations

from datetime import UTC, datetime, time
from decimal import Decimal
from typing import Final

from rfq.documents import comparison_pictures as pictures
from rfq.documents.look import BOLD, SMALL, TITLE, Running, Sheet, Style
from rfq.documents.tables import Column, Row, table
from rfq.model.codes import CellState, Verdict
from rfq.model.comparison import Comparison, Line, PriceCell
from rfq.model.estimate import RouteComparison
from rfq.model.project import Project

INTERNAL: Final = "INTERNAL: should-costs and every shop's prices. Not for shops."
CAUTION: Final = (
    "A should-cost is an estimate for talking about price; its times are not machine settings. "
    "A change of material, temper, finish or tolerance on a part that carries load goes back to "
    "the responsible engineer before it is asked for."
)
_ODD: Final = (Verdict.QUERY, Verdict.LIKELY_ERROR)


def comparison_pdf(
    project: Project,
    comparison: Comparison,
    *,
    routes: tuple[RouteComparison, ...] = (),
    paper: str = "A4",
) -> bytes:
    """Return the comparison as PDF.

    Args:
        project: for names and settings.
        comparison: of one round.
        routes: ways to make single parts, drawn over quantity.
        paper: 'A4' or 'Letter'.
    """
    when = datetime.combine(comparison.as_of, time(12), UTC)
    title = f"Comparison {comparison.request}, round {comparison.round}"
    sheet = Sheet(
        paper=paper,
        title=title,
        running=Running(title, INTERNAL, f"{comparison.project}, as of {comparison.as_of}"),
        when=when,
        subject="comparable prices",
    )
    letters = {shop.shop: chr(65 + index) for index, shop in enumerate(comparison.shops)}
    _summary(sheet, project, comparison, letters)
    sheet.new_page()
    sheet.heading("Prices on the should-cost band", mark="Prices on the band", level=0)
    pictures.legend(sheet, letters)
    pictures.dots(sheet, comparison, letters)
    _odd_prices(sheet, comparison)
    _bridges(sheet, comparison)
    for one in routes:
        pictures.routes(sheet, one)
    _all_prices(sheet, comparison)
    return sheet.finish()


def _summary(
    sheet: Sheet, project: Project, comparison: Comparison, letters: dict[str, str]
) -> None:
    sheet.bookmark("Summary")
    sheet.y -= TITLE.leading
    sheet.text(sheet.left, sheet.y + 4, project.settings.name, TITLE)
    sheet.paragraph(
        f"Request {comparison.request}, round {comparison.round}: {comparison.currency} per "
        f"accepted piece, landed, full scope, as if paid on delivery; as of {comparison.as_of}."
    )
    sheet.gap(4)
    sheet.paragraph(verdict_sentence(comparison), Style(11, BOLD, 14))
    sheet.heading("Shops", mark="Shops", ruled=False)
    rows = [
        Row(
            [
                f"{letters[shop.shop]}  {shop.shop}",
                "none" if shop.level is None else f"{shop.level:+.0%}",
                ""
                if shop.level_low is None or shop.level_high is None
                else f"{shop.level_low:+.0%} to {shop.level_high:+.0%}",
                f"{shop.lines_quoted} of {shop.lines_asked}",
                money(shop.total),
                money(shop.paid_before_delivery),
                shop.date.isoformat() if shop.date else "not known",
            ]
        )
        for shop in comparison.shops
    ]
    table(
        sheet,
        [
            Column("shop", 2.2),
            Column("price level", 1.1, "right"),
            Column("interval (90 %)", 1.7),
            Column("lines quoted", 1.2),
            Column("total of like lines", 1.6, "point"),
            Column("paid before delivery", 1.6, "point"),
            Column("comparable date", 1.4),
        ],
        rows,
    )
    like = ", ".join(comparison.like_set[:12])
    more = len(comparison.like_set) - 12
    if like:
        sheet.gap(4)
        sheet.paragraph(f"Like lines: {like}{f' and {more} more' if more > 0 else ''}.", SMALL)
    sheet.gap(6)
    pictures.levels(sheet, comparison, letters)
    changes = [one for one in comparison.what_ifs if one.changes]
    sheet.heading("What would change the winner", mark="What decides")
    if not changes:
        sheet.paragraph("Nothing that was tried: quantity, one-offs, exchange rates, money, yield.")
    for one in changes:
        sheet.paragraph(f"{one.name}: {one.winner} would be lowest. {one.note}".strip(), hang="")
    if comparison.exchange:
        sheet.gap(4)
        sheet.paragraph("Exchange rates used: " + "; ".join(comparison.exchange) + ".", SMALL)
    sheet.gap(6)
    sheet.paragraph(CAUTION, SMALL)


def verdict_sentence(comparison: Comparison) -> str:
    """Return the page's answer in words: who is lowest, by how much, and what is open."""
    totals = sorted((s.total, s.shop) for s in comparison.shops if s.total is not None)
    odd = sum(cell.verdict in _ODD for line in comparison.lines for cell in line.prices)
    if not totals:
        start = "No two shops have like lines that may be ranked yet."
    elif len(totals) == 1:
        start = f"Only {totals[0][1]} has a total: {money(totals[0][0])} {comparison.currency}."
    else:
        (first, lowest), (second, next_) = totals[0], totals[1]
        apart = (second - first) / first * 100 if first else Decimal(0)
        start = (
            f"{lowest} is lowest over the like lines, {money(first)} {comparison.currency}; "
            f"{next_} follows {apart:.1f} % above."
        )
    asked = f" {odd} prices to ask about first." if odd else " No price looks odd."
    return start + asked


def _odd_prices(sheet: Sheet, comparison: Comparison) -> None:
    rows = [
        (line, cell)
        for line in comparison.lines
        for cell in line.prices
        if cell.verdict in _ODD or cell.missing_scope or cell.exceptions
    ]
    sheet.heading("Odd prices, missing scope and exceptions, with the reason", level=0)
    if not rows:
        sheet.paragraph("None.")
    for line, cell in rows:
        sheet.need(60)
        said = cell.verdict.value if cell.verdict else ""
        sheet.paragraph(
            f"{cell.shop}, {line.part}, {line.quantity} pcs: {money(cell.comparable)} "
            f"{comparison.currency}, {said}",
            Style(8.5, BOLD, 11),
        )
        if cell.slip is not None:
            sheet.paragraph(
                f"may be {cell.slip.name}, which explains {cell.slip.fit:.0%} of the distance"
                + (f"; next {cell.slip.next_best}" if cell.slip.next_best else ""),
                indent=12,
            )
        if cell.reason:
            sheet.paragraph(cell.reason, indent=12)
        if cell.missing_scope:
            sheet.paragraph(f"not in the price: {', '.join(cell.missing_scope)}", indent=12)
        for taken in cell.exceptions:
            sheet.paragraph(f"exception: {taken}", indent=12)
        if cell.question:
            sheet.paragraph(f"ask: {cell.question}", indent=12)
        sheet.gap(3)


def _bridges(sheet: Sheet, comparison: Comparison) -> None:
    sheet.heading("From the quoted to the comparable price: the lowest of each line", level=0)
    for line in comparison.lines:
        best = next((cell for cell in line.prices if cell.rank == 1), None)
        if best is not None and _ordered(comparison, line):
            pictures.waterfall(sheet, line, best, comparison.currency)


def _ordered(comparison: Comparison, line: Line) -> bool:
    """One quantity a part is enough here: the second of its breaks, or its only one."""
    mine = [one.quantity for one in comparison.lines if one.part == line.part]
    return line.quantity == (mine[1] if len(mine) > 1 else mine[0])


def _all_prices(sheet: Sheet, comparison: Comparison) -> None:
    sheet.heading("All prices", level=0, ruled=False)
    shops = [shop.shop for shop in comparison.shops]
    columns = [
        Column("line", 1.3),
        Column("pcs", 0.6, "right"),
        Column("should-cost low / middle / high", 2.6, "right"),
        *(Column(shop, 1.9, "right") for shop in shops),
    ]
    rows = []
    for line in comparison.lines:
        band = line.should_cost
        cells = {cell.shop: cell for cell in line.prices}
        rows.append(
            Row(
                [
                    f"{line.part} {line.revision}",
                    str(line.quantity),
                    f"{money(band.low)} / {money(band.middle)} / {money(band.high)}"
                    if band
                    else "none",
                    *(_short(cells.get(shop)) for shop in shops),
                ]
            )
        )
    table(sheet, columns, rows, style=Style(7, leading=9))


def _short(cell: PriceCell | None) -> str:
    if cell is None:
        return ""
    if cell.comparable is None:
        return cell.state.value
    words = [money(cell.comparable)]
    if cell.state is not CellState.QUOTED:
        words.append(cell.state.value)
    if cell.verdict not in (None, Verdict.IN_LINE):
        words.append(cell.verdict.value if cell.verdict else "")
    return "\n".join(words)  # the figure alone on its line, so that the points stay in column


def money(amount: Decimal | None) -> str:
    """Return money with two digits and thin groups; a dash where there is none."""
    return "–" if amount is None else f"{amount:,.2f}".replace(",", " ")

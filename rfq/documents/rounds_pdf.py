"""The rounds of a request on a page: a timeline, who answered when, what moved. Internal."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final

from rfq.documents.look import LABEL, SMALL, TITLE, Running, Sheet, Style, clip
from rfq.documents.tables import Column, Row, facts, table
from rfq.engine.negotiate.movement import KINDS, Movement
from rfq.engine.negotiate.state import RequestState
from rfq.model.project import Project

_ROW: Final = 15.0
_NAMES: Final = 110.0


def rounds_pdf(
    project: Project,
    state: RequestState,
    moved: tuple[Movement, ...],
    when: datetime,
    *,
    paper: str = "A4",
) -> bytes:
    """Return the rounds of a request as a document.

    Args:
        project: for names. state: of the request. moved: between the last two rounds.
        when: the moment it is seen from.
    """
    request = state.request
    sheet = Sheet(
        paper=paper,
        title=f"Rounds of request {request.id}",
        running=Running(f"Rounds of {request.id}", request.title, "internal: not for shops"),
        when=when,
        subject="rounds",
    )
    sheet.y -= TITLE.leading
    sheet.text(sheet.left, sheet.y + 4, "Rounds", TITLE)
    sheet.gap(5)
    facts(
        sheet,
        [
            ("Request", f"{request.id}, revision {request.revision}: {request.title}"),
            ("Stands", state.next_step),
        ],
    )
    if state.rounds:
        _timeline(sheet, project, state, when)
        _answers(sheet, project, state)
    if moved:
        _movement(sheet, project, moved)
    _questions(sheet, state)
    return sheet.finish()


def _timeline(sheet: Sheet, project: Project, state: RequestState, when: datetime) -> None:
    """Bars for rounds over days, a dot for each answer, a stroke for each cut-off."""
    sheet.heading("Timeline", mark="Timeline")
    moments = [one.round.opened for one in state.rounds] + [when]
    for one in state.rounds:
        moments += [m for m in (one.round.cut_off, one.round.closed) if m is not None]
        moments += [shop.received for shop in one.shops if shop.received is not None]
    first, last = min(moments), max(moments)
    span = max((last - first).total_seconds(), 86_400.0)
    left, right = sheet.left + _NAMES, sheet.right - 6

    def at(moment: datetime) -> float:
        return left + (right - left) * (moment - first).total_seconds() / span

    shops = list(dict.fromkeys(shop.shop for one in state.rounds for shop in one.shops))
    sheet.need((len(shops) + 2) * _ROW + 20)
    top = sheet.y - 4
    bottom = top - (len(shops) + 1) * _ROW
    for one in state.rounds:
        end = one.round.closed or max(when, one.round.cut_off or when)
        x, width = at(one.round.opened), at(end) - at(one.round.opened)
        sheet.box(x, top - _ROW + 3, max(width, 2), _ROW - 4, line=0.6, grey=0.9)
        words = f"round {one.round.number}" + (", last" if one.round.last else "")
        sheet.text(x + 3, top - _ROW + 6, clip(words, max(width - 4, 30), 7), LABEL)
        if one.round.cut_off is not None:
            x = at(one.round.cut_off)
            sheet.path([(x, top - 1), (x, bottom)], width=0.6, dash=(3, 2))
    for row, shop in enumerate(shops):
        y = top - (row + 2) * _ROW + 4
        name = project.shops[shop].name if shop in project.shops else shop
        sheet.text(sheet.left, y, clip(name, _NAMES - 6, 8), Style(8))
        sheet.rule(left, y + 2.5, right, y + 2.5, 0.25)
        for one in state.rounds:
            for answer in one.shops:
                if answer.shop == shop and answer.received is not None:
                    late = answer.answer == "answered late"
                    sheet.circle(at(answer.received), y + 2.5, 2.6, 1.4 if not late else 0.5)
    sheet.y = bottom - 4
    days = max(1, int(span // 86_400))
    step = max(1, days // 6)
    day = first.replace(hour=0, minute=0, second=0, microsecond=0) + timedelta(days=1)
    while day <= last:
        sheet.text(at(day), sheet.y - 6, f"{day:%d %b}", LABEL, "centre")
        day += timedelta(days=step)
    sheet.y -= 12
    sheet.paragraph(
        "Heavy rings: answers in time; thin rings: late. Broken lines: cut-offs.", SMALL
    )


def _answers(sheet: Sheet, project: Project, state: RequestState) -> None:
    for one in state.rounds:
        this = one.round
        title = f"Round {this.number}, request revision {this.revision}"
        sheet.heading(title + (" (announced as the last)" if this.last else ""), mark=title)
        cut = f"{this.cut_off:%Y-%m-%d %H:%M %z}" if this.cut_off else "none"
        closed = f"{this.closed:%Y-%m-%d %H:%M %z}" if this.closed else "open"
        facts(
            sheet,
            [
                ("Opened", f"{this.opened:%Y-%m-%d %H:%M %z}"),
                ("Cut-off", cut),
                ("Closed", closed),
                ("For", this.argument),
                ("Content", this.request_sha256[:8]),
            ],
        )
        rows = [
            Row(
                [
                    project.shops[shop.shop].name if shop.shop in project.shops else shop.shop,
                    shop.answer,
                    f"{shop.priced} of {len(shop.asked)}",
                    f"{shop.received:%Y-%m-%d %H:%M}" if shop.received else "",
                    str(shop.revision or ""),
                ]
            )
            for shop in one.shops
        ]
        table(sheet, _SHOPS, rows)


_SHOPS = (
    Column("Shop", 3),
    Column("Answer", 3),
    Column("Parts priced", 1.5, "right"),
    Column("Received", 2.4),
    Column("Rev. answered", 1.4, "right"),
)


def _movement(sheet: Sheet, project: Project, moved: tuple[Movement, ...]) -> None:
    sheet.heading(f"What moved, {project.settings.currency} a piece", mark="What moved")
    columns = (
        Column("Part", 1.6), Column("Pcs", 0.8, "right"), Column("Shop", 2),
        Column("Before", 1.3, "point"), Column("After", 1.3, "point"),
        *(Column(kind.capitalize(), 1.3, "point") for kind in KINDS),
    )  # fmt: skip
    rows = [
        Row(
            [
                one.part, str(one.quantity), one.shop, f"{one.before:.2f}", f"{one.after:.2f}",
                *(f"{one.parts[kind]:+.2f}" if one.parts[kind] else "" for kind in KINDS),
            ]
        )
        for one in moved
        if one.whole
    ]  # fmt: skip
    if rows:
        table(sheet, columns, rows)
    else:
        sheet.paragraph("No price moved.")


def _questions(sheet: Sheet, state: RequestState) -> None:
    if not state.questions and not state.exceptions:
        return
    sheet.heading("Questions and exceptions", mark="Questions and exceptions")
    for one in state.questions:
        who = one.raised_by or (f"to {one.to_shop}" if one.to_shop else "ours")
        sheet.paragraph(
            f"{who}, {one.kind}, {one.state}: {one.question}"
            + (f" - {one.answer}" if one.answer else ""),
            indent=10,
            hang="–",
        )
    for wish in state.exceptions:
        taken = wish.taken
        about = f"{taken.part} {taken.callout}".strip()
        sheet.paragraph(
            f"{wish.quote.shop}, {about}, {taken.state}: {taken.text}"
            + (f" ({taken.reason})" if taken.reason else ""),
            indent=10,
            hang="–",
        )

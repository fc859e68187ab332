"""The decision record of an award: who, what, why, at which price, and what was refused.

Internal: it holds every shop's figures and is marked so on each page.
"""

from __future__ import annotations

from decimal import Decimal

from rfq.documents.look import BODY, SMALL, STRONG, TITLE, Running, Sheet
from rfq.documents.order_data import money_text
from rfq.documents.tables import Column, Row, facts, table
from rfq.model.award import Award, Proposal
from rfq.model.project import Project


def award_pdf(
    project: Project, award: Award, proposals: tuple[Proposal, ...] = (), *, paper: str = "A4"
) -> bytes:
    """Return the decision record.

    Args:
        project: for names. award: the decision.
        proposals: all that were looked at, the chosen one among them.
    """
    request = project.requests[award.request]
    currency = project.settings.currency
    sheet = Sheet(
        paper=paper,
        title=f"Award {award.id}, request {award.request}",
        running=Running(f"Award {award.id}", f"request {award.request}", "internal: not for shops"),
        when=award.decided_at,
        subject="decision record",
    )
    sheet.y -= TITLE.leading
    sheet.text(sheet.left, sheet.y + 4, "Decision record", TITLE)
    sheet.gap(5)
    facts(
        sheet,
        [
            ("Project", project.settings.name),
            ("Request", f"{request.id}, revision {request.revision}: {request.title}"),
            ("Round", str(award.round)),
            ("Decided", f"{award.decided_at:%Y-%m-%d %H:%M %z} by {award.by}"),
            ("Proposal", award.proposal.name),
            ("Total", f"{award.proposal.total} {currency}, comparable, landed"),
            ("Last date", award.proposal.last_date.isoformat() if award.proposal.last_date else ""),
            ("Paid before delivery", _money(award.proposal.paid_before_delivery, currency)),
            ("Why", award.reason),
        ],
    )
    sheet.heading("Who makes what", mark="Who makes what", ruled=False)
    table(sheet, _SHARES, [_share(project, award, place) for place in range(_count(award))])
    if len(proposals) > 1:
        sheet.heading("Proposals side by side", mark="Proposals", ruled=False)
        table(sheet, _PROPOSALS, [_proposal(one, award, currency) for one in proposals])
    if award.proposal.rule_prices:
        sheet.heading("What each rule costs", mark="Rules", ruled=False)
        rows = [
            Row([name, money_text(price), currency])
            for name, price in award.proposal.rule_prices.items()
        ]
        table(sheet, (Column("Rule", 6), Column("Costs", 2, "point"), Column("", 1)), rows)
    _list(sheet, "What was refused", award.refused)
    _list(sheet, "Cautions", award.cautions)
    return sheet.finish()


_SHARES = (
    Column("Part", 2),
    Column("Rev.", 0.7),
    Column("Shop", 2.6),
    Column("Pcs", 0.9, "right"),
    Column("Comparable, each", 1.6, "point"),
    Column("Quoted, each", 1.6, "point"),
    Column("", 0.8),
    Column("Why", 3.6),
)
_PROPOSALS = (
    Column("Proposal", 3),
    Column("Total", 1.6, "point"),
    Column("", 0.8),
    Column("Last date", 1.6),
    Column("Before delivery", 1.6, "point"),
    Column("Shops", 4),
)


def _count(award: Award) -> int:
    return len(award.proposal.shares)


def _share(project: Project, award: Award, place: int) -> Row:
    share = award.proposal.shares[place]
    shop = project.shops[share.shop].name if share.shop in project.shops else share.shop
    return Row(
        [
            share.part,
            share.revision,
            shop,
            str(share.quantity),
            f"{share.comparable_each:.2f}",
            money_text(share.quoted_each) if share.quoted_each is not None else "",
            share.currency,
            share.reason,
        ]
    )


def _proposal(one: Proposal, award: Award, currency: str) -> Row:
    return Row(
        [
            one.name,
            str(one.total),
            currency,
            one.last_date.isoformat() if one.last_date else one.note,
            f"{one.paid_before_delivery}" if one.paid_before_delivery is not None else "",
            ", ".join(one.shops),
        ],
        strong=one.name == award.proposal.name,
    )


def _list(sheet: Sheet, title: str, texts: tuple[str, ...]) -> None:
    if not texts:
        return
    sheet.heading(title, mark=title)
    style = BODY if len(texts) < 12 else SMALL
    for text in texts:
        sheet.paragraph(text, style, indent=10, hang="–")
    sheet.gap(STRONG.leading / 2)


def _money(amount: Decimal | None, currency: str) -> str:
    return f"{amount} {currency}" if amount is not None else ""

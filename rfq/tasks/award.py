"""Propose awards, choose one, and write what follows from it: record, letters, orders."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

from rfq.documents.award_pdf import award_pdf
from rfq.documents.letter import ShopLetter, bulleted, words_for
from rfq.documents.order_data import money_text, order_csv, order_json
from rfq.engine.award.acknowledgement import order_total
from rfq.engine.award.options_of import Wanted, wanted_of
from rfq.engine.award.proposals import proposals_of
from rfq.engine.award.reasons import cautions, refused
from rfq.engine.normalise.offers import standing
from rfq.model.award import Award, Order, OrderLine, Proposal, Rules
from rfq.model.comparison import Comparison
from rfq.model.project import Project
from rfq.model.quote import Price, Quote
from rfq.model.request import Request
from rfq.problems import Problem
from rfq.store.journal import user_name
from rfq.store.save import changes
from rfq.tasks.award_rules import check_rules
from rfq.tasks.compare import compare_opened
from rfq.tasks.done import Done
from rfq.tasks.letters import keep_letter, letter_to, stop, wording_of
from rfq.tasks.open import Opened, moment_of, opened, request_of
from rfq.tasks.quiet import nothing_printed

Progress = Callable[[str], object]
REPLY_WITHIN = timedelta(days=7)  # asked of an acknowledgement; common practice, no source


@dataclass(frozen=True, slots=True)
class Proposed:
    """Proposals with what they were made of.

    Args:
        proposals: cheapest first. wanted: parts and prices. comparison: they rest on.
    """

    request: Request
    rules: Rules
    comparison: Comparison
    wanted: Wanted
    proposals: tuple[Proposal, ...]

    def named(self, name: str) -> Proposal | None:
        """Return the proposal of a name, or None."""
        return next((one for one in self.proposals if one.name == name), None)


@dataclass(frozen=True, slots=True)
class Chosen:
    """What choosing wrote: the award, its orders, the letters by shop."""

    award: Award
    orders: tuple[Order, ...]
    letters: tuple[ShopLetter, ...]
    record: str  # path of the decision record


def propose_awards(
    path: Path,
    rules: Rules | None = None,
    *,
    round_: int | None = None,
    request_id: str = "",
    as_of: str = "",
    seconds: float = 30.0,
    progress: Progress | None = None,
) -> Done[Proposed]:
    """Return proposals for a round under rules; see ``propose_opened``."""
    return propose_opened(
        opened(path), rules, round_=round_, request_id=request_id, as_of=as_of, seconds=seconds,
        progress=progress,
    )  # fmt: skip


def propose_opened(
    here: Opened,
    rules: Rules | None = None,
    *,
    round_: int | None = None,
    request_id: str = "",
    as_of: str = "",
    seconds: float = 30.0,
    progress: Progress | None = None,
) -> Done[Proposed]:
    """Return proposals for a round under rules; nothing is stored.

    Args:
        here: the project. rules: None for none.
        round_: None for the newest with quotes. as_of: day of the comparison.
        seconds: time limit of each solution. progress: told what is being worked out.
    Raises:
        Stopped: no request, no quotes, or a rule names an unknown shop or part.
    """
    rules = rules or Rules()
    request = request_of(here.project, request_id)
    check_rules(here.project, request, rules)
    compared = compare_opened(here, round_=round_, request_id=request.id, as_of=as_of)
    wanted, problems = wanted_of(here.project, request, compared.value, rules)
    prices = standing_prices(here.project, request, compared.value.round)
    if any(problem.code in ("A001", "A002") for problem in problems):
        return Done(Proposed(request, rules, compared.value, wanted, ()), problems)
    with nothing_printed():
        found, notes = proposals_of(
            wanted, rules, compared.value.currency, prices=prices, seconds=seconds,
            progress=progress,
        )  # fmt: skip
    return Done(Proposed(request, rules, compared.value, wanted, found), (*problems, *notes))


def standing_prices(
    project: Project, request: Request, round_: int
) -> dict[tuple[str, str], tuple[Price, ...]]:
    """Return (part, shop) -> the shop's standing prices of a round, rising by quantity."""
    found = {}
    for asked in request.asked:
        stands = standing(_quotes(project, request, asked.shop), round_)
        for part, offer in stands.parts.items():
            found[part, asked.shop] = tuple(offer.prices)
    return found


def choose_award(
    path: Path,
    name: str,
    reason: str,
    rules: Rules | None = None,
    *,
    round_: int | None = None,
    request_id: str = "",
    as_of: str = "",
    refused_because: str = "",
    seconds: float = 30.0,
    progress: Progress | None = None,
) -> Done[Chosen | None]:
    """Propose anew, then choose one; see ``choose_proposal``."""
    here = opened(path)
    done = propose_opened(
        here, rules, round_=round_, request_id=request_id, as_of=as_of, seconds=seconds,
        progress=progress,
    )  # fmt: skip
    if not done.value.proposals:
        return Done(None, done.problems)
    chosen = done.value.named(name)
    if chosen is None:
        known = ", ".join(f"'{one.name}'" for one in done.value.proposals)
        raise stop("A020", f"there is no proposal '{name}'; there are {known}.")
    made = choose_proposal(here, done.value, chosen, reason, refused_because=refused_because)
    return Done(made.value, (*done.problems, *made.problems), made.written)


def choose_proposal(
    here: Opened, proposed: Proposed, chosen: Proposal, reason: str, *, refused_because: str = ""
) -> Done[Chosen]:
    """Record a decision: award, decision record, orders, letters; the request is closed.

    One change: one journal event, undone as one.

    Args:
        here: the project. proposed: what there was to choose from.
        chosen: one of the proposals, or one the user changed by hand.
        reason: why; must not be empty.
        refused_because: a sentence of the user's put before what was refused.
    Raises:
        Stopped: no reason; a share without a quoted price; the request is closed already; a letter
            would give something away.
    """
    project, request = here.project, proposed.request
    if not reason.strip():
        raise stop("A021", "say why (--reason); a decision without a reason helps nobody later.")
    if request.state == "closed":
        raise stop("A022", f"request {request.id} is closed; its award is recorded already.")
    bare = next((share for share in chosen.shares if share.quoted_each is None), None)
    if bare is not None:
        raise stop("A023", f"{bare.part} from {bare.shop} has no quoted price to order at.")
    moment = moment_of(project)
    number = sum(one.request == request.id for one in project.awards) + 1
    award = Award(
        id=f"award-{number}",
        request=request.id,
        round=proposed.comparison.round,
        decided_at=moment,
        by=user_name(here.folder),
        proposal=chosen,
        rules=proposed.rules,
        reason=reason,
        refused=(
            *((refused_because,) if refused_because else ()),
            *refused(chosen, proposed.proposals, proposed.wanted),
        ),
        cautions=cautions(project, chosen, (q for q in project.quotes if q.request == request.id)),
    )
    orders = orders_of(project, request, proposed, award)
    letters = tuple(_letters(here, request, proposed, award, orders))
    home = f"requests/{request.id}/awards/{award.id}"
    record = f"{home}/decision-record.pdf"
    with changes(
        here.folder, "award chosen", project=project, about=f"award:{request.id}/{award.id}",
        detail=f"{chosen.name}: {chosen.total} {proposed.comparison.currency}; {reason}",
        at=moment,
    ) as change:  # fmt: skip
        change.put(award)
        change.keep(record, award_pdf(project, award, proposed.proposals))
        for order in orders:
            change.put(order)
            base = f"requests/{request.id}/orders/{order.id}"
            change.keep(f"{base}/order.csv", order_csv(project, order))
            change.keep(f"{base}/order.json", order_json(project, order))
        for made in letters:
            keep_letter(change, f"{home}/letters", made)
        for one in project.rounds_of(request.id):
            if one.closed is None:
                change.put(one.model_copy(update={"closed": moment}))
        change.put(request.model_copy(update={"state": "closed"}))
    return Done(Chosen(award, orders, letters, record), (), change.written)


def orders_of(
    project: Project, request: Request, proposed: Proposed, award: Award
) -> tuple[Order, ...]:
    """Return one order a shop, at the figures and terms of its quote."""
    made = []
    dates = {
        (line.part, line.quantity, cell.shop): cell.comparable_date
        for line in proposed.comparison.lines
        for cell in line.prices
    }
    for shop in award.proposal.shops:
        lines = []
        for share in award.proposal.shares:
            if share.shop != shop:
                continue
            assert share.quoted_each is not None
            lines.append(
                OrderLine(
                    part=share.part,
                    revision=share.revision,
                    quantity=share.quantity,
                    each=share.quoted_each,
                    one_off=share.one_off or Decimal(0),
                    currency=share.currency,
                    promised=_date_of(dates, share.part, share.quantity, shop),
                )
            )
        if not lines:
            continue
        made.append(
            Order(
                id=f"{award.id}-{shop}",
                request=request.id,
                award=award.id,
                shop=shop,
                placed=award.decided_at.date(),
                lines=tuple(lines),
                terms=_terms(project, request, shop, award.round),
            )
        )
    return tuple(made)


def _date_of(dates: Mapping[tuple[str, int, str], Any], part: str, pieces: int, shop: str) -> Any:
    asked = [q for p, q, s in dates if (p, s) == (part, shop) and q <= pieces]
    return dates[part, max(asked), shop] if asked else None


def _terms(project: Project, request: Request, shop: str, round_: int) -> dict[str, str]:
    """Terms of the newest quote, the request's where the quote says nothing."""
    newest = standing(_quotes(project, request, shop), round_).newest
    asked = request.terms
    terms = {
        "incoterm": (newest.terms.incoterm if newest else "") or asked.incoterm,
        "place": (newest.terms.place if newest else "") or asked.place,
        "payment": (
            newest.terms.payment.text if newest and newest.terms.payment is not None else ""
        )
        or asked.payment,
        "request": f"{request.id}, revision {request.revision}",
        "quote": f"{newest.source.path.rpartition('/')[2]}, {newest.received:%Y-%m-%d}"
        if newest
        else "",
    }
    return {name: text for name, text in terms.items() if text}


def _letters(
    here: Opened, request: Request, proposed: Proposed, award: Award, orders: tuple[Order, ...]
) -> list[ShopLetter]:
    """An award letter to each shop that gets an order, a decline letter to the others who quoted
    or were asked; a shop that loses some parts is told so in its award letter's lines only."""
    wording = wording_of(here)
    comparison, number = proposed.comparison, award.round
    made = []
    by_shop = {order.shop: order for order in orders}
    quoted = {quote.shop for quote in here.project.quotes if quote.request == request.id}
    for asked in request.asked:
        shop = here.project.shops[asked.shop]
        words = words_for(shop.language if wording.has("award", shop.language) else "en")
        order = by_shop.get(asked.shop)
        if order is None:
            if asked.shop not in quoted:
                continue  # who never answered needs no thanks for a quote
            parts = ", ".join(request.parts_of(asked.shop))
            made.append(
                letter_to(here, request, number, asked.shop, "decline", {"parts": parts},
                          wording=wording, comparison=comparison)
            )  # fmt: skip
            continue
        values = {
            "order": order.id,
            "lines": bulleted([_line_words(line, words) for line in order.lines]),
            "total": f"{order_total(order)} {order.lines[0].currency}",
            "delivery": " ".join(
                order.terms[name] for name in ("incoterm", "place") if name in order.terms
            ),
            "payment": order.terms.get("payment", ""),
            "first_article": words["first"] if request.terms.first_article else "",
            "reply_by": (award.decided_at + REPLY_WITHIN).date().isoformat(),
        }
        attached = {f"order-{order.id}.csv": order_csv(here.project, order)}
        made.append(
            letter_to(here, request, number, asked.shop, "award", values, wording=wording,
                      comparison=comparison, attached=attached, allowed=_said(order))
        )  # fmt: skip
    return made


def _line_words(line: OrderLine, words: Mapping[str, str]) -> str:
    text = f"{line.part} {line.revision}: {line.quantity} {words['pcs']} x {money_text(line.each)}"
    text += f" {line.currency}"
    if line.one_off:
        text += f", {words['one-off']} {money_text(line.one_off)} {line.currency}"
    return text + (f", {line.promised.isoformat()}" if line.promised else "")


def _said(order: Order) -> list[str]:
    """Figures of an order: sums of the shop's own, which may equal another's by accident."""
    sums = [order_total(order)]
    sums += [line.each * line.quantity + line.one_off for line in order.lines]
    return [form for one in sums for form in (f"{one:f}", f"{one:.2f}")]


def _quotes(project: Project, request: Request, shop: str) -> list[Quote]:
    return [q for q in project.quotes if q.request == request.id and q.shop == shop]


def proposals_json(done: Done[Proposed]) -> dict[str, Any]:
    """Return proposals as plain values."""
    value = done.value
    return {
        "project": value.comparison.project,
        "request": value.request.id,
        "round": value.comparison.round,
        "currency": value.comparison.currency,
        "rules": value.rules.model_dump(mode="json", exclude_defaults=True),
        "proposals": [one.model_dump(mode="json") for one in value.proposals],
        "left_out": [
            {"part": part, "shop": shop, "why": why}
            for (part, shop), why in value.wanted.left_out.items()
        ],
        "problems": [_problem(problem) for problem in done.problems],
    }


def _problem(problem: Problem) -> dict[str, str]:
    return {
        "code": problem.code,
        "severity": problem.severity.value,
        "place": str(problem.place),
        "message": problem.message,
    }

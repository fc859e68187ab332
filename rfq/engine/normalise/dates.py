"""The comparable date: from the order to goods on our table, bridged like the price.

Order, deposit or confirmation, the event that starts the shop's clock, making in its working
days, finishing outside, first article and our approval, transit, customs; against the need date.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from rfq.engine.normalise.calendar import Calendar
from rfq.model.quote import LeadTime

#: Working days until a shop confirms an order, until a deposit is on its account.
#: Common practice, no source.
CONFIRMATION_DAYS = 2
DEPOSIT_DAYS = 3


@dataclass(frozen=True, slots=True)
class DateInput:
    """What a comparable date is made from.

    Args:
        ordered: day of the order.
        lead: lead time as the shop states it; None: not stated.
        line_days: calendar days the shop states for this line, before the quote's own.
        first_article_lead: of the first article, from the same event.
        first_article: whether we want one before the lot is made.
        approval_days: our working days to answer a first article or a drawing.
        finishing_days: calendar days of finishing that the shop leaves to us; 0: none.
        finishing_open: finishing is left to us and its time is unknown.
        transit_days: calendar days on the way, where the shop's time ends at its door.
        customs_days: calendar days at the border.
        need: day the parts are needed, or None.
    """

    ordered: date
    lead: LeadTime | None
    line_days: int | None
    first_article_lead: LeadTime | None
    first_article: bool
    approval_days: int
    finishing_days: int
    finishing_open: bool
    transit_days: int
    customs_days: int
    need: date | None


@dataclass(frozen=True, slots=True)
class DateBridge:
    """The day the parts are on our table, the steps to it, and what has to be asked first."""

    day: date | None
    steps: tuple[str, ...]
    questions: tuple[str, ...]
    ready: date | None = None  # at the shop


def comparable_date(given: DateInput, shop: Calendar, ours: Calendar) -> DateBridge:
    """Return when the parts arrive, step by step.

    Args:
        given: terms, days and the need date.
        shop: the shop's calendar (public holidays and shutdowns).
        ours: our calendar, for approvals.
    """
    lead = given.lead
    stated = given.line_days is not None or (
        lead is not None and (lead.until is not None or lead.amount > 0)
    )
    if not stated:
        return DateBridge(None, (), ("How long do you need, and from which event?",))
    steps: list[str] = []
    questions: list[str] = []

    def step(name: str, day: date) -> date:
        steps.append(f"{day.isoformat()}  {name}")
        return day

    day = step("order", given.ordered)
    if lead is not None and lead.until is not None and given.line_days is None:
        day = step(f"ready, as the shop says ({lead.text or lead.until})", lead.until)
        ready = day
    else:
        event, day = _start(given, shop, ours, day, questions)
        if event:
            step(event, day)
        making_from = day
        article = given.first_article_lead
        if article is not None and given.first_article:
            day = step(f"first article, {_length(article)}", _after(article, day, shop))
            day = step(
                f"our approval, {given.approval_days} working days",
                ours.add_working(day, given.approval_days),
            )
        elif given.first_article:
            questions.append("When does the first article come, and the lot after its release?")
        after_release = lead is not None and lead.event == "first article approval"
        # a lot that counts from the release starts there; else the approval holds it up
        if given.line_days is not None:
            length, whole = f"{given.line_days} days", _days(given.line_days)
        else:
            assert lead is not None
            length, whole = _length(lead), lead
        if after_release or article is None:
            day = step(f"making, {length}", _after(whole, day, shop))
        else:
            plain = _after(whole, making_from, shop)
            held = ours.add_working(plain, given.approval_days)
            day = step(f"making, {length}, held up by our approval", max(held, day))
        ready = day
    if given.finishing_days:
        day = step(
            f"finishing outside, {given.finishing_days} days",
            day + timedelta(days=given.finishing_days),
        )
    elif given.finishing_open:
        questions.append("Can you have the finish done, and how long does it take?")
    if given.transit_days:
        day = step(f"transit, {given.transit_days} days", day + timedelta(days=given.transit_days))
    if given.customs_days:
        day = step(f"customs, {given.customs_days} days", day + timedelta(days=given.customs_days))
    day = ours.on_or_after(day)
    steps.append(f"{day.isoformat()}  on our table" + _against(day, given.need))
    return DateBridge(day, tuple(steps), tuple(questions), ready)


def _start(
    given: DateInput, shop: Calendar, ours: Calendar, day: date, questions: list[str]
) -> tuple[str, date]:
    """The event that starts the shop's clock, in words, and its day."""
    event = given.lead.event if given.lead is not None else "not stated"
    match event:
        case "order confirmation":
            words = f"order confirmed, {CONFIRMATION_DAYS} working days"
            return words, shop.add_working(day, CONFIRMATION_DAYS)
        case "deposit":
            words = f"deposit on its account, {DEPOSIT_DAYS} working days"
            return words, shop.add_working(day, DEPOSIT_DAYS)
        case "drawing approval":
            words = f"drawing approved, {given.approval_days} working days"
            return words, ours.add_working(day, given.approval_days)
        case "receipt of material":
            questions.append("How long until the material is with you?")
        case "not stated":
            questions.append("From which event does your lead time count?")
        case _:
            pass
    return "", day


def _days(count: int) -> LeadTime:
    return LeadTime(amount=count, unit="days")


def _after(lead: LeadTime, day: date, calendar: Calendar) -> date:
    """The end of a lead time; weeks are five working days each, so that holidays push them."""
    match lead.unit:
        case "days":
            return calendar.on_or_after(calendar.add_days(day, lead.amount))
        case "working days":
            return calendar.add_working(day, lead.amount)
        case "weeks":
            return calendar.add_working(day, 5 * lead.amount)


def _length(lead: LeadTime) -> str:
    unit = lead.unit if lead.amount != 1 else lead.unit.removesuffix("s")
    return f"{lead.amount} {unit}"


def _against(day: date, need: date | None) -> str:
    if need is None:
        return ""
    late = (day - need).days
    if late > 0:
        return f", {late} days after the need date {need.isoformat()}"
    return f", {-late} days before the need date {need.isoformat()}"

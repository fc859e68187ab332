"""The comparable date against calendars that anybody can check."""

from __future__ import annotations

from datetime import date

import pytest

from rfq.engine.normalise.calendar import calendar_of
from rfq.engine.normalise.dates import DateBridge, DateInput, comparable_date
from rfq.model.quote import LeadTime
from rfq.model.shop import Shutdown

GERMANY = calendar_of("DE")


def given(lead: LeadTime | None, ordered: date = date(2026, 11, 2), **changes: object) -> DateInput:
    fields: dict[str, object] = {
        "ordered": ordered, "lead": lead, "line_days": None, "first_article_lead": None,
        "first_article": False, "approval_days": 5, "finishing_days": 0, "finishing_open": False,
        "transit_days": 0, "customs_days": 0, "need": None, **changes,
    }  # fmt: skip
    return DateInput(**fields)  # type: ignore[arg-type]


def weeks(count: int, event: str = "order") -> LeadTime:
    return LeadTime(text=f"{count} weeks", amount=count, unit="weeks", event=event)  # type: ignore[arg-type]


def arrives(*args: object, **changes: object) -> DateBridge:
    return comparable_date(given(*args, **changes), GERMANY, GERMANY)  # type: ignore[arg-type]


# German public holidays: 25 and 26 December, 1 January (federal law); 2026-12-25 is a Friday
@pytest.mark.parametrize(
    ("ordered", "count", "day"),
    [
        (date(2026, 11, 2), 2, date(2026, 11, 16)),  # no holiday between: 10 working days
        (date(2026, 12, 14), 2, date(2026, 12, 29)),  # 25 December: one working day more
        (date(2026, 12, 21), 2, date(2027, 1, 6)),  # 25 December and 1 January: two more
    ],
)
def test_public_holidays_push_a_lead_time(ordered: date, count: int, day: date) -> None:
    assert arrives(weeks(count), ordered).day == day


def test_a_region_has_its_own_holidays() -> None:
    # 6 January is a holiday in Bavaria and not in Berlin
    lead = LeadTime(amount=1, unit="working days", event="order")
    for region, day in (("BY", date(2026, 1, 7)), ("BE", date(2026, 1, 6))):
        shop = calendar_of("DE", region)
        found = comparable_date(given(lead, date(2026, 1, 5)), shop, calendar_of("DE"))
        assert found.day == day


def test_chinese_new_year_closes_a_shop() -> None:
    # Spring Festival 2026: 17 February is the first day of the year of the horse
    shop = calendar_of("CN")
    assert not shop.works(date(2026, 2, 17))
    assert shop.works(date(2026, 3, 3))


def test_a_shutdown_stops_working_days_and_calendar_days() -> None:
    closed = (Shutdown(first=date(2026, 11, 9), last=date(2026, 11, 13)),)
    shop = calendar_of("DE", shutdowns=closed)
    found = comparable_date(given(weeks(2)), shop, GERMANY)
    assert found.day == date(2026, 11, 23)
    plain = LeadTime(amount=14, unit="days", event="order")
    assert comparable_date(given(plain), shop, GERMANY).day == date(2026, 11, 23)


@pytest.mark.parametrize(
    ("event", "day"),
    [("order", date(2026, 11, 16)), ("order confirmation", date(2026, 11, 18)),
     ("deposit", date(2026, 11, 19)), ("drawing approval", date(2026, 11, 23))],
)  # fmt: skip
def test_the_event_that_the_shop_names_starts_the_clock(event: str, day: date) -> None:
    assert arrives(weeks(2, event)).day == day


@pytest.mark.parametrize("event", ["not stated", "receipt of material"])
def test_an_open_event_is_asked(event: str) -> None:
    assert arrives(weeks(2, event)).questions


def test_no_lead_time_gives_no_date_but_a_question() -> None:
    found = arrives(None)
    assert found.day is None
    assert found.questions


def test_first_article_and_our_approval_stand_between() -> None:
    article = LeadTime(amount=2, unit="weeks", event="order")
    lot = weeks(3, "first article approval")
    found = arrives(lot, first_article_lead=article, first_article=True)
    # 2 weeks, 5 working days of ours, 3 weeks
    assert found.day == date(2026, 12, 14)
    assert [step.split("  ")[1].split(",")[0] for step in found.steps] == [
        "order", "first article", "our approval", "making", "on our table",
    ]  # fmt: skip


def test_finishing_transit_and_customs_follow() -> None:
    found = arrives(weeks(2), finishing_days=7, transit_days=3, customs_days=1)
    assert found.day == date(2026, 11, 27)  # 16 + 11 days


def test_against_the_need_date() -> None:
    late = arrives(weeks(2), need=date(2026, 11, 10))
    assert late.steps[-1].endswith("6 days after the need date 2026-11-10")
    early = arrives(weeks(2), need=date(2026, 11, 20))
    assert "4 days before" in early.steps[-1]


def test_a_calendar_date_is_taken_as_stated() -> None:
    until = LeadTime(text="KW 50", until=date(2026, 12, 11))
    assert arrives(until).day == date(2026, 12, 11)


def test_unknown_region_falls_back_to_the_country_and_says_so() -> None:
    found = calendar_of("DE", "nowhere")
    assert not found.known
    assert not found.works(date(2026, 12, 25))

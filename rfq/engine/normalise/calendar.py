"""Working days of a shop: no weekends, no public holidays of its country, no shutdown."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

import holidays

from rfq.model.shop import Shutdown

_DAY = timedelta(days=1)
_FAR = 20 * 366  # a calendar that never opens is a mistake in the shutdowns, not a long wait


@dataclass(frozen=True, slots=True)
class Calendar:
    """Working days of one place.

    Args:
        public: public holidays by day; filled year by year as it is asked.
        shutdowns: days the shop is closed besides.
        known: whether the country's (and the region's) holidays are known.
    """

    public: holidays.HolidayBase | None
    shutdowns: tuple[tuple[date, date], ...]
    known: bool
    _seen: dict[date, bool] = field(default_factory=dict)

    def works(self, day: date) -> bool:
        """Whether work is done on a day."""
        found = self._seen.get(day)
        if found is None:
            closed = any(first <= day <= last for first, last in self.shutdowns)
            public = self.public is not None and day in self.public
            found = day.weekday() < 5 and not closed and not public
            self._seen[day] = found
        return found

    def closed(self, day: date) -> bool:
        """Whether a day lies in a shutdown."""
        return any(first <= day <= last for first, last in self.shutdowns)

    def on_or_after(self, day: date) -> date:
        """The first working day from a day on."""
        for _ in range(_FAR):
            if self.works(day):
                return day
            day += _DAY
        return day

    def add_working(self, day: date, count: int) -> date:
        """The day after so many working days; the first one counted is the day after ``day``."""
        for _ in range(count):
            day = self.on_or_after(day + _DAY)
        return day

    def add_days(self, day: date, count: int) -> date:
        """The day after so many calendar days, the days of a shutdown left out."""
        left, last = count, day
        for _ in range(_FAR):
            if left <= 0:
                break
            last += _DAY
            left -= not self.closed(last)
        return last


def calendar_of(country: str, region: str = "", shutdowns: Sequence[Shutdown] = ()) -> Calendar:
    """Return the calendar of a country and region, with a shop's own shutdowns.

    Source of the public holidays: the package ``holidays``. A country it doesn't know has
    weekends only; ``known`` says so.

    >>> calendar_of("DE", "BY").works(date(2026, 1, 6)), calendar_of("DE").works(date(2026, 1, 6))
    (False, True)
    """
    closed = tuple((shutdown.first, shutdown.last) for shutdown in shutdowns)
    known = True
    try:
        public = holidays.country_holidays(country, subdiv=region or None)
    except NotImplementedError:
        known = False
        try:
            public = holidays.country_holidays(country)
        except NotImplementedError:
            public = None
    return Calendar(public, closed, known)

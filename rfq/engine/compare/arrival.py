"""Comparable dates of a table: the same few calendars and terms serve all lines of a shop."""

from __future__ import annotations

from datetime import date

from rfq.engine.compare.table import Source, TableCell, TableLine, TableShop
from rfq.engine.normalise.calendar import Calendar, calendar_of
from rfq.engine.normalise.conditions import Conditions
from rfq.engine.normalise.dates import DateBridge, DateInput, comparable_date
from rfq.engine.normalise.delivery import customs_days
from rfq.model.codes import Scope
from rfq.model.rates import Rates

#: Rules under which the shop's time ends at our door. Common practice, no source: Incoterms
#: leave the date to the contract.
_ARRIVES = frozenset({"DAP", "DPU", "DDP"})
_FINISHING = "finishing_outside_days"  # the user's own figure among the parameters


class Arrivals:
    """Comparable dates, each different question worked out once."""

    def __init__(self, source: Source, ordered: date) -> None:
        self._source = source
        self._ordered = ordered
        self._ours = calendar_of(source.project.settings.country)
        self._calendars: dict[str, Calendar] = {}
        self._known: dict[tuple[object, ...], DateBridge] = {}

    def of(
        self, line: TableLine, shop: TableShop, cell: TableCell, conditions: Conditions
    ) -> DateBridge:
        """Return when the parts of one line would be on our table."""
        assert cell.offered is not None
        request, rates = self._source.request, self._source.project.rates
        price = cell.offered.binding.price
        delivered = conditions.delivery
        finishing_out = Scope.FINISH in cell.missing
        days = _finishing_days(rates) if finishing_out else 0
        border = customs_days(delivered, line.part, rates) if delivered.import_paid_by_us else 0
        need = line.need
        key = (
            id(conditions), price.lead_days, finishing_out, border, need, line.part.tariff_code
        )  # fmt: skip
        found = self._known.get(key)
        if found is None:
            terms = conditions.quote.terms
            given = DateInput(
                ordered=self._ordered,
                lead=terms.lead,
                line_days=price.lead_days,
                first_article_lead=terms.first_article_lead,
                first_article=request.terms.first_article,
                approval_days=request.terms.first_article_answer_days or rates.approval_days,
                finishing_days=days or 0,
                finishing_open=finishing_out and days is None,
                transit_days=0 if delivered.rule in _ARRIVES else delivered.transit_days,
                customs_days=border,
                need=need,
            )
            found = comparable_date(given, self._calendar(shop), self._ours)
            self._known[key] = found
        return found

    def _calendar(self, shop: TableShop) -> Calendar:
        record = shop.shop
        if record.id not in self._calendars:
            self._calendars[record.id] = calendar_of(
                record.country, record.holidays_region, record.shutdowns
            )
        return self._calendars[record.id]


def _finishing_days(rates: Rates) -> int | None:
    rate = rates.parameters.get(_FINISHING)
    return None if rate is None else int(rate.typical)

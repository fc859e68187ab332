"""The JSON Schema of a record, from the model itself."""

from __future__ import annotations

from typing import Any

from rfq.model.award import Award, Order
from rfq.model.base import Value
from rfq.model.part import Part
from rfq.model.project import Settings
from rfq.model.quote import Quote
from rfq.model.rates import Rates
from rfq.model.request import Request
from rfq.model.shop import Shop

_RECORDS: dict[str, type[Value]] = {
    "project": Settings,
    "part": Part,
    "shop": Shop,
    "request": Request,
    "rates": Rates,
    "quote": Quote,
    "award": Award,
    "order": Order,
}


def record_schema(record: str) -> dict[str, Any]:
    """Return the JSON Schema of a record.

    Args:
        record: 'project', 'part', 'shop', 'request', 'rates', 'quote', 'award' or 'order'.
    """
    return _RECORDS[record].model_json_schema()

"""The data of an order, for whoever types it into another program: CSV and JSON."""

from __future__ import annotations

import csv
import io
import json
from decimal import Decimal
from typing import Any

from rfq.model.award import Order
from rfq.model.project import Project

COLUMNS = (
    "order", "placed", "shop", "part", "revision", "name", "quantity", "each", "one_off",
    "currency", "line_total", "promised", "incoterm", "place", "payment",
)  # fmt: skip


def money_text(amount: Decimal) -> str:
    """Return an amount with two digits at least behind the point, all where it has more.

    >>> money_text(Decimal("146.2")), money_text(Decimal("0.0125"))
    ('146.20', '0.0125')
    """
    exponent = amount.as_tuple().exponent
    return f"{amount:.2f}" if isinstance(exponent, int) and exponent > -2 else f"{amount:f}"


def order_csv(project: Project, order: Order) -> bytes:
    """Return an order's lines as CSV: UTF-8, comma, decimal point, a head row."""
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, COLUMNS, lineterminator="\r\n")
    writer.writeheader()
    for line in _lines(project, order):
        writer.writerow(
            {
                "order": order.id,
                "placed": order.placed.isoformat(),
                "shop": _name(project, order.shop),
                **line,
                "incoterm": order.terms.get("incoterm", ""),
                "place": order.terms.get("place", ""),
                "payment": order.terms.get("payment", ""),
            }
        )
    return out.getvalue().encode()


def order_json(project: Project, order: Order) -> bytes:
    """Return an order as JSON; money is text, so that no program rounds it."""
    shop = project.shops.get(order.shop)
    content: dict[str, Any] = {
        "order": order.id,
        "request": order.request,
        "placed": order.placed.isoformat(),
        "buyer": {
            "name": project.settings.company or project.settings.name,
            "address": list(project.settings.address),
            "country": project.settings.country,
        },
        "shop": {
            "id": order.shop,
            "name": _name(project, order.shop),
            "address": list(shop.address) if shop else [],
            "country": shop.country if shop else "",
        },
        "terms": dict(order.terms),
        "lines": _lines(project, order),
    }
    return (json.dumps(content, indent=1, ensure_ascii=False) + "\n").encode()


def _lines(project: Project, order: Order) -> list[dict[str, Any]]:
    return [
        {
            "part": _safe(line.part),
            "revision": line.revision,
            "name": _safe(project.parts[line.part].name) if line.part in project.parts else "",
            "quantity": line.quantity,
            "each": money_text(line.each),
            "one_off": money_text(line.one_off),
            "currency": line.currency,
            "line_total": money_text(line.each * line.quantity + line.one_off),
            "promised": line.promised.isoformat() if line.promised else "",
        }
        for line in order.lines
    ]


def _name(project: Project, shop: str) -> str:
    return project.shops[shop].name if shop in project.shops else shop


def _safe(text: str) -> str:
    """A text no spreadsheet takes for a formula."""
    return "'" + text if text[:1] in "=+-@\t\r" and text else text

"""What an acknowledgement changes in silence is named."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from rfq.engine.award.acknowledgement import differences, invoice_difference, order_total
from rfq.model.award import Acknowledged, Order, OrderLine

LINE = OrderLine(
    part="P-1", revision="B", quantity=25, each=Decimal("10.20"), one_off=Decimal(100),
    currency="EUR", promised=date(2026, 9, 8),
)  # fmt: skip
SAID = Acknowledged(
    part="P-1", revision="B", quantity=25, each=Decimal("10.2"), date=date(2026, 9, 8), place="A3"
)


def _order(said: Acknowledged | None = SAID, **more: object) -> Order:
    return Order.model_validate(
        {
            "id": "o-1", "request": "R", "award": "a", "shop": "mill", "placed": date(2026, 7, 31),
            "lines": (LINE,), "terms": {"incoterm": "DAP", "place": "Hafen", "payment": "30 days"},
            "acknowledged": (said,) if said else (), **more,
        }
    )  # fmt: skip


def test_as_ordered_is_no_difference() -> None:
    assert differences(_order()) == ()


@pytest.mark.parametrize(
    ("change", "what", "said", "against"),
    [
        ({"each": Decimal("10.30")}, "price", "+2.50 on the line", True),
        ({"each": Decimal("10.10")}, "price", "-2.50 on the line", False),
        ({"quantity": 20}, "quantity", "20 pcs", True),
        ({"revision": "A"}, "revision", "A", True),
        ({"date": date(2026, 9, 22)}, "date", "+14 days", True),
        ({"date": date(2026, 9, 1)}, "date", "-7 days", False),
    ],
)
def test_each_silent_change(change: dict, what: str, said: str, against: bool) -> None:
    (found,) = differences(_order(SAID.model_copy(update=change)))
    assert (found.part, found.what, found.against_us, found.place) == ("P-1", what, against, "A3")
    assert said in found.sentence


def test_a_line_left_out_and_a_line_added() -> None:
    found = differences(_order(SAID.model_copy(update={"part": "P-2"})))
    assert [(one.part, one.what) for one in found] == [("P-1", "line"), ("P-2", "line")]


@pytest.mark.parametrize(
    ("terms", "changed"),
    [
        ({"payment": "net 30 days"}, False),
        ({"payment": "14 days net"}, True),
        ({"incoterm": "DAP Hafen"}, False),
        ({"incoterm": "DAP"}, False),
        ({"incoterm": "EXW Hafen"}, True),
        ({"penalty": "none"}, True),
    ],
)
def test_terms_are_compared_by_what_they_say(terms: dict, changed: bool) -> None:
    found = differences(_order(acknowledged_terms=terms))
    assert bool(found) is changed


def test_invoice_against_the_order_and_good_pieces() -> None:
    assert order_total(_order()) == Decimal("355.00")
    assert invoice_difference(_order()) is None
    assert invoice_difference(_order(invoice_total=Decimal("355.00"))) == 0
    good = LINE.model_copy(update={"good": 24, "bad": 1})
    order = _order(lines=(good,), invoice_total=Decimal("355.00"))
    assert invoice_difference(order) == Decimal("10.20")

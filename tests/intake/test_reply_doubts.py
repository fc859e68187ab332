"""Replies of plain figures and doubtful meaning: asked about, never taken (common practice)."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from rfq.intake.read import read_reply

ASKED = {
    "cents": "Part;Qty;Unit price (cents EUR)\nTB-2201;5;1250\n",
    "packs": "Part;Qty;Unit;Unit price EUR\nTB-2201;5;pack of 10;125.00\n",
    "kilograms": "Part;Qty;Unit;Price EUR\nTB-2201;5;kg;12.50\n",
    "not firm": "Part;Qty;Unit price EUR\nTB-2201;5;from 12.50\n",
    "limited": "Part;Qty;Unit price EUR;Remark\nTB-2201;5;12.50;price valid for 100 pcs only\n",
}
READ = {
    "each, not Canadian": ("Disegno;Q.tà;Prezzo cad. EUR\nTB-2201;5;12,50\n", "12.50"),
    "a block": ("Part: TB-2201\nQty;Unit price EUR\n5;12.50\n", "12.50"),
    "price for 100": ("Teil;Menge;Preis für 100 Stück EUR\nTB-2201;5;1250,00\n", "12.50"),
    "discounts in a row": ("Codice;Q.tà;Prezzo EUR;Sconto\nTB-2201;5;20,00;50+10\n", "9.00"),
    "a footnote": (
        "Part;Qty;Unit price EUR\nTB-2201;5;1250.00 *\n\n* price per 100 pieces\n",
        "12.50",
    ),
}


@pytest.mark.parametrize("name", ASKED)
def test_asks(name: str, tmp_path: Path) -> None:
    path = tmp_path / "reply.csv"
    path.write_text(ASKED[name], encoding="utf-8")
    draft = read_reply(path).get()
    assert not any(price.sure for price in draft.prices)
    assert any(problem.severity.value == "ask" for problem in draft.problems)


@pytest.mark.parametrize("name", READ)
def test_reads(name: str, tmp_path: Path) -> None:
    text, each = READ[name]
    path = tmp_path / "reply.csv"
    path.write_text(text, encoding="utf-8")
    (price,) = read_reply(path).get().prices
    assert (price.part, price.quantity, price.each, price.sure) == (
        "TB-2201",
        5,
        Decimal(each),
        True,
    )
    assert price.currency == "EUR"

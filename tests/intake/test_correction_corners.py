# ruff: noqa: E501 - one made file stands on one line
"""Corrections one after another: tax, base, quantity and typed prices stay net and per piece.

Tax of 25 % is used because the net figures come out even; the figures are invented.
"""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from rfq.intake import correct
from rfq.intake.read import read_reply
from rfq.model.draft import Draft
from rfq.model.request import Request, RequestLine
from rfq.problems import Place

REQUEST = Request(id="2026-07", title="Brackets", lines=(RequestLine(part="BR-1041", quantities=(10, 20)),))  # fmt: skip


def read(folder: Path, text: str) -> Draft:
    path = folder / "r.csv"
    path.write_text(text, encoding="utf-8")
    draft: Draft = read_reply(path, REQUEST).get()
    return draft


def only(draft: Draft) -> tuple[int, str, bool]:
    (price,) = draft.prices
    return price.quantity, str(price.each.normalize()) if price.each else "", price.sure


def gross_lot(folder: Path) -> Draft:
    """A lot of 10 at 500 with 25 % tax inside: 40 net a piece."""
    draft = read(folder, "Part;Qty;Unit price EUR\nBR-1041;10;500,00\n")
    return correct.set_tax(correct.set_base(draft, "lot"), "included", Decimal(25))


def test_tax_and_base_in_either_order(tmp_path: Path) -> None:
    assert only(gross_lot(tmp_path)) == (10, "4E+1", True)
    draft = read(tmp_path, "Part;Qty;Unit price EUR\nBR-1041;10;500,00\n")
    turned = correct.set_base(correct.set_tax(draft, "included", Decimal(25)), "lot")
    assert only(turned) == (10, "4E+1", True)


def test_another_quantity_of_a_lot_with_tax_inside_stays_net(tmp_path: Path) -> None:
    draft = gross_lot(tmp_path)
    moved = correct.set_quantity(draft, draft.prices[0].place, 20)
    assert only(moved) == (20, "2E+1", True)  # 500 / 20 = 25 with tax, 20 without


def test_a_typed_price_is_net_and_later_changes_leave_it_so(tmp_path: Path) -> None:
    draft = gross_lot(tmp_path)
    typed = correct.set_price(draft, draft.prices[0].place, "41,50 EUR").get()
    assert only(typed) == (10, "41.5", True)
    again = correct.set_base(typed, "1", typed.prices[0].place)
    assert only(again) == (10, "41.5", True)


@pytest.mark.parametrize(
    ("typed", "code"), [("1.234", "R011"), ("soon", "R010"), ("-3", "R010"), ("10 %", "R010")]
)
def test_what_is_typed_must_be_one_price(tmp_path: Path, typed: str, code: str) -> None:
    draft = read(tmp_path, "Part;Qty;Unit price EUR\nBR-1041;10;45,90\n")
    refused = correct.set_price(draft, draft.prices[0].place, typed)
    assert refused.value is None and [p.code for p in refused.problems] == [code]


def test_a_place_without_a_price_is_refused(tmp_path: Path) -> None:
    draft = read(tmp_path, "Part;Qty;Unit price EUR\nBR-1041;10;45,90\n")
    nowhere = Place("r.csv", cell="Z9")
    with pytest.raises(LookupError, match="no price stands"):
        correct.set_quantity(draft, nowhere, 5)
    with pytest.raises(LookupError, match="no price stands"):
        correct.leave_out(draft, nowhere)
    with pytest.raises(LookupError, match="no price of XX"):
        correct.match_part(draft, "XX", "BR-1041")
    with pytest.raises(ValueError, match="currency code"):
        correct.set_currency(draft, "euro")


def test_leaving_out_one_of_two_prices_settles_the_other(tmp_path: Path) -> None:
    draft = read(tmp_path, "Part;Qty;Unit price EUR\nBR-1041;10;45,90\nBR-1041;10;40,90\n")
    assert [p.sure for p in draft.prices] == [False, False]
    left = correct.leave_out(draft, draft.prices[0].place, "the older one")
    assert only(left) == (10, "40.9", True)
    assert any(c.understood == "the older one" for c in left.cells)


def test_the_currency_of_a_column_and_of_all(tmp_path: Path) -> None:
    draft = read(tmp_path, "Part;Qty;Unit price;Setup\nBR-1041;10;45,90;120\n")
    column = correct.set_currency(draft, "eur", "!C")
    assert column.prices[0].currency == "EUR" and column.prices[0].sure
    with pytest.raises(LookupError):
        correct.set_currency(draft, "EUR", "!A")


def test_a_question_about_words_is_answered_and_one_about_a_figure_is_not(tmp_path: Path) -> None:
    draft = read(tmp_path, "Part;Qty;Unit price\nBR-1041;10;45,90\n")
    ask = next(p for p in draft.problems if p.code == "R015")
    assert correct.settle_question(draft, "R015", ask.place, "EUR").problems == draft.problems
    note = next(p for p in draft.problems if p.code == "R034")
    answered = correct.settle_question(draft, "R034", note.place, "net, by phone")
    assert any(p.message.endswith("Answered: net, by phone") for p in answered.problems)

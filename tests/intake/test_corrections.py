# ruff: noqa: E501 - one made file stands on one line
"""A person's corrections of a draft; accepting it; our own response sheet; typed prices."""

from __future__ import annotations

import io
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path

import pytest
from openpyxl import Workbook

from rfq.intake import correct
from rfq.intake.parts_list import pair_files, read_parts_list
from rfq.intake.quote import accept
from rfq.intake.read import read_reply
from rfq.intake.typed import TypedLine, typed_reply
from rfq.model import response as names
from rfq.model.draft import Draft
from rfq.model.part import FileRef
from rfq.model.request import Request, RequestLine

REQUEST = Request(id="2026-07", title="Brackets", lines=(RequestLine(part="BR-1041", quantities=(10,)), RequestLine(part="SH-2007", quantities=(50,))))  # fmt: skip
NOW = datetime(2026, 11, 25, tzinfo=UTC)


def take(draft: Draft) -> object:
    return accept(draft, request=REQUEST, shop="oakvane", received=NOW, accepted_at=NOW, source=FileRef(path="r.csv"))  # fmt: skip


def read(folder: Path, text: str) -> Draft:
    path = folder / "r.csv"
    path.write_text(text, encoding="utf-8")
    return read_reply(path, REQUEST).get()


def test_an_unsure_price_is_refused_and_accepted_once_settled(tmp_path: Path) -> None:
    draft = read(tmp_path, "Part;Qty;Unit price\nBR-1041;10;45,90\nSH-2007;50;25,27\n")
    refused = take(draft)
    assert refused.value is None and {p.code for p in refused.problems} == {"R060"}  # type: ignore[attr-defined]
    quote = take(correct.set_currency(draft, "EUR")).get()  # type: ignore[attr-defined]
    assert quote.currency == "EUR" and [p.each for p in quote.prices] == [
        Decimal("45.90"),
        Decimal("25.27"),
    ]


def test_set_price_base_tax_quantity_and_part(tmp_path: Path) -> None:
    draft = read(tmp_path, "Part;Qty;Unit price EUR\nBR-1041;10;1.234\nSH-2O07;50;25,27\n")
    first = draft.prices[0].place
    assert correct.set_price(draft, first, "1.234").value is None
    assert correct.set_price(draft, first, "1234,00").get().prices[0].sure
    matched = correct.match_part(draft, "SH-2007", "SH-2007")
    assert matched.prices[1].sure
    hundred = correct.set_base(draft, "100", draft.prices[1].place)
    assert hundred.prices[1].each == Decimal("0.2527")
    gross = correct.set_tax(matched, "included", Decimal(19))
    assert gross.prices[1].each == Decimal("21.235") and gross.terms.tax == "included"
    with pytest.raises(ValueError, match="rate"):
        correct.set_tax(draft, "included")
    assert correct.set_quantity(draft, first, 20).prices[0].quantity == 20
    assert len(correct.leave_out(draft, first).prices) == 1


def test_remap_a_column(tmp_path: Path) -> None:
    draft = read(
        tmp_path,
        "Part;Qty;Unit price EUR;Offer EUR\nBR-1041;10;45,90;40,00\nSH-2007;50;25,27;20,00\n",
    )
    assert [p.each for p in draft.prices] == [Decimal("45.90"), Decimal("25.27")]
    again = correct.remap_column(draft, "", "D", "unit price", request=REQUEST)
    assert [p.each for p in again.prices] == [Decimal("40.00"), Decimal("20.00")]


def test_typed_prices_get_the_same_checks() -> None:
    draft = typed_reply([TypedLine("BR-1041", "10", "45,90", currency="EUR", total="459,00"), TypedLine("SH-2007", "50", "25.27", currency="EUR", total="999")], request=REQUEST, shop="oakvane", terms=["EXW Brno"])  # fmt: skip
    assert [p.sure for p in draft.prices] == [True, False] and draft.terms.incoterm == "EXW"


def sheet(price: object = 45.9, *, request: str = "2026-07", inserted: bool = False) -> bytes:
    book = Workbook()
    page = book.active
    assert page is not None
    page.title = names.QUOTE_SHEET
    for label, value in ((names.MARK, names.VERSION), (names.REQUEST, request), (names.REVISION_OF_REQUEST, 1), (names.ROUND, 1), (names.SHOP, "oakvane")):  # fmt: skip
        page.append([label, value])
    page.append([])
    page.append(list(names.COLUMNS))
    for part, quantity, each in (("BR-1041", 10, price), ("SH-2007", 50, 25.27)):
        if inserted:
            page.append(["", "", "", "our remark"])
        page.append(
            [
                1,
                part,
                "A",
                "",
                quantity,
                each,
                "EUR",
                None,
                120 if part == "BR-1041" else None,
                "fixture",
                "4 weeks",
                "order",
                "",
                "",
                "",
            ]
        )
    page.append([])
    for label, value in ((names.TERM_DELIVERY, "EXW"), (names.TERM_TAX, "excluded"), (names.TERM_PAYMENT, "2/10 net 30"), (names.TERM_VALID, "2027-01-31"), (names.SCOPE_LABEL + "finish", "in")):  # fmt: skip
        page.append([label, value])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


@pytest.mark.parametrize("inserted", [False, True])
def test_our_response_sheet_reads_exactly(tmp_path: Path, inserted: bool) -> None:
    path = tmp_path / "s.xlsx"
    path.write_bytes(sheet(inserted=inserted))
    draft = read_reply(path, REQUEST).get()
    assert draft.form == "response sheet" and draft.complete, draft.problems
    assert {(p.part, p.quantity): (p.each, p.one_off) for p in draft.prices} == {
        ("BR-1041", 10): (Decimal("45.9"), 120),
        ("SH-2007", 50): (Decimal("25.27"), None),
    }
    assert draft.terms.incoterm == "EXW" and draft.terms.tax == "excluded"
    assert (draft.request, draft.revision, draft.round, draft.shop) == ("2026-07", 1, 1, "oakvane")
    assert take(draft).get().form == "response sheet"  # type: ignore[attr-defined]


def test_a_sheet_of_another_request_and_a_bad_cell_are_asked(tmp_path: Path) -> None:
    path = tmp_path / "s.xlsx"
    path.write_bytes(sheet("1.234", request="2025-01"))
    draft = read_reply(path, REQUEST).get()
    assert {"R047", "R011"} <= {p.code for p in draft.problems} and not draft.prices[0].sure


def test_parts_list_and_paired_files(tmp_path: Path) -> None:
    (tmp_path / "parts.csv").write_text(
        "Part No;Rev;Description;Material;Temper\nBR-1041;B;Bracket;EN AW-6082;T6\nSH-2007;;Shaft;;\n",
        encoding="utf-8",
    )
    parts = [listed.part for listed in read_parts_list(tmp_path / "parts.csv").get()]
    assert [(p.number, p.revision, p.material, p.temper) for p in parts] == [
        ("BR-1041", "B", "EN AW-6082", "T6"),
        ("SH-2007", "A", "to be said", ""),
    ]
    for name in ("BR-1041_B.pdf", "BR-1041_B.step", "SH-2007 Rev A.pdf", "notes.txt"):
        (tmp_path / name).write_bytes(b"x")
    pairs = pair_files(tmp_path).get()
    assert [(p.number, p.revision, bool(p.drawing), bool(p.model)) for p in pairs] == [
        ("BR-1041", "B", True, True),
        ("SH-2007", "A", True, False),
    ]

# ruff: noqa: E501 - one made file stands on one line
"""The five sample replies with their right answers, and the official UBL example.

Source: the optional open data folder (made examples with TRUTH.csv; OASIS UBL 2.1 example, whose
numbers only are compared). Skipped where it is absent.
"""

from __future__ import annotations

import csv
from decimal import Decimal
from pathlib import Path

import pytest

from rfq.intake.read import read_reply


def truth(folder: Path) -> dict[str, dict[tuple[str, int], dict[str, str]]]:
    out: dict[str, dict[tuple[str, int], dict[str, str]]] = {}
    with (folder / "TRUTH.csv").open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            out.setdefault(row["file"], {})[(row["part"], int(row["qty"]))] = row
    return out


@pytest.mark.parametrize(
    "name",
    ["m01_us_clean.xlsx", "m02_de_per100_cp1252.csv", "m03_de_merged_tiers.xlsx", "m09_us_lot_nre.xlsx", "m29_ubl_quotation.xml"],
)  # fmt: skip
def test_samples_are_read_exactly_without_help(open_data: Path, name: str) -> None:
    folder = open_data / "replies"
    wanted = truth(folder)[name]
    draft = read_reply(folder / name).get()
    got = {(p.part, p.quantity): p for p in draft.prices}
    assert got.keys() == wanted.keys()
    for key, row in wanted.items():
        price = got[key]
        assert price.each == Decimal(row["price_each"])
        assert price.currency == row["currency"] and price.sure and price.tax != "included"
        assert price.per == row["as_printed_per"]
        assert price.one_off == (Decimal(row["one_off"]) if row["one_off"] else None)
        if name.startswith("m29"):
            assert price.revision == ""  # the document has no place for it
        else:
            assert price.revision == row["rev"]
    assert draft.complete


def test_official_ubl_example_and_its_tax_trap(open_data: Path) -> None:
    draft = read_reply(open_data / "ubl" / "UBL-Quotation-2.1-Example.xml").get()
    assert [(p.quantity, p.each) for p in draft.prices] == [
        (35, 4300),
        (35, 1250),
        (35, 50),
        (35, 50),
    ]
    assert len({p.part for p in draft.prices}) == 4  # though two lines share a name
    assert {p.tax for p in draft.prices} == {"excluded"}
    trap = next(p for p in draft.problems if p.code == "R051")
    assert "49437.50" in trap.message and "197750.00" in trap.message
    assert trap.place.path.endswith("TaxExclusiveAmount")
    assert draft.terms.tax_percent == 25


def test_sample_terms(open_data: Path) -> None:
    folder = open_data / "replies"
    merged = read_reply(folder / "m03_de_merged_tiers.xlsx").get()
    assert merged.terms.incoterm == "EXW"
    assert merged.terms.payment is not None
    assert (merged.terms.payment.discount_percent, merged.terms.payment.discount_days) == (2, 14)
    assert [c.percent for c in merged.charges if c.kind == "packing"] == [Decimal("1.5")]
    lots = read_reply(folder / "m09_us_lot_nre.xlsx").get()
    assert [c.below for c in lots.charges if c.kind == "minimum order"] == [500]
    ubl = read_reply(folder / "m29_ubl_quotation.xml").get()
    assert (ubl.terms.incoterm, ubl.terms.place) == ("EXW", "Brno")
    assert ubl.request == "RFQ-2026-014"

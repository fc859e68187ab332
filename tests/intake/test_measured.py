"""First-article sheets as shops and measuring rooms fill them in; invented values."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from openpyxl import Workbook

from rfq.intake.measured import read_measured
from rfq.model.callout import Callout
from rfq.model.part import Part

PART = Part(
    number="SB-110",
    revision="B",
    name="housing end cap",
    material="EN AW-6082",
    callouts=tuple(
        Callout(number=number, text=text)
        for number, text in (("1", "⌀42 H7"), ("2", "30 ±0.1"), ("3", "4x M5"))
    ),
)


def csv(path: Path, *lines: str) -> Path:
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def test_a_row_a_value(tmp_path: Path) -> None:
    path = csv(
        tmp_path / "fai.csv",
        "Shop;Workshop Example;;;;;;",
        "Balloon;Piece;Instance;Measured;Uncertainty;Gauge;Inspector;State",
        "1;1;1;42,013;0,002;bore gauge 7;ana;before coating",
        "1;2;1;42,011;0,002;bore gauge 7;ana;after coating",
        "3;1;4;GO;;plug gauge M5;ana;",
        "2;1;1;30,04;;;;",
    )
    reading = read_measured(path, PART)
    assert reading.value is not None, reading.problems
    bore, second, thread, width = reading.value
    assert (bore.callout, bore.piece, bore.value) == ("1", 1, Decimal("42.013"))
    assert (bore.uncertainty, bore.gauge, bore.by) == (Decimal("0.002"), "bore gauge 7", "ana")
    assert (bore.state, second.state) == ("before", "after")
    assert second.piece == 2
    assert (thread.callout, thread.instance, thread.attribute, thread.value) == ("3", 4, "go", None)
    assert width.value == Decimal("30.04")
    assert all("fai.csv" in one.place for one in reading.value)


def test_a_column_a_piece_in_a_workbook(tmp_path: Path) -> None:
    book = Workbook()
    page = book.active
    assert page is not None
    for row in (
        ["First article of SB-110"], [],
        ["Merkmal", "Nennmaß", "Teil 1", "Teil 2", "Prüfmittel"],
        [1, "42 H7", 42.013, 42.011, "Innenmessgerät"],
        [2, "30 ±0,1", 30.04, 29.98, "Messschieber"],
        [3, "M5", "i.O.", "n.i.O.", "Lehrdorn"],
    ):  # fmt: skip
        page.append(row)
    book.save(tmp_path / "fai.xlsx")
    reading = read_measured(tmp_path / "fai.xlsx", PART)
    assert reading.value is not None, reading.problems
    got = {(m.callout, m.piece): (m.value, m.attribute) for m in reading.value}
    assert got == {
        ("1", 1): (Decimal("42.013"), ""), ("1", 2): (Decimal("42.011"), ""),
        ("2", 1): (Decimal("30.04"), ""), ("2", 2): (Decimal("29.98"), ""),
        ("3", 1): (None, "pass"), ("3", 2): (None, "fail"),
    }  # fmt: skip


@pytest.mark.parametrize(
    ("text", "attribute"), [("GO", "go"), ("NO-GO", "no-go"), ("pass", "pass"), ("NOK", "fail")]
)
def test_attribute_words(tmp_path: Path, text: str, attribute: str) -> None:
    reading = read_measured(csv(tmp_path / "a.csv", "Balloon;Measured", f"3;{text}"), PART)
    assert reading.value is not None, reading.problems
    assert [m.attribute for m in reading.value] == [attribute]


def test_a_doubtful_value_gives_no_half_result(tmp_path: Path) -> None:
    path = csv(tmp_path / "a.csv", "Balloon;Measured", "1;about 42", "2;30.04")
    reading = read_measured(path, PART)
    assert reading.value is None
    assert [p.code for p in reading.problems if p.severity == "stop"] == ["R081"]
    assert "about 42" in reading.problems[0].message


def test_a_value_with_two_readings_is_settled_by_the_column_or_refused(tmp_path: Path) -> None:
    told = read_measured(csv(tmp_path / "a.csv", "Balloon;Measured", "1;42,013", "2;30,04"), PART)
    assert told.value is not None
    assert told.value[0].value == Decimal("42.013")
    alone = read_measured(csv(tmp_path / "b.csv", "Balloon;Measured", "1;42,013"), PART)
    assert alone.value is None or alone.value[0].value == Decimal("42.013")


def test_unknown_and_missing_balloons_are_named(tmp_path: Path) -> None:
    reading = read_measured(csv(tmp_path / "a.csv", "Balloon;Measured", "1;42.01", "77;3.5"), PART)
    assert reading.value is not None
    assert {p.code for p in reading.problems} == {"R082", "R083"}
    assert any("77" in p.message for p in reading.problems)


def test_a_sheet_without_a_table_is_refused(tmp_path: Path) -> None:
    reading = read_measured(csv(tmp_path / "a.csv", "Hello;World", "1;2"), PART)
    assert reading.value is None
    assert reading.problems[0].code == "R080"

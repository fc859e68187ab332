"""What is typed into a field, as understood: numbers, callouts, materials."""

from __future__ import annotations

from decimal import Decimal

import pytest

from rfq.model.part import Part
from rfq.tasks.typed import callout_typed, material_typed, number_typed, tempers_of


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("41,20", "41.20"), ("41.20", "41.20"), ("1.234,50", "1234.50"), ("1,234.50", "1234.50"),
        ("1 234,5", "1234.5"), ("0,125", "0.125"), ("1.234", "1.234"), ("-3", "-3"), ("7", "7"),
    ],
)  # fmt: skip
def test_numbers_are_read_with_comma_or_point(typed: str, value: str) -> None:
    assert number_typed(typed)[0] == Decimal(value)


@pytest.mark.parametrize("typed", ["", "abc", "1,2,3.4.5", "1e", "--4", "1,234"])
def test_what_is_no_number_or_may_be_two_is_none_and_says_so(typed: str) -> None:
    value, said = number_typed(typed)
    assert value is None and not said.good and said.words


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("42 H7", "42.000 to 42.025 mm"),  # ISO 286-2:2010 table for H, over 30 to 50 mm
        ("25 g6", "24.980 to 24.993 mm"),  # ISO 286-2:2010 table for g, over 24 to 30 mm
        ("M6-6H x 12", "drill 5"),  # ISO 2306 (DIN 336): M6 core hole 5.0
        ("30", "29.8 to 30.2 mm"),  # ISO 2768-1:1989 class m, over 6 to 30 mm
    ],
)
def test_a_callout_shows_its_limits(typed: str, shown: str) -> None:
    said = callout_typed(typed, "ISO 2768-m")
    assert said.good and shown in said.words


def test_a_callout_that_cannot_be_read_says_what_would_be_right() -> None:
    said = callout_typed("42 Q7")
    assert not said.good and "no zone Q" in said.words


def test_only_tempers_that_exist_are_offered() -> None:
    plate = [temper for temper, _ in tempers_of("EN AW-6082", "plate")]
    assert "T651" in plate and "T7351" not in plate
    assert tempers_of("POM-C") == () and tempers_of("no such thing") == ()


def test_a_temper_of_another_alloy_is_refused() -> None:
    part = Part(number="A", revision="A", name="a", material="EN AW-6082", temper="T7351",
                form="plate")  # fmt: skip
    assert not material_typed(part).good
    assert material_typed(part.model_copy(update={"temper": "T651"})).good

# ruff: noqa: E501 - one made file stands on one line
"""Any number written in any local form comes back equal or is asked about, never different."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rfq.intake.cells import text_amount
from rfq.intake.numbers import Habit, figure, habit

AMOUNTS = st.integers(0, 99_999_999_999).map(lambda n: Decimal(n).scaleb(-2))
FINE = st.integers(0, 999_999_999).flatmap(
    lambda n: st.integers(0, 5).map(lambda digits: Decimal(n).scaleb(-digits))
)


def grouped(value: Decimal, group: str, mark: str) -> str:
    whole, _, behind = f"{value:f}".partition(".")
    parts = []
    while len(whole) > 3:
        parts.insert(0, whole[-3:])
        whole = whole[:-3]
    return group.join([whole, *parts]) + (mark + behind if behind else "")


def lakh(value: Decimal) -> str:
    whole, _, behind = f"{value:f}".partition(".")
    head, tail = whole[:-3], whole[-3:]
    parts = []
    while len(head) > 2:
        parts.insert(0, head[-2:])
        head = head[:-2]
    return ",".join([*([head] if head else []), *parts, tail]) + (f".{behind}" if behind else "")


FORMS = {
    "plain point": lambda v: f"{v:f}",
    "plain comma": lambda v: f"{v:f}".replace(".", ","),
    "English": lambda v: grouped(v, ",", "."),
    "German": lambda v: grouped(v, ".", ","),
    "Swiss straight": lambda v: grouped(v, "'", "."),
    "Swiss curly": lambda v: grouped(v, "\u2019", "."),
    "French narrow": lambda v: grouped(v, "\u202f", ","),
    "no-break": lambda v: grouped(v, "\u00a0", ","),
    "thin": lambda v: grouped(v, "\u2009", "."),
    "spaces": lambda v: grouped(v, " ", ","),
    "lakh": lakh,
    "full width": lambda v: "".join(chr(ord(c) + 0xFEE0) for c in grouped(v, ",", ".")),
    "no cents": lambda v: grouped(v.to_integral_value(), ".", ",") + ",-",
}
DRESS = ["{}", "{} EUR", "EUR {}", "€{}", "{} €", "$ {}", "{} zł", "US$ {}", "{} Kč", "CHF {}", "¥{}", "{} /pc", "{} EUR/Stk", "{} RMB"]  # fmt: skip


@settings(max_examples=80, deadline=None)
@given(
    value=st.one_of(AMOUNTS, FINE),
    form=st.sampled_from(sorted(FORMS)),
    dress=st.sampled_from(DRESS),
)
def test_a_number_in_any_form_is_equal_or_asked(value: Decimal, form: str, dress: str) -> None:
    wanted = value.to_integral_value() if form == "no cents" else value
    read = text_amount(dress.format(FORMS[form](value)))
    if read.values:
        assert wanted in read.values
        if len(read.values) == 1:
            assert read.values == (wanted,)


@settings(max_examples=60, deadline=None)
@given(
    values=st.lists(AMOUNTS, min_size=2, max_size=8), form=st.sampled_from(["English", "German"])
)
def test_the_column_settles_what_one_cell_leaves_open(values: list[Decimal], form: str) -> None:
    read = [figure(FORMS[form](v)) for v in values]
    style = habit(read)
    assert style.decimal == ("." if form == "English" else ",")
    assert [style.settle(f).values for f in read] == [(v,) for v in values]


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("1.234", ("1234", "1.234")),
        ("0,125", ("0.125",)),
        ("1.2345", ("1.2345",)),
        ("1.234.567", ("1234567",)),
        ("12,34,567.50", ("1234567.50",)),
        ("1'234.5", ("1234.5",)),
        ("4.59E+01", ("45.9",)),
        ("(12.50)", ("-12.50",)),
        ("12,50-", ("-12.50",)),
        ("٤٥٫٩", ("45.9",)),
        ("1.23.4", ()),
        ("1,2,3", ()),
        ("12.34,56", ()),
        ("0.123.456", ()),
        ("12 34", ()),
        ("", ()),
        ("1" * 50, ()),
    ],
)
def test_known_readings(text: str, values: tuple[str, ...]) -> None:
    assert figure(text).values == tuple(Decimal(v) for v in values)


def test_contradicting_columns_show_no_habit() -> None:
    assert habit([figure("1,50"), figure("1.50")]) == Habit()


@pytest.mark.parametrize(
    ("text", "base", "currencies"),
    [
        ("45,90 €/100", "100", ("EUR",)),
        ("2.527,00 EUR je 100 Stk", "100", ("EUR",)),
        ("USD 8,380.00 per 1,000 pcs", "1000", ("USD",)),
        ("30.60 EUR/kg", "kg", ("EUR",)),
        ("459.00 lot", "lot", ()),
        ("45.90 ea", "1", ()),
        ("¥45.90", "", ("CNY", "JPY")),
        ("45,90 zł", "", ("PLN",)),
        ("12 CHF/Stk", "1", ("CHF",)),
    ],
)
def test_what_stands_beside_a_number(text: str, base: str, currencies: tuple[str, ...]) -> None:
    read = text_amount(text)
    assert (read.base, read.currencies) == (base, currencies)
    assert len(read.values) == 1

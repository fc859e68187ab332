"""Text for the screen: nothing a terminal would obey, figures aligned, strips and bars."""

from __future__ import annotations

import unicodedata
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from rfq.tui import cells


@given(st.text(max_size=60))
@settings(max_examples=60, deadline=None)
def test_plain_text_holds_nothing_a_terminal_would_obey(text: str) -> None:
    shown = cells.plain(text)
    assert not any(unicodedata.category(char) in ("Cc", "Cf", "Cs") for char in shown)
    assert "\n" not in shown


@given(st.text(max_size=40), st.integers(0, 30), st.booleans())
@settings(max_examples=60, deadline=None)
def test_fitted_text_takes_exactly_its_room(text: str, room: int, right: bool) -> None:
    assert cell_len(cells.fit(cells.plain(text), room, right=right)) == room


def test_wide_characters_are_cut_at_their_width() -> None:
    assert cells.fit("金属部品", 5) == "金属…"


@pytest.mark.parametrize(
    ("price", "shown"),
    [(60, "●--│---"), (75, "---●---"), (90, "---│--●"), (59, "◂--│---"), (91, "---│--▸")],
)
def test_a_price_stands_at_its_place_in_the_band(price: float, shown: str) -> None:
    assert cells.strip(60, 75, 90, price) == shown


def test_a_band_of_no_width_does_not_divide_by_nought() -> None:
    assert len(cells.strip(5, 5, 5, 5)) == 7


def test_money_has_a_fixed_place_for_the_point() -> None:
    assert cells.money(Decimal("1234567.899")) == "1 234 567.90"
    assert cells.money(None) == ""


@pytest.mark.parametrize("share", [0.0, 0.03, 0.5, 1.0, 1.5])
def test_a_bar_never_leaves_its_room(share: float) -> None:
    assert len(cells.bar(share, 10)) <= 10

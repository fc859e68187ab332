"""Balloons in views: each number once, a leader to its place, no two on top of each other."""

from __future__ import annotations

from datetime import UTC, datetime
from io import BytesIO
from itertools import combinations
from math import hypot

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from rfq.documents.look import Running, Sheet
from rfq.documents.views import PITCH, Pin, View, draw_views

WHEN = datetime(2026, 7, 6, tzinfo=UTC)
SQUARE = ((0.0, 0.0), (80.0, 0.0), (80.0, 40.0), (0.0, 40.0), (0.0, 0.0))


def drawn(*views: View) -> Sheet:
    sheet = Sheet(paper="A4", title="t", running=Running("t"), when=WHEN)
    draw_views(sheet, views)
    return sheet


def texts(sheet: Sheet) -> dict[str, tuple[float, float]]:
    """Where each text stands on the page, in points."""
    found: dict[str, tuple[float, float]] = {}

    def visit(text: str, _: object, place: list[float], *__: object) -> None:
        if text.strip():
            found[text.strip()] = (place[4], place[5])

    PdfReader(BytesIO(sheet.finish())).pages[0].extract_text(visitor_text=visit)
    return found


def test_a_view_without_pins_takes_no_room_for_them() -> None:
    plain = View("front", (SQUARE,), (), 80.0, 40.0)
    pinned = View("front", (SQUARE,), (), 80.0, 40.0, (Pin("1", 10.0, 10.0),))
    assert drawn(plain).y - drawn(pinned).y == pytest.approx(PITCH)


@settings(max_examples=25, deadline=None)
@given(
    shares=st.lists(
        st.tuples(st.floats(0, 1), st.floats(0, 1)), min_size=1, max_size=40, unique=True
    )
)
def test_every_number_stands_once_above_its_view_and_apart(
    shares: list[tuple[float, float]],
) -> None:
    pins = tuple(Pin(f"n{k}", 80 * x, 40 * y) for k, (x, y) in enumerate(shares))
    other = View("top", (SQUARE,), (), 80.0, 40.0)
    places = texts(drawn(View("front", (SQUARE,), (), 80.0, 40.0, pins), other))
    balloons = [places[pin.text] for pin in pins]
    assert all(hypot(a[0] - b[0], a[1] - b[1]) > PITCH / 2 for a, b in combinations(balloons, 2))
    assert min(y for _, y in balloons) > places["front"][1] + 40
    assert max(y for _, y in balloons) < places["Views"][1]

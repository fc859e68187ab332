"""Properties of the fits: band edges, order of grades, what the standard has and what we hold."""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rfq.engine.standards.iso286 import deviations_um, grade_of, limits, tolerance_um
from rfq.engine.standards.iso286_tables import BANDS, FINE_BANDS
from rfq.engine.standards.limits import NoSuchZone, NotDefined, NotInTable
from rfq.model.series import GRADES, HOLE_ZONES, SHAFT_ZONES

ZONES = (*HOLE_ZONES, *SHAFT_ZONES)
sizes = st.decimals(min_value="0.5", max_value="500", places=3)


@pytest.mark.parametrize("end", BANDS[:-1])
def test_a_band_holds_its_upper_end(end: Decimal) -> None:
    step = Decimal("0.001")
    for grade in ("5", "7", "11"):
        assert tolerance_um(end, grade) == tolerance_um(end - step, grade)
        assert tolerance_um(end, grade) < tolerance_um(end + step, grade)


@pytest.mark.parametrize("end", FINE_BANDS[:-1])
def test_the_finer_bands_hold_their_upper_end(end: Decimal) -> None:
    step = Decimal("0.001")
    assert deviations_um(end, "x", 8) == deviations_um(end - step, "x", 8)
    assert deviations_um(end, "x", 8) != deviations_um(end + step, "x", 8)


@given(sizes)
@settings(max_examples=60)
def test_grades_grow(size: Decimal) -> None:
    widths = []
    for grade in GRADES:
        try:
            widths.append(tolerance_um(size, grade))
        except NoSuchZone:
            assert size <= 1
            assert GRADES.index(grade) >= GRADES.index("14")
    assert all(finer < coarser for finer, coarser in pairwise(widths))


@given(sizes, st.sampled_from(ZONES), st.sampled_from(GRADES))
@settings(max_examples=200)
def test_every_zone_has_its_width_or_a_sentence(size: Decimal, zone: str, grade: str) -> None:
    try:
        found = limits(size, zone, grade)
    except NotDefined as missing:
        text = str(missing)
        assert text.endswith(".")
        assert grade in text or zone in text or zone.lower() in text
        return
    assert found.width_mm * 1000 == tolerance_um(size, grade)
    assert found.lower_mm < found.upper_mm


@given(sizes, st.sampled_from(SHAFT_ZONES), st.integers(5, 8))
@settings(max_examples=100)
def test_shaft_zones_climb_from_a_to_zc(size: Decimal, zone: str, grade: int) -> None:
    """Each later letter lies at least as high, at one size and grade."""
    later = SHAFT_ZONES[SHAFT_ZONES.index(zone) + 1 :]
    try:
        here = deviations_um(size, zone, grade)
    except NotDefined:
        return
    for other in later:
        try:
            there = deviations_um(size, other, grade)
        except NotDefined:
            continue
        if {zone, other} <= {"js", "j", "k", "h"}:
            continue  # j and js cross the zero line in their own ways
        assert there[0] >= here[0], other


@pytest.mark.parametrize("zone", ["I", "L", "O", "Q", "W", "i", "l", "o", "q", "w", "Ab", "hh", ""])
def test_a_zone_that_the_standard_does_not_have(zone: str) -> None:
    with pytest.raises(NoSuchZone, match="no zone"):
        limits(42, zone, 7)


@pytest.mark.parametrize(
    "size,zone,grade",
    [
        (20, "t", 6),  # t begins above 24 mm
        (12, "v", 6),  # above 14
        (16, "y", 6),  # above 18
        (25, "j", 9),  # j ends with 8
        (25, "j", 8),  # j8 only to 3 mm
        (25, "J", 9),
        (25, "K", 9),  # K9 only to 3 mm
        (1, "a", 9),  # a and b above 1 mm
        (Decimal("0.8"), "N", 9),
        (1, "h", 14),
        (60, "cd", 7),
        (0, "h", 7),
        (42, "h", 19),
    ],
)
def test_what_the_standard_does_not_have(size: Decimal, zone: str, grade: int) -> None:
    with pytest.raises(NoSuchZone):
        limits(size, zone, grade)


@pytest.mark.parametrize("size,zone,grade", [(501, "H", 7), (20, "ef", 6), (25, "P", 2)])
def test_what_we_do_not_hold(size: int, zone: str, grade: int) -> None:
    with pytest.raises(NotInTable, match="not in our table"):
        limits(size, zone, grade)


def test_js_is_exact_unless_the_older_rounding_is_asked() -> None:
    """js7 at 25 mm: IT7 = 21; the old tables print ±10."""
    assert deviations_um(25, "js", 7) == (Decimal("-10.5"), Decimal("10.5"))
    assert deviations_um(25, "js", 7, round_js=True) == (-10, 10)
    assert deviations_um(25, "JS", 6, round_js=True) == (Decimal("-6.5"), Decimal("6.5"))
    assert limits(25, "js", 7).upper_mm == Decimal("25.0105")
    assert limits(1, "js", 2).upper_mm == Decimal("1.0006")
    assert limits(500, "js", 1).lower_mm == Decimal("499.996")


def test_k_is_zero_outside_grades_4_to_7() -> None:
    assert deviations_um(25, "k", 8)[0] == 0
    assert deviations_um(25, "k", 3)[0] == 0
    assert deviations_um(25, "k", 7)[0] == 2


@pytest.mark.parametrize("size", [float("nan"), float("inf"), Decimal("NaN")])
def test_no_size_no_limits(size: Decimal | float) -> None:
    with pytest.raises(NotDefined, match="no length"):
        limits(size, "H", 7)


def test_grade_of_a_width() -> None:
    assert grade_of(25, Decimal("0.021")) == "7"
    assert grade_of(25, Decimal("0.0209")) == "6"
    assert grade_of(25, Decimal("9")) == "18"
    assert grade_of(25, Decimal("0.0001")) == "01"

"""Metric threads against printed limits and the formulas of ISO 965-1.

M10-6g, the 6H pitch tolerances of M3, M4, M5 and 6az of M10 were seen in print; the rest of the
limits below are the usual shop table, from memory, and so are the formulas.
"""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise
from math import sqrt

import pytest

from rfq.engine.standards.limits import NoSuchZone, NotInTable
from rfq.engine.standards.thread_tables import (
    BOLT_MAJOR_6_UM,
    BOLT_PITCH_6_UM,
    BOLT_PITCH_STEPS,
    CORE_DRILL_MM,
    DIAMETER_BANDS_MM,
    FUNDAMENTAL_UM,
    NUT_MINOR_6_UM,
    NUT_PITCH_STEPS,
    R40,
)
from rfq.engine.standards.threads import (
    core_drill_mm,
    in_series,
    limits_of_thread,
    pitch_diameter_mm,
    read_class,
    round_r40,
    thread_limits,
)
from rfq.model.callout import Thread, parse_callout
from rfq.model.series import COARSE_PITCH_MM

D = Decimal


# Rows THR-M10-6g of the check values. Source: a printed page of thread limits (seen).
def test_m10_6g() -> None:
    bolt = thread_limits(D(10), D("1.5"), "6g")
    assert (bolt.major_max_mm, bolt.major_min_mm) == (D("9.968"), D("9.732"))
    assert (bolt.pitch_max_mm, bolt.pitch_min_mm) == (D("8.994"), D("8.862"))
    assert (bolt.minor_max_mm, bolt.minor_min_mm) == (D("8.128"), D("7.938"))
    assert (D(10) - bolt.major_max_mm) * 1000 == 32


# Rows THR-d2 of the check values. Source: ISO 724; M10 9.026 and M6 5.350 seen in print.
@pytest.mark.parametrize(
    "size,pitch,expected",
    [
        ("3", "0.5", 2.6752405),
        ("6", "1", 5.350481),
        ("10", "1.5", 9.0257215),
        ("12", "1.75", 10.86334175),
    ],
)
def test_pitch_diameters(size: str, pitch: str, expected: float) -> None:
    assert float(pitch_diameter_mm(D(size), D(pitch))) == pytest.approx(expected, abs=1e-6)


# Rows THR-TD2 of the check values. Source: a printed chart of 6H pitch tolerances (seen).
@pytest.mark.parametrize("size,tolerance", [("3", 100), ("4", 118), ("5", 125)])
def test_seen_6h_pitch_tolerances(size: str, tolerance: int) -> None:
    nut = thread_limits(D(size), COARSE_PITCH_MM[D(size)], "6H")
    assert nut.pitch_tolerance_um == tolerance


# 6H: least and greatest minor and pitch diameter; 6g: greatest and least major and pitch. The usual
# shop table, from memory.
NUTS = [
    ("3", "2.459", "2.599", "2.675", "2.775"),
    ("4", "3.242", "3.422", "3.545", "3.663"),
    ("5", "4.134", "4.334", "4.480", "4.605"),
    ("6", "4.917", "5.153", "5.350", "5.500"),
    ("8", "6.647", "6.912", "7.188", "7.348"),
    ("10", "8.376", "8.676", "9.026", "9.206"),
    ("12", "10.106", "10.441", "10.863", "11.063"),
    ("16", "13.835", "14.210", "14.701", "14.913"),
    ("20", "17.294", "17.744", "18.376", "18.600"),
    ("24", "20.752", "21.252", "22.051", "22.316"),
    ("30", "26.211", "26.771", "27.727", "28.007"),
]
BOLTS = [
    ("3", "2.980", "2.874", "2.655", "2.580"),
    ("4", "3.978", "3.838", "3.523", "3.433"),
    ("5", "4.976", "4.826", "4.456", "4.361"),
    ("6", "5.974", "5.794", "5.324", "5.212"),
    ("8", "7.972", "7.760", "7.160", "7.042"),
    ("12", "11.966", "11.701", "10.829", "10.679"),
    ("16", "15.962", "15.682", "14.663", "14.503"),
    ("20", "19.958", "19.623", "18.334", "18.164"),
    ("24", "23.952", "23.577", "22.003", "21.803"),
]


@pytest.mark.parametrize("row", NUTS, ids=lambda row: f"M{row[0]}")
def test_nuts(row: tuple[str, ...]) -> None:
    size, *expected = (D(value) for value in row)
    nut = thread_limits(size, COARSE_PITCH_MM[size], "6H")
    assert [nut.minor_min_mm, nut.minor_max_mm, nut.pitch_min_mm, nut.pitch_max_mm] == expected
    assert nut.major_min_mm == size
    assert nut.major_max_mm is None


@pytest.mark.parametrize("row", BOLTS, ids=lambda row: f"M{row[0]}")
def test_bolts(row: tuple[str, ...]) -> None:
    size, *expected = (D(value) for value in row)
    bolt = thread_limits(size, COARSE_PITCH_MM[size], "6g")
    assert [bolt.major_max_mm, bolt.major_min_mm, bolt.pitch_max_mm, bolt.pitch_min_mm] == expected


def test_6az_of_m10_lies_330_um_below() -> None:
    """ISO 965-4, M10: es = -330 um (seen)."""
    assert thread_limits(D(10), D("1.5"), "6az").major_max_mm == D("9.670")


# --- formulas of ISO 965-1 (from memory), rounded to R40 ------------------------------------------


def _step(value: Decimal) -> int:
    """Place of a tolerance on the endless R40 ladder."""
    scale = value.adjusted() - 1
    lead = value.scaleb(-scale)
    place = min(range(len(R40)), key=lambda n: abs(R40[n] - lead))
    return place + 40 * scale


def test_r40_is_a_geometric_ladder() -> None:
    for step, (a, b) in enumerate(pairwise(R40)):
        assert float(b / a) == pytest.approx(10 ** (1 / 40), abs=0.016), step
    assert _step(D(100)) - _step(D(10)) == 40


def test_bolt_pitch_tolerances_follow_the_formula() -> None:
    """Td2(6) = 90 P^0.4 d^0.1 within one step of R40; at most four cells are off by one."""
    off = 0
    for low, high in pairwise(DIAMETER_BANDS_MM):
        middle = sqrt(float(low * high))
        for pitch, value in BOLT_PITCH_6_UM[high].items():
            formula = round_r40(D(90 * float(pitch) ** 0.4 * middle**0.1))
            assert abs(_step(value) - _step(formula)) <= 1, (high, pitch)
            off += value != formula
    assert off <= 4


def test_bolt_major_tolerances_follow_the_formula() -> None:
    """Td(6) = 180 P^(2/3) - 3.15/sqrt(P); one cell (P 4) lies a step above."""
    off = 0
    for pitch, value in BOLT_MAJOR_6_UM.items():
        assert value is not None
        p = float(pitch)
        formula = round_r40(D(180 * p ** (2 / 3) - 3.15 / sqrt(p)))
        assert abs(_step(value) - _step(formula)) <= 1, pitch
        off += value != formula
    assert off <= 1


def test_nut_minor_tolerances_follow_the_formula() -> None:
    """TD1(6) = 433 P - 190 P^1.22 to 0.8 mm, 230 P^0.7 from 1 mm; three cells a step above."""
    off = 0
    for pitch, value in NUT_MINOR_6_UM.items():
        if value is None:
            continue
        p = float(pitch)
        formula = round_r40(D(433 * p - 190 * p**1.22 if p <= 0.8 else 230 * p**0.7))
        assert abs(_step(value) - _step(formula)) <= 1, pitch
        off += value != formula
    assert off <= 3


@pytest.mark.parametrize("position,constant", [("e", 50), ("f", 30), ("g", 15)])
def test_deviations_follow_the_formula(position: str, constant: int) -> None:
    """es = -(constant + 11 P) um, rounded; e below 0.7 mm stands below its formula."""
    for pitch, value in FUNDAMENTAL_UM[position].items():
        if value is not None and (position != "e" or pitch >= D("0.7")):
            assert float(value) == pytest.approx(constant + 11 * float(pitch), abs=3.1), pitch


def test_grades_are_steps_of_r40() -> None:
    """Factors of ISO 965-1 on grade 6: bolts 0.5 to 2, nuts 0.85 to 2.12 (from memory)."""
    bolts = {"3": 0.5, "4": 0.63, "5": 0.8, "6": 1, "7": 1.25, "8": 1.6, "9": 2}
    nuts = {"4": 0.85, "5": 1.06, "6": 1.32, "7": 1.7, "8": 2.12}
    for factors, steps in ((bolts, BOLT_PITCH_STEPS), (nuts, NUT_PITCH_STEPS)):
        for grade, factor in factors.items():
            assert 10 ** (steps[grade] / 40) == pytest.approx(factor, rel=0.02)
    assert [int(round_r40(D(75), steps)) for steps in (-12, -8, -4, 0, 4, 8)] == [
        38, 48, 60, 75, 95, 118,
    ]  # fmt: skip


def test_tighter_grades_are_tighter() -> None:
    for system in (("4H", "5H", "6H", "7H"), ("4g", "6g", "8g")):
        widths = [thread_limits(D(12), D("1.75"), name).pitch_tolerance_um for name in system]
        assert widths == sorted(widths)
        assert len(set(widths)) == len(widths)


def test_core_drills() -> None:
    """DIN 336, from memory: between the 6H limits of the minor diameter wherever we hold both."""
    for size, drill in CORE_DRILL_MM.items():
        try:
            nut = thread_limits(size, COARSE_PITCH_MM[size], "6H")
        except NotInTable:
            continue
        assert nut.minor_min_mm - D("0.01") <= drill <= nut.minor_max_mm, size
    assert core_drill_mm(Thread("G", D("0.25"), None, label="1/4")) == D("11.8")


def test_classes() -> None:
    assert read_class("5g6g").crest_grade == "6"
    for strange in ("6Q", "6", "H6", "6Hg", ""):
        with pytest.raises(NoSuchZone):
            read_class(strange)


def test_series() -> None:
    assert in_series(D(8), D("1.25"))
    assert in_series(D(10), D("1.25"))
    assert not in_series(D(10), D(2))


def test_a_callout_without_a_class_is_medium() -> None:
    tapped = parse_callout("M6 x 12").get()
    assert isinstance(tapped, Thread)
    assert limits_of_thread(tapped).basis.endswith("6H")
    stud = parse_callout("M6 external").get()
    assert isinstance(stud, Thread)
    assert limits_of_thread(stud).basis.endswith("6g")
    inch = parse_callout("1/4-20 UNC").get()
    assert isinstance(inch, Thread)
    with pytest.raises(NotInTable):
        limits_of_thread(inch)

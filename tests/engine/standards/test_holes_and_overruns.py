"""Core holes, overruns and what the thread tables do not hold.

Geometry of the 60 degree profile (ISO 68-1), of pipe threads (ISO 228-1: 25.4 mm over the threads
an inch) and the order of the rounded series (ISO 3); no figure is repeated from the tables.
"""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise
from math import sqrt

import pytest

from rfq.engine.standards.limits import NoSuchZone, NotInTable
from rfq.engine.standards.thread_tables import (
    BLIND_OVERRUN_MM,
    BOLT_MAJOR_STEPS,
    BOLT_PITCH_STEPS,
    CORE_DRILL_MM,
    FINE_PITCHES_MM,
    NUT_MINOR_STEPS,
    NUT_PITCH_STEPS,
    PIPE_G,
    R40,
)
from rfq.engine.standards.threads import (
    blind_overrun_mm,
    core_drill_mm,
    limits_of_thread,
    minor_diameter_mm,
    pitch_diameter_mm,
    read_class,
    round_r40,
    thread_limits,
)
from rfq.model.series import COARSE_PITCH_MM
from rfq.model.spec import Thread

D = Decimal


def test_every_coarse_drill_leaves_a_nut_of_6h() -> None:
    """A core hole lies between the least minor diameter and a tenth of a pitch above the most."""
    for size, drill in CORE_DRILL_MM.items():
        pitch = COARSE_PITCH_MM[size]
        assert core_drill_mm(Thread("M", size, pitch)) == drill
        assert minor_diameter_mm(size, pitch) < drill <= size - pitch * D("0.9"), size


def test_a_fine_thread_is_drilled_at_the_size_less_the_pitch() -> None:
    for size, pitches in FINE_PITCHES_MM.items():
        for pitch in pitches:
            drill = core_drill_mm(Thread("MF", size, pitch))
            assert abs(drill - (size - pitch)) <= D("0.005")


@pytest.mark.parametrize("label", PIPE_G)
def test_a_pipe_thread_is_drilled_inside_its_profile(label: str) -> None:
    """Depth of the 55 degree profile is 0.640327 P (ISO 228-1); the drill leaves nearly all."""
    major, per_inch, drill = PIPE_G[label]
    pitch = D("25.4") / per_inch
    minor = major - 2 * D("0.640327") * pitch
    found = core_drill_mm(Thread("G", major, None, label=label))
    assert found == drill
    assert minor - D("0.05") <= found <= minor + D("0.75") * pitch


def test_pipe_sizes_rise() -> None:
    for (major, per_inch, drill), (next_major, next_per_inch, next_drill) in pairwise(
        PIPE_G.values()
    ):
        assert next_major > major and next_drill > drill and next_per_inch <= per_inch


def test_no_drill_for_what_is_not_held() -> None:
    with pytest.raises(NotInTable, match="G7 is not in our table"):
        core_drill_mm(Thread("G", D(200), None, label="7"))
    with pytest.raises(NotInTable, match="without a pitch"):
        core_drill_mm(Thread("M", D(72), None))


def test_the_overrun_is_about_five_pitches_and_grows() -> None:
    """DIN 76-1 rounds e1 (usual) to some 4 to 6.3 pitches (from memory)."""
    for (pitch, overrun), (_, longer) in pairwise(sorted(BLIND_OVERRUN_MM.items())):
        assert 4 * pitch <= overrun <= D("6.3") * pitch
        assert overrun < longer
        assert blind_overrun_mm(pitch) == overrun
    with pytest.raises(NotInTable, match=r"0\.9 mm"):
        blind_overrun_mm(D("0.9"))


def test_limits_are_for_metric_threads_we_hold() -> None:
    for other in (Thread("G", D("9.728"), None, label="1/8"), Thread("M", D(6), None)):
        with pytest.raises(NotInTable, match="holds ISO M"):
            limits_of_thread(other)
    with pytest.raises(NotInTable, match="size and pitch"):
        thread_limits(D(400), D(6), "6g")  # above the last band
    with pytest.raises(NotInTable, match="size and pitch"):
        thread_limits(D(10), D(6), "6g")  # no such pitch in the band
    with pytest.raises(NotInTable, match="position e lacks this pitch"):
        thread_limits(D(2), D("0.4"), "6e")
    with pytest.raises(NotInTable, match="grade 9 is not used here"):
        thread_limits(D(6), D(1), "9H")
    with pytest.raises(NotInTable, match="grade 5"):
        thread_limits(D(6), D(1), "6g5g")  # no grade 5 for the major diameter of a bolt


def test_both_ends_of_the_first_and_the_last_band_are_held() -> None:
    for size, pitch in ((D("0.99"), D("0.2")), (D(355), D(6))):
        found = thread_limits(size, pitch, "6h")
        assert found.major_max_mm == size
        assert found.pitch_max_mm < size and found.pitch_min_mm < found.pitch_max_mm


@pytest.mark.parametrize("text", ["", "6", "H", "66H", "6H6G", "2H", "10g", "6x", "6gh", "6hH"])
def test_what_is_no_class(text: str) -> None:
    with pytest.raises(NoSuchZone, match="no thread class"):
        read_class(text)


def test_a_nut_for_galvanised_bolts_is_open_by_the_same_room() -> None:
    """ISO 965-5: 6AZ lies as far above the profile as 6az lies below it (from memory)."""
    plain, open_ = (thread_limits(D(10), D("1.5"), name) for name in ("6H", "6AZ"))
    bolt = thread_limits(D(10), D("1.5"), "6az")
    assert bolt.major_max_mm is not None
    assert open_.pitch_min_mm - plain.pitch_min_mm == D(10) - bolt.major_max_mm == D("0.330")
    assert open_.pitch_tolerance_um == plain.pitch_tolerance_um
    assert "before galvanising" in bolt.basis


def test_ten_thousandths_are_a_tolerance_and_nothing_is_none() -> None:
    for value in (D(0), D(-3)):
        with pytest.raises(ValueError, match="is none"):
            round_r40(value)
    # forty steps are a factor of ten, up and down
    for value in (D(132), D(200), D(85)):
        assert float(round_r40(value, 40)) == pytest.approx(10 * float(round_r40(value)), rel=0.01)
    assert round_r40(D(1320), -40) == round_r40(D(132))
    assert round_r40(D("99.6")) == 100


def test_a_step_of_r40_is_six_percent_and_the_grades_are_its_factors() -> None:
    """Factors of ISO 965-1: 0.5 0.63 0.8 1 1.25 1.6 2; the nut's pitch diameter 1.32 times."""
    factor = {"3": 0.5, "4": 0.63, "5": 0.8, "6": 1.0, "7": 1.25, "8": 1.6, "9": 2.0}
    step = 10 ** (1 / 40)
    assert all(float(b / a) == pytest.approx(step, rel=0.012) for a, b in pairwise(R40))
    for table, base in (
        (BOLT_PITCH_STEPS, 1.0), (BOLT_MAJOR_STEPS, 1.0), (NUT_MINOR_STEPS, 1.0),
        (NUT_PITCH_STEPS, 1.32),
    ):  # fmt: skip
        for grade, steps in table.items():
            assert step**steps == pytest.approx(base * factor[grade], rel=0.02), grade


def test_diameters_are_those_of_the_basic_triangle() -> None:
    height = sqrt(3) / 2
    for size, pitch in ((D(6), D(1)), (D(24), D(3))):
        p = float(pitch)
        assert float(pitch_diameter_mm(size, pitch)) == pytest.approx(
            float(size) - 2 * 3 / 8 * height * p, abs=1e-6
        )
        assert float(minor_diameter_mm(size, pitch)) == pytest.approx(
            float(size) - 2 * 5 / 8 * height * p, abs=1e-6
        )
        bolt = thread_limits(size, pitch, "6h")  # root at H/6 at most, at 0.125 P radius at least
        assert float(bolt.minor_max_mm) == pytest.approx(
            float(size) - 2 * 17 / 24 * height * p, abs=6e-4
        )
        assert float(bolt.minor_min_mm) == pytest.approx(
            float(bolt.pitch_min_mm) - (height - 2 * 0.125) * p, abs=1.1e-3
        )

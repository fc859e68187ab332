"""Limits that a callout states itself, beside or instead of a table."""

from __future__ import annotations

from decimal import Decimal

import pytest

from rfq.engine.standards import gauges
from rfq.engine.standards.callout_limits import limits_of
from rfq.model.callout import parse_callout

D = Decimal


@pytest.mark.parametrize(
    "text,general,lower,upper",
    [
        ("42 H7 (+0.025/0)", "", "42", "42.025"),  # ISO 286-1: 42 H7 = +25/0
        ("42 h7 (0/-0.025)", "", "41.975", "42"),
        ("12 ±0.1", "", "11.9", "12.1"),
        ("12 +0.2/-0.1", "", "11.9", "12.2"),
        ("R2 ±0.2", "", "1.8", "2.2"),
        ("R0.5 max", "", "0", "0.5"),
        ("position 0.1 A B", "", "0", "0.1"),
        ("30", "ISO 2768-m", "29.8", "30.2"),  # ISO 2768-1: m, 30 to 120 from above 30: +-0.2
        ("R2", "ISO 2768-m", "1.8", "2.2"),  # ISO 2768-1 table 2: m, 0.5 to 3: +-0.2
    ],
)
def test_limits(text: str, general: str, lower: str, upper: str) -> None:
    found = limits_of(parse_callout(text).get(), general).get()
    assert (found.lower_mm, found.upper_mm) == (D(lower), D(upper))


def test_a_form_tolerance_starts_at_nothing() -> None:
    found = limits_of(parse_callout("flatness 0.02").get()).get()
    assert (found.lower_mm, found.nominal_mm, found.width_mm) == (0, 0, D("0.02"))


def test_wrong_stated_limits_on_either_side_are_caught() -> None:
    for text in ("42 h7 (0/-0.021)", "42 h7 (+0.001/-0.025)", "42 H7 (+0.025/+0.001)"):
        reading = limits_of(parse_callout(text).get())
        assert [problem.code for problem in reading.problems] == ["T005"], text


def test_no_general_tolerance_is_said_in_either_way() -> None:
    size = parse_callout("30").get()
    assert "states no general tolerance" in limits_of(size).problems[0].message
    assert "'as usual' gives none" in limits_of(size, "as usual").problems[0].message


def test_like_means_take_like_time() -> None:
    """Common practice: what is handled alike takes as long, and all within these minutes."""

    def minutes(means: gauges.Means) -> tuple[float, float, float]:
        return means.minutes_low, means.minutes_typical, means.minutes_high

    alike = (
        (gauges.FINE_MICROMETER, gauges.BORE_COMPARATOR, gauges.DIAL_GAUGE),
        (gauges.CALIPER, gauges.MICROMETER, gauges.PLUG_GAUGE, gauges.SNAP_GAUGE),
        (gauges.BORE_MICROMETER, gauges.PROTRACTOR),
        (gauges.RADIUS_GAUGE, gauges.LOUPE),
    )
    for group in alike:
        assert {minutes(means) for means in group} == {minutes(group[0])}
    for means in (gauges.STYLUS, gauges.HARDNESS_TESTER, gauges.FINE_MICROMETER):
        assert means.minutes_typical == 1.0 and means.minutes_high == 2 * means.minutes_typical
    assert gauges.CMM_GEOMETRY.minutes_high == 2.0 and gauges.CMM_GEOMETRY.minutes_low == 1.0
    assert gauges.CMM.minutes_high <= gauges.CMM_GEOMETRY.minutes_low
    assert gauges.FORM_TESTER.minutes_high == 4 * gauges.FORM_TESTER.minutes_low == 8
    assert gauges.THREAD_GAUGE.minutes_high < 1 < gauges.PROJECTOR.minutes_high < 2

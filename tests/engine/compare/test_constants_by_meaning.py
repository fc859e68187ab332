"""Constants that a slip of the hand would change unseen, checked by what they mean.

Arithmetic of decimal places and of units; pound and inch as of the international yard and pound
agreement of 1959 (0.45359237 kg, 25.4 mm).
"""

from __future__ import annotations

from itertools import pairwise

import pytest

from rfq.engine.compare.posterior import NAMED
from rfq.engine.compare.region import expected_levels
from rfq.engine.compare.slips import candidates
from rfq.engine.standards import gauges
from rfq.engine.standards.sampling import ROWS, plan
from rfq.model.shop import Shop


def _factor(key: str) -> float:
    if key.startswith("x"):
        return float(key[1:])
    return 1 / float(key[1:])


def test_a_slip_is_called_by_its_factor() -> None:
    for key, factor, weight in NAMED:
        assert 0 < weight < 0.5, key
        if "quantity" not in key:
            assert factor == pytest.approx(_factor(key)), key
    # the way up and the way down are as likely
    weights = {key: weight for key, _, weight in NAMED}
    for up in ("10", "100", "1000", " quantity"):
        assert weights[f"x{up}"] == weights[f"/{up}"]
    assert weights["x1000"] < weights["x100"] < weights["x10"]


def test_candidates_are_called_by_their_factor() -> None:
    found: dict[str, list[float]] = {}
    for one in candidates():
        found.setdefault(one.key, []).append(one.factor)
    for key in ("x10", "/10", "x100", "/100", "x1000", "/1000", "x2"):
        assert found[key] == [pytest.approx(_factor(key))]
    assert found["dozen"] == [12.0]
    assert sorted(found["inch"]) == pytest.approx([1 / 25.4, 25.4])
    assert sorted(found["pound"]) == pytest.approx([0.45359237, 1 / 0.45359237])


def test_a_currency_at_par_or_without_a_rate_is_no_slip() -> None:
    keys = {one.key for one in candidates(currency_ratios={"AAA": 1.0, "BBB": 0.0, "CCC": 4.4})}
    assert {"CCC", "/CCC"} <= keys
    assert not keys & {"AAA", "BBB", "/AAA", "/BBB"}


def test_without_an_estimate_no_level_is_expected() -> None:
    shop = Shop(id="a", name="A", country="PL", currency="PLN")
    assert expected_levels([shop], "DE", {}) == {}


def test_every_lot_has_one_row_and_larger_lots_no_smaller_samples() -> None:
    assert ROWS[0][0] == 2 and ROWS[-1][1] == 0
    for before, after in pairwise(ROWS):
        assert after[0] == before[1] + 1  # no gap, no overlap
        assert after[3] > before[3] and after[5] >= before[5] and after[6] >= before[6]
    for row in ROWS:
        assert row[7] == row[6] + 1  # single sampling: one more than accepted is refused
    assert plan(2).whole_lot and not plan(14).whole_lot


def test_measuring_times_rise_from_low_to_high() -> None:
    means = [one for one in vars(gauges).values() if isinstance(one, gauges.Means)]
    assert len(means) > 10
    for one in means:
        assert 0 < one.minutes_low <= one.minutes_typical <= one.minutes_high <= 10, one.name
        assert one.minutes_high <= 3 * one.minutes_typical, one.name

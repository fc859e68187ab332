"""Prior weights read back from the model where the figures say nothing, and bounds that make sense.

With a spread so wide that every hypothesis fits as well, the posterior is the prior.
"""

from __future__ import annotations

from math import exp, log

import numpy as np
import pytest

from rfq.engine.compare import variances, whole_reply
from rfq.engine.compare.elements_odd import (
    CALLOUT_PATTERN,
    ELEMENT_START,
    ELEMENTS,
    HYPOTHESES,
    SLIP_SHARE,
    element_weights,
)
from rfq.engine.compare.level_and_odd import START


def prior(full: bool = True) -> dict[str, float]:
    rows = element_weights(
        np.zeros((1, 5)), np.full((1, 5), 1e7), np.full((1, 5), 0.2), np.array([full]),
        ELEMENT_START,
    )  # fmt: skip
    found: dict[str, float] = {}
    for name, weight in zip(HYPOTHESES, rows[0], strict=True):
        found[name] = found.get(name, 0.0) + float(weight)
    return found


def test_weights_of_a_breakdown_are_shares_of_one() -> None:
    found = prior()
    assert found["clean"] == pytest.approx(1 - SLIP_SHARE)
    for up in ("10", "100", "1000"):  # up and down are as likely
        assert found[f"x{up}"] == pytest.approx(found[f"/{up}"])
    assert found["x1000"] < found["x100"] < found["x10"] == pytest.approx(found["x2"])
    wholes = [found[f"{way}{by}"] for by in ("10", "100", "1000") for way in "x/"]
    assert sum(wholes) + found["x2"] == pytest.approx(0.2 * SLIP_SHARE)
    assert found["whole price"] == pytest.approx(0.3 * SLIP_SHARE)
    for element in ELEMENTS:
        assert found[element] == pytest.approx(0.08 * SLIP_SHARE)
    assert found["callout"] == pytest.approx(0.1 * SLIP_SHARE)
    without = prior(full=False)  # no breakdown: no element can be named
    assert all(without[element] == 0 for element in (*ELEMENTS, "callout"))


@pytest.mark.parametrize("factor,key", [(10, "x10"), (0.1, "/10"), (100, "x100"), (0.01, "/100"),
                                        (1000, "x1000"), (0.001, "/1000"), (2, "x2")])  # fmt: skip
def test_a_total_exactly_off_by_a_factor_is_called_by_it(factor: float, key: str) -> None:
    residual = np.zeros((1, 5))
    residual[0, 0] = log(factor)
    rows = element_weights(
        residual, np.full((1, 5), 0.02), np.full((1, 5), 0.2), np.array([True]), ELEMENT_START
    )
    assert HYPOTHESES[int(np.argmax(rows[0]))] == key


def test_a_misread_callout_moves_run_and_inspection_together() -> None:
    moved = dict(zip(ELEMENTS, CALLOUT_PATTERN, strict=True))
    assert moved["run"] == 1  # the pattern is measured in steps of the run time
    assert 0.5 < moved["inspection"] < 1
    assert moved["material"] == moved["finish"] == 0
    assert 0 <= moved["set-up"] <= 0.5


def test_factors_of_whole_replies_are_their_names() -> None:
    by_name = {}
    for key, factor, weight in whole_reply.FACTORS:
        assert factor == pytest.approx(float(key[1:]) if key[0] == "x" else 1 / float(key[1:]))
        by_name[key] = weight
    for up in ("10", "100", "1000"):  # too high is commoner than too low
        assert 0.01 > by_name[f"x{up}"] > by_name[f"/{up}"] > 0
    assert 0.1 > whole_reply.CURRENCY_WEIGHT > whole_reply.CURRENCY_BACK_WEIGHT > 0
    assert 0.01 > whole_reply.OTHER_UP > whole_reply.OTHER_DOWN > 0
    assert exp(whole_reply.OTHER_FROM) == pytest.approx(whole_reply.CURRENCY_FAR)
    largest = max(factor for _, factor, _ in whole_reply.FACTORS)
    assert exp(whole_reply.OTHER_TO) == pytest.approx(largest)
    assert 0 < whole_reply.WIDE_WEIGHT < 0.1 and START.single < whole_reply.WIDE_SD < log(2)


def test_own_spreads_start_where_everybody_starts() -> None:
    for name, (start, sd, (low, high)) in variances.PRIORS.items():
        assert start == getattr(START, name)
        assert low < start < high
        assert 0.4 <= sd <= 0.7  # a factor of 1.5 to 2 either way is no surprise
        assert start / low > exp(sd) and high / start > exp(sd)  # the bounds lie beyond it
        assert high < (5 if name == "band" else 1)
    assert 0.1 < variances.SHIFT_PRIOR_SD < variances.SHIFT_BOUND < 1
    assert 3 <= variances.SET_ASIDE_Z < 4


def test_start_values_are_spreads_that_people_would_believe() -> None:
    """Common practice: shops differ by some 10 %, single prices by some 20 %."""
    assert 0.05 < START.level < START.market < START.single < 0.3
    assert (START.band, START.shift) == (1.0, 0.0)
    spread = ELEMENT_START
    assert spread.noise < spread.single < spread.element < 0.3
    assert 0.05 < spread.level < spread.market == spread.total == spread.habit < spread.element

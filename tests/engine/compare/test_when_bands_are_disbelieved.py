"""When a line's band is set aside: four of its own standard deviations, and shops that agree."""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest

from rfq.engine.compare.judge import judge
from rfq.engine.compare.level_and_odd import START


def odd_band(mean: float, apart: float = 0.02, width: float = 0.1) -> bool:
    """Whether the last of five lines loses its band, with three shops at ``mean`` over it."""
    table = np.zeros((5, 3)) + np.array([0.01, 0.0, -0.01])
    table[4] = mean + np.array([apart / 2, 0.0, -apart / 2])
    found = judge(table, np.full(5, width), np.full(5, 25.0))
    assert not any(line.band_is_odd for line in found.lines[:4])
    return found.lines[4].band_is_odd


@pytest.mark.parametrize("width", [0.1, 0.25])
def test_four_standard_deviations_of_a_mean_of_three(width: float) -> None:
    own = START.single**2 + START.level**2
    edge = 4 * sqrt(width**2 + START.market**2 + own / 3)
    for sign in (1, -1):
        assert odd_band(sign * edge * 1.02, width=width)
        assert not odd_band(sign * edge * 0.98, width=width)


def test_shops_agree_while_two_of_them_could_be_chance() -> None:
    """2.5 standard deviations of a difference of two prices."""
    edge = 2.5 * sqrt(2 * (START.single**2 + START.level**2))
    assert odd_band(1.6, apart=edge * 0.99)
    assert not odd_band(1.6, apart=edge * 1.01)

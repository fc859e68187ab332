"""The posterior of a price, worked out once more with plain logarithms; slips by what they mean."""

from __future__ import annotations

from decimal import Decimal
from math import exp, isnan, log, pi, sqrt

import numpy as np
import pytest

from rfq.engine.compare import breakdown, structure
from rfq.engine.compare.by_element import WORDS
from rfq.engine.compare.elements_odd import HYPOTHESES, helmert
from rfq.engine.compare.explain import foreign_figures, money
from rfq.engine.compare.judge import NINETY, band_sd_from, judge
from rfq.engine.compare.posterior import (
    LIKELY_ERROR,
    NAMED,
    QUERY,
    SLIP_SHARE,
    UNKNOWN_SD,
    UNKNOWN_WEIGHT,
    UNKNOWN_WITHOUT_QUANTITY,
    WIDE_FACTOR,
    WIDE_SHARE,
    named_shifts,
    slip_weights,
)
from rfq.engine.compare.slips import (
    NAMES,
    arithmetic_gap,
    candidates,
    explain,
    name_of,
    question_for,
)

D = Decimal
NAN = float("nan")


def normal(gap: float, variance: float) -> float:
    return exp(-gap * gap / (2 * variance)) / sqrt(2 * pi * variance)


def by_hand(residual: float, sd: float, variance: float, quantity: float) -> dict[str, float]:
    """Bayes with the weights as they are documented."""
    v = sd * sd
    told = not isnan(quantity)
    found = {
        "clean": (1 - SLIP_SHARE) * (1 - WIDE_SHARE) * normal(residual, v),
        "wide": (1 - SLIP_SHARE)
        * WIDE_SHARE
        * normal(residual, v + (WIDE_FACTOR**2 - 1) * variance),
        "unknown": SLIP_SHARE
        * (UNKNOWN_WEIGHT if told else UNKNOWN_WITHOUT_QUANTITY)
        * normal(residual, v + UNKNOWN_SD**2),
    }
    for key, factor, weight in NAMED:
        if factor:
            shift = log(factor)
        elif told and quantity >= 2:
            shift = log(quantity) if key.startswith("x") else -log(quantity)
        else:
            continue
        found[key] = SLIP_SHARE * weight * normal(residual - shift, v)
    whole = sum(found.values())
    return {key: weight / whole for key, weight in found.items()}


@pytest.mark.parametrize("quantity", [1.0, 2.0, 25.0, NAN])
@pytest.mark.parametrize("sd,variance", [(0.2, 0.02), (0.12, 0.0144), (0.6, 0.01)])
@pytest.mark.parametrize("residual", [0.0, 0.3, -0.7, 0.69, 2.3, -2.2, 3.2, 4.6, -6.9])
def test_the_posterior_is_bayes_with_the_documented_weights(
    residual: float, sd: float, variance: float, quantity: float
) -> None:
    one = slip_weights(
        np.array([residual]), np.array([sd]), np.array([variance]), np.array([quantity])
    )
    own = by_hand(residual, sd, variance, quantity)
    assert one.clean[0] == pytest.approx(own["clean"])
    assert one.wide[0] == pytest.approx(own["wide"])
    assert one.unknown[0] == pytest.approx(own["unknown"])
    assert one.p_slip[0] == pytest.approx(1 - own["clean"] - own["wide"], abs=1e-12)
    for row, (key, _, _) in enumerate(NAMED):
        assert one.named[row, 0] == pytest.approx(own.get(key, 0.0), abs=1e-12), key
    best, second = one.best()
    order = sorted((NAMED[i][0] for i in range(len(NAMED))), key=lambda key: -own.get(key, 0.0))
    assert own.get(NAMED[best[0]][0], 0.0) == pytest.approx(own.get(order[0], 0.0))
    assert own.get(NAMED[second[0]][0], 0.0) == pytest.approx(own.get(order[1], 0.0))


def test_the_weights_are_shares_of_one() -> None:
    """Half of all slips have a name, half have not; without a quantity its two join the rest."""
    named = sum(weight for _, _, weight in NAMED)
    assert named + UNKNOWN_WEIGHT == pytest.approx(1)
    of_quantity = sum(weight for key, _, weight in NAMED if "quantity" in key)
    assert pytest.approx(of_quantity) == UNKNOWN_WITHOUT_QUANTITY - UNKNOWN_WEIGHT
    assert 0 < SLIP_SHARE < 0.1 and 0 < WIDE_SHARE < 0.1 and WIDE_FACTOR > 2
    assert 0.5 <= QUERY < LIKELY_ERROR < 1  # asked when likelier than not, called when sure
    assert log(1.2) < UNKNOWN_SD < log(2)  # a named slip is farther off than a nameless one


def test_a_named_shift_is_the_logarithm_of_its_factor() -> None:
    shifts = named_shifts(np.array([1.0, 2.0, 50.0, NAN]))
    for row, (key, factor, _) in enumerate(NAMED):
        for at, quantity in enumerate((1.0, 2.0, 50.0, NAN)):
            if factor:
                assert shifts[row, at] == pytest.approx(log(factor))
            elif quantity >= 2:
                assert abs(shifts[row, at]) == pytest.approx(log(quantity))
                assert (shifts[row, at] > 0) == key.startswith("x")
            else:
                assert np.isnan(shifts[row, at])


# --- what facts explain ---------------------------------------------------------------------------


def factors(**facts: object) -> dict[str, list[float]]:
    found: dict[str, list[float]] = {}
    for one in candidates(**facts):  # type: ignore[arg-type]
        found.setdefault(one.key, []).append(one.factor)
    return found


def test_the_quantity_is_a_slip_from_two_pieces_on() -> None:
    assert "x quantity" not in factors(quantity=1.0)
    found = factors(quantity=2.0)
    assert (found["x quantity"], found["/ quantity"]) == ([2.0], [0.5])


def test_a_one_off_of_100_over_10_pieces() -> None:
    found = factors(quantity=10.0, price=30.0, one_off=100.0)
    assert found["one-off inside"] == [pytest.approx(30 / 20)]
    assert found["one-off missing"] == [pytest.approx(30 / 40)]
    small = factors(quantity=10.0, price=10.0, one_off=100.0)
    assert "one-off inside" not in small and small["one-off missing"] == [0.5]
    for absent in ({"price": 30.0, "one_off": 100.0}, {"quantity": 10.0, "one_off": 100.0},
                   {"quantity": 10.0, "price": 30.0}):  # fmt: skip
        assert not set(factors(**absent)) & {"one-off inside", "one-off missing"}


def test_breaks_taxes_masses_and_shares() -> None:
    found = factors(
        quantity=25.0, price=8.0, own_breaks={25.0: 8.0, 100.0: 8.0, 5.0: 9.0},
        tax_rates=(0.19, 0.0), mass_kg=0.25, shares={"finish": 0.2, "all": 1.0, "none": 0.0},
    )  # fmt: skip
    assert len(found["other break"]) == 1 and isnan(found["other break"][0])
    assert found["tax included"] == [pytest.approx(1.19)]
    assert found["kg"] == [4.0]
    assert found["scope missing"] == [pytest.approx(0.8)]
    for mass in (None, 0.0, -1.0):
        assert "kg" not in factors(mass_kg=mass)
    details = {one.key: one.detail for one in candidates(tax_rates=(0.19,), mass_kg=0.25)}
    assert details["tax included"] == "19 %" and details["kg"] == "0.25 kg a piece"


def test_dozens_inches_and_pounds() -> None:
    """12 pieces; 25.4 mm and 0.45359237 kg (international yard and pound, 1959)."""
    found = factors()
    assert found["dozen"] == [12.0]
    assert sorted(found["inch"]) == [pytest.approx(1 / 25.4), 25.4]
    assert found["pound"][0] * found["pound"][1] == pytest.approx(1.0, rel=1e-7)
    assert found["pound"][1] == 0.45359237


def test_the_nearest_candidate_that_can_be_told_comes_first() -> None:
    possible = candidates(quantity=9.0, tax_rates=(0.19,))
    best, second = explain(log(10.2), 0.2, possible)
    assert best is not None and second is not None
    assert (best.key, second.key) == ("x10", "x quantity")
    assert best.fit == pytest.approx(1 - log(1.02) / log(10.2))
    assert best.left == pytest.approx(log(1.02))
    # 19 % is hidden in a spread of 20 %
    assert explain(log(1.19), 0.2, possible) == (None, None)
    told, _ = explain(log(1.19), log(1.19) / 2, possible)  # exactly two standard deviations
    assert told is not None and told.key == "tax included"
    assert explain(log(1.19), log(1.19) / 1.99, possible) == (None, None)
    assert explain(0.0, 0.1, possible) == (None, None)
    exact, _ = explain(0.01, 0.5, candidates(quantity=5.0, price=8.0, own_breaks={9.0: 8.0}))
    assert exact is None  # the distance itself is honest spread
    exact, _ = explain(1.2, 0.5, candidates(quantity=5.0, price=8.0, own_breaks={9.0: 8.0}))
    assert exact is not None and (exact.key, exact.fit, exact.left) == ("other break", 1.0, 0.0)


def test_a_line_total_is_off_only_beyond_rounding() -> None:
    # 25 x 0.333: half of the last digit is 0.0005 x 25 = 0.0125, half a cent 0.005
    for total, off in (("8.34", None), ("8.342", None), ("8.343", "0.0180"), ("8.30", "-0.0250")):
        found = arithmetic_gap(D(25), D("0.333"), D(total), unit_digits=3)
        assert found == (None if off is None else D(off)), total
    assert arithmetic_gap(D(2), D(100), D(201), unit_digits=0, minor_digits=0) is None
    assert arithmetic_gap(D(2), D(100), D(202), unit_digits=0, minor_digits=0) == 2


def test_every_slip_has_its_words_and_its_question() -> None:
    asked = {key: question_for(key, "P", 25, quoted="8 EUR", detail="4 pcs") for key in NAMES}
    for key, words in asked.items():
        assert words.startswith("Part P, 25 pcs, 8 EUR: ") and words.endswith("?")
        assert name_of(key) == NAMES[key]
    assert "check this price once more" in asked[""] and "25 pieces" in asked["x quantity"]
    assert "4 pcs" in asked["other break"] and "4 pcs" in asked["scope missing"]
    assert "currency" in question_for("CNY", "P") and name_of("/CNY").endswith("taken for CNY")
    assert question_for("x10", "P", whole_reply=True).startswith("Your whole quotation: ")
    assert "the whole quantity" in question_for("x quantity", "P")
    assert "another one" in question_for("other break", "P")
    assert set(WORDS) <= set(NAMES)


def test_a_foreign_figure_in_a_question_is_found() -> None:
    assert foreign_figures("is 41.20 right for 25 pcs?", ["25 pcs"], [D("41.2"), D(25)]) == [
        "41.20"
    ]
    assert foreign_figures("is 41.20 right?", ["41.20 EUR"], [D("41.2")]) == []
    assert foreign_figures("is 33.33 right?", [], [D("33.3333")]) == ["33.33"]


def test_money_is_to_the_cent_and_pennies_to_four_places() -> None:
    assert [money(D(text)) for text in ("1", "0.9999", "-1.006", "-0.5", "12.345")] == [
        "1.00", "0.9999", "-1.01", "-0.5000", "12.34",
    ]  # fmt: skip


# --- breakdowns -----------------------------------------------------------------------------------


def test_a_line_is_asked_about_beyond_its_factor_of_the_rest() -> None:
    """Half more an hour than the shop's other lines; material has more room (common practice)."""
    assert 1 < breakdown.FAR_RATE < 2 <= breakdown.FAR_MATERIAL <= 3

    def line(part: str, rate: float | None, kilo: float | None) -> breakdown.Implied:
        return breakdown.Implied(part, 25, rate, kilo)

    usual = [line("A", 60.0, 8.0), line("B", 60.0, 8.0)]
    for rate, kilo, expected in (
        (90.0, 20.0, []), (90.1, 8.0, ["N040"]), (40.0, 3.2, []), (39.9, 8.0, ["N040"]),
        (60.0, 20.1, ["N041"]), (60.0, 3.1, ["N041"]), (None, None, []),
    ):  # fmt: skip
        found = breakdown.inconsistent(
            [*usual, line("C", rate, kilo)], "s", dict.fromkeys("ABC", "EN AW-6082")
        )
        assert [problem.code for problem in found] == expected, (rate, kilo)
    two = [usual[0], line("C", 900.0, 900.0)]
    assert breakdown.inconsistent(two, "s", {}) == []  # two lines say nothing


def test_contrasts_are_orthonormal_and_free_of_the_level() -> None:
    for count in (2, 3, 5):
        basis = helmert(count)
        assert basis.T @ basis == pytest.approx(np.eye(count - 1))
        assert np.ones(count) @ basis == pytest.approx(np.zeros(count - 1))
    assert HYPOTHESES.count("clean") == 3


# --- the band and its width -----------------------------------------------------------------------


def test_a_band_is_the_middle_eighty_percent_and_an_interval_ninety() -> None:
    """Normal tables: z(0.9) = 1.2816, z(0.95) = 1.6449."""
    (sd,) = band_sd_from([1.0], [exp(2 * 1.2815515655)])
    assert sd == pytest.approx(1.0)
    assert pytest.approx(1.6448536) == NINETY
    narrow, none = band_sd_from([1.0, NAN], [1.0, NAN])
    assert narrow == pytest.approx(0.03) and none == 10.0


def test_agreeing_shops_far_from_our_band_are_believed() -> None:
    ours = np.zeros((4, 3)) + np.array([0.01, 0.0, -0.01])
    ours[2] += log(4.0)  # all three quote four times our should-cost
    found = judge(ours, np.full(4, 0.1), np.full(4, 25.0))
    assert [line.band_is_odd for line in found.lines] == [False, False, True, False]
    assert not any((found.cell(2, j) or pytest.fail()).verdict == "likely error" for j in range(3))
    apart = ours.copy()
    apart[2] += np.array([1.0, 0.0, -1.0])  # far from us, and from each other
    assert not judge(apart, np.full(4, 0.1), np.full(4, 25.0)).lines[2].band_is_odd
    alone = np.full((4, 3), NAN)
    alone[:, 0] = ours[:, 0]
    assert not judge(alone, np.full(4, 0.1), np.full(4, 25.0)).lines[2].band_is_odd


def test_gaps_are_rounding_below_half_a_percent() -> None:
    assert D("0.001") < structure.ROUNDING < D("0.01")
    assert structure.ROUNDING < structure.NEAR < D("0.1")

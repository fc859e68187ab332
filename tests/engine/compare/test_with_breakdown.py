"""Breakdowns sharpen a judgement: the greater probability, the element named first."""

from __future__ import annotations

import numpy as np
import pytest

from rfq.engine.compare.elements_odd import judge_elements
from rfq.engine.compare.judge import judge
from rfq.engine.compare.slips import name_of, question_for
from rfq.engine.compare.with_breakdown import judge_with_breakdown

SHARES = np.array([0.20, 0.18, 0.35, 0.19, 0.08])


def request(seed, lines=8, shops=3):
    rng = np.random.default_rng(seed)
    ours = 100 * SHARES * np.exp(rng.normal(0, 0.2, (lines, 5)))
    quoted = ours[:, None, :] * np.exp(
        rng.normal(0, 0.1, (lines, 1, 1))
        + rng.normal(0, 0.08, (1, shops, 1))
        + rng.normal(0, 0.06, (lines, shops, 5))
    )
    return ours, quoted


def both(ours, quoted):
    y = np.log(np.nansum(quoted, axis=2) / ours.sum(axis=1)[:, None])
    plain = judge(y, np.full(len(ours), 0.2))
    return plain, judge_with_breakdown(plain, quoted, ours)


def test_a_wrong_finish_is_invisible_in_the_total_and_named_by_its_element():
    ours, quoted = request(1)
    quoted[3, 1, 3] *= 0.25
    plain, sharp = both(ours, quoted)
    assert plain.cell(3, 1).verdict == "in line"
    cell = sharp.cell(3, 1)
    assert cell.verdict in ("query", "likely error") and cell.slip.key == "finish"
    assert cell.slip.factor < 0.5 and cell.slip.fit > 0.6
    others = [sharp.cell(i, j).verdict for i in range(8) for j in range(3) if (i, j) != (3, 1)]
    assert set(others) == {"in line"}
    assert "finish" in name_of(cell.slip.key)
    assert question_for(cell.slip.key, "P", 25).endswith("who makes it?")


def test_a_one_off_counted_in_the_set_up():
    ours, quoted = request(2)
    quoted[5, 0, 1] += 0.4 * quoted[5, 0].sum()
    _, sharp = both(ours, quoted)
    assert sharp.cell(5, 0).slip.key == "set-up" and sharp.cell(5, 0).slip.factor > 2


def test_a_shifted_price_keeps_its_name_by_the_total():
    ours, quoted = request(3)
    quoted[2, 2] *= 10
    plain, sharp = both(ours, quoted)
    assert sharp.cell(2, 2).verdict == "likely error"
    assert sharp.cell(2, 2).slip.key == plain.cell(2, 2).slip.key == "x10"


def test_a_shifted_reply_is_taken_out_before_its_elements_are_judged():
    ours, quoted = request(4)
    quoted[:, 1] *= 100
    plain, sharp = both(ours, quoted)
    assert plain.shops[1].slip.key == "x100"
    assert [sharp.cell(i, 1).slip.key for i in range(8)] == ["x100"] * 8
    assert all(sharp.cell(i, j).verdict == "in line" for i in range(8) for j in (0, 2))


def test_without_breakdown_or_estimate_nothing_changes():
    ours, quoted = request(5)
    quoted[:, 0, 1:] = np.nan  # a shop that gave one figure only
    quoted[:, 0, 0] = ours.sum(axis=1)
    quoted[4, 2, 3] = 0.0  # a missing element is a question, not a finding
    plain, sharp = both(ours, quoted)
    assert (plain.verdict_code == sharp.verdict_code).all()
    nothing = judge_with_breakdown(plain, quoted, np.full_like(ours, np.nan))
    assert nothing is plain
    with pytest.raises(ValueError, match="don't fit a table of 8 lines and 3 shops"):
        judge_with_breakdown(plain, quoted[:4], ours)


def test_an_estimate_of_nothing_is_refused():
    ours, quoted = request(6)
    ours[1, 3] = 0.0
    with pytest.raises(ValueError, match="above zero"):
        judge_elements(quoted, ours)


def test_order_of_shops_and_lines_changes_no_element():
    ours, quoted = request(7)
    quoted[3, 1, 3] *= 0.25
    quoted[6, 2, 2] *= 2.5
    _, one = both(ours, quoted)
    lines, shops = [5, 3, 0, 7, 6, 1, 2, 4], [2, 0, 1]
    _, two = both(ours[lines], quoted[np.ix_(lines, shops)])
    for i, line in enumerate(lines):
        for j, shop in enumerate(shops):
            a, b = one.cell(line, shop), two.cell(i, j)
            assert a.verdict == b.verdict and (a.slip and a.slip.key) == (b.slip and b.slip.key)

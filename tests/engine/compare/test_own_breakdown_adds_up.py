"""A price against the sum of the shop's own breakdown: the arithmetic, its words, its question."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal

import pytest

from rfq.engine.compare.structure import Gap, gap_of, question_of, reason_of, slip_of
from rfq.model.codes import BREAKDOWN
from rfq.model.part import FileRef
from rfq.model.quote import Breakdown, Price, Quote

D = Decimal
NOW = datetime(2026, 10, 30, tzinfo=UTC)


def gap(each: str, elements: dict[str, Decimal] | None = None, at: int = 25,
        part: str = "P", **more: object) -> tuple[Gap | None, Price]:  # fmt: skip
    price = Price(part="P", quantity=25, each=D(each), currency="EUR", **more)  # type: ignore[arg-type]
    whole = dict.fromkeys(BREAKDOWN, D(10)) if elements is None else elements
    quote = Quote(
        shop="s", request="R", received=NOW, accepted_at=NOW, source=FileRef(path="f"),
        currency="EUR", prices=(price,),
        breakdowns=(Breakdown(part=part, quantity=at, elements=whole),),
    )  # fmt: skip
    return gap_of(price, quote), price


SUM = 10 * len(BREAKDOWN)


def test_within_half_a_percent_it_adds_up() -> None:
    whole = dict.fromkeys(BREAKDOWN, D(200) / len(BREAKDOWN))
    assert gap("201", whole)[0] is None  # half a percent of 201 is 1.005
    above, _ = gap("201.01", whole)
    assert above is not None and above.amount == D("1.01") and above.summed == 200
    below, _ = gap("198", whole)
    assert below is not None and below.amount == -2
    cents = dict.fromkeys(BREAKDOWN, D(1) / len(BREAKDOWN))
    assert gap("1.02", cents)[0] is None  # two cents are rounding on any price
    assert gap("1.03", cents)[0] is not None


def test_only_a_whole_breakdown_of_the_same_line_counts() -> None:
    assert gap(str(SUM + 5), at=50)[0] is None
    assert gap(str(SUM + 5), part="Q")[0] is None
    assert gap(str(SUM + 5), {BREAKDOWN[0]: D(10)})[0] is None
    assert gap(str(SUM + 5), dict.fromkeys(BREAKDOWN, D(0)))[0] is None
    assert gap(str(SUM + 5))[0] is not None


def test_a_gap_as_large_as_the_one_off_is_named_after_it() -> None:
    """100 over 25 pieces are 4 a piece; within 3 % that is the difference."""
    for more, named in (
        ("4", True), ("4.12", True), ("3.88", True), ("4.13", False), ("3.87", False), ("-4", False)
    ):  # fmt: skip
        each = SUM + D(more)
        found, price = gap(str(each), one_off=D(100))
        assert found is not None
        assert (found.one_off == 100) is named, each
        slip = slip_of(found, price)
        assert (slip is not None) is named
        if slip is not None:
            assert slip.factor == pytest.approx(float(each) / SUM)
            assert slip.fit == 1.0 and "100 over 25 pcs" in slip.reason


def test_the_words_say_which_way_and_hold_the_shop_s_own_figures() -> None:
    more, price = gap(str(SUM + 4), one_off=D(100))
    assert more is not None
    assert "4 more, which is the one-off of 100 over 25 pcs" in reason_of(more, price)
    assert "Please quote it once" in question_of(more, price)
    less, price = gap(str(SUM - 6))
    assert less is not None
    assert reason_of(less, price).endswith("6 less")
    assert f"adds up to {SUM}; which of the two holds?" in question_of(less, price)

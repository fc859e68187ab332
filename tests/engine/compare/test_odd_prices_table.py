"""rfq.odd_prices: the outward shape, what it refuses, and what never changes a verdict."""

from __future__ import annotations

from decimal import Decimal

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import rfq
from rfq.engine.compare.odd import odd_prices

VERDICTS = {"in line", "outside the band", "query", "likely error"}


def table(lines=8, shops=3, seed=0, banded=True):
    rng = np.random.default_rng(seed)
    i, j = np.divmod(np.arange(lines * shops), shops)
    middle = np.exp(rng.normal(3, 1, lines))[i]
    price = middle * np.exp(rng.normal(0, 0.1, shops)[j] + rng.normal(0, 0.12, i.size))
    frame = pd.DataFrame(
        {
            "line": [f"P{k}" for k in i],
            "shop": [f"shop {k}" for k in j],
            "price": price,
            "low": middle * 0.8,
            "middle": middle,
            "high": middle * 1.25,
            "quantity": 25,
        }
    )
    return frame if banded else frame.drop(columns=["low", "middle", "high"])


def test_public_name_and_columns():
    frame = table()
    before = frame.copy()
    found = rfq.odd_prices(frame)
    assert list(found.columns) == [*frame.columns, "z", "verdict", "slip", "factor", "shop_level"]
    pd.testing.assert_frame_equal(frame, before)
    assert set(found["verdict"]) <= VERDICTS
    assert found["shop_level"].groupby(found["shop"]).nunique().eq(1).all()
    assert not found["slip"][found["verdict"].isin(["in line", "outside the band"])].notna().any()


@pytest.mark.parametrize("banded", [True, False])
def test_a_planted_slip_is_found_and_named(banded):
    frame = table(banded=banded)
    frame.loc[7, "price"] *= 10
    found = odd_prices(frame)
    assert found.loc[7, "verdict"] == "likely error"
    assert found.loc[7, "factor"] == pytest.approx(10)
    assert "ten times too high" in found.loc[7, "slip"]
    assert found["verdict"].isin(["query", "likely error"]).sum() == 1


def test_a_whole_reply_in_another_currency():
    frame = table(lines=6)
    frame.loc[frame["shop"] == "shop 1", "price"] *= 160
    found = odd_prices(frame, currency_ratios={"JPY": 160.0})
    asked = found["verdict"].isin(["query", "likely error"])
    assert (asked == (found["shop"] == "shop 1")).all()
    assert found.loc[asked, "slip"].str.contains("JPY").all()


def test_missing_prices_missing_bands_and_any_index_are_kept():
    frame = table().set_index(np.arange(100, 124))
    frame.loc[103, "price"] = np.nan
    frame.loc[frame["line"] == "P2", ["low", "middle", "high"]] = np.nan
    found = odd_prices(frame)
    assert list(found.index) == list(frame.index)
    assert pd.isna(found.loc[103, "verdict"]) and np.isnan(found.loc[103, "z"])
    assert found.loc[found["line"] == "P2", "z"].notna().all()
    assert not found["verdict"].isin(["query", "likely error"]).any()


def test_decimals_are_read_and_an_empty_table_passes():
    frame = table()
    frame["price"] = [Decimal(str(round(p, 2))) for p in frame["price"]]
    assert odd_prices(frame)["z"].notna().all()
    empty = odd_prices(table().iloc[:0])
    assert len(empty) == 0 and "shop_level" in empty.columns


def test_one_quote_without_a_band_says_nothing():
    found = odd_prices(pd.DataFrame({"line": ["P1"], "shop": ["A"], "price": [4.0]}))
    assert np.isnan(found.loc[0, "z"]) and found.loc[0, "verdict"] == "in line"


def spoiled(**changes):
    frame = table().astype({"price": object, "low": object})
    for column, value in changes.items():
        frame.loc[4, column] = value
    return frame


@pytest.mark.parametrize(
    ("frame", "words"),
    [
        (table().drop(columns="price"), "no column 'price'"),
        (spoiled(price=0.0), "Line P1, shop shop 1: the price is 0"),
        (spoiled(price=-3.0), "above zero"),
        (spoiled(price="12,50"), "price holds '12,50'; it should be a number"),
        (spoiled(price=np.inf), "infinite"),
        (spoiled(shop="shop 0"), "a second price for this line"),
        (spoiled(line=None), "Row 5 of the table has no line"),
        (spoiled(low=1.0), "a line has one"),
        (spoiled(quantity=5), "quantity is 5 here and 25 on another row"),
        (table().assign(middle=np.nan), "the should-cost is not whole"),
        (table().assign(low=lambda t: t["high"] * 2), "should not fall"),
        (table().assign(low=-1.0), "low is -1; it is above zero"),
    ],
)
def test_what_cannot_be_judged_is_refused_in_one_sentence(frame, words):
    with pytest.raises(ValueError, match=words.replace("(", r"\(")) as caught:
        odd_prices(frame)
    assert str(caught.value).endswith(".")


@given(
    seed=st.integers(0, 1000),
    scale=st.floats(1e-4, 1e4),
    slips=st.lists(st.tuples(st.integers(0, 23), st.sampled_from([0.1, 10.0, 100.0])), max_size=3),
    banded=st.booleans(),
)
@settings(max_examples=40, deadline=None)
def test_scale_and_row_order_change_nothing(seed, scale, slips, banded):
    frame = table(seed=seed, banded=banded)
    for row, factor in slips:
        frame.loc[row, "price"] *= factor
    found = odd_prices(frame)
    money = [c for c in ("price", "low", "middle", "high") if c in frame]
    scaled = frame.copy()
    scaled[money] *= scale
    scaled = scaled.sample(frac=1, random_state=seed)
    again = odd_prices(scaled).loc[frame.index]
    assert again["verdict"].tolist() == found["verdict"].tolist()
    assert again["slip"].isna().tolist() == found["slip"].isna().tolist()
    assert again["slip"].dropna().tolist() == found["slip"].dropna().tolist()
    for column in ("z", "factor", "shop_level"):
        np.testing.assert_allclose(again[column], found[column], atol=1e-6, rtol=1e-6)


@given(st.integers(0, 500))
@settings(max_examples=20, deadline=None)
def test_no_price_appears_or_vanishes(seed):
    rng = np.random.default_rng(seed)
    frame = table(seed=seed)
    frame.loc[rng.random(len(frame)) < 0.3, "price"] = np.nan
    found = odd_prices(frame)
    pd.testing.assert_frame_equal(found[frame.columns.tolist()], frame)
    assert (found["verdict"].notna() == frame["price"].notna()).all()

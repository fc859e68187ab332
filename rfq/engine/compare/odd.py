"""``rfq.odd_prices``: a table of prices in, the same table with verdicts out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from rfq.engine.compare.judge import NO_BAND_SD, band_sd_from, judge_cells
from rfq.engine.compare.judgement import ASK, VERDICTS, Judgement
from rfq.engine.compare.level_and_odd import START, Flags, Floats, Ints, Layout, Spread
from rfq.engine.compare.slips import name_of

if TYPE_CHECKING:
    from pandas import DataFrame

NEEDED = ("line", "shop", "price")
BAND = ("low", "middle", "high")


def odd_prices(
    table: DataFrame,
    *,
    spread: Spread = START,
    currency_ratios: Mapping[str, float] | None = None,
) -> DataFrame:
    """The table with ``z``, ``verdict``, ``slip``, ``factor`` and ``shop_level`` added.

    ``z`` is how many standard deviations the price lies from what all the others and the band
    lead to expect (nan where nothing speaks about it). ``verdict`` is 'in line', 'outside the
    band', 'query' or 'likely error', empty where there is no price. ``slip`` names the likeliest
    mistake, ``factor`` what the price is too high by; both empty below 'query', but for a reply
    that is out as a whole against one other and no band tells which of them. ``shop_level`` is
    the shop's price level, 0.12 = 12 % dear, its slip taken out.

    Time and memory are linear in the number of prices, beside a square matrix of the shorter
    side of the table (lines or shops), which weighs something only from some hundred on.

    Args:
        table: columns line, shop, price (comparable, one currency, each; nan where none), and
            low, middle, high of the should-cost (may be absent or empty), quantity (optional);
            one row per line and shop, the same should-cost on all rows of a line. It is not
            changed; index and order are kept.
        spread: variances; the user's own from ``variances.own_spread``.
        currency_ratios: units of a currency in play per unit of the table's.

    Raises:
        ValueError: columns missing, a price or band that can't be one, two prices of a shop for
            one line, two should-costs for one line.
    """
    for column in NEEDED:
        if column not in table.columns:
            raise ValueError(f"The table has no column '{column}'; it needs line, shop and price.")
    result = table.copy()
    price = _numbers(table, "price")
    if (price <= 0).any():
        row = int(np.flatnonzero(price <= 0)[0])
        raise ValueError(
            f"{_row(table, row)}: the price is {price[row]:g}; a price is above zero, "
            "or empty where there is none."
        )
    line_code, lines = _codes(table, "line")
    shop_code, shops = _codes(table, "shop")
    rows = np.flatnonzero(~np.isnan(price))
    order = rows[np.lexsort((shop_code[rows], line_code[rows]))]
    layout = Layout(line_code[order], shop_code[order], lines, shops)
    twice = (np.diff(layout.line) == 0) & (np.diff(layout.shop) == 0)
    if twice.any():
        row = int(order[1:][twice][0])
        raise ValueError(
            f"{_row(table, row)}: the shop has a second price for this line; a line is one part "
            "at one quantity and holds one price of a shop."
        )
    low, middle, high = _bands(table, line_code, lines)
    quantity = _per_line(table, "quantity", line_code, lines)

    log_price = np.log(price[order])
    reference = np.log(np.where(np.isnan(middle), 1.0, middle))
    bare = np.isnan(middle)
    if bare.any():  # any common figure of the line will do; its mean keeps the numbers small
        counts = np.maximum(np.bincount(layout.line, minlength=lines), 1)
        reference = np.where(bare, layout.per_line(log_price) / counts, reference)
    judged = judge_cells(
        layout,
        log_price - reference[layout.line],
        np.where(bare, NO_BAND_SD, band_sd_from(low, high)),
        quantity,
        spread=spread,
        currency_ratios=currency_ratios or {},
        expected_level=np.zeros(shops),
        band_low=np.log(low) - reference,
        band_high=np.log(high) - reference,
    )
    _add_columns(result, order, shop_code, judged)
    return result


def _add_columns(result: DataFrame, order: Ints, shop_code: Ints, judged: Judgement) -> None:
    size = len(result)
    z = np.full(size, np.nan)
    z[order] = judged.z
    words = np.array(VERDICTS, dtype=object)
    verdict = np.full(size, None, dtype=object)
    verdict[order] = words[judged.verdict_code]
    slip = np.full(size, None, dtype=object)
    factor = np.full(size, np.nan)
    asked = judged.verdict_code >= VERDICTS.index(ASK)
    either = np.array([s.slip is not None and s.slip.either for s in judged.shops], dtype=bool)
    for at in np.flatnonzero(asked | either[judged.layout.shop]):
        named = judged.slip_of(int(at))
        if named is not None:
            slip[order[at]] = name_of(named.key)
            factor[order[at]] = named.factor
    level = np.array([shop.level for shop in judged.shops], dtype=float)
    seen = np.bincount(judged.layout.shop, minlength=level.size) > 0
    result["z"] = z
    result["verdict"] = verdict
    result["slip"] = slip
    result["factor"] = factor
    result["shop_level"] = np.where(seen, level, np.nan)[shop_code] if size else np.empty(0)


def _row(table: DataFrame, row: int) -> str:
    return f"Line {table['line'].iloc[row]}, shop {table['shop'].iloc[row]}"


def _numbers(table: DataFrame, column: str) -> Floats:
    """A column as floats; nan where empty."""
    if column not in table.columns:
        return np.full(len(table), np.nan)
    values: Any = table[column]
    try:
        numbers = np.asarray(values.astype(float), dtype=float)
    except (TypeError, ValueError):
        for row, value in enumerate(values):
            try:
                float(value)
            except (TypeError, ValueError):
                raise ValueError(
                    f"{_row(table, row)}: {column} holds {value!r}; it should be a number."
                ) from None
        raise
    if np.isinf(numbers).any():
        row = int(np.flatnonzero(np.isinf(numbers))[0])
        raise ValueError(f"{_row(table, row)}: {column} is infinite; it should be a number.")
    return numbers


def _codes(table: DataFrame, column: str) -> tuple[Ints, int]:
    from pandas import factorize

    codes, names = factorize(table[column])
    if (codes < 0).any():
        row = int(np.flatnonzero(codes < 0)[0])
        raise ValueError(f"Row {row + 1} of the table has no {column}.")
    return np.asarray(codes, dtype=np.intp), len(names)


def _per_line(table: DataFrame, column: str, code: Ints, lines: int) -> Floats:
    """One figure per line; nan where none is given.

    Raises:
        ValueError: two figures for one line, or one that is not above zero.
    """
    values = _numbers(table, column)
    given = ~np.isnan(values)
    if (values[given] <= 0).any():
        row = int(np.flatnonzero(given & ~(values > 0))[0])
        raise ValueError(f"{_row(table, row)}: {column} is {values[row]:g}; it is above zero.")
    out = np.full(lines, np.nan)
    out[code[given]] = values[given]
    differs: Flags = given & (np.abs(values - out[code]) > 1e-9 * np.abs(values))
    if differs.any():
        row = int(np.flatnonzero(differs)[0])
        raise ValueError(
            f"{_row(table, row)}: {column} is {values[row]:g} here and {out[code[row]]:g} on "
            "another row of the line; a line has one."
        )
    return out


def _bands(table: DataFrame, code: Ints, lines: int) -> tuple[Floats, Floats, Floats]:
    low, middle, high = (_per_line(table, column, code, lines) for column in BAND)
    some = ~(np.isnan(low) & np.isnan(middle) & np.isnan(high))
    whole = ~(np.isnan(low) | np.isnan(middle) | np.isnan(high))
    bad = np.flatnonzero(some & ~whole)
    if bad.size:
        row = int(np.flatnonzero(code == bad[0])[0])
        raise ValueError(
            f"{_row(table, row)}: the should-cost is not whole; give low, middle and high, or none."
        )
    with np.errstate(invalid="ignore"):
        wrong = np.flatnonzero((low > middle) | (middle > high))
    if wrong.size:
        at = wrong[0]
        row = int(np.flatnonzero(code == at)[0])
        raise ValueError(
            f"{_row(table, row)}: the should-cost runs {low[at]:g}, {middle[at]:g}, {high[at]:g}; "
            "low, middle and high should not fall."
        )
    return low, middle, high

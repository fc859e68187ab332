"""The comparison as a table for other programs: CSV and Parquet, one row a price.

pandas is loaded here only. Internal: it holds should-costs and every shop's prices.
"""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any, Final

from rfq.model.comparison import Comparison, Line, PriceCell

if TYPE_CHECKING:
    import pandas as pd

_FORMULA_SIGNS: Final = ("=", "+", "-", "@", "\t", "\r")
COLUMNS: Final = (
    "request", "round", "as_of", "part", "revision", "quantity", "shop", "state",
    "quoted", "quoted_currency", "per", "break_quantity", "place",
    "comparable", "currency", "low", "middle", "high", "basis", "ratio", "z", "verdict",
    "slip", "slip_factor", "slip_fit", "next_best", "ranked", "why_not_ranked", "rank",
    "date", "paid_before_delivery", "missing_scope", "exceptions", "reason", "question",
)  # fmt: skip


def price_frame(comparison: Comparison) -> pd.DataFrame:
    """Return one row a price, columns as ``COLUMNS``; money as Decimal, absent as None."""
    import pandas as pd

    rows = [_row(comparison, line, cell) for line in comparison.lines for cell in line.prices]
    return pd.DataFrame(rows, columns=list(COLUMNS))


def as_csv(comparison: Comparison) -> bytes:
    """Return the prices as CSV (UTF-8, comma, point); texts that begin like a formula escaped."""
    frame = price_frame(comparison).map(_escaped)
    text: str = frame.to_csv(index=False, lineterminator="\n")
    return text.encode()


def as_parquet(comparison: Comparison) -> bytes:
    """Return the prices as Parquet; money as decimal(18, 6), absent as null."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    money = pa.decimal128(18, 6)
    kinds: dict[str, Any] = {
        "round": pa.int32(), "quantity": pa.int64(), "break_quantity": pa.int64(),
        "rank": pa.int32(), "ratio": pa.float64(), "z": pa.float64(),
        "slip_factor": pa.float64(), "slip_fit": pa.float64(), "ranked": pa.bool_(),
        "as_of": pa.date32(), "date": pa.date32(),
        **dict.fromkeys(
            ("quoted", "comparable", "low", "middle", "high", "paid_before_delivery"), money
        ),
    }  # fmt: skip
    rows = [_row(comparison, line, cell) for line in comparison.lines for cell in line.prices]
    columns = {name: [row[name] for row in rows] for name in COLUMNS}
    arrays = []
    for name in COLUMNS:
        kind = kinds.get(name, pa.string())
        values = columns[name]
        if kind is money:
            values = [None if one is None else round(one, 6) for one in values]
        arrays.append(pa.array(values, type=kind))
    out = io.BytesIO()
    pq.write_table(pa.table(arrays, names=list(COLUMNS)), out)
    return out.getvalue()


def _row(comparison: Comparison, line: Line, cell: PriceCell) -> dict[str, Any]:
    band, quoted, slip = line.should_cost, cell.quoted, cell.slip
    return {
        "request": comparison.request,
        "round": comparison.round,
        "as_of": comparison.as_of,
        "part": line.part,
        "revision": line.revision,
        "quantity": line.quantity,
        "shop": cell.shop,
        "state": cell.state.value,
        "quoted": quoted.amount if quoted else None,
        "quoted_currency": quoted.currency if quoted else None,
        "per": quoted.per if quoted else None,
        "break_quantity": quoted.quantity if quoted else None,
        "place": quoted.place if quoted else None,
        "comparable": cell.comparable,
        "currency": comparison.currency,
        "low": band.low if band else None,
        "middle": band.middle if band else None,
        "high": band.high if band else None,
        "basis": band.basis if band else None,
        "ratio": cell.ratio,
        "z": cell.z,
        "verdict": cell.verdict.value if cell.verdict else None,
        "slip": slip.name if slip else None,
        "slip_factor": slip.factor if slip else None,
        "slip_fit": slip.fit if slip else None,
        "next_best": slip.next_best if slip else None,
        "ranked": cell.ranked,
        "why_not_ranked": cell.why_not_ranked or None,
        "rank": cell.rank,
        "date": cell.comparable_date,
        "paid_before_delivery": cell.paid_before_delivery,
        "missing_scope": "; ".join(cell.missing_scope) or None,
        "exceptions": "; ".join(cell.exceptions) or None,
        "reason": cell.reason or None,
        "question": cell.question or None,
    }


def _escaped(value: object) -> object:
    if not isinstance(value, str):
        return value
    # A bare carriage return ends a row for some readers, and what follows may begin a formula.
    value = value.replace("\r", " ")
    return "'" + value if value.lstrip().startswith(_FORMULA_SIGNS) else value

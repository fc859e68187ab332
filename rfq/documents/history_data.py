"""The data set of past prices as Parquet, for whatever engine a company points at it. Internal."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import fields
from typing import Any, Final

from rfq.engine.history.observations import Observation

COLUMNS: Final = (*(one.name for one in fields(Observation)), "log_ratio")


def history_parquet(rows: Sequence[Observation]) -> bytes:
    """Return one row a price; columns as ``Observation`` and its log ratio, absent as null."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    kinds: dict[str, Any] = {
        "round": pa.int32(), "quantity": pa.int64(), "odd": pa.bool_(), "awarded": pa.bool_(),
        **dict.fromkeys(("day", "promised", "received"), pa.date32()),
        **dict.fromkeys(
            ("low", "middle", "high", "comparable", "work_share", "log_ratio"), pa.float64()
        ),
    }  # fmt: skip
    table = pa.table(
        {
            name: pa.array([getattr(row, name) for row in rows], kinds.get(name, pa.string()))
            for name in COLUMNS
        }
    )
    out = io.BytesIO()
    pq.write_table(table, out, compression="zstd")
    return out.getvalue()

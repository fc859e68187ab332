"""Shops over all our requests: price level against the others, promised against kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp
from statistics import fmean, median

from rfq.engine.history.market import ENOUGH, interval, sound
from rfq.engine.history.observations import Observation


@dataclass(frozen=True, slots=True)
class ShopHistory:
    """One shop.

    Args:
        lines: with another shop's price beside its own. level, low, high: against the others on
            the same lines, 0.12 = 12 % dear, with 95 % interval; None while not enough.
        orders: lines received. in_time: share; days_late: median, below zero early; None
            without any.
    """

    shop: str
    lines: int
    level: float | None
    low: float | None
    high: float | None
    orders: int
    in_time: float | None
    days_late: float | None

    @property
    def words(self) -> str:
        """The shop in words."""
        if self.level is None or self.low is None or self.high is None:
            said = f"price level: not enough yet ({self.lines} of {ENOUGH} lines)"
        else:
            said = f"price level {self.level:+.0%} ({self.low:+.0%} to {self.high:+.0%})"
        if self.in_time is None:
            return f"{said}; nothing received yet"
        return (
            f"{said}; {self.in_time:.0%} of {self.orders} lines in time, "
            f"median {self.days_late:+.0f} days"
        )


def shops_history(rows: Sequence[Observation]) -> tuple[ShopHistory, ...]:
    """Return every shop's price level and kept dates."""
    by_line: dict[tuple[str, str, str, int], dict[str, float]] = {}
    for row in sound(rows):
        ratio = row.log_ratio
        assert ratio is not None
        by_line.setdefault(row.line, {})[row.shop] = ratio
    apart: dict[str, list[float]] = {}
    for prices in by_line.values():
        if len(prices) < 2:
            continue
        for shop, own in prices.items():
            others = fmean(value for name, value in prices.items() if name != shop)
            apart.setdefault(shop, []).append(own - others)
    found = []
    for shop in sorted({row.shop for row in rows}):
        values = apart.get(shop, [])
        late = [
            float((row.received - row.promised).days)
            for row in rows
            if row.shop == shop and row.received is not None and row.promised is not None
        ]
        level = low = high = None
        if len(values) >= ENOUGH:
            level, low, high = (exp(one) - 1 for one in interval(values))
        found.append(
            ShopHistory(
                shop, len(values), level, low, high, len(late),
                sum(days <= 0 for days in late) / len(late) if late else None,
                median(late) if late else None,
            )
        )  # fmt: skip
    return tuple(found)

"""How our should-cost stands against the market: by process, material and lot, with intervals.

Quotes on one part share our error on it, at every quantity, so a part counts once: the mean of
its quotes. The interval is Student's t over parts (any text on statistics); below ``ENOUGH`` parts
nothing is said but that it is not enough yet.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import exp, sqrt
from statistics import fmean, stdev
from typing import Final

from rfq.engine.history.observations import Observation

ENOUGH: Final = 8  # parts, or lines of a shop; common practice, no source
COVERAGE_FROM: Final = 30  # quotes


@dataclass(frozen=True, slots=True)
class Group:
    """Market over should-cost of one group of parts.

    Args:
        by: 'all', 'process', 'material' or 'lot'. name: which. parts, quotes: how many.
        ratio, low, high: geometric mean and its 95 % interval; None while not enough.
    """

    by: str
    name: str
    parts: int
    quotes: int
    ratio: float | None = None
    low: float | None = None
    high: float | None = None

    @property
    def words(self) -> str:
        """The group in words."""
        if self.ratio is None or self.low is None or self.high is None:
            return f"not enough yet ({self.parts} of {ENOUGH} parts)"
        return f"market = {self.ratio:.2f} x should-cost (95 %: {self.low:.2f} to {self.high:.2f})"


@dataclass(frozen=True, slots=True)
class Coverage:
    """How often the band (10th to 90th percentile) held the market's word; 80 % would be right.

    Args:
        quotes: how many. share, low, high: with its 95 % interval (Wilson); None below 30.
    """

    quotes: int
    share: float | None = None
    low: float | None = None
    high: float | None = None

    @property
    def words(self) -> str:
        """The coverage in words."""
        if self.share is None or self.low is None or self.high is None:
            return f"not known (from {COVERAGE_FROM} quotes on; there are {self.quotes})"
        return f"{self.share:.0%} of {self.quotes} quotes (95 %: {self.low:.0%} to {self.high:.0%})"


def sound(rows: Iterable[Observation]) -> list[Observation]:
    """Return the rows that speak: with a should-cost, and not odd."""
    return [row for row in rows if row.log_ratio is not None and not row.odd]


def market(rows: Sequence[Observation]) -> tuple[Group, ...]:
    """Return market over should-cost for all, and by process, material and lot."""
    usable = sound(rows)
    groups = [_group("all", "", usable)]
    for by in ("process", "material", "lot"):
        names = sorted({str(getattr(row, by)) for row in usable} - {""})
        groups += [
            _group(by, name, [row for row in usable if getattr(row, by) == name]) for name in names
        ]
    return tuple(groups)


def part_means(rows: Iterable[Observation]) -> list[float]:
    """Return the mean log ratio of each part."""
    by_part: dict[tuple[str, str, str], list[float]] = {}
    for row in rows:
        ratio = row.log_ratio
        if ratio is not None:
            by_part.setdefault(row.article, []).append(ratio)
    return [fmean(values) for values in by_part.values()]


def interval(values: Sequence[float]) -> tuple[float, float, float]:
    """Return mean, and low and high end of its 95 % interval (Student's t).

    >>> [round(one, 3) for one in interval([0.1, 0.2, 0.3])]
    [0.2, -0.048, 0.448]
    """
    from scipy.special import stdtrit  # heavy: only when a history is read

    middle, count = fmean(values), len(values)
    half = float(stdtrit(count - 1, 0.975)) * stdev(values) / sqrt(count)
    return middle, middle - half, middle + half


def coverage(rows: Sequence[Observation]) -> Coverage:
    """Return how often the band held the market, odd prices set aside."""
    usable = [row for row in sound(rows) if row.low is not None and row.high is not None]
    count = len(usable)
    if count < COVERAGE_FROM:
        return Coverage(count)
    held = sum(
        row.low <= row.comparable <= row.high
        for row in usable
        if row.low is not None and row.high is not None
    )
    low, high = wilson(held, count)
    return Coverage(count, held / count, low, high)


def wilson(held: int, count: int) -> tuple[float, float]:
    """Return the 95 % interval of a share, after Wilson (1927).

    >>> [round(one, 4) for one in wilson(8, 10)]
    [0.4902, 0.9433]
    """
    z = 1.959964
    share = held / count
    scale = 1 + z * z / count
    middle = (share + z * z / (2 * count)) / scale
    half = z * sqrt(share * (1 - share) / count + z * z / (4 * count * count)) / scale
    return middle - half, middle + half


def _group(by: str, name: str, rows: Sequence[Observation]) -> Group:
    means = part_means(rows)
    if len(means) < ENOUGH:
        return Group(by, name, len(means), len(rows))
    middle, low, high = interval(means)
    return Group(by, name, len(means), len(rows), exp(middle), exp(low), exp(high))

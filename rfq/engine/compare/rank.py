"""Ranks within a line, the set of lines on which shops can be compared, and totals over it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal


def ranks(prices: Sequence[Decimal | None]) -> list[int | None]:
    """Return the rank of each price, lowest first; equal prices share a rank, None has none.

    >>> ranks([Decimal(3), None, Decimal(2), Decimal(3)])
    [2, None, 1, 2]
    """
    order = sorted(price for price in prices if price is not None)
    first: dict[Decimal, int] = {}
    for index, price in enumerate(order):
        first.setdefault(price, index + 1)
    return [None if price is None else first[price] for price in prices]


def like_set(ranked: Mapping[str, frozenset[int]]) -> tuple[frozenset[int], tuple[str, ...]]:
    """Return the lines that can be totalled, and the shops that can be compared on them.

    Totals compare only like sets: lines that every compared shop has a ranked price for. A shop
    with few lines would leave hardly any, so as long as the common lines are fewer than half of
    those that any shop has, the shop (or shops) with the fewest lines is left out of the totals.

    Args:
        ranked: shop -> lines on which it is ranked.

    >>> lines, shops = like_set({"a": frozenset({1, 2, 3, 4}), "b": frozenset({1, 2, 3}),
    ...                          "c": frozenset({4})})
    >>> sorted(lines), shops
    ([1, 2, 3], ('a', 'b'))
    """
    shops = {shop: lines for shop, lines in ranked.items() if lines}
    if not shops:
        return frozenset(), ()
    every = frozenset[int]().union(*shops.values())
    while True:
        common = frozenset[int].intersection(*shops.values())
        fewest = min(len(lines) for lines in shops.values())
        rest = {shop: lines for shop, lines in shops.items() if len(lines) > fewest}
        if 2 * len(common) >= len(every) or not rest:
            return common, tuple(shops)
        shops = rest


def winner(totals: Mapping[str, Decimal]) -> str:
    """Return the shop with the lowest total; several, joined, where they are equal; '' for none.

    >>> winner({"b": Decimal(2), "a": Decimal(2), "c": Decimal(3)})
    'a = b'
    """
    if not totals:
        return ""
    lowest = min(totals.values())
    return " = ".join(sorted(shop for shop, total in totals.items() if total == lowest))

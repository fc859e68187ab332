"""What a finish costs in a lot; its prices stand with the finish in ``standards.finishes``.

All are common practice: outside finishing shops, small lots. A user's invoices replace them by
name in ``rates.toml`` (``area_price.anodise`` and so on).
"""

from __future__ import annotations

from functools import cache

from rfq.engine.standards import finishes

Three = tuple[float, float, float]

#: Family of a finish that nobody knows; wider than any other.
OTHER = "other"
_OTHER: dict[str, Three] = {
    "lot_minimum": (60.0, 120.0, 250.0),
    "area_price": (0.6, 1.5, 4.0),
    "rack": (0.5, 1.5, 4.0),
    "mask": (1.0, 2.5, 5.0),
}


@cache
def family_of(name: str) -> str:
    """Name of the known finish that a text means; 'other' where none fits.

    >>> family_of("Hard Anodise"), family_of("black anodized"), family_of("gilding")
    ('hard anodise', 'anodise', 'other')
    """
    found = finishes.find(name).value
    return found.name if found is not None else OTHER


@cache
def prices_of(family: str) -> dict[str, Three] | None:
    """Prices of a family: EUR a lot, EUR/dm2, EUR a piece on its rack, EUR a mask; or None."""
    if family == OTHER:
        return _OTHER
    found = finishes.find(family).value
    if found is None or found.name != family:
        return None
    return {
        "lot_minimum": found.lot_minimum_eur,
        "area_price": found.eur_per_dm2,
        "rack": found.rack_eur,
        "mask": found.mask_eur,
    }


def finish_cost(
    quantity: float,
    area_dm2: float,
    price_per_dm2: float,
    rack: float,
    masks: float,
    mask: float,
    lot_minimum: float,
) -> float:
    """Finish of one piece: max(lot minimum, N (A p + rack + masks x mask)) / N, EUR.

    >>> finish_cost(2, 3.0, 8.0, 1.5, 2, 2.0, 80.0), finish_cost(10, 3.0, 8.0, 1.5, 2, 2.0, 80.0)
    (40.0, 29.5)
    """
    return max(lot_minimum / quantity, area_dm2 * price_per_dm2 + rack + masks * mask)

"""What a finish costs: lot minimum, price by area, rack and mask. All common practice.

Prices of outside finishing shops in small lots; a user's invoices replace them by name in
``rates.toml`` (``area_price.anodise`` and so on). Low and high are P10 and P90.
"""

from __future__ import annotations

Row = dict[str, tuple[float, float, float]]


def _row(
    lot: tuple[float, float, float],
    area: tuple[float, float, float],
    rack: tuple[float, float, float],
    mask: tuple[float, float, float],
) -> Row:
    return {"lot_minimum": lot, "area_price": area, "rack": rack, "mask": mask}


#: By family: EUR a lot, EUR/dm2, EUR a piece on its rack, EUR a mask or plug.
FINISH_PRICES: dict[str, Row] = {
    "anodise": _row((50, 80, 150), (0.4, 0.9, 2.0), (0.3, 1.0, 3.0), (1.0, 2.0, 4.0)),
    "hard anodise": _row((90, 150, 300), (1.0, 2.0, 4.0), (0.5, 1.5, 4.0), (2.0, 3.0, 6.0)),
    "passivate": _row((40, 70, 150), (0.2, 0.5, 1.2), (0.2, 0.6, 1.5), (0.5, 1.0, 2.0)),
    "electroless nickel": _row((80, 130, 250), (1.2, 2.5, 5.0), (0.5, 1.5, 4.0), (2.0, 3.0, 6.0)),
    "zinc": _row((40, 70, 120), (0.15, 0.4, 0.9), (0.1, 0.3, 1.0), (1.0, 2.0, 4.0)),
    "powder coat": _row((60, 100, 200), (0.4, 0.8, 1.6), (0.5, 1.5, 4.0), (0.5, 1.0, 2.0)),
    "bead blast": _row((25, 45, 90), (0.3, 0.7, 1.5), (0.0, 0.0, 0.0), (0.5, 1.0, 2.0)),
    "PVD": _row((150, 250, 500), (3.0, 8.0, 20.0), (1.0, 3.0, 8.0), (3.0, 5.0, 10.0)),
    "electropolish": _row((60, 100, 200), (0.8, 1.6, 3.0), (0.5, 1.2, 3.0), (1.0, 2.0, 4.0)),
    "chromate": _row((40, 70, 130), (0.2, 0.5, 1.0), (0.2, 0.6, 1.5), (1.0, 2.0, 4.0)),
    "paint": _row((60, 110, 220), (0.6, 1.2, 2.5), (0.5, 1.5, 4.0), (0.5, 1.0, 2.0)),
    "other": _row((60, 120, 250), (0.6, 1.5, 4.0), (0.5, 1.5, 4.0), (1.0, 2.5, 5.0)),
}

#: Words that lead to a family, longest first.
_WORDS: tuple[tuple[str, str], ...] = (
    ("hard anodi", "hard anodise"),
    ("hard-anodi", "hard anodise"),
    ("type iii", "hard anodise"),
    ("anodi", "anodise"),
    ("passivat", "passivate"),
    ("electroless", "electroless nickel"),
    ("nickel", "electroless nickel"),
    ("zinc", "zinc"),
    ("powder", "powder coat"),
    ("blast", "bead blast"),
    ("tumbl", "bead blast"),
    ("pvd", "PVD"),
    ("dlc", "PVD"),
    ("electropolish", "electropolish"),
    ("chromat", "chromate"),
    ("conversion", "chromate"),
    ("paint", "paint"),
    ("lacquer", "paint"),
)


def family_of(name: str) -> str:
    """The price family of a finish by its name; 'other' where none fits.

    >>> family_of("Hard anodise ISO 10074"), family_of("anodise black"), family_of("gilding")
    ('hard anodise', 'anodise', 'other')
    """
    low = name.lower()
    return next((family for word, family in _WORDS if word in low), "other")


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

"""By material family: manner of cutting, drilling speed, and the alloy it would be printed in.

Everything else of a material (force, speeds, density, prices) is in
``rfq.engine.standards.materials``.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

Manner = Literal["easy", "steel", "tough"]
Three = tuple[float, float, float]


class FamilyRow(NamedTuple):
    """How a family is cut: manner, carbide drill speed m/min, name of the printed alloy."""

    manner: Manner
    drill_m_per_min: float
    printed: str


#: By the first words of ``Material.family``; drill speeds from a seen group table (carbide,
#: German group numbers), 304-like stainless 40, titanium and nickel 45 and 30.
FAMILIES: dict[str, FamilyRow] = {
    "aluminium wrought": FamilyRow("easy", 240.0, "AlSi10Mg"),
    "aluminium": FamilyRow("easy", 170.0, "AlSi10Mg"),
    "magnesium": FamilyRow("easy", 240.0, ""),
    "brass": FamilyRow("easy", 170.0, ""),
    "copper": FamilyRow("easy", 170.0, ""),
    "plastic": FamilyRow("easy", 100.0, ""),
    "steel alloy": FamilyRow("steel", 70.0, ""),
    "steel": FamilyRow("steel", 85.0, ""),
    "tool steel": FamilyRow("tough", 20.0, ""),
    "stainless": FamilyRow("tough", 40.0, "1.4404 powder"),
    "titanium": FamilyRow("tough", 45.0, "Ti-6Al-4V powder"),
    "nickel": FamilyRow("tough", 30.0, "Alloy 718"),
}


class PrintRow(NamedTuple):
    """Printing data of an alloy: powder EUR/kg, cm3/h of one laser, layer um (low typical high)."""

    powder: Three
    rate: Three
    layer: Three


#: By family's first word. Powder prices from memory (titanium: an older guide, seen, has
#: 200-400 USD/kg; it has fallen since). Rates and layers common practice; a seen study puts
#: 26 cm3/h at 200 um layers at 2 to 9 times the usual, 2.9 to 13 cm3/h at 30 um, twice at 60.
PRINTED: dict[str, PrintRow] = {
    "aluminium": PrintRow((35, 60, 100), (12, 25, 50), (30, 45, 60)),
    "titanium": PrintRow((80, 120, 200), (6, 12, 24), (30, 45, 60)),
    "stainless": PrintRow((35, 60, 100), (6, 11, 20), (30, 40, 60)),
    "nickel": PrintRow((50, 80, 130), (6, 11, 20), (30, 40, 60)),
}

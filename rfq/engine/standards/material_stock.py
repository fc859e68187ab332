"""In which forms a material is sold, to which standard, in which tempers, up to which thickness.

All from memory of the product standards and of stockists' lists; a combination that is missing
is asked about, not refused, unless the temper belongs to another alloy altogether.
"""

from __future__ import annotations

from dataclasses import dataclass

from rfq.model.codes import StockForm


@dataclass(frozen=True, slots=True)
class FormOffer:
    """One form of one material.

    Args:
        form: stock form.
        standard: product standard.
        tempers: as the standard names them; empty for materials without tempers.
        thickest_mm: thickness or diameter up to which it is usual, with these tempers.
    """

    form: StockForm
    standard: str
    tempers: tuple[str, ...]
    thickest_mm: float


#: designation | forms | standard | tempers | up to mm
ROWS = """
EN AW-6061 | sheet | EN 485-2 | O T4 T6 | 6
EN AW-6061 | plate block | EN 485-2 | O T4 T451 T6 T651 T62 | 200
EN AW-6061 | round bar, flat bar | EN 755-2 | O T4 T6 T6510 T6511 | 250
EN AW-6061 | tube | EN 755-2 | T4 T6 | 50
EN AW-6082 | sheet | EN 485-2 | O T4 T6 | 6
EN AW-6082 | plate block | EN 485-2 | O T4 T451 T6 T651 T61 T6151 T62 | 200
EN AW-6082 | round bar, flat bar | EN 755-2 | O H111 T4 T5 T6 T6510 T6511 | 250
EN AW-6082 | tube | EN 755-2 | O T4 T5 T6 | 50
EN AW-7075 | sheet | EN 485-2 | O T6 T73 T76 | 6
EN AW-7075 | plate block | EN 485-2 | O T6 T651 T73 T7351 T76 T7651 | 200
EN AW-7075 | round bar, flat bar | EN 755-2 | O T6 T6510 T6511 T73 T73510 T73511 | 200
EN AW-7075 | tube | EN 755-2 | O T6 T73 | 30
EN AW-2024 | sheet | EN 485-2 | O T3 T4 | 6
EN AW-2024 | plate block | EN 485-2 | O T3 T351 T4 T8 T851 | 150
EN AW-2024 | round bar, flat bar | EN 755-2 | O T3 T3510 T3511 T8 T8510 T8511 | 250
EN AW-2024 | tube | EN 755-2 | O T3 | 30
EN AW-5083 | sheet | EN 485-2 | O H111 H22 H24 | 6
EN AW-5083 | plate block | EN 485-2 | O H111 H112 H116 H321 | 250
EN AW-5083 | round bar, flat bar | EN 755-2 | F O H111 H112 | 200
EN AW-5754 | sheet | EN 485-2 | O H111 H22 H24 H114 | 6
EN AW-5754 | plate block | EN 485-2 | O H111 H112 | 100
EN AW-5754 | round bar, flat bar | EN 755-2 | O H111 H112 | 150
EN AC-42100 | casting | EN 1706 | F T6 T64 | 500
EN AC-48000 | casting | EN 1706 | F T5 T6 | 500
AlSi10Mg | powder | ISO/ASTM 52911-1 (design); material by agreement | as built, stress relieved, T6 | 400
S355J2 | plate block sheet | EN 10025-2 | +AR +N | 250
S355J2 | round bar, flat bar | EN 10025-2 / EN 10277 | +AR +N +C +SH | 250
S355J2 | tube | EN 10210-1 / EN 10305-1 | +N +C | 50
C45E | plate block | EN ISO 683-1 | +U +N +QT +A | 250
C45E | round bar, flat bar | EN ISO 683-1 / EN 10277 | +U +N +QT +A +C +SH | 250
42CrMo4 | plate block | EN ISO 683-2 | +QT +A | 250
42CrMo4 | round bar, flat bar | EN ISO 683-2 / EN 10277 | +QT +A +SH | 250
16MnCr5 | plate block round bar, flat bar | EN ISO 683-3 / EN 10277 | +A +FP +SH +C | 250
X153CrMoV12 | plate block round bar, flat bar | EN ISO 4957 | +A hardened | 250
1.4301 | sheet plate block | EN 10088-2 / EN 10028-7 | +AT 2B 1D | 150
1.4301 | round bar, flat bar | EN 10088-3 | +AT C700 C800 | 250
1.4301 | tube | EN 10216-5 | +AT | 50
1.4305 | round bar, flat bar | EN 10088-3 | +AT C700 | 160
1.4404 | sheet plate block | EN 10088-2 / EN 10028-7 | +AT 2B 1D | 150
1.4404 | round bar, flat bar | EN 10088-3 | +AT C700 C800 | 250
1.4404 | tube | EN 10216-5 | +AT | 50
1.4542 | plate block | EN 10088-2 / AMS 5604 | +AT H900 H925 H1025 H1075 H1100 H1150 P1070 P960 P930 P800 | 100
1.4542 | round bar, flat bar | EN 10088-3 / AMS 5643 | +AT H900 H925 H1025 H1075 H1100 H1150 P1070 P960 P930 P800 | 200
1.4404 powder | powder | ISO/ASTM 52911-1 (design); material by agreement | as built, stress relieved, solution annealed | 400
Ti grade 2 | sheet plate block | ASTM B265 | annealed | 100
Ti grade 2 | round bar, flat bar | ASTM B348 | annealed | 200
Ti grade 2 | tube | ASTM B338 | annealed | 20
Ti-6Al-4V | sheet plate block | ASTM B265 / AMS 4911 | annealed STA | 100
Ti-6Al-4V | round bar, flat bar | ASTM B348 / AMS 4928 | annealed STA | 250
Ti-6Al-4V powder | powder | ASTM F2924 | as built, stress relieved, annealed, HIP | 400
Alloy 718 | sheet plate block | EN 10302 / AMS 5596 | solution annealed, aged | 100
Alloy 718 | round bar, flat bar | EN 10302 / AMS 5662 / AMS 5663 | solution annealed, aged | 250
CuZn39Pb3 | round bar, flat bar | EN 12164 / EN 12167 | M R360 R380 R430 R500 | 120
Cu-ETP | sheet plate block | EN 13599 / EN 1652 | R200 R220 R240 R290 R360 | 100
Cu-ETP | round bar, flat bar | EN 13601 | D R200 R250 R300 R350 | 120
POM-C | plate block | ISO 29988 / EN 15860 | | 150
POM-C | rod, round bar, tube | ISO 29988 / EN 15860 | | 300
PEEK | plate block | EN 15860 / ASTM D6262 | | 100
PEEK | rod, round bar, tube | EN 15860 / ASTM D6262 | | 200
PA6 | plate block | EN 15860 | | 150
PA6 | rod, round bar, tube | EN 15860 | | 300
PTFE | plate block sheet | EN ISO 13000 | | 100
PTFE | rod, round bar, tube | EN ISO 13000 | | 200
PC | plate block sheet | EN 15860 / EN ISO 11963 | | 120
PC | rod, round bar | EN 15860 | | 200
"""  # noqa: E501 - a table reads as a table

_FORMS: tuple[StockForm, ...] = (
    "flat bar", "round bar", "plate", "tube", "rod", "sheet", "block", "casting", "powder",
)  # fmt: skip


def _offers() -> dict[str, tuple[FormOffer, ...]]:
    offers: dict[str, list[FormOffer]] = {}
    for line in ROWS.strip().splitlines():
        designation, forms, standard, tempers, thickest = (cell.strip() for cell in line.split("|"))
        names = tempers.split(",") if "," in tempers else tempers.split()
        if designation in ("Alloy 718",):
            names = tempers.split(",")
        for form in _FORMS:
            if form in forms:
                offers.setdefault(designation, []).append(
                    FormOffer(
                        form, standard, tuple(name.strip() for name in names), float(thickest)
                    )
                )
    return {designation: tuple(found) for designation, found in offers.items()}


#: Forms by designation.
OFFERS: dict[str, tuple[FormOffer, ...]] = _offers()

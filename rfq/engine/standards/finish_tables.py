"""Finishes as rows: standard, classes, thickness, growth, prices.

Sources: thicknesses from memory of the standards named (MIL-A-8625F was seen to refer to its
Table IV, whose figures are from memory; hard anodising at 25 to 64 um common, seen); growth by
geometry and common practice. Every price is common practice, no source: the user's own replace
them.
"""

from __future__ import annotations

#: name | standard | for families | thickness um lo typ hi | growth share lo typ hi (of thickness,
#: per surface) | lot minimum EUR | EUR/dm2 | rack EUR/part | mask EUR/plug | lead days lo hi
ROWS = """
anodise | ISO 7599 / MIL-PRF-8625 type II | aluminium | 5 12 25 | 0.333 0.4 0.5 | 50 80 150 | 0.4 0.9 2 | 0.3 1 3 | 1 2 4 | 3 8
hard anodise | ISO 10074 / MIL-PRF-8625 type III | aluminium | 30 45 60 | 0.45 0.5 0.55 | 90 150 300 | 1 2 4 | 0.5 1.5 4 | 2 3 6 | 5 10
chromic anodise | MIL-PRF-8625 type I | aluminium | 2 4 7 | 0.4 0.5 0.6 | 90 150 300 | 0.8 1.5 3 | 0.3 1 3 | 1 2 4 | 5 12
chromate conversion | MIL-DTL-5541 / EN 12487 | aluminium | 0 0 1 | 0 0 1 | 40 70 140 | 0.2 0.5 1.2 | 0.2 0.6 1.5 | 1 2 4 | 3 7
passivate | ASTM A967 / AMS 2700 | stainless | 0 0 0 | 0 0 0 | 40 70 150 | 0.2 0.5 1.2 | 0.2 0.6 1.5 | 0 0 0 | 2 5
electropolish | ASTM B912 | stainless | 5 12 25 | -1 -1 -1 | 60 100 200 | 0.6 1.5 3 | 0.3 1 3 | 1 2 4 | 3 8
electroless nickel | ASTM B733 / ISO 4527 | aluminium steel stainless copper brass tool titanium | 5 12 25 | 1 1 1 | 80 130 250 | 1.2 2.5 5 | 0.5 1.5 4 | 2 3 6 | 4 8
zinc | ISO 2081 / ASTM B633 | steel tool | 5 8 12 | 1 1 1 | 40 70 120 | 0.15 0.4 0.9 | 0.1 0.3 1 | 1 2 4 | 3 6
black oxide | ISO 11408 | steel tool | 0 1 2 | 0 0 0 | 40 70 130 | 0.15 0.4 0.9 | 0.1 0.3 1 | 0 0 0 | 3 6
powder coat | EN 12206-1 / ISO 18768-1 (aluminium), EN 13438 (galvanised steel) | aluminium steel stainless | 60 80 120 | 1 1 1 | 60 100 200 | 0.4 0.8 1.6 | 0.5 1.5 4 | 0.5 1 2 | 4 8
bead blast | none (state the Ra) | aluminium steel stainless titanium nickel brass copper tool | 0 0 0 | 0 0 0 | 25 45 90 | 0.3 0.7 1.5 | 0 0 0 | 0.5 1 2 | 1 4
PVD | VDI 3198 (adhesion) | steel tool stainless titanium | 1 3 5 | 1 1 1 | 150 250 500 | 3 8 20 | 1 3 8 | 3 5 10 | 7 15
"""  # noqa: E501 - a table reads as a table

#: Least thickness by class, um. From memory.
CLASSES_UM: dict[str, dict[str, float]] = {
    "anodise": {"AA5": 5, "AA10": 10, "AA15": 15, "AA20": 20, "AA25": 25},
    "electroless nickel": {"SC0": 0.1, "SC1": 5, "SC2": 13, "SC3": 25, "SC4": 75},
    "zinc": {"Fe/Zn 5": 5, "Fe/Zn 8": 8, "Fe/Zn 12": 12, "Fe/Zn 25": 25},
}
#: Thickness range by standard type, um: MIL-PRF-8625 types, ISO 10074 usual. From memory.
RANGES_UM: dict[str, dict[str, tuple[float, float]]] = {
    "anodise": {"type II": (1.8, 25.4)},
    "hard anodise": {"type III": (12.7, 114.0), "ISO 10074": (25, 150)},
    "chromic anodise": {"type I": (0.5, 17.8)},
}

#: Alloy classes of ISO 10074, from memory: what a hard anodised alloy can be held to.
ALLOY_CLASSES: dict[str, str] = {
    "1": "wrought alloys other than class 2",
    "2a": "wrought alloys of the 2000 series",
    "2b": "wrought alloys of the 5000 series with 2 % magnesium and more, and of the 7000 series",
    "3a": "castings below 2 % copper and below 8 % silicon",
    "3b": "other castings",
}

#: What to mind, by finish. Common practice, no source, unless said.
CAUTIONS: dict[str, tuple[str, ...]] = {
    "anodise": ("Bores shrink and threads lose clearance: say before or after coating.",),
    "hard anodise": (
        "Lowers fatigue strength: on a loaded part the responsible engineer has to agree.",
        "Ra grows by 0.5 to 1 um; mask fits and threads or make them undersize.",
    ),
    "chromic anodise": (
        "Uses chromates, which are restricted in many countries; the shop works to its local "
        "codes.",
    ),
    "chromate conversion": ("Ask for a process free of hexavalent chromium where RoHS applies.",),
    "passivate": ("Free-machining grades (1.4305) need their own bath, or they are etched.",),
    "electropolish": ("Takes material off and rounds edges.",),
    "electroless nickel": (
        "Builds up fully on every surface: 25 um use up the whole tolerance of M3-6H.",
        "Plating high-strength steel needs baking against hydrogen embrittlement.",
    ),
    "zinc": ("Steel of 1000 MPa and more needs baking against hydrogen embrittlement (ISO 2081).",),
    "black oxide": ("Protects only with oil.",),
    "powder coat": ("Mask every fit, thread and earthing point.",),
    "bead blast": ("Distorts thin walls; leaves Ra 1.5 to 3.5.",),
    "PVD": ("The part is heated to 200 to 480 °C: tempers and plastics suffer.",),
}

#: Other names. From memory.
ALIASES: dict[str, str] = {
    "anodise": "anodize, anodised, anodized, anodising, anodizing, clear anodise, black anodise, "
    "natural anodise, decorative anodise, eloxal, type II",
    "hard anodise": "hard anodize, hardcoat, hard coat, hard anodised, hard anodized, "
    "hard anodising, type III, harteloxal",
    "chromic anodise": "chromic anodize, type I",
    "chromate conversion": "chem film, conversion coating, chromate",
    "passivate": "passivation, passivated, passivating",
    "electropolish": "electropolished, electropolishing",
    "electroless nickel": "chemical nickel, electroless nickel plating, nickel, EN plating, ENP",
    "zinc": "zinc plate, zinc plated, zinc plating, galvanised, electroplated zinc",
    "black oxide": "blackened, blackening, brunieren, black finish",
    "powder coat": "powder coated, powder coating, powder paint",
    "bead blast": "bead blasted, bead blasting, glass bead blast, blast",
    "PVD": "TiN, CrN, DLC, PVD coating",
}

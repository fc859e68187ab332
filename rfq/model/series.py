"""The letters and sizes a short form is recognised by: ISO 286 zones, ISO 261 coarse pitches.

They stand in the model because reading '42 H7' or 'M8x1' needs them; what the zones and
threads *mean* in millimetres stands in ``rfq.engine.standards``.
"""

from __future__ import annotations

from decimal import Decimal

#: Zones of holes, in order from widest clearance. Source: ISO 286-1:2010, from memory; the
#: letters i, l, o, q and w are left out by the standard.
HOLE_ZONES: tuple[str, ...] = tuple(
    [
        "A",
        "B",
        "C",
        "CD",
        "D",
        "E",
        "EF",
        "F",
        "FG",
        "G",
        "H",
        "JS",
        "J",
        "K",
        "M",
        "N",
        "P",
        "R",
        "S",
        "T",
        "U",
        "V",
        "X",
        "Y",
        "Z",
        "ZA",
        "ZB",
        "ZC",
    ]
)
#: Zones of shafts: the same letters, small.
SHAFT_ZONES: tuple[str, ...] = tuple(zone.lower() for zone in HOLE_ZONES)

#: Grades of ISO 286-1:2010 in order of width, from memory ("01" and "0" are finer than "1").
GRADES: tuple[str, ...] = ("01", "0", *(str(n) for n in range(1, 19)))

_COARSE = (
    "1 0.25|1.1 0.25|1.2 0.25|1.4 0.3|1.6 0.35|1.8 0.35|2 0.4|2.2 0.45|2.5 0.45|3 0.5|3.5 0.6|"
    "4 0.7|4.5 0.75|5 0.8|6 1|7 1|8 1.25|9 1.25|10 1.5|11 1.5|12 1.75|14 2|16 2|18 2.5|20 2.5|"
    "22 2.5|24 3|27 3|30 3.5|33 3.5|36 4|39 4|42 4.5|45 4.5|48 5|52 5|56 5.5|60 5.5|64 6|68 6"
)
#: Coarse pitch in mm by nominal diameter in mm. Source: ISO 261, from memory.
COARSE_PITCH_MM: dict[Decimal, Decimal] = {
    Decimal(pair.split()[0]): Decimal(pair.split()[1]) for pair in _COARSE.split("|")
}
#: Every pitch ISO 261 uses, mm; from memory.
PITCHES_MM: tuple[Decimal, ...] = tuple(
    Decimal(p)
    for p in [
        "0.2",
        "0.25",
        "0.3",
        "0.35",
        "0.4",
        "0.45",
        "0.5",
        "0.6",
        "0.7",
        "0.75",
        "0.8",
        "1",
        "1.25",
        "1.5",
        "1.75",
        "2",
        "2.5",
        "3",
        "3.5",
        "4",
        "4.5",
        "5",
        "5.5",
        "6",
        "8",
    ]
)

#: The 14 characteristics of ISO 1101 with their sign (Unicode, as far as it has one).
#: Source: ISO 1101:2017, from memory; coaxiality and concentricity share one sign.
CHARACTERISTICS: dict[str, str] = {
    "straightness": "⏤",
    "flatness": "⏥",
    "roundness": "○",
    "cylindricity": "⌭",
    "line profile": "⌒",
    "surface profile": "⌓",
    "parallelism": "∥",
    "perpendicularity": "⟂",
    "angularity": "∠",
    "position": "⌖",
    "coaxiality": "◎",
    "symmetry": "⌯",
    "run-out": "↗",
    "total run-out": "⌰",
}
#: Characteristics of form: they take no datum (ISO 1101, from memory).
FORM: frozenset[str] = frozenset({"straightness", "flatness", "roundness", "cylindricity"})
#: Characteristics that mean nothing without a datum (ISO 1101, from memory); position and the
#: profiles may stand alone.
NEED_DATUM: frozenset[str] = frozenset(
    {
        "parallelism",
        "perpendicularity",
        "angularity",
        "coaxiality",
        "symmetry",
        "run-out",
        "total run-out",
    }
)
#: Characteristics whose zone may be a cylinder (Ø before the value); ISO 1101, from memory.
MAY_BE_ROUND: frozenset[str] = frozenset(
    {"straightness", "parallelism", "perpendicularity", "angularity", "position", "coaxiality"}
)

#: Ra in um by N grade. Source: ISO 1302 annex, the map from memory; the series itself is seen.
N_GRADES_RA_UM: dict[str, Decimal] = {
    "N1": Decimal("0.025"),
    "N2": Decimal("0.05"),
    "N3": Decimal("0.1"),
    "N4": Decimal("0.2"),
    "N5": Decimal("0.4"),
    "N6": Decimal("0.8"),
    "N7": Decimal("1.6"),
    "N8": Decimal("3.2"),
    "N9": Decimal("6.3"),
    "N10": Decimal("12.5"),
    "N11": Decimal("25"),
    "N12": Decimal("50"),
}

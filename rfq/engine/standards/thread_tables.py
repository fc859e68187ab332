"""ISO 261 and ISO 965-1 in numbers: pitches, deviations and tolerances of metric threads.

Sources: from memory, but for the cells marked seen; the tables are checked against the formulas
of ISO 965-1 (rounded to R40) and against printed limits in tests/published/test_iso965.py.
"""

from __future__ import annotations

from decimal import Decimal


def _cells(text: str) -> list[str]:
    return text.split()


#: Fine pitches of ISO 261 by nominal diameter, first and second choice; from memory.
_FINE = (
    "8 1 0.75|10 1.25 1 0.75|12 1.5 1.25 1|14 1.5 1.25 1|16 1.5 1|18 2 1.5 1|20 2 1.5 1|22 2 1.5 1|"
    "24 2 1.5 1|27 2 1.5 1|30 3 2 1.5 1|33 3 2 1.5|36 3 2 1.5|39 3 2 1.5|42 4 3 2 1.5|45 4 3 2 1.5|"
    "48 4 3 2 1.5|52 4 3 2 1.5|56 4 3 2 1.5|60 4 3 2 1.5|64 4 3 2 1.5|68 4 3 2 1.5|1 0.2|1.1 0.2|"
    "1.2 0.2|1.4 0.2|1.6 0.2|1.8 0.2|2 0.25|2.2 0.25|2.5 0.35|3 0.35|3.5 0.35|4 0.5|4.5 0.5|5 0.5|"
    "5.5 0.5|6 0.75|7 0.75|9 1 0.75|11 1 0.75|15 1.5 1|17 1.5 1|25 2 1.5 1|35 1.5|40 3 2 1.5"
)
FINE_PITCHES_MM: dict[Decimal, tuple[Decimal, ...]] = {
    Decimal(row.split()[0]): tuple(Decimal(pitch) for pitch in row.split()[1:])
    for row in _FINE.split("|")
}

#: Ends of the diameter bands of ISO 965-1, mm, from memory; the first band starts at 0.99.
DIAMETER_BANDS_MM = tuple(
    Decimal(end) for end in _cells("0.99 1.4 2.8 5.6 11.2 22.4 45 90 180 355")
)
#: Renard series R40 from 10 to 95, ISO 3; from memory. Tolerances are rounded to it.
R40 = tuple(
    Decimal(step)
    for step in _cells(
        "10 10.6 11.2 11.8 12.5 13.2 14 15 16 17 18 19 20 21.2 22.4 23.6 25 26.5 28 30 31.5 33.5 "
        "35.5 37.5 40 42.5 45 47.5 50 53 56 60 63 67 71 75 80 85 90 95"
    )
)
#: Steps of R40 away from grade 6, per grade (ISO 965-1 gives the factors 0.5 0.63 0.8 1 1.25 1.6
#: 2, which are these steps; the nut's pitch diameter lies 5 steps, 1.32, above the bolt's).
BOLT_PITCH_STEPS = {"3": -12, "4": -8, "5": -4, "6": 0, "7": 4, "8": 8, "9": 12}
BOLT_MAJOR_STEPS = {"4": -8, "6": 0, "8": 8}
NUT_PITCH_STEPS = {"4": -3, "5": 1, "6": 5, "7": 9, "8": 13}
NUT_MINOR_STEPS = {"4": -8, "5": -4, "6": 0, "7": 4, "8": 8}

_PITCHES = (
    "0.2 0.25 0.3 0.35 0.4 0.45 0.5 0.6 0.7 0.75 0.8 1 1.25 1.5 1.75 2 2.5 3 3.5 4 4.5 5 5.5 6 8"
)


def _by_pitch(text: str) -> dict[Decimal, Decimal | None]:
    cells = text.split()
    return {
        Decimal(pitch): None if cell == "-" else Decimal(cell)
        for pitch, cell in zip(_PITCHES.split(), cells, strict=True)
    }


#: Distance of the fundamental deviation from the basic profile, um, by pitch. ISO 965-1, from
#: memory; g at 1.5 mm (32) is seen. Bolts take it minus, nuts plus (G as g, and so on).
FUNDAMENTAL_UM: dict[str, dict[Decimal, Decimal | None]] = {
    "e": _by_pitch("- - - - - - 50 53 56 56 60 60 63 67 71 71 80 85 90 95 100 106 112 118 140"),
    "f": _by_pitch("- - - 34 34 35 36 36 38 38 38 40 42 45 48 52 58 63 70 75 80 85 90 95 118"),
    "g": _by_pitch("17 18 18 19 19 20 20 21 22 22 24 26 28 32 34 38 42 48 53 60 63 71 75 80 100"),
}
#: Grade 6 tolerance of the bolt's major diameter, um, by pitch. ISO 965-1, from memory; 236 at
#: 1.5 mm is seen.
BOLT_MAJOR_6_UM = _by_pitch(
    "56 67 75 85 95 100 106 125 140 140 150 180 212 236 265 280 335 375 425 475 500 530 560 600 710"
)
#: Grade 6 tolerance of the nut's minor diameter, um, by pitch. ISO 965-1, from memory.
NUT_MINOR_6_UM = _by_pitch(
    "- - 85 100 112 125 140 160 180 190 200 236 265 300 335 375 450 500 560 600 670 710 750 800 "
    "1000"
)

#: Grade 6 tolerance of the bolt's pitch diameter, um: upper end of the diameter band (mm) ->
#: pitch -> value. ISO 965-1, from memory; 132 at M10x1.5 is seen.
BOLT_PITCH_6_UM: dict[Decimal, dict[Decimal, Decimal]] = {
    Decimal(end): {
        Decimal(cell.split(":")[0]): Decimal(cell.split(":")[1]) for cell in cells.split()
    }
    for end, cells in {
        "1.4": "0.2:48 0.25:53 0.3:56",
        "2.8": "0.2:50 0.25:56 0.35:63 0.4:67 0.45:71",
        "5.6": "0.35:67 0.5:75 0.6:85 0.7:90 0.75:90 0.8:95",
        "11.2": "0.75:100 1:112 1.25:118 1.5:132",
        "22.4": "1:118 1.25:132 1.5:140 1.75:150 2:160 2.5:170",
        "45": "1:125 1.5:150 2:170 3:200 3.5:212 4:224 4.5:236",
        "90": "1.5:160 2:180 3:212 4:236 5:250 5.5:265 6:280",
        "180": "2:190 3:224 4:250 6:300",
        "355": "3:250 4:280 6:315",
    }.items()
}

#: Core-hole drill for coarse threads, mm. DIN 336, from memory; it is d - P rounded to drills.
CORE_DRILL_MM: dict[Decimal, Decimal] = {
    Decimal(pair.split(":")[0]): Decimal(pair.split(":")[1])
    for pair in _cells(
        "1:0.75 1.1:0.85 1.2:0.95 1.4:1.1 1.6:1.25 1.8:1.45 2:1.6 2.2:1.75 2.5:2.05 3:2.5 "
        "3.5:2.9 4:3.3 4.5:3.7 5:4.2 6:5 7:6 8:6.8 9:7.8 10:8.5 11:9.5 12:10.2 14:12 16:14 "
        "18:15.5 20:17.5 22:19.5 24:21 27:24 30:26.5 33:29.5 36:32 39:35 42:37.5 45:40.5 48:43 "
        "52:47 56:50.5 60:54.5 64:58 68:62"
    )
}
#: Core hole beyond the full thread in a blind hole, usual length e1, mm, by pitch. DIN 76-1,
#: from memory.
BLIND_OVERRUN_MM: dict[Decimal, Decimal] = {
    Decimal(pair.split(":")[0]): Decimal(pair.split(":")[1])
    for pair in _cells(
        "0.35:2.1 0.4:2.3 0.45:2.6 0.5:2.8 0.6:3.4 0.7:3.8 0.75:4 0.8:4.2 1:5.1 1.25:6.2 1.5:7.3 "
        "1.75:8.3 2:9.3 2.5:11.2 3:13.1 3.5:15.2 4:16.8"
    )
}
#: Pipe threads of ISO 228-1: size -> (major diameter mm, threads an inch, core drill mm). From
#: memory.
PIPE_G: dict[str, tuple[Decimal, int, Decimal]] = {
    label: (Decimal(major), per_inch, Decimal(drill))
    for label, major, per_inch, drill in (
        ("1/16", "7.723", 28, "6.8"),
        ("1/8", "9.728", 28, "8.8"),
        ("1/4", "13.157", 19, "11.8"),
        ("3/8", "16.662", 19, "15.25"),
        ("1/2", "20.955", 14, "19"),
        ("5/8", "22.911", 14, "21"),
        ("3/4", "26.441", 14, "24.5"),
        ("1", "33.249", 11, "30.75"),
        ("1 1/4", "41.91", 11, "39.5"),
        ("1 1/2", "47.803", 11, "45.25"),
        ("2", "59.614", 11, "57"),
    )
}

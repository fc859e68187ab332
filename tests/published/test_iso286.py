"""ISO 286 against the outside: package pressfit, columns of package isofits, formulas, worked fits.

pressfit 0.1.0 (MIT) is independent of us and covers H holes and 13 shaft letters, IT5 to IT11.
The columns below were read from isofits 1.0 (MIT; 3 to 400 mm), another independent table; one of
its cells, K6 in 6-10 mm, gives -6 for the lower deviation, where its own upper deviation (+2) and
IT6 (9) make -7: that cell is left out. What neither reaches rests on the standard's formulas (from
memory), which the tables round.
"""

from __future__ import annotations

from decimal import Decimal
from math import sqrt

import pytest

from rfq.engine.standards.iso286 import deviations_um, limits, pairing, split_class, tolerance_um
from rfq.engine.standards.iso286_tables import (
    BANDS,
    EI_FINE_UM,
    EI_MAIN_UM,
    ES_FINE_UM,
    ES_MAIN_UM,
    FINE_BANDS,
    IT_UM,
)
from rfq.engine.standards.limits import NotDefined

D = Decimal
SIZES = (
    D("0.5"),
    *(D(end) for end in FINE_BANDS),
    *(D(end) + D("0.001") for end in FINE_BANDS[:-1]),
)


@pytest.mark.parametrize("grade", range(5, 12))
def test_tolerances_equal_pressfit(grade: int) -> None:
    pressfit = pytest.importorskip("pressfit")
    for size in SIZES:
        assert tolerance_um(size, grade) == pressfit.it_value(float(size), grade), size


PRESSFIT_LETTERS = ("c", "d", "e", "f", "g", "h", "js", "k", "m", "n", "p", "s", "u")


@pytest.mark.parametrize("letter", PRESSFIT_LETTERS)
def test_shaft_letters_equal_pressfit(letter: str) -> None:
    """Every size band, every grade pressfit knows; about 4,300 cells over the 13 letters."""
    pressfit = pytest.importorskip("pressfit")
    cells = 0
    for size in SIZES:
        for grade in range(5, 12):
            ours = pairing(size, "H7", f"{letter}{grade}")
            theirs = pressfit.fit(f"H7/{letter}{grade}", float(size))
            assert ours.shaft.upper_deviation_um == D(str(theirs.shaft_es_um)), (size, grade)
            assert ours.shaft.lower_deviation_um == D(str(theirs.shaft_ei_um)), (size, grade)
            assert float(ours.least_um) == theirs.clearance_um[0]
            assert float(ours.most_um) == theirs.clearance_um[1]
            assert ours.kind == theirs.kind
            cells += 1
    assert cells == len(SIZES) * 7


@pytest.mark.parametrize("grade", range(5, 12))
def test_holes_h_equal_pressfit(grade: int) -> None:
    pressfit = pytest.importorskip("pressfit")
    for size in SIZES:
        theirs = pressfit.fit(f"H{grade}/h6", float(size))
        assert deviations_um(size, "H", grade) == (theirs.hole_ei_um, theirs.hole_es_um)


#: Upper ends of the bands of the columns below, mm (the first starts above 3).
SECOND_SOURCE_BANDS = (
    6,
    10,
    18,
    30,
    40,
    50,
    65,
    80,
    100,
    120,
    140,
    160,
    180,
    200,
    225,
    250,
    280,
    315,
    355,
    400,
)
#: class, then upper/lower deviation in um per band. Source: package isofits 1.0.
SECOND_SOURCE = """
J6 5/-3 5/-4 6/-5 8/-5 10/-6 10/-6 13/-6 13/-6 16/-6 16/-6 18/-7 18/-7 18/-7 22/-7 22/-7 22/-7 25/-7 25/-7 29/-7 29/-7
J7 6/-6 8/-7 10/-8 12/-9 14/-11 14/-11 18/-12 18/-12 22/-13 22/-13 26/-14 26/-14 26/-14 30/-16 30/-16 30/-16 36/-16 36/-16 39/-18 39/-18
J8 10/-8 12/-10 15/-12 20/-13 24/-15 24/-15 28/-18 28/-18 34/-20 34/-20 41/-22 41/-22 41/-22 47/-25 47/-25 47/-25 55/-26 55/-26 60/-29 60/-29
K6 2/-6 2/-6 2/-9 2/-11 3/-13 3/-13 4/-15 4/-15 4/-18 4/-18 4/-21 4/-21 4/-21 5/-24 5/-24 5/-24 5/-27 5/-27 7/-29 7/-29
K7 3/-9 5/-10 6/-12 6/-15 7/-18 7/-18 9/-21 9/-21 10/-25 10/-25 12/-28 12/-28 12/-28 13/-33 13/-33 13/-33 16/-36 16/-36 17/-40 17/-40
K8 5/-13 6/-16 8/-19 10/-23 12/-27 12/-27 14/-32 14/-32 16/-38 16/-38 20/-43 20/-43 20/-43 22/-50 22/-50 22/-50 25/-56 25/-56 28/-61 28/-61
M6 -1/-9 -3/-12 -4/-15 -4/-17 -4/-20 -4/-20 -5/-24 -5/-24 -6/-28 -6/-28 -8/-33 -8/-33 -8/-33 -8/-37 -8/-37 -8/-37 -9/-41 -9/-41 -10/-46 -10/-46
M7 0/-12 0/-15 0/-18 0/-21 0/-25 0/-25 0/-30 0/-30 0/-35 0/-35 0/-40 0/-40 0/-40 0/-46 0/-46 0/-46 0/-52 0/-52 0/-57 0/-57
M8 2/-16 1/-21 2/-25 4/-29 5/-34 5/-34 5/-41 5/-41 6/-48 6/-48 8/-55 8/-55 8/-55 9/-63 9/-63 9/-63 9/-72 9/-72 11/-78 11/-78
N6 -5/-13 -7/-16 -9/-20 -11/-24 -12/-28 -12/-28 -14/-33 -14/-33 -16/-38 -16/-38 -20/-45 -20/-45 -20/-45 -22/-51 -22/-51 -22/-51 -25/-57 -25/-57 -26/-62 -26/-62
N7 -4/-16 -4/-19 -5/-23 -7/-28 -8/-33 -8/-33 -9/-39 -9/-39 -10/-45 -10/-45 -12/-52 -12/-52 -12/-52 -14/-60 -14/-60 -14/-60 -14/-66 -14/-66 -16/-73 -16/-73
N8 -2/-20 -3/-25 -3/-30 -3/-36 -3/-42 -3/-42 -4/-50 -4/-50 -4/-58 -4/-58 -4/-67 -4/-67 -4/-67 -5/-77 -5/-77 -5/-77 -5/-86 -5/-86 -5/-94 -5/-94
P6 -9/-17 -12/-21 -15/-26 -18/-31 -21/-37 -21/-37 -26/-45 -26/-45 -30/-52 -30/-52 -36/-61 -36/-61 -36/-61 -41/-70 -41/-70 -41/-70 -47/-79 -47/-79 -51/-87 -51/-87
P7 -8/-20 -9/-24 -11/-29 -14/-35 -17/-42 -17/-42 -21/-51 -21/-51 -24/-59 -24/-59 -28/-68 -28/-68 -28/-68 -33/-79 -33/-79 -33/-79 -36/-88 -36/-88 -41/-98 -41/-98
P8 -12/-30 -15/-37 -18/-45 -22/-55 -26/-65 -26/-65 -32/-78 -32/-78 -37/-91 -37/-91 -43/-106 -43/-106 -43/-106 -50/-122 -50/-122 -50/-122 -56/-137 -56/-137 -62/-151 -62/-151
R6 -12/-20 -16/-25 -20/-31 -24/-37 -29/-45 -29/-45 -35/-54 -37/-56 -44/-66 -47/-69 -56/-81 -58/-83 -61/-86 -68/-97 -71/-100 -75/-104 -85/-117 -89/-121 -97/-133 -103/-139
R7 -11/-23 -13/-28 -16/-34 -20/-41 -25/-50 -25/-50 -30/-60 -32/-62 -38/-73 -41/-76 -48/-88 -50/-90 -53/-93 -60/-106 -63/-109 -67/-113 -74/-126 -78/-130 -87/-144 -93/-150
a12 -270/-390 -280/-430 -290/-470 -300/-510 -310/-560 -320/-570 -340/-640 -360/-660 -380/-730 -410/-760 -460/-860 -520/-920 -580/-980 -660/-1120 -740/-1200 -820/-1280 -920/-1440 -1050/-1570 -1200/-1770 -1350/-1920
j5 3/-2 4/-2 5/-3 5/-4 6/-5 6/-5 6/-7 6/-7 6/-9 6/-9 7/-11 7/-11 7/-11 7/-13 7/-13 7/-13 7/-16 7/-16 7/-18 7/-18
j6 6/-2 7/-2 8/-3 9/-4 11/-5 11/-5 12/-7 12/-7 13/-9 13/-9 14/-11 14/-11 14/-11 16/-13 16/-13 16/-13 16/-16 16/-16 18/-18 18/-18
j7 8/-4 10/-5 12/-6 13/-8 15/-10 15/-10 18/-12 18/-12 20/-15 20/-15 22/-18 22/-18 22/-18 25/-21 25/-21 25/-21 26/-26 26/-26 29/-28 29/-28
r6 23/15 28/19 34/23 41/28 50/34 50/34 60/41 62/43 73/51 76/54 88/63 90/65 93/68 106/77 109/80 113/84 126/94 130/98 144/108 150/114
"""  # noqa: E501 - columns as read


@pytest.mark.parametrize("column", SECOND_SOURCE.strip().splitlines(), ids=lambda c: c.split()[0])
def test_columns_equal_second_source(column: str) -> None:
    name, *cells = column.split()
    zone, grade = split_class(name)
    for band, cell in zip(SECOND_SOURCE_BANDS, cells, strict=True):
        if (name, band) == ("K6", 10):
            continue  # a slip there, see the top
        upper, lower = (D(value) for value in cell.split("/"))
        assert deviations_um(D(band), zone, grade) == (lower, upper), band


# Worked fits: (size, hole, shaft, hole ES/EI, shaft es/ei, least and most clearance), um.
# Source: table values cross-computed with pressfit 0.1.0.
FITS = [
    ("25", "H7", "g6", (21, 0), (-7, -20), (7, 41)),
    ("25", "H7", "h6", (21, 0), (0, -13), (0, 34)),
    ("25", "H7", "k6", (21, 0), (15, 2), (-15, 19)),
    ("25", "H7", "p6", (21, 0), (35, 22), (-35, -1)),
    ("50", "H7", "s6", (25, 0), (59, 43), (-59, -18)),
    ("100", "H8", "f7", (54, 0), (-36, -71), (36, 125)),
    ("40", "H9", "d9", (62, 0), (-80, -142), (80, 204)),
    ("18", "H7", "g6", (18, 0), (-6, -17), (6, 35)),
    ("18.001", "H7", "g6", (21, 0), (-7, -20), (7, 41)),
    ("8", "H7", "m6", (15, 0), (15, 6), (-15, 9)),
    ("63", "H7", "n6", (30, 0), (39, 20), (-39, 10)),
    ("500", "H11", "c11", (400, 0), (-480, -880), (480, 1280)),
    ("250", "H7", "js6", (46, 0), (14.5, -14.5), (-14.5, 60.5)),
]


@pytest.mark.parametrize("size,hole,shaft,hole_um,shaft_um,clearance", FITS)
def test_worked_fits(
    size: str,
    hole: str,
    shaft: str,
    hole_um: tuple[float, float],
    shaft_um: tuple[float, float],
    clearance: tuple[float, float],
) -> None:
    found = pairing(D(size), hole, shaft)
    assert (found.hole.upper_deviation_um, found.hole.lower_deviation_um) == hole_um
    assert (found.shaft.upper_deviation_um, found.shaft.lower_deviation_um) == shaft_um
    assert (float(found.least_um), float(found.most_um)) == clearance


# Well-known classes, from memory, as every shop table prints them: seats, keyways, press fits.
KNOWN = [
    ("42", "H7", 0, 25),
    ("25", "P7", -35, -14),
    ("25", "K7", -15, 6),
    ("25", "N7", -28, -7),
    ("25", "N9", -52, 0),
    ("8", "P9", -51, -15),
    ("8", "JS9", -18, 18),
    ("25", "S7", -48, -27),
    ("40", "j6", -5, 11),
    ("40", "k5", 2, 13),
    ("280", "M6", -41, -9),
    ("50", "t6", 54, 70),
    ("2", "N9", -29, -4),
    ("2", "K9", -25, 0),
    ("30", "x8", 64, 97),
    ("10", "zc11", 97, 187),
]


@pytest.mark.parametrize("size,name,lower,upper", KNOWN)
def test_known_classes(size: str, name: str, lower: int, upper: int) -> None:
    assert deviations_um(D(size), *split_class(name)) == (lower, upper)


def test_limits_of_the_bearing_seat() -> None:
    seat = limits(42, "H", 7)
    assert (seat.lower_mm, seat.upper_mm) == (D("42"), D("42.025"))


# --- formulas of the standard, from memory: typing traps, not the truth ---------------------------

TENS = {6: 10, 7: 16, 8: 25, 9: 40, 10: 64, 11: 100, 12: 160, 13: 250, 14: 400, 15: 640, 16: 1000,
        17: 1600, 18: 2500}  # fmt: skip


def _means(ends: tuple[Decimal, ...]) -> list[float]:
    """Geometric means of the bands; the first counts from 1 mm."""
    starts = (D(1), *ends[:-1])
    return [sqrt(float(start * end)) for start, end in zip(starts, ends, strict=True)]


def tolerance_factor_um(mean_mm: float) -> float:
    return 0.45 * mean_mm ** (1 / 3) + 0.001 * mean_mm


# Rows ISO-i of the check values: formula of ISO 286-1, computed.
@pytest.mark.parametrize(
    "low,high,factor",
    [
        (18, 30, 1.30737523778),
        (50, 80, 1.85614463855),
        (120, 180, 2.5217389382),
        (400, 500, 3.88847380649),
    ],
)
def test_tolerance_factor(low: int, high: int, factor: float) -> None:
    assert tolerance_factor_um(sqrt(low * high)) == pytest.approx(factor, rel=1e-9)


@pytest.mark.parametrize("grade", TENS)
def test_tolerances_follow_the_formula(grade: int) -> None:
    means = _means(BANDS)
    for band in range(1, len(BANDS)):  # the standard starts the formula above 3 mm
        formula = TENS[grade] * tolerance_factor_um(means[band])
        # coarse grades are rounded to steps of up to 100 um
        assert float(IT_UM[str(grade)][band]) == pytest.approx(formula, rel=0.1), BANDS[band]


@pytest.mark.parametrize(
    "grade,constant,slope", [("01", 0.3, 0.008), ("0", 0.5, 0.012), ("1", 0.8, 0.020)]
)
def test_finest_tolerances_follow_the_formula(grade: str, constant: float, slope: float) -> None:
    for value, mean in zip(IT_UM[grade], _means(BANDS), strict=True):
        assert float(value) == pytest.approx(constant + slope * mean, rel=0.3, abs=0.05)


def test_grades_2_to_4_lie_geometrically_between() -> None:
    for band in range(len(BANDS)):
        ratio = float(IT_UM["5"][band] / IT_UM["1"][band]) ** 0.25
        for step, grade in enumerate(("2", "3", "4"), start=1):
            formula = float(IT_UM["1"][band]) * ratio**step
            assert float(IT_UM[grade][band]) == pytest.approx(formula, rel=0.2)


def _grade(name: str, mean: float) -> float:
    """The tolerance of a grade at a size in the middle of a fine band."""
    return float(tolerance_um(D(str(round(mean, 3))), name))


# letter -> deviation as a function of the geometric mean of its band, um. ISO 286-1, from memory.
SHAFT_FORMULAS = {
    "a": lambda m: 265 + 1.3 * m if m <= 120 else 3.5 * m,
    "b": lambda m: 140 + 0.85 * m if m <= 160 else 1.8 * m,
    "c": lambda m: 95 + 0.8 * m,  # above 40 mm; below it pressfit is the check
    "d": lambda m: 16 * m**0.44,
    "e": lambda m: 11 * m**0.41,
    "f": lambda m: 5.5 * m**0.41,
    "g": lambda m: 2.5 * m**0.34,
    "n": lambda m: 5 * m**0.34,
    "m": lambda m: _grade("7", m) - _grade("6", m),
    "t": lambda m: _grade("7", m) + 0.63 * m,
    "u": lambda m: _grade("7", m) + m,
    "v": lambda m: _grade("7", m) + 1.25 * m,
    "x": lambda m: _grade("7", m) + 1.6 * m,
    "y": lambda m: _grade("7", m) + 2 * m,
    "z": lambda m: _grade("7", m) + 2.5 * m,
    "za": lambda m: _grade("8", m) + 3.15 * m,
    "zb": lambda m: _grade("9", m) + 4 * m,
    "zc": lambda m: _grade("10", m) + 5 * m,
}


START_MM = {"c": 40, **dict.fromkeys(("u", "v", "x", "y", "z", "za", "zb", "zc"), 10)}


@pytest.mark.parametrize("letter", SHAFT_FORMULAS)
def test_deviations_follow_the_formula(letter: str) -> None:
    """Within 5 % or 3.5 um: the standard rounds to whole, fives and tens.

    Up to 10 mm the tables of u to zc leave the formula on purpose (by up to 55 %), and c up to
    40 mm; those cells rest on pressfit (c, u), or on memory alone (v to zc up to 10 mm).
    """
    table = {**ES_MAIN_UM, **ES_FINE_UM, **EI_MAIN_UM, **EI_FINE_UM}[letter]
    means = _means(BANDS if len(table) == len(BANDS) else FINE_BANDS)
    checked = 0
    for value, mean in list(zip(table, means, strict=True))[1:]:
        if value is not None and mean > START_MM.get(letter, 3):
            assert float(value) == pytest.approx(SHAFT_FORMULAS[letter](mean), rel=0.05, abs=3.5), (
                f"{letter} at {mean:.1f} mm"
            )
            checked += 1
    assert checked >= 12


def test_r_is_the_geometric_mean_of_p_and_s() -> None:
    for size in FINE_BANDS[1:]:
        p = deviations_um(size, "p", 7)[0]
        s = deviations_um(size, "s", 7)[0]
        r = deviations_um(size, "r", 7)[0]
        assert float(r) == pytest.approx(sqrt(float(p * s)), abs=1.5), size


def test_letters_between_are_geometric_means() -> None:
    """cd, ef and fg lie between their neighbours (ISO 286-1, from memory)."""
    for low, between, high in (("c", "cd", "d"), ("e", "ef", "f"), ("f", "fg", "g")):
        for size in (3, 6, 10):
            outer, inner = (-deviations_um(size, z, 6)[1] for z in (low, high))
            value = -deviations_um(size, between, 6)[1]
            assert float(value) == pytest.approx(sqrt(float(outer * inner)), abs=1.6)


@pytest.mark.parametrize("letter", ["a", "b", "c", "cd", "d", "e", "ef", "f", "fg", "g", "h"])
def test_clearance_holes_mirror_shafts(letter: str) -> None:
    """EI = -es for A to H: the standard's general rule."""
    for size in (2, 5, 10, 42, 130, 300, 500):
        for grade in range(3, 14):
            try:
                lower, upper = deviations_um(size, letter, grade)
            except NotDefined:
                continue
            assert deviations_um(size, letter.upper(), grade) == (-upper, -lower)


@pytest.mark.parametrize("letter", ["p", "r", "s", "t", "u", "v", "x", "y", "z", "za", "zb", "zc"])
def test_interference_holes_give_the_same_fit(letter: str) -> None:
    """The special rule: above 3 mm, P7/h6 is as tight as H7/p6 (a hole one grade coarser)."""
    for size in (5, 10, 16, 28, 42, 130, 300, 500):
        for hole, shaft in ((6, 5), (7, 6)):
            try:
                mirrored = pairing(size, f"{letter.upper()}{hole}", f"h{shaft}")
                straight = pairing(size, f"H{hole}", f"{letter}{shaft}")
            except NotDefined:
                continue
            assert (mirrored.least_um, mirrored.most_um) == (straight.least_um, straight.most_um)


@pytest.mark.parametrize("letter", ["k", "m", "n"])
def test_transition_holes_give_the_same_fit(letter: str) -> None:
    """The same rule reaches to IT8 for K, M and N; k and M6 in 250-315 mm are its exceptions."""
    for size in (5, 10, 16, 28, 42, 130, 300, 500):
        for hole, shaft in ((6, 5), (7, 6), (8, 7)):
            if (letter, hole, size) == ("m", 6, 300):
                continue
            mirrored = pairing(size, f"{letter.upper()}{hole}", f"h{shaft}")
            straight = pairing(size, f"H{hole}", f"{letter}{shaft}")
            assert (mirrored.least_um, mirrored.most_um) == (straight.least_um, straight.most_um)

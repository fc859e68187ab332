"""Which thicknesses and diameters are on the shelf, by family and form; mm.

From memory of stockists' lists and of the product standards named (common practice): a stock
size that is missing here has to be asked for, it is not impossible.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable

from rfq.engine.standards.limits import NotInTable
from rfq.model.codes import StockForm


def _sizes(text: str) -> tuple[float, ...]:
    return tuple(float(size) for size in text.split())


#: Aluminium plate (tolerances EN 485-3/-4).
ALUMINIUM_PLATE_MM = _sizes(
    "6 8 10 12 15 16 20 25 30 35 40 45 50 60 70 80 90 100 110 120 130 150 160 180 200"
)
#: Cast aluminium tooling plate, milled both sides.
TOOLING_PLATE_MM = _sizes("5 8 10 12 15 20 25 30 40 50 60 80 100")
#: Extruded aluminium rounds (EN 755-3) and flats.
ALUMINIUM_ROUND_MM = _sizes(
    "6 8 10 12 14 15 16 18 20 22 25 28 30 32 35 40 45 50 55 60 65 70 75 80 90 100 110 120 130 140 "
    "150 160 180 200"
)
#: Hot-rolled steel rounds (EN 10060).
STEEL_ROUND_MM = _sizes(
    "10 12 13 14 15 16 18 20 22 24 25 26 27 28 30 32 35 36 38 40 42 45 48 50 52 55 60 63 65 70 75 "
    "80 85 90 95 100 110 120 130 140 150 160 170 180 190 200"
)
#: Steel plate and flats (EN 10029, EN 10058).
STEEL_PLATE_MM = _sizes("5 6 8 10 12 15 20 25 30 35 40 45 50 60 70 80 90 100 120 150 180 200")
#: Titanium and nickel plate and bar: inch based.
TITANIUM_MM = _sizes("6.35 9.5 12.7 16 19 22.2 25.4 31.8 38 44.5 50.8 63.5 76 88.9 101.6 127 152")
#: Plastic rods and plates: 5 mm steps to 50, then 10.
PLASTIC_MM = _sizes(
    "5 6 8 10 12 15 20 25 30 35 40 45 50 60 70 80 90 100 110 120 130 140 150 160 180 200"
)
#: Usual bar lengths, mm (bright steel EN 10278: 3 m or 6 m).
BAR_LENGTHS_MM = (3000.0, 6000.0)
#: Usual plate formats, mm. Seen in one stock list.
PLATE_FORMATS_MM = ((2500.0, 1250.0), (3000.0, 1500.0))

_BASIS = "stock list from memory, common practice"


def sizes_mm(family: str, form: StockForm | str) -> tuple[float, ...]:
    """Thicknesses or diameters on the shelf, ascending, mm.

    Args:
        family: material family ('aluminium wrought', 'steel alloy', 'plastic' ...).
        form: stock form.
    Raises:
        NotInTable: castings and powder have no stock sizes.
    Source: from memory; see the module.

    >>> sizes_mm("aluminium wrought", "plate")[:3]
    (6.0, 8.0, 10.0)
    """
    if form in ("casting", "powder") or family.endswith(("cast", "printed")):
        raise NotInTable(f"There are no stock sizes of {family} as {form}; the shop makes it.")
    if family.startswith("plastic"):
        return PLASTIC_MM
    if family.startswith(("titanium", "nickel")):
        return TITANIUM_MM
    rounds = form in ("round bar", "rod", "tube")
    if family.startswith(("aluminium", "brass", "copper")):
        return ALUMINIUM_ROUND_MM if rounds else ALUMINIUM_PLATE_MM
    return STEEL_ROUND_MM if rounds else STEEL_PLATE_MM


def next_size_mm(least_mm: float, sizes: Iterable[float]) -> float | None:
    """The smallest stock size that is not below ``least_mm``; None beyond the list.

    >>> next_size_mm(41, ALUMINIUM_PLATE_MM), next_size_mm(40, ALUMINIUM_PLATE_MM)
    (45.0, 40.0)
    """
    ordered = sorted(sizes)
    place = bisect_left(ordered, least_mm)
    return ordered[place] if place < len(ordered) else None


def next_smaller_mm(size_mm: float, sizes: Iterable[float]) -> float | None:
    """The next smaller stock size; None below the list.

    >>> next_smaller_mm(45, ALUMINIUM_PLATE_MM)
    40.0
    """
    ordered = sorted(sizes)
    place = bisect_left(ordered, size_mm)
    return ordered[place - 1] if place > 0 else None

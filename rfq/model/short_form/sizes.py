"""Reading sizes: fits, plain sizes with deviations or limits, angles, chamfers, radii."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import cast

from rfq.model.series import GRADES, HOLE_ZONES, SHAFT_ZONES
from rfq.model.short_form.text import NUM, Notes, Wrong, clip, dec
from rfq.model.spec import Angle, Bound, Chamfer, Fit, Radius, Size, Spec, number, signed

_ROUND = r"(?P<round>Ø\s*|(?:dia\.?|diameter|[dD])\s*(?=[\d.]))?"
_SIGNED = rf"[+-]\s*{NUM}|0(?:\.0+)?(?![\d.])"
_PAIR = rf"(?P<first>{_SIGNED})(?:\s*/\s*|\s+|(?=[+-]))(?P<second>{_SIGNED})"
_DEVIATIONS = rf"(?:±\s*(?P<both>{NUM})|{_PAIR}|(?P<only>[+-]\s*{NUM}))"
_ENVELOPE = r"(?P<envelope>\s*\(E\))?"

_COUNT = re.compile(
    r"^(?P<n>\d{1,4})\s*(?:x\s*|off\s+|pcs\.?\s+)(?=\S)(?P<rest>.+)$", re.IGNORECASE
)
_FIT = re.compile(
    rf"^{_ROUND}(?P<size>{NUM})\s*(?:mm)?\s*(?P<zone>[A-Za-z]{{1,3}})\s?(?P<grade>\d{{1,2}})"
    rf"(?:\s*\(?\s*{_DEVIATIONS}\s*\)?)?{_ENVELOPE}$"
)
_TWO_FITS = re.compile(rf"^(?:Ø\s*)?{NUM}\s*[A-Z]{{1,2}}\d{{1,2}}\s*/\s*[a-z]{{1,2}}\d{{1,2}}$")
_ZONE_ONLY = re.compile(r"^(?P<zone>[A-Za-z]{1,2})(?P<grade>\d{1,2})$")
_SIZE = re.compile(
    rf"^(?P<low>min\.?\s*|>=?\s*|≥\s*)?(?P<high>max\.?\s*|<=?\s*|≤\s*)?{_ROUND}(?P<size>{NUM})"
    rf"\s*(?:mm)?\s*{_DEVIATIONS}?\s*(?:mm)?\s*(?P<bound>max\.?|min\.?)?{_ENVELOPE}$",
    re.IGNORECASE,
)
_LIMITS = re.compile(
    rf"^{_ROUND}(?P<a>{NUM})\s*(?:/|\.\.\.?|…|-|to)\s*(?P<b>{NUM})\s*(?:mm)?{_ENVELOPE}$"
)
_INCH = re.compile(rf"^(?:Ø\s*)?(?P<size>\d+\s*/\s*[1-9]\d*|{NUM})\s*(?:in\b|inch(?:es)?\b|\")")
_ARC = rf"(?:{NUM}\s*°(?:\s*{NUM}\s*')?(?:\s*{NUM}\s*\")?|{NUM}\s*'(?:\s*{NUM}\s*\")?|{NUM}\s*\")"
_ARC_OR_ZERO = rf"{_ARC}|0"
_ANGLE = re.compile(
    rf"^(?:angle\s+|Winkel\s+)?(?P<nominal>{_ARC}|{NUM}\s*deg)\s*(?:±\s*(?P<both>{_ARC}|{NUM})"
    rf"|(?P<up>\+\s*(?:{_ARC})|0°?|-\s*(?:{_ARC}))\s*(?:/|\s)\s*(?P<down>\+\s*(?:{_ARC})|0°?|-\s*(?:{_ARC})))?$"
)
_CHAMFER = re.compile(
    rf"^(?P<leg>{NUM})\s*(?:mm)?\s*{_DEVIATIONS}?\s*(?P<x>\s*x\s*)(?P<angle>{NUM})\s*(?P<deg>°)?$"
)
_CHAMFER_C = re.compile(rf"^C\s?(?P<leg>{NUM})\s*{_DEVIATIONS}?$")
_RADIUS = re.compile(
    rf"^(?P<sphere>S)?R\s?(?P<pre>max\.?\s*|min\.?\s*|≤\s*|≥\s*|<=?\s*|>=?\s*)?(?P<size>{NUM})\s*(?:mm)?"
    rf"\s*{_DEVIATIONS}?\s*(?P<bound>max\.?|min\.?)?$",
    re.IGNORECASE,
)


def split_count(text: str) -> tuple[int, str]:
    """The number of equal features in front, and the rest.

    >>> split_count("4x 5.5"), split_count("1x45°"), split_count("4x 1x45°"), split_count("42 H7")
    ((4, '5.5'), (1, '1x45°'), (4, '1x45°'), (1, '42 H7'))
    """
    if _CHAMFER.match(text) and "°" in text:
        return 1, text
    found = _COUNT.match(text)
    if not found:
        return 1, text
    plain = re.fullmatch(r"30|45|60", found["rest"])
    if plain and re.match(r"^\d+x\d", text):
        return 1, text  # '1x45' typed without the degree sign
    if plain and re.match(r"^\d+ x \d", text):
        raise Wrong(
            "K019",
            f"'{clip(text)}' may be a chamfer or a count; write '{found['n']}x{found['rest']}°' or "
            f"'{found['n']}x Ø{found['rest']}'.",
        )
    count = int(found["n"])
    if count == 0:
        raise Wrong(
            "K010", f"'{clip(text)}' asks for 0 features; leave the count out or write 1 up."
        )
    return count, found["rest"]


def _pair(
    parts: dict[str, str | None], text: str, notes: Notes
) -> tuple[Decimal | None, Decimal | None]:
    """Upper and lower deviation from a match of ``_DEVIATIONS``; both None when none is written."""
    if parts.get("both"):
        both = dec(cast(str, parts["both"]))
        return both, -both
    if parts.get("first"):
        first, second = dec(cast(str, parts["first"])), dec(cast(str, parts["second"]))
        if first == second:
            raise Wrong(
                "K005", f"'{clip(text)}': both deviations are {signed(first)}; no size is left."
            )
        # ISO 129-1 writes the upper one first; typed the other way it means the same.
        return max(first, second), min(first, second)
    if parts.get("only"):
        only = dec(cast(str, parts["only"]))
        if only == 0:
            raise Wrong("K005", f"'{clip(text)}': a deviation of 0 leaves no size; write both.")
        notes.add(
            "K018",
            f"'{clip(text)}' gives one deviation; the other is read as 0 "
            f"({'+' if only > 0 else ''}{number(only)}/0).",
        )
        return (only, Decimal(0)) if only > 0 else (Decimal(0), only)
    return None, None


def _nominal(text: str, whole: str) -> Decimal:
    value = dec(text)
    if value <= 0:
        raise Wrong("K010", f"'{clip(whole)}': a size of 0 mm; write the nominal size in mm.")
    if value > 20_000:
        raise Wrong("K010", f"'{clip(whole)}': {number(value)} mm is beyond 20 m; check the size.")
    return value


def _check_band(nominal: Decimal, upper: Decimal | None, lower: Decimal | None, text: str) -> None:
    if upper is None or lower is None:
        return
    if upper == lower:
        raise Wrong("K005", f"'{clip(text)}': a tolerance of 0 leaves no size.")
    if nominal + lower <= 0:
        raise Wrong(
            "K005", f"'{clip(text)}': the lower limit {number(nominal + lower)} mm is not above 0."
        )


def _no_zone(text: str, zone: str) -> str:
    near = "H, JS, K, N or P" if zone[0].isupper() else "g, h, js, k, n or p"
    return (
        f"'{clip(text)}': ISO 286 has no zone {zone} (i, l, o, q and w are left out); "
        f"zones in use are {near}."
    )


def read_fit(text: str, count: int, notes: Notes) -> Spec | None:
    """A size with a tolerance class of ISO 286."""
    if _TWO_FITS.match(text):
        raise Wrong(
            "K006",
            f"'{clip(text)}' names a hole and a shaft; write the class of this part's feature.",
        )
    found = _FIT.match(text)
    if not found:
        alone = _ZONE_ONLY.match(text)
        if alone and alone["zone"] in ("I", "L", "O", "Q", "W", "i", "l", "o", "q", "w"):
            raise Wrong("K003", _no_zone(text, alone["zone"]))
        if alone and alone["zone"] in (*HOLE_ZONES, *SHAFT_ZONES):
            raise Wrong(
                "K015",
                f"'{clip(text)}' names a class but no size; write for example '42 {text}'.",
            )
        return None
    zone, grade = found["zone"], found["grade"]
    internal = zone[0].isupper()
    proper = zone.upper() if internal else zone.lower()
    if proper not in (HOLE_ZONES if internal else SHAFT_ZONES):
        raise Wrong("K003", _no_zone(text, zone))
    if grade not in GRADES:
        raise Wrong(
            "K004",
            f"'{clip(text)}': ISO 286 has no grade {grade}; grades go from 01, 0 and 1 to 18.",
        )
    nominal = _nominal(found["size"], text)
    upper, lower = _pair(found.groupdict(), text, notes)
    _check_band(nominal, upper, lower, text)
    return Fit(
        nominal,
        proper,
        grade,
        internal,
        bool(found["round"]),
        bool(found["envelope"]),
        upper,
        lower,
        count,
    )


def read_size(text: str, count: int, notes: Notes) -> Spec | None:
    """A plain size; the reader of last resort, so it also refuses inches in a clear sentence."""
    inch = _INCH.match(text)
    if inch:
        over, _, under = inch["size"].partition("/")
        mm = round(dec(over) / dec(under or "1") * Decimal("25.4"), 4)
        raise Wrong("K020", f"'{clip(text)}' is in inches; sizes here are mm: write {number(mm)}.")
    found = _SIZE.match(text)
    if found:
        parts = found.groupdict()
        nominal = _nominal(parts["size"], text)
        bound: Bound = ""
        if parts["low"] or (parts["bound"] or "").lower().startswith("min"):
            bound = "min"
        if parts["high"] or (parts["bound"] or "").lower().startswith("max"):
            if bound:
                raise Wrong("K005", f"'{clip(text)}' says both min and max; write '5 +0.2/0'.")
            bound = "max"
        upper, lower = _pair(parts, text, notes)
        if bound and upper is not None:
            raise Wrong("K005", f"'{clip(text)}' gives a tolerance and {bound}; write one of them.")
        # '24.9-25.1' is two limits, '25-0.1' a deviation: a deviation is far below the size.
        if not (parts["only"] and "-" in text and -(lower or Decimal(0)) > nominal / 2):
            _check_band(nominal, upper, lower, text)
            return Size(
                nominal, upper, lower, bool(parts["round"]), bound, bool(parts["envelope"]), count
            )
        notes.found.clear()
    limits = _LIMITS.match(text)
    if limits:
        low, high = sorted((_nominal(limits["a"], text), _nominal(limits["b"], text)))
        if low == high or high > 2 * low:
            raise Wrong("K005", f"'{clip(text)}' is no pair of limits; write '25 +0.1/-0.05'.")
        # Limits printed directly: the larger stands as nominal, so no limit changes.
        return Size(
            high, Decimal(0), low - high, bool(limits["round"]), "", bool(limits["envelope"]), count
        )
    return None


def read_angle(text: str, count: int, notes: Notes) -> Spec | None:
    """An angle in degrees, minutes, seconds."""
    found = _ANGLE.match(text)
    if not found:
        return None
    nominal = _arcsec(found["nominal"])
    upper = lower = None
    if found["both"]:
        # '60° ±0.5' without a sign means degrees, as the nominal does.
        upper = _arcsec(
            found["both"] if re.search("[°'\"]", found["both"]) else found["both"] + "°"
        )
        lower = -upper
        if upper == 0:
            raise Wrong("K005", f"'{clip(text)}': a tolerance of 0 leaves no angle.")
    elif found["up"]:
        values = sorted((_arcsec(found["up"]), _arcsec(found["down"])))
        lower, upper = values
        if lower == upper:
            raise Wrong("K005", f"'{clip(text)}': both deviations are equal; no angle is left.")
    if not 0 < nominal <= 360 * 3600:
        raise Wrong("K010", f"'{clip(text)}': write an angle above 0° and up to 360°.")
    return Angle(nominal, upper, lower, count)


def _arcsec(text: str) -> Decimal:
    sign = -1 if text.strip().startswith("-") else 1
    total = Decimal(0)
    for value, mark in re.findall(rf"({NUM})\s*(°|'|\"|deg)?", text):
        total += dec(value) * {"°": 3600, "deg": 3600, "'": 60, '"': 1, "": 3600}[mark]
    return sign * total


def read_chamfer(text: str, count: int, notes: Notes) -> Spec | None:
    """A chamfer: '1x45°', '0.5 x 30°', 'C1'."""
    found = _CHAMFER.match(text)
    angle = Decimal(45)
    if found:
        angle = dec(found["angle"])
        if not found["deg"] and angle not in (30, 45, 60):
            return None
    else:
        found = _CHAMFER_C.match(text)
        if not found:
            return None
    leg = _nominal(found["leg"], text)
    if not 0 < angle < 90:
        raise Wrong("K010", f"'{clip(text)}': a chamfer angle lies between 0° and 90°.")
    upper, lower = _pair(found.groupdict(), text, notes)
    _check_band(leg, upper, lower, text)
    return Chamfer(leg, angle, upper, lower, count)


def read_radius(text: str, count: int, notes: Notes) -> Spec | None:
    """A radius: 'R3', 'R3 ±0.2', 'R0.5 max', 'SR10'."""
    found = _RADIUS.match(text)
    if not found:
        return None
    parts = found.groupdict()
    nominal = _nominal(parts["size"], text)
    word = (parts["bound"] or parts["pre"] or "").strip().lower()
    bound: Bound = "" if not word else "max" if word.startswith(("max", "≤", "<")) else "min"
    upper, lower = _pair(parts, text, notes)
    if bound and upper is not None:
        raise Wrong("K005", f"'{clip(text)}' gives a tolerance and {bound}; write one of them.")
    _check_band(nominal, upper, lower, text)
    return Radius(nominal, upper, lower, bound, bool(parts["sphere"]), count)

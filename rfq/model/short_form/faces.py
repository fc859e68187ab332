"""Reading what is said of faces and edges: texture, ISO 1101, ISO 13715, datums, attributes."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Literal, cast

from rfq.model.series import CHARACTERISTICS, FORM, MAY_BE_ROUND, N_GRADES_RA_UM, NEED_DATUM
from rfq.model.short_form.text import NUM, Notes, Wrong, clip, dec
from rfq.model.spec import Attribute, Datum, Edge, Geometric, Spec, Texture, number
from rfq.problems import Severity

# --- things judged, datums ----------------------------------------------------------------

_ATTRIBUTE = re.compile(
    r"^(visual|go/no-go|go / no-go|go no-go|marking|mark|check|function|attribute|note|hardness)"
    r"\s*:?\s+(.+)$",
    re.IGNORECASE,
)
_HARDNESS = re.compile(r"^[\d.,+\- ]+(HRC|HRB|HV ?\d*|HBW?|Shore ?[AD])\b.*$", re.IGNORECASE)
_KINDS = {
    "mark": "marking", "go / no-go": "go/no-go", "go no-go": "go/no-go", "attribute": "check",
    "note": "check",
}  # fmt: skip


def read_attribute(text: str) -> Attribute | None:
    """Something judged, not measured ('visual: ...'), or None when of another kind."""
    found = _ATTRIBUTE.match(text)
    if found:
        kind = found[1].lower()
        return Attribute(_KINDS.get(kind, kind), found[2].strip())
    return Attribute("hardness", text) if _HARDNESS.match(text) else None


def read_datum(text: str, notes: Notes) -> Spec | None:
    """A datum feature: 'datum A', '[A]' or a lone letter."""
    found = re.match(
        r"^(?:datum|bezug)\s+\[?([A-Za-z]{1,2})\]?$|^\[([A-Z])\]$|^([A-Z])$", text, re.I
    )
    if not found:
        return None
    letter = found[1] or found[2] or found[3]
    if letter.upper() in ("I", "O", "Q", "X"):
        notes.add(
            "K021",
            f"Datum letter {letter.upper()} is best avoided (ISO 5459 leaves out I, O, Q and X).",
        )
    return Datum(letter.upper())


# --- texture ------------------------------------------------------------------------------

_TEXTURE = re.compile(
    rf"^(?P<bound>U|L)?\s*(?P<name>R[azqtpv]|W[at]|P[at])(?P<max>\s*max)?\s*[:=]?\s*"
    rf"(?P<lower>{NUM})?(?(lower)\s*(?:-|\.\.\.?|…|to)\s*)(?P<value>{NUM})"
    r"(?P<um>\s*[uµμ]m)?(?P<min>\s*min)?(?P<rule>\s*16\s*%)?"
    r"(?:\s*\(?(?:EN )?(?:ISO )?(?P<edition>1302|21920)(?:-\d)?(?::\d{4})?\)?)?$",
    re.IGNORECASE,
)
_TEXTURE_ONE = re.compile(_TEXTURE.pattern.replace(
    rf"(?P<lower>{NUM})?(?(lower)\s*(?:-|\.\.\.?|…|to)\s*)", ""), re.IGNORECASE)  # fmt: skip


def read_texture(text: str, notes: Notes) -> Spec | None:
    """Surface texture: 'Ra 0.8', 'Rz 6.3', 'Ra 0.8-1.6', 'N7'."""
    if text.upper() in N_GRADES_RA_UM:
        ra = N_GRADES_RA_UM[text.upper()]
        notes.add("K017", f"'{text}' is read as Ra {number(ra)} um; write the Ra value itself.")
        return Texture("Ra", ra)
    found = _TEXTURE_ONE.match(text) or _TEXTURE.match(text)
    if not found:
        if re.match(r"^R[azqt]\b", text) and not re.search(r"\d", text):
            raise Wrong("K022", f"'{clip(text)}' gives no value; write for example 'Ra 1.6'.")
        return None
    parts = found.groupdict()
    value = dec(parts["value"])
    lower = dec(parts["lower"]) if parts.get("lower") else None
    if value <= 0:
        raise Wrong("K010", f"'{clip(text)}': roughness {number(value)} um is not above zero.")
    if lower is not None and not 0 < lower < value:
        raise Wrong("K005", f"'{clip(text)}': the lower limit must be above 0 and below the upper.")
    low_only = (parts["bound"] or "").upper() == "L" or parts["min"]
    return Texture(
        parts["name"][0].upper() + parts["name"][1].lower(),
        value,
        "lower" if low_only and lower is None else "upper",
        lower,
        cast(Literal["", "1302", "21920"], parts["edition"] or ""),
        "max" if parts["max"] else "16%" if parts["rule"] else "",
    )


# --- geometrical tolerances ---------------------------------------------------------------

#: What people type for a characteristic; German words of the trade too.
CHARACTERISTIC_WORDS: dict[str, str] = {
    **{name: name for name in CHARACTERISTICS},
    **{sign: name for name, sign in CHARACTERISTICS.items()},
    "circularity": "roundness", "concentricity": "coaxiality", "true position": "position",
    "profile of a line": "line profile", "profile of a surface": "surface profile",
    "profile any line": "line profile", "profile any surface": "surface profile",
    "profile": "surface profile", "squareness": "perpendicularity",
    "circular run-out": "run-out", "circular runout": "run-out", "runout": "run-out",
    "total runout": "total run-out", "axial run-out": "run-out", "radial run-out": "run-out",
    "geradheit": "straightness", "ebenheit": "flatness", "rundheit": "roundness",
    "zylindrizität": "cylindricity", "zylinderform": "cylindricity",
    "linienform": "line profile", "flächenform": "surface profile",
    "parallelität": "parallelism", "rechtwinkligkeit": "perpendicularity",
    "neigung": "angularity", "koaxialität": "coaxiality", "konzentrizität": "coaxiality",
    "symmetrie": "symmetry", "rundlauf": "run-out", "planlauf": "run-out",
    "gesamtlauf": "total run-out",
}  # fmt: skip
_WORDS_LONG_FIRST = sorted(CHARACTERISTIC_WORDS, key=len, reverse=True)
_FRAME = re.compile(
    rf"^(?P<round>S?Ø)?\s*(?P<value>{NUM})\s*(?:mm)?\s*(?P<mod>\((?:M|L)\))?"
    r"(?P<datums>(?:\s*[A-Za-z](?:-[A-Za-z])?(?:\s*\((?:M|L)\))?)*)$"
)


def read_geometric(text: str, count: int, notes: Notes) -> Spec | None:
    """A geometrical tolerance: 'position Ø0.1 A B C', by word or by sign."""
    flat = " ".join(text.replace("|", " ").replace("[", " ").replace("]", " ").split())
    lowered = flat.lower()
    word = next((w for w in _WORDS_LONG_FIRST if lowered.startswith(w)), None)
    if word is None:
        return None
    name = CHARACTERISTIC_WORDS[word]
    rest = flat[len(word) :].lstrip(" :=")
    for filler in ("to ", "zu "):
        rest = rest.replace(f" {filler}", " ")
    found = _FRAME.match(rest)
    if not found:
        right = f"{name} 0.05" + ("" if name in FORM else " A")
        raise Wrong(
            "K023", f"'{clip(text)}' is no whole {name} tolerance; write for example '{right}'."
        )
    value, mod = dec(found["value"]), (found["mod"] or "").strip("()")
    datums = tuple(
        re.sub(r"\s+", "", d).upper()
        for d in re.findall(r"[A-Za-z](?:-[A-Za-z])?(?:\s*\((?:M|L)\))?", found["datums"])
    )
    if value == 0 and not mod:
        raise Wrong("K010", f"'{clip(text)}': a tolerance of 0 is possible only with (M) or (L).")
    if name in FORM and datums:
        raise Wrong(
            "K009",
            f"'{clip(text)}': {name} is a form tolerance and takes no datum; "
            f"leave out {' '.join(datums)}.",
        )
    if found["round"] and name not in MAY_BE_ROUND:
        raise Wrong("K012", f"'{clip(text)}': the zone of {name} is no cylinder; leave out Ø.")
    if len(datums) > 3:
        raise Wrong(
            "K024", f"'{clip(text)}' names {len(datums)} datums; at most three make a system."
        )
    if name in NEED_DATUM and not datums:
        notes.add(
            "K011",
            f"'{clip(text)}' names no datum; {name} needs one, "
            f"for example '{name} {number(value)} A'.",
            Severity.ASK,
        )
    return Geometric(
        name, value, bool(found["round"]), cast(Literal["", "M", "L"], mod), datums, count
    )


# --- edges --------------------------------------------------------------------------------

_EDGE = re.compile(
    r"^(?:(?P<where>outside|outer|external|inside|inner|internal)\s+)?(?:edges?|corners?)"
    r"(?:\s+ISO 13715)?\s*:?\s*"
    rf"(?:±\s*(?P<both>{NUM})|(?P<one>[+-]\s*(?:{NUM})|0)(?:\s*(?:/|\s|\.\.\.?|…)\s*"
    rf"(?P<two>[+-]\s*(?:{NUM})|0))?)\s*(?:mm)?$",
    re.IGNORECASE,
)
_BREAK = re.compile(
    rf"^(?:break|deburr|chamfer|round)\s+(?:all\s+)?(?:sharp\s+)?(?:edges?|corners?)?\s*"
    rf"(?:(?P<low>{NUM})\s*(?:-|to|…|\.\.\.?)\s*)?(?:max\.?\s*)?(?P<high>{NUM})\s*(?:mm)?\s*(?:max\.?)?$",
    re.IGNORECASE,
)


def read_edge(text: str, notes: Notes) -> Spec | None:
    """An edge of undefined shape: 'edge -0.3', 'break sharp edges 0.1-0.4'."""
    text = re.sub(r"^ISO 13715\s*:?\s*", "edge ", text, flags=re.IGNORECASE)
    found = _BREAK.match(text)
    if found:
        low, high = dec(found["low"] or "0"), dec(found["high"])
        if high <= 0 or low > high:
            raise Wrong(
                "K005", f"'{clip(text)}': write the smaller break first and the larger above 0."
            )
        return Edge(-low, -high, "outside")
    found = _EDGE.match(text)
    if not found:
        return None
    word = (found["where"] or "").lower()
    where: Literal["", "outside", "inside"] = (
        "" if not word else "outside" if word in ("outside", "outer", "external") else "inside"
    )
    if found["both"]:
        size = dec(found["both"])
        values = [size, -size]
    else:
        values = [dec(found["one"]), dec(found["two"]) if found["two"] else Decimal(0)]
    upper, lower = max(values), min(values)
    if upper == lower:
        raise Wrong(
            "K010", f"'{clip(text)}' leaves an edge no room; write for example 'edge -0.3'."
        )
    return Edge(upper, lower, where)

"""What somebody types into a field: numbers, callouts, materials, as understood so far."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from rfq.engine.standards import finishes, materials
from rfq.engine.standards.callout_limits import limits_of
from rfq.engine.standards.limits import Limits, NotDefined
from rfq.engine.standards.threads import core_drill_mm, limits_of_thread
from rfq.intake.numbers import figure
from rfq.model.callout import Attribute, Datum, Edge, Texture, Thread, canonical, parse_callout
from rfq.model.part import Part
from rfq.problems import Severity


@dataclass(frozen=True, slots=True)
class Understood:
    """Whether what was typed will do, and in words what it means or what is wrong."""

    good: bool
    words: str


def number_typed(text: str) -> tuple[Decimal | None, Understood]:
    """Return the number somebody typed into one of our own fields.

    A decimal comma is read. A point is a decimal point, as in our files; a lone comma before
    exactly three digits may be either sign and is asked about.

    >>> number_typed("41,20")[0]
    Decimal('41.20')
    >>> number_typed("1,234")[1].words
    '1,234 may be 1234 or 1.234: type it without the comma or with a point'
    >>> number_typed("1.234,50")[0], number_typed("1.234")[0]
    (Decimal('1234.50'), Decimal('1.234'))
    """
    typed = text.strip()
    if re.fullmatch(r"[+-]?\d+\.\d+", typed):
        value = Decimal(typed)
        return value, Understood(True, f"{value}")
    read = figure(typed)
    if len(read.values) == 2:
        first, second = read.values
        return None, Understood(
            False,
            f"{typed} may be {first} or {second}: type it without the comma or with a point",
        )
    if not read.values:
        return None, Understood(False, f"'{typed}' is no number; type for example 41,20 or 41.20")
    return read.values[0], Understood(True, f"{read.values[0]}")


def callout_typed(text: str, general_tolerance: str = "") -> Understood:
    """Return what a callout's short form means, with its limits where it has some.

    >>> callout_typed("42 H7").words
    '42.000 to 42.025 mm   (ISO 286: ES +25, EI 0 um)'
    """
    reading = parse_callout(text)
    spec = reading.value
    if spec is None:
        return Understood(False, reading.problems[0].message)
    asked = [one.message for one in reading.problems if one.severity is not Severity.NOTE]
    after = f"   but: {asked[0]}" if asked else ""
    if isinstance(spec, Thread):
        return Understood(True, _thread(spec) + after)
    if isinstance(spec, Texture | Datum | Edge | Attribute):
        return Understood(True, canonical(spec) + after)
    found = limits_of(spec, general_tolerance)
    if found.value is None:
        return Understood(True, f"{canonical(spec)}   {found.problems[0].message}")
    return Understood(True, _limits(found.value) + after)


def _limits(found: Limits) -> str:
    if not found.upper_mm.is_finite():
        return f"at least {found.lower_mm} mm   ({found.basis})"
    if found.nominal_mm == 0:
        return f"0 to {found.upper_mm} mm   ({found.basis})"
    upper, lower = found.upper_deviation_um, found.lower_deviation_um
    if found.basis.startswith("ISO 286"):
        signs = f"ISO 286: ES {upper:+.0f}, EI {lower:+.0f} um".replace("+0,", "0,")
        return f"{found.lower_mm} to {found.upper_mm} mm   ({signs.replace('+0 um', '0 um')})"
    return f"{found.lower_mm} to {found.upper_mm} mm   ({found.basis})"


def _thread(thread: Thread) -> str:
    try:
        found = limits_of_thread(thread)
    except NotDefined as missing:
        return f"{canonical(thread)}   {missing}"
    minor = f"minor {found.minor_min_mm} to {found.minor_max_mm}"
    pitch = f"pitch {found.pitch_min_mm} to {found.pitch_max_mm}"
    out = f"{pitch}, {minor} mm   ({found.basis})"
    if thread.internal:
        try:
            out += f"; drill {core_drill_mm(thread)}"
        except NotDefined:
            return out
    return out


def material_choices() -> tuple[tuple[str, str, str], ...]:
    """Return (designation, family, forms) of every material we know, for a picker."""
    return tuple(
        (
            one.designation,
            one.family,
            ", ".join(dict.fromkeys(offer.form for offer in one.forms)),
        )
        for one in materials.MATERIALS.values()
    )


def tempers_of(material: str, form: str = "") -> tuple[tuple[str, str], ...]:
    """Return (temper, forms it comes in) that exist for a material; of one form where given."""
    found = materials.find(material)
    if found.value is None:
        return ()
    by_temper: dict[str, list[str]] = {}
    for offer in found.value.forms:
        if form and offer.form != form:
            continue
        for temper in offer.tempers:
            by_temper.setdefault(temper, []).append(offer.form)
    return tuple((temper, ", ".join(dict.fromkeys(forms))) for temper, forms in by_temper.items())


def material_typed(part: Part) -> Understood:
    """Return whether a part's material, temper and form exist together, and what to mind."""
    found = materials.find(part.material)
    if found.value is None:
        return Understood(False, found.problems[0].message)
    one = found.value
    wrong = materials.check_stock(one, part.temper, part.form)
    if wrong:
        return Understood(wrong[0].severity is not Severity.STOP, wrong[0].message)
    return Understood(True, f"{one.designation}, {one.family}; {one.standard}")


def material_cautions(part: Part) -> tuple[str, ...]:
    """Return what to mind with a part's material."""
    found = materials.find(part.material)
    return found.value.cautions if found.value is not None else ()


def finish_choices() -> tuple[tuple[str, str, str], ...]:
    """Return (name, standard, usual thickness) of every finish we know."""
    return tuple(
        (
            one.name,
            one.standard,
            f"{one.thickness_um[0]:g} to {one.thickness_um[2]:g} um" if one.builds_up else "",
        )
        for one in finishes.FINISHES.values()
    )


#: Roughness steps offered (Ra series of ISO 1302, um), the usual ones for machined parts.
ROUGHNESS_STEPS = ("Ra 0.4", "Ra 0.8", "Ra 1.6", "Ra 3.2", "Ra 6.3", "Ra 12.5")

#: General tolerances that a part or request may state.
GENERAL_TOLERANCES = (
    "ISO 2768-f", "ISO 2768-m", "ISO 2768-c", "ISO 2768-fH", "ISO 2768-mK", "ISO 2768-cL",
)  # fmt: skip

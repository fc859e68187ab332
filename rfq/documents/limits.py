"""What a callout allows, in figures and words: the limits a machinist measures against.

Limits come from the tables in ``rfq.engine.standards``; where a table has none, the words say
whose limits hold instead, and nothing is made up. In inches, limits are rounded inward, so that
a part good in inches is good in millimetres.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from typing import Final

from rfq.documents.coated import growth_of, masks
from rfq.engine.standards import finishes, threads
from rfq.engine.standards.callout_limits import limits_of
from rfq.engine.standards.limits import Limits, NotDefined
from rfq.model.callout import Callout
from rfq.model.part import Finish, Part
from rfq.model.request import Request
from rfq.model.spec import (
    Angle,
    Attribute,
    Chamfer,
    Datum,
    Edge,
    Fit,
    Geometric,
    Radius,
    Size,
    Spec,
    Texture,
    Thread,
    arc,
    number,
)

_INCH: Final = Decimal("25.4")
_AXES: Final = {"": "", "M": " at maximum material", "L": " at least material"}


@dataclass(frozen=True, slots=True)
class Bounds:
    """One pair of limits, as text.

    Args:
        name: of what ('pitch Ø'); empty for the characteristic itself.
        lower, upper: with their unit left out; empty where there is none.
        unit: 'mm', 'µm', '°' or ''.
        inch_lower, inch_upper: the same in inch, where asked and where it is a length.
    """

    lower: str
    upper: str
    unit: str = "mm"
    name: str = ""
    inch_lower: str = ""
    inch_upper: str = ""

    @property
    def words(self) -> str:
        """The pair in words: '5.4 to 5.6 mm', 'at most 0.03 mm'."""
        if not self.lower:
            said = f"at most {self.upper}"
        else:
            said = f"{self.lower} to {self.upper}" if self.upper else f"at least {self.lower}"
        return f"{said} {self.unit}".strip()


@dataclass(frozen=True, slots=True)
class Stated:
    """A callout worked out: its pairs of limits and the words that go with them."""

    callout: Callout
    spec: Spec | None
    bounds: tuple[Bounds, ...] = ()
    words: str = ""  # basis and conditions
    kind: str = ""  # what sort of characteristic, in a word or two


@dataclass(frozen=True, slots=True)
class General:
    """What holds where a callout says nothing: from the part, else from the request."""

    tolerance: str = ""
    roughness: str = ""
    edges: str = ""
    texture_edition: str = ""
    rule_set: str = ""

    @classmethod
    def of(cls, part: Part, request: Request | None) -> General:
        """Return the general requirements of a part within a request."""
        if request is None:
            return cls(
                part.general_tolerance, part.general_roughness, part.edges, part.texture_edition
            )
        return cls(
            part.general_tolerance or request.general_tolerance,
            part.general_roughness or request.general_roughness,
            part.edges or request.edges,
            part.texture_edition or request.texture_edition,
            request.rule_set,
        )


def state(
    callout: Callout,
    general: General,
    *,
    inch: bool = False,
    coatings: tuple[Finish, ...] = (),
) -> Stated:
    """Return a callout worked out.

    Args:
        callout: as the part has it.
        general: what holds where the callout names no deviation.
        inch: give lengths in inch as well.
        coatings: the part's finishes; what builds up is reckoned into sizes said to hold before
            or after it.
    """
    spec = callout.spec.value
    if spec is None:
        return Stated(callout, None, (), "as on the drawing", "as drawn")
    bounds, words, kind = _worked_out(spec, general, inch)
    extra = [words] if words else []
    if callout.has_envelope:
        extra.append("envelope (E)")
    if callout.depth_mm is not None:
        extra.append(f"{number(callout.depth_mm)} mm deep")
    both_sides = False
    for coating in coatings:
        more, said = _coated(callout, spec, general, coating, inch)
        both_sides = both_sides or bool(more)
        if more and bounds:
            first = replace(bounds[0], name=f"{bounds[0].name} {callout.coating} coating".strip())
            bounds = (first, *bounds[1:])
        bounds += more
        extra += [said] if said else []
    if callout.coating and not both_sides:
        extra.append(f"holds {callout.coating} coating")
    if callout.note:
        extra.append(callout.note)
    return Stated(callout, spec, bounds, "; ".join(extra), kind)


def _coated(
    callout: Callout, spec: Spec, general: General, coating: Finish, inch: bool
) -> tuple[tuple[Bounds, ...], str]:
    """The size on the other side of a coating that builds up, for the worst case of it."""
    if not isinstance(spec, (Fit, Size, Thread)):
        return (), ""
    if masks(coating, callout):
        return (), f"masked: no {coating.name} here"
    growth = growth_of(coating)
    limits, feature = _feature(spec, general)
    if not callout.coating or growth is None or limits is None or feature is None:
        return (), ""
    name = "pitch Ø " if isinstance(spec, Thread) else ""
    if callout.coating == "after":
        found = finishes.before_coating(limits, feature, growth.thickness_um, growth.share)
        if found is None:
            return (), (
                f"no size before {coating.name} keeps these limits for certain ({growth.words}): "
                "mask it or ask"
            )
        lower, upper = _to_micron(found.lower_mm, found.upper_mm, ROUND_CEILING, ROUND_FLOOR)
        name += "before coating"
    else:
        found = growth.after(limits, feature)
        lower, upper = _to_micron(found.lower_mm, found.upper_mm, ROUND_FLOOR, ROUND_CEILING)
        name += "after coating"
    return (_pair(lower, upper, inch, name, 3),), f"{name} for {growth.words}"


def _feature(
    spec: Fit | Size | Thread, general: General
) -> tuple[Limits | None, finishes.Feature | None]:
    if isinstance(spec, Thread):
        try:
            found = threads.limits_of_thread(spec)
        except NotDefined:
            return None, None
        pair = Limits(found.pitch_min_mm, found.pitch_max_mm, found.basis, spec.size)
        return pair, "internal thread" if spec.internal else "external thread"
    limits = limits_of(spec, general.tolerance).value
    if isinstance(spec, Fit):
        return limits, "bore" if spec.internal else "shaft"
    # A plain size says neither inside nor outside; only a diameter in a hole callout would.
    return None, None


def _worked_out(spec: Spec, general: General, inch: bool) -> tuple[tuple[Bounds, ...], str, str]:
    match spec:
        case Fit():
            return _fit(spec, inch)
        case Size():
            return _size(spec, general, inch)
        case Thread():
            return _thread(spec, inch)
        case Radius():
            return _radius(spec, general, inch)
        case Chamfer():
            return _chamfer(spec, general, inch)
        case Geometric():
            return _geometric(spec, inch)
        case Texture():
            return _texture(spec, general)
        case Edge():
            pair = _pair(spec.lower_mm, spec.upper_mm, inch)
            return (pair,), "ISO 13715; minus takes material away, plus leaves some", "edge"
        case Angle():
            return _angle(spec, general)
        case Datum():
            return (), "datum feature, ISO 5459", "datum"
        case Attribute():
            return (), spec.text, spec.kind
    raise AssertionError(spec)  # pragma: no cover - the union is closed


# --- kinds --------------------------------------------------------------------------------

_Out = tuple[tuple[Bounds, ...], str, str]


def _fit(spec: Fit, inch: bool) -> _Out:
    kind = ("bore" if spec.diameter else "slot") if spec.internal else "shaft"
    if not spec.diameter and not spec.internal:
        kind = "key or shaft"
    name = f"{spec.zone}{spec.grade}"
    found = limits_of(spec)
    if found.value is None:
        return (), f"ISO 286-2, class {name}: {found.problems[0].message}", kind
    pair = _pair(found.value.lower_mm, found.value.upper_mm, inch)
    return (pair,), f"ISO 286-2, class {name}", kind


def _length(
    spec: Size | Radius | Chamfer, bound: str, nominal: Decimal, general: General, inch: bool
) -> tuple[tuple[Bounds, ...], str]:
    """A size, radius or chamfer: a bound, stated deviations, or the general tolerance."""
    if bound == "max":
        return (_pair(None, nominal, inch),), "greatest as stated"
    if bound == "min":
        return (_pair(nominal, None, inch),), "least as stated"
    found = limits_of(spec, general.tolerance)
    if found.value is None:
        gap = "" if not general.tolerance else f": {found.problems[0].message}"
        return (), f"general tolerance {general.tolerance or 'as on the drawing'}{gap}"
    words = "deviations as stated"
    if spec.upper is None or spec.lower is None:
        words = f"general tolerance, {found.value.basis}"
    return (_pair(found.value.lower_mm, found.value.upper_mm, inch),), words


def _size(spec: Size, general: General, inch: bool) -> _Out:
    return (
        *_length(spec, spec.bound, spec.nominal, general, inch),
        "diameter" if spec.diameter else "size",
    )


def _thread(spec: Thread, inch: bool) -> _Out:
    kind = "internal thread" if spec.internal else "external thread"
    words = []
    if spec.depth_mm is not None:
        words.append(f"full thread {number(spec.depth_mm)} mm deep")
    if spec.drill_depth_mm is not None:
        words.append(f"core hole at most {number(spec.drill_depth_mm)} mm deep")
    if spec.through:
        words.append("through")
    if spec.left_hand:
        words.append("left hand")
    bounds: tuple[Bounds, ...] = ()
    if spec.metric and spec.pitch is not None:
        grade = spec.tolerance_class or ("6H" if spec.internal else "6g")
        try:
            found = threads.limits_of_thread(spec)
        except NotDefined as gap:
            words.insert(0, f"ISO 965-1, class {grade}: {gap}")
        else:
            bounds = (
                _pair(found.pitch_min_mm, found.pitch_max_mm, inch, "pitch Ø", 3),
                _pair(found.minor_min_mm, found.minor_max_mm, inch, "minor Ø", 3)
                if spec.internal
                else _pair(found.major_min_mm, found.major_max_mm, inch, "major Ø", 3),
            )
            assumed = "" if spec.tolerance_class else ", as none is written"
            words.insert(0, f"ISO 965-1, class {grade}{assumed}")
    elif spec.system == "G":
        words.insert(0, "pipe thread, ISO 228-1")
    elif spec.system == "Tr":
        words.insert(0, "trapezoidal thread, ISO 2904")
    else:
        words.insert(0, f"unified inch thread, class {spec.tolerance_class or 'not stated'}")
    return bounds, "; ".join(words), kind


def _radius(spec: Radius, general: General, inch: bool) -> _Out:
    kind = "spherical radius" if spec.spherical else "radius"
    return *_length(spec, spec.bound, spec.nominal, general, inch), kind


def _chamfer(spec: Chamfer, general: General, inch: bool) -> _Out:
    bounds, words = _length(spec, "", spec.size_mm, general, inch)
    return bounds, f"leg at {number(spec.angle_deg)}°; {words}", "chamfer"


def _geometric(spec: Geometric, inch: bool) -> _Out:
    pair = _pair(None, spec.value_mm, inch)
    zone = "cylindrical zone" if spec.diameter_zone else "zone"
    words = f"ISO 1101, {zone}{_AXES[spec.material_condition]}"
    if spec.datums:
        words += f", to {', '.join(spec.datums)}"
    return (pair,), words, spec.characteristic


def _texture(spec: Texture, general: General) -> _Out:
    edition = {"1302": "ISO 1302", "21920": "ISO 21920-1"}.get(spec.edition, "")
    edition = edition or general.texture_edition
    rule = {"max": "maximum rule", "16%": "16 % rule"}.get(spec.rule, "")
    if not rule and edition:
        rule = "16 % rule" if edition == "ISO 1302" else "maximum rule"
        rule += ", the edition's default"
    words = "; ".join(part for part in (edition, rule) if part)
    lower = number(spec.lower_um) if spec.lower_um is not None else ""
    upper = number(spec.value_um)
    if spec.bound == "lower" and not lower:
        lower, upper = upper, ""
    return (Bounds(lower, upper, "µm", spec.parameter),), words, "texture"


def _angle(spec: Angle, general: General) -> _Out:
    if spec.upper_arcsec is not None and spec.lower_arcsec is not None:
        low, high = spec.nominal_arcsec + spec.lower_arcsec, spec.nominal_arcsec + spec.upper_arcsec
        return (Bounds(arc(low), arc(high), "°"),), "deviations as stated", "angle"
    words = general.tolerance or "as on the drawing"
    return (), f"general tolerance by the shorter leg: {words}", "angle"


# --- figures ------------------------------------------------------------------------------


def _pair(
    lower: Decimal | None, upper: Decimal | None, inch: bool, name: str = "", least: int = 0
) -> Bounds:
    places = max(_places(lower), _places(upper), least)
    return Bounds(
        _fixed(lower, places),
        _fixed(upper, places),
        "mm",
        name,
        _inch(lower, upper, lower, ROUND_CEILING) if inch else "",
        _inch(lower, upper, upper, ROUND_FLOOR) if inch else "",
    )


def _to_micron(
    lower: Decimal, upper: Decimal, round_lower: str, round_upper: str
) -> tuple[Decimal, Decimal]:
    """Limits to 0.001 mm: inward for a size to machine to, outward for what comes of it."""
    step = Decimal("0.001")
    return lower.quantize(step, round_lower), upper.quantize(step, round_upper)


def _places(value: Decimal | None) -> int:
    if value is None or not value.is_finite():
        return 0
    exponent = value.normalize().as_tuple().exponent
    return max(0, -exponent) if isinstance(exponent, int) else 0


def _fixed(value: Decimal | None, places: int) -> str:
    if value is None or not value.is_finite():
        return ""
    return f"{value:.{places}f}" if value else "0"


def _inch(
    lower: Decimal | None, upper: Decimal | None, value: Decimal | None, rounding: str
) -> str:
    """Inches to 0.0001, or 0.00001 where the tolerance is below 0.02 mm."""
    if value is None or not value.is_finite():
        return ""
    width = upper - lower if upper is not None and lower is not None else Decimal(1)
    step = Decimal("0.00001") if width < Decimal("0.02") else Decimal("0.0001")
    return f"{(value / _INCH).quantize(step, rounding=rounding):f}" if value else "0"

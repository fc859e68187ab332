"""What a callout asks for, understood: one small frozen value per kind, and its short form.

``Spec`` is the union. Lengths are millimetres (Decimal), angles arc seconds (exact for degrees
and minutes alike). A deviation that is ``None`` means: the general tolerance of the part.
``canonical`` writes the short form that ``rfq.model.callout.parse_callout`` reads back to an
equal value.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

Bound = Literal["", "max", "min"]


@dataclass(frozen=True, slots=True)
class Size:
    """A length: nominal with deviations, ``None`` for the general tolerance, or a bound.

    Args:
        nominal: mm, above zero.
        upper: upper deviation in mm, or None.
        lower: lower deviation in mm, or None; never above ``upper``.
        diameter: written with Ø.
        bound: 'max' or 'min' where only one limit is asked.
        envelope: envelope requirement Ⓔ of ISO 14405-1.
        count: number of equal features.
    """

    nominal: Decimal
    upper: Decimal | None = None
    lower: Decimal | None = None
    diameter: bool = False
    bound: Bound = ""
    envelope: bool = False
    count: int = 1


@dataclass(frozen=True, slots=True)
class Fit:
    """A size with a tolerance class of ISO 286, such as 42 H7.

    Args:
        nominal: mm.
        zone: letters, capital for holes ('H', 'JS'), small for shafts ('g').
        grade: '01', '0', '1' ... '18'.
        internal: hole or slot (True), shaft or key (False).
        diameter: written with Ø.
        envelope: envelope requirement Ⓔ.
        stated_upper, stated_lower: deviations the drawing prints beside the class, mm; a check
            compares them with the table.
        count: number of equal features.
    """

    nominal: Decimal
    zone: str
    grade: str
    internal: bool
    diameter: bool = False
    envelope: bool = False
    stated_upper: Decimal | None = None
    stated_lower: Decimal | None = None
    count: int = 1


@dataclass(frozen=True, slots=True)
class Thread:
    """A screw thread.

    Args:
        system: 'M' coarse, 'MF' fine (ISO 261), 'G' (ISO 228-1), 'UNC', 'UNF', 'UNEF' or 'UN',
            'Tr' (ISO 2904).
        size: mm for M, MF and Tr; inches for the others (G: the pipe size).
        pitch: mm; None for G, whose pitch the size fixes.
        tolerance_class: '6H', '6g', '2B', ...; '' when none is written.
        depth_mm: length of full thread, or None.
        through: thread goes through.
        internal: nut thread (True) or bolt thread.
        left_hand: marked LH.
        drill_depth_mm: depth of the core hole where the text gives it.
        label: size as written for inch sizes ('1/4', '#10'), else ''.
        count: number of equal features.
    """

    system: str
    size: Decimal
    pitch: Decimal | None
    tolerance_class: str = ""
    depth_mm: Decimal | None = None
    through: bool = False
    internal: bool = True
    left_hand: bool = False
    drill_depth_mm: Decimal | None = None
    label: str = ""
    count: int = 1

    @property
    def metric(self) -> bool:
        """Whether it is an ISO metric thread, coarse or fine."""
        return self.system in ("M", "MF")

    @property
    def major_mm(self) -> Decimal | None:
        """Nominal major diameter in mm; None for pipe threads, whose size is only a name."""
        if self.system in ("M", "MF", "Tr"):
            return self.size
        return None if self.system == "G" else self.size * Decimal("25.4")


@dataclass(frozen=True, slots=True)
class Texture:
    """Surface texture: a parameter and its limit.

    Args:
        parameter: 'Ra', 'Rz', ... (no conversion between them).
        value_um: the limit in um.
        bound: 'upper' limit (usual) or 'lower'.
        lower_um: lower limit where both are given.
        edition: '1302', '21920' or '' when not said (the default acceptance rule differs).
        rule: '' default of the edition, 'max' or '16%'.
    """

    parameter: str
    value_um: Decimal
    bound: Literal["upper", "lower"] = "upper"
    lower_um: Decimal | None = None
    edition: Literal["", "1302", "21920"] = ""
    rule: Literal["", "max", "16%"] = ""


@dataclass(frozen=True, slots=True)
class Geometric:
    """A geometrical tolerance of ISO 1101.

    Args:
        characteristic: one of ``rfq.model.series.CHARACTERISTICS``.
        value_mm: width or diameter of the zone.
        diameter_zone: the zone is a cylinder (Ø before the value).
        material_condition: '', 'M' or 'L' (ISO 2692).
        datums: in order, each a letter, a common datum 'A-B', or with its own modifier 'B(M)'.
        count: number of equal features.
    """

    characteristic: str
    value_mm: Decimal
    diameter_zone: bool = False
    material_condition: Literal["", "M", "L"] = ""
    datums: tuple[str, ...] = ()
    count: int = 1


@dataclass(frozen=True, slots=True)
class Edge:
    """An edge of undefined shape, ISO 13715: minus takes material away, plus leaves some.

    Args:
        upper_mm: upper limit, signed.
        lower_mm: lower limit, signed; a single value -0.3 reads 0 ... -0.3.
        where: 'outside', 'inside' or '' for all edges.
    """

    upper_mm: Decimal
    lower_mm: Decimal
    where: Literal["", "outside", "inside"] = ""


@dataclass(frozen=True, slots=True)
class Angle:
    """An angle and its deviations in arc seconds; None means the general tolerance."""

    nominal_arcsec: Decimal
    upper_arcsec: Decimal | None = None
    lower_arcsec: Decimal | None = None
    count: int = 1


@dataclass(frozen=True, slots=True)
class Chamfer:
    """A chamfer: leg in mm and angle in degrees."""

    size_mm: Decimal
    angle_deg: Decimal = Decimal(45)
    upper: Decimal | None = None
    lower: Decimal | None = None
    count: int = 1


@dataclass(frozen=True, slots=True)
class Radius:
    """A radius in mm; ``spherical`` for SR; ``bound`` for 'R0.5 max'."""

    nominal: Decimal
    upper: Decimal | None = None
    lower: Decimal | None = None
    bound: Bound = ""
    spherical: bool = False
    count: int = 1


@dataclass(frozen=True, slots=True)
class Datum:
    """A datum feature (ISO 5459)."""

    letter: str


@dataclass(frozen=True, slots=True)
class Attribute:
    """Something judged, not measured to limits of size: visual, go/no-go, marking, hardness."""

    kind: str
    text: str


Spec = (
    Size | Fit | Thread | Texture | Geometric | Edge | Angle | Chamfer | Radius | Datum | Attribute
)


def number(value: Decimal) -> str:
    """A Decimal without exponent and without trailing zeros.

    >>> number(Decimal("42.50")), number(Decimal("1E+2")), number(Decimal("-0.0"))
    ('42.5', '100', '0')
    """
    text = f"{value:f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def signed(value: Decimal) -> str:
    """A deviation as drawings print it: a sign, but none at zero.

    >>> signed(Decimal("0.025")), signed(Decimal("-0.02")), signed(Decimal("0"))
    ('+0.025', '-0.02', '0')
    """
    return f"+{number(value)}" if value > 0 else number(value)


def deviations(upper: Decimal | None, lower: Decimal | None) -> str:
    """' ±0.05', ' +0.1/-0.05' or '' for the general tolerance.

    >>> deviations(Decimal("0.1"), Decimal("-0.05"))
    ' +0.1/-0.05'
    """
    if upper is None or lower is None:
        return ""
    if upper > 0 and upper == -lower:
        return f" ±{number(upper)}"
    return f" {signed(upper)}/{signed(lower)}"


def canonical(spec: Spec) -> str:
    """The short form of a spec; reading it gives an equal spec.

    >>> canonical(Fit(Decimal(42), "H", "7", internal=True, diameter=True))
    'Ø42 H7'
    >>> canonical(Geometric("position", Decimal("0.1"), True, "M", ("A", "B(M)")))
    'position Ø0.1 (M) A B(M)'
    """
    match spec:
        case Size():
            return _feature(spec.count, _size(spec))
        case Fit():
            return _feature(spec.count, _fit(spec))
        case Thread():
            return _feature(spec.count, _thread(spec))
        case Texture():
            return _texture(spec)
        case Geometric():
            words = [spec.characteristic, _round(spec.diameter_zone) + number(spec.value_mm)]
            if spec.material_condition:
                words.append(f"({spec.material_condition})")
            return _feature(spec.count, " ".join([*words, *spec.datums]))
        case Edge():
            return _edge(spec)
        case Angle():
            # a counted angle needs its word: '2x 30°' is a chamfer
            return _feature(spec.count, ("angle " if spec.count > 1 else "") + _angle(spec))
        case Chamfer():
            text = number(spec.size_mm) + deviations(spec.upper, spec.lower)
            return _feature(spec.count, f"{text}x{number(spec.angle_deg)}°")
        case Radius():
            text = f"{'SR' if spec.spherical else 'R'}{number(spec.nominal)}"
            text += deviations(spec.upper, spec.lower) + (f" {spec.bound}" if spec.bound else "")
            return _feature(spec.count, text)
        case Datum():
            return f"datum {spec.letter}"
        case Attribute():
            return f"{spec.kind}: {spec.text}"


def _feature(count: int, text: str) -> str:
    return f"{count}x {text}" if count > 1 else text


def _round(diameter: bool) -> str:
    return "Ø" if diameter else ""


def _size(spec: Size) -> str:
    text = _round(spec.diameter) + number(spec.nominal) + deviations(spec.upper, spec.lower)
    return text + (f" {spec.bound}" if spec.bound else "") + (" (E)" if spec.envelope else "")


def _fit(spec: Fit) -> str:
    text = f"{_round(spec.diameter)}{number(spec.nominal)} {spec.zone}{spec.grade}"
    if spec.stated_upper is not None and spec.stated_lower is not None:
        text += f" ({deviations(spec.stated_upper, spec.stated_lower).strip()})"
    return text + (" (E)" if spec.envelope else "")


def _thread(spec: Thread) -> str:
    if spec.system in ("M", "MF"):
        text = f"M{number(spec.size)}"
        if spec.system == "MF" and spec.pitch is not None:
            text += f"x{number(spec.pitch)}"
    elif spec.system == "Tr":
        text = f"Tr{number(spec.size)}x{number(spec.pitch or Decimal(0))}"
    elif spec.system == "G":
        text = f"G{spec.label}"
    else:
        per_inch = Decimal("25.4") / spec.pitch if spec.pitch else Decimal(0)
        text = f"{spec.label}-{number(per_inch.quantize(Decimal(1)))} {spec.system}"
    if spec.left_hand:
        text += "-LH"
    if spec.tolerance_class:
        text += ("" if spec.system == "G" else "-") + spec.tolerance_class
    if spec.depth_mm is not None:
        text += f" x {number(spec.depth_mm)}"
        if spec.drill_depth_mm is not None:
            text += f"/{number(spec.drill_depth_mm)}"
    if spec.through:
        text += " through"
    if not spec.tolerance_class and not spec.internal:
        text += " external"
    return text


def _texture(spec: Texture) -> str:
    text = spec.parameter + ("max" if spec.rule == "max" else "")
    if spec.lower_um is not None:
        text += f" {number(spec.lower_um)}-{number(spec.value_um)}"
    else:
        text += f" {number(spec.value_um)}" + (" min" if spec.bound == "lower" else "")
    if spec.rule == "16%":
        text += " 16%"
    return text + (f" (ISO {spec.edition})" if spec.edition else "")


def _edge(spec: Edge) -> str:
    text = f"{spec.where} edge ".lstrip()
    if spec.upper_mm > 0 and spec.upper_mm == -spec.lower_mm:
        return f"{text}±{number(spec.upper_mm)}"
    if spec.upper_mm == 0 and spec.lower_mm < 0:
        return text + signed(spec.lower_mm)
    if spec.lower_mm == 0 and spec.upper_mm > 0:
        return text + signed(spec.upper_mm)
    return f"{text}{signed(spec.upper_mm)}/{signed(spec.lower_mm)}"


def _angle(spec: Angle) -> str:
    text = arc(spec.nominal_arcsec)
    if spec.upper_arcsec is None or spec.lower_arcsec is None:
        return text
    if spec.upper_arcsec > 0 and spec.upper_arcsec == -spec.lower_arcsec:
        return f"{text} ±{arc(spec.upper_arcsec)}"
    return f"{text} {_signed_arc(spec.upper_arcsec)}/{_signed_arc(spec.lower_arcsec)}"


def _signed_arc(value: Decimal) -> str:
    return ("+" if value > 0 else "") + arc(value)


def arc(arcsec: Decimal) -> str:
    """An angle in degrees, minutes and seconds, only the parts that are there.

    >>> arc(Decimal(216000)), arc(Decimal(1800)), arc(Decimal(-5405)), arc(Decimal(0))
    ('60°', "30'", '-1°30\\'5"', '0°')
    """
    sign, rest = ("-", -arcsec) if arcsec < 0 else ("", arcsec)
    degrees, rest = divmod(rest, 3600)
    minutes, seconds = divmod(rest, 60)
    parts = [
        f"{number(value)}{mark}"
        for value, mark in ((degrees, "°"), (minutes, "'"), (seconds, '"'))
        if value
    ]
    return sign + "".join(parts) if parts else "0°"

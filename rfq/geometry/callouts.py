"""PMI of the model as candidates for callouts, in our short form; the user accepts one by one."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from rfq.geometry.pins import Pin
from rfq.geometry.shape import MeasuredShape, PmiCandidate
from rfq.model.callout import Callout, parse_callout
from rfq.model.spec import Angle, Datum, Fit, Geometric, Radius, Size, Spec, canonical

_CHARACTERISTICS = {
    "profile of surface": "surface profile",
    "profile of line": "line profile",
    "circularity or roundness": "roundness",
    "circularity": "roundness",
    "circular runout": "run-out",
    "total runout": "total run-out",
    "concentricity": "coaxiality",
}
"""The kernel's words where they are not ours (``rfq.model.series.CHARACTERISTICS``)."""


@dataclass(frozen=True, slots=True)
class CalloutCandidate:
    """A callout the model proposes, or why its meaning has no short form here."""

    found: PmiCandidate | None  # None for a datum letter
    text: str  # short form, '' where there is none
    refused: str = ""  # one sentence

    def as_callout(self, number: str, pinned: Pin | None = None) -> Callout:
        """The callout with a balloon number, once the user accepts it.

        Args:
            number: its balloon number.
            pinned: where the model shows it, if that is known.
        Raises:
            ValueError: there is no short form.
        """
        if not self.text:
            raise ValueError(self.refused)
        what = self.found.kind if self.found else "datum"
        where: dict[str, Any] = {}
        if pinned is not None:
            x, y = pinned.share
            where = {"position": (Decimal(f"{x:.4g}"), Decimal(f"{y:.4g}")), "view": pinned.view}
        return Callout(number=number, what=what, text=self.text, state="fixed", **where)


def _decimal(value: float) -> Decimal:
    """Kept to 0.1 micrometre: a file in inches carries rounding beyond it."""
    number = Decimal(f"{value:.4f}")
    return Decimal(0) if not number else number.normalize() + Decimal(0)


def _deviations(found: PmiCandidate) -> tuple[Decimal, Decimal | None, Decimal | None]:
    """Nominal, upper and lower deviation; a range has the middle as its nominal."""
    nominal = _decimal(found.value)
    if found.lower is not None and found.upper is not None:
        return nominal, _decimal(found.upper) - nominal, _decimal(found.lower) - nominal
    if found.plus is None or found.minus is None:
        return nominal, None, None
    return nominal, _decimal(found.plus), _decimal(found.minus)


def spec_of(found: PmiCandidate) -> Spec | None:
    """What a candidate means in our terms, or None."""
    if found.family == "tolerance":
        characteristic = _CHARACTERISTICS.get(found.kind, found.kind)
        return Geometric(
            characteristic,
            _decimal(found.value),
            found.diameter_zone,
            found.material_condition,
            found.datums,
        )
    nominal, upper, lower = _deviations(found)
    if found.unit == "deg":
        seconds = [None if d is None else d * 3600 for d in (upper, lower)]
        return Angle(nominal * 3600, seconds[0], seconds[1])
    if "radius" in found.kind:
        return Radius(nominal, upper, lower, spherical="spherical" in found.kind)
    diameter = "diameter" in found.kind
    if found.fit:
        zone = found.fit.rstrip("0123456789")
        grade = found.fit[len(zone) :]
        return Fit(nominal, zone, grade, internal=zone.isupper(), diameter=diameter)
    return Size(nominal, upper, lower, diameter=diameter)


def candidates(shape: MeasuredShape) -> tuple[CalloutCandidate, ...]:
    """Dimensions, tolerances and datum letters of the model, with their short forms."""
    proposed = []
    for found in shape.pmi.candidates:
        spec = spec_of(found)
        text = canonical(spec) if spec is not None else ""
        reading = parse_callout(text)
        if reading.ok:
            proposed.append(CalloutCandidate(found, text))
        else:
            why = reading.problems[0].message
            proposed.append(CalloutCandidate(found, "", f"{found.kind} {found.value:g}: {why}"))
    for letter in shape.pmi.datums:
        text = canonical(Datum(letter))
        understood = parse_callout(text).ok
        refused = "" if understood else f"datum {letter}: not a letter a drawing may use"
        proposed.append(CalloutCandidate(None, text if understood else "", refused))
    return tuple(proposed)

"""A callout: one characteristic of a part, with balloon number, short form and what is open.

The short form is kept as typed (``text``); ``Callout.spec`` is what it means. ``text`` may be
half understood while a part is being entered: the callout stands, its spec says what is wrong.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal

from pydantic import Field

from rfq.model.base import Positive, Value
from rfq.model.short_form.reading import read_short_form
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
    canonical,
)
from rfq.problems import Place, Reading

__all__ = [
    "Angle",
    "Attribute",
    "Callout",
    "Chamfer",
    "Datum",
    "Edge",
    "Fit",
    "Geometric",
    "Radius",
    "Size",
    "Spec",
    "Texture",
    "Thread",
    "canonical",
    "parse_callout",
]


class Callout(Value):
    """One characteristic.

    Attributes:
        number: balloon number.
        what: what it is, in words ('bearing seat').
        text: short form ('42 H7'); see ``spec``.
        count: number of equal features; a count in the text ('4x 5.5') says the same.
        state: 'open' to proposals or 'fixed' by function.
        critical: checked on every piece.
        sheet, zone: where it stands on the drawing.
        coating: whether the limits hold before or after coating; '' when not said.
        envelope: envelope requirement Ⓔ.
        depth_mm: depth of the hole or pocket it belongs to.
        measured_with: measuring means; '' for the usual one.
        note: goes to the shops. internal_note: never leaves the project.
        position: pin in a view, as shares 0..1 of its width and height from its lower left.
        view: the view it is pinned in.
    """

    number: Annotated[str, Field(min_length=1, max_length=12)]
    what: Annotated[str, Field(max_length=120)] = ""
    text: Annotated[str, Field(max_length=200)] = ""
    count: Annotated[int, Field(ge=1, le=9999)] = 1
    state: Literal["fixed", "open"] = "open"
    critical: bool = False
    sheet: Annotated[int, Field(ge=1, le=999)] = 1
    zone: Annotated[str, Field(max_length=8)] = ""
    coating: Literal["before", "after", ""] = ""
    envelope: bool = False
    depth_mm: Positive | None = None
    measured_with: Annotated[str, Field(max_length=120)] = ""
    note: str = ""
    internal_note: str = ""
    position: tuple[Decimal, Decimal] | None = None
    view: Literal["front", "top", "side", "isometric"] = "front"

    @property
    def spec(self) -> Reading[Spec]:
        """What ``text`` means; remembered, so asking again costs nothing."""
        return parse_callout(self.text)

    @property
    def times(self) -> int:
        """Number of equal features: the count given, or the one in the text."""
        value = self.spec.value
        written = getattr(value, "count", 1) if value is not None else 1
        return self.count if self.count > 1 else written

    @property
    def has_envelope(self) -> bool:
        """Whether the envelope requirement is asked, here or by (E) in the text."""
        return self.envelope or bool(getattr(self.spec.value, "envelope", False))


def parse_callout(text: str, place: Place = Place()) -> Reading[Spec]:  # noqa: B008 - frozen
    """The spec in a short form, or one sentence saying what is wrong and what would be right.

    Decimal comma and point are both read, with or without Ø, blanks where people put them.
    Notes (severity note or ask) may come with a whole spec.

    Args:
        text: the short form, up to 200 characters.
        place: where it stands; carried by the problems.

    Problems: K001 empty, K002 not readable, K003 no such zone in ISO 286, K004 no such grade,
    K005 limits contradict each other, K006 hole and shaft in one, K007 thread size or pitch,
    K008 thread class, K009 datum on a form tolerance, K010 a value out of sense, K011 datum
    missing (ask), K012 round zone impossible, K013 mixed decimal signs, K014 thread read as
    internal (note), K015 class without a size, K017 N grade (note), K018 one deviation (note),
    K019 chamfer or count, K020 inches, K021 datum letter (note), K022 texture without a value,
    K023 frame not whole, K024 too many datums.

    >>> parse_callout("Ø42H7").get()
    Fit(nominal=Decimal('42'), zone='H', grade='7', internal=True, diameter=True, envelope=False, \
stated_upper=None, stated_lower=None, count=1)
    >>> canonical(parse_callout("25 ±0,05").get())
    '25 ±0.05'
    >>> print(parse_callout("42 I7", Place("parts/A.toml", line=9)).problems[0])
    parts/A.toml:9: '42 I7': ISO 286 has no zone I (i, l, o, q and w are left out); zones in use \
are H, JS, K, N or P.
    """
    return read_short_form(text, place)

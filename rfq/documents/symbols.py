"""Signs of technical drawings, drawn as vector paths: no font lacks them and none changes them.

Tolerance frames and the 14 signs of ISO 1101, datums (ISO 5459), texture (ISO 1302 or
ISO 21920-1), threads (ISO 6410-1), edges (ISO 13715) and balloons. Shapes from memory of the
standards; the value always stands beside the sign as text, and the edition of a texture as
words, so that nothing rests on the shape alone.
"""

from __future__ import annotations

from collections.abc import Callable
from math import cos, pi, sin
from typing import Final

from rfq.documents.fonts import BOLD, REGULAR, ems, wrap
from rfq.documents.look import Sheet, Style
from rfq.documents.tables import Cell, Drawn
from rfq.model.callout import Callout
from rfq.model.spec import (
    Datum,
    Edge,
    Geometric,
    Spec,
    Texture,
    Thread,
    canonical,
    number,
    signed,
)

TEXT: Final = Style(8, REGULAR, 10.2)
LETTER: Final = Style(7, BOLD, 8.6)
FRAME_HIGH: Final = 12.5
LINE: Final = 0.7


def arc(
    x: float, y: float, radius: float, start_deg: float, end_deg: float, steps: int = 20
) -> list[tuple[float, float]]:
    """Points of an arc about (x, y), degrees counter-clockwise from the right."""
    return [
        (x + radius * cos(a), y + radius * sin(a))
        for a in (
            pi / 180 * (start_deg + (end_deg - start_deg) * step / steps)
            for step in range(steps + 1)
        )
    ]


# --- the 14 signs of ISO 1101, each in a square of side h whose lower left corner is x, y -----

Sign = Callable[[Sheet, float, float, float], None]


def _straightness(s: Sheet, x: float, y: float, h: float) -> None:
    s.rule(x + 0.05 * h, y + h / 2, x + 0.95 * h, y + h / 2, LINE)


def _flatness(s: Sheet, x: float, y: float, h: float) -> None:
    corners = ((0, 0.2), (0.7, 0.2), (1, 0.8), (0.3, 0.8))
    s.path([(x + a * h, y + b * h) for a, b in corners], width=LINE, closed=True)


def _roundness(s: Sheet, x: float, y: float, h: float) -> None:
    s.circle(x + h / 2, y + h / 2, 0.42 * h, LINE)


def _cylindricity(s: Sheet, x: float, y: float, h: float) -> None:
    s.circle(x + h / 2, y + h / 2, 0.3 * h, LINE)
    for foot in (0.05, 0.6):
        s.rule(x + foot * h, y + 0.1 * h, x + (foot + 0.35) * h, y + 0.9 * h, LINE)


def _line_profile(s: Sheet, x: float, y: float, h: float) -> None:
    s.path(arc(x + h / 2, y + 0.25 * h, 0.46 * h, 0, 180), width=LINE)


def _surface_profile(s: Sheet, x: float, y: float, h: float) -> None:
    s.path(arc(x + h / 2, y + 0.25 * h, 0.46 * h, 0, 180), width=LINE, closed=True)


def _parallelism(s: Sheet, x: float, y: float, h: float) -> None:
    for foot in (0.1, 0.5):
        s.rule(x + foot * h, y + 0.1 * h, x + (foot + 0.4) * h, y + 0.9 * h, LINE)


def _perpendicularity(s: Sheet, x: float, y: float, h: float) -> None:
    s.rule(x + 0.05 * h, y + 0.12 * h, x + 0.95 * h, y + 0.12 * h, LINE)
    s.rule(x + h / 2, y + 0.12 * h, x + h / 2, y + 0.9 * h, LINE)


def _angularity(s: Sheet, x: float, y: float, h: float) -> None:
    points = ((0.9, 0.8), (0.05, 0.2), (0.95, 0.2))
    s.path([(x + a * h, y + b * h) for a, b in points], width=LINE)


def _position(s: Sheet, x: float, y: float, h: float) -> None:
    s.circle(x + h / 2, y + h / 2, 0.3 * h, LINE)
    s.rule(x, y + h / 2, x + h, y + h / 2, LINE)
    s.rule(x + h / 2, y, x + h / 2, y + h, LINE)


def _coaxiality(s: Sheet, x: float, y: float, h: float) -> None:
    s.circle(x + h / 2, y + h / 2, 0.44 * h, LINE)
    s.circle(x + h / 2, y + h / 2, 0.22 * h, LINE)


def _symmetry(s: Sheet, x: float, y: float, h: float) -> None:
    for high, inset in ((0.25, 0.2), (0.5, 0.0), (0.75, 0.2)):
        s.rule(x + inset * h, y + high * h, x + (1 - inset) * h, y + high * h, LINE)


def _arrow(s: Sheet, x0: float, y0: float, x1: float, y1: float, h: float) -> None:
    s.rule(x0, y0, x1, y1, LINE)
    dx, dy = (x1 - x0), (y1 - y0)
    long = (dx * dx + dy * dy) ** 0.5 or 1.0
    ux, uy = dx / long, dy / long
    back, half = 0.34 * h, 0.12 * h
    foot = (x1 - ux * back, y1 - uy * back)
    s.path(
        [(x1, y1), (foot[0] - uy * half, foot[1] + ux * half),
         (foot[0] + uy * half, foot[1] - ux * half)],
        width=0.3, closed=True, filled=True,
    )  # fmt: skip


def _run_out(s: Sheet, x: float, y: float, h: float) -> None:
    _arrow(s, x + 0.15 * h, y + 0.1 * h, x + 0.85 * h, y + 0.9 * h, h)


def _total_run_out(s: Sheet, x: float, y: float, h: float) -> None:
    _arrow(s, x + 0.05 * h, y + 0.1 * h, x + 0.5 * h, y + 0.9 * h, h * 0.85)
    _arrow(s, x + 0.5 * h, y + 0.1 * h, x + 0.95 * h, y + 0.9 * h, h * 0.85)
    s.rule(x + 0.05 * h, y + 0.1 * h, x + 0.5 * h, y + 0.1 * h, LINE)


SIGNS: Final[dict[str, Sign]] = {
    "straightness": _straightness,
    "flatness": _flatness,
    "roundness": _roundness,
    "cylindricity": _cylindricity,
    "line profile": _line_profile,
    "surface profile": _surface_profile,
    "parallelism": _parallelism,
    "perpendicularity": _perpendicularity,
    "angularity": _angularity,
    "position": _position,
    "coaxiality": _coaxiality,
    "symmetry": _symmetry,
    "run-out": _run_out,
    "total run-out": _total_run_out,
}


# --- frames, datums, balloons -----------------------------------------------------------------


def _circled(s: Sheet, x: float, y: float, letter: str) -> float:
    """A letter in a circle (modifiers M, L, E); return its width."""
    s.circle(x + 5.0, y + 2.6, 4.8, 0.5)
    s.text(x + 5.0, y, letter, LETTER, "centre")
    return 10.8


def _datum_parts(datum: str) -> tuple[str, str]:
    letter, mark, rest = datum.partition("(")
    return letter, rest[:1] if mark else ""


def frame(s: Sheet, x: float, top: float, spec: Geometric) -> float:
    """Draw a tolerance frame, its top edge at ``top``; return its width."""
    foot, high = top - FRAME_HIGH, FRAME_HIGH
    base = foot + 3.8
    s.box(x, foot, high + 1.5, high, line=0.6)
    SIGNS[spec.characteristic](s, x + 3.2, foot + 2.4, high - 5)
    at = x + high + 1.5
    value = ("Ø" if spec.diameter_zone else "") + number(spec.value_mm)
    wide = ems(value) * TEXT.size + 6 + (11 if spec.material_condition else 0)
    s.box(at, foot, wide, high, line=0.6)
    after = at + 3 + s.text(at + 3, base, value, TEXT)
    if spec.material_condition:
        _circled(s, after + 1, base, spec.material_condition)
    at += wide
    for datum in spec.datums:
        letter, modifier = _datum_parts(datum)
        wide = max(ems(letter) * TEXT.size + 7, high) + (10 if modifier else 0)
        s.box(at, foot, wide, high, line=0.6)
        after = at + 3.5 + s.text(at + 3.5, base, letter, TEXT)
        if modifier:
            _circled(s, after + 0.5, base, modifier)
        at += wide
    return at - x


def datum(s: Sheet, x: float, top: float, letter: str) -> float:
    """Draw a datum letter in its square on a filled triangle (ISO 5459); return its width."""
    side = FRAME_HIGH - 1
    foot = top - FRAME_HIGH
    tip, half = foot + 7.5, 3.4
    s.path(
        [(x, foot + 1.2), (x + 2 * half, foot + 1.2), (x + half, tip - 0.4)],
        width=0.4, closed=True, filled=True,
    )  # fmt: skip
    s.path([(x + half, tip), (x + half, foot + 9), (x + 12, foot + 9)], width=0.5)
    s.box(x + 12, foot + 0.8, side, side, line=0.6)
    s.text(x + 12 + side / 2, foot + 3.8, letter, TEXT, "centre")
    return 12 + side


def balloon(s: Sheet, x: float, y: float, text: str, *, critical: bool = False) -> None:
    """Draw a balloon number about (x, y); a critical one has a double ring."""
    style = Style(7.5, BOLD, 9)
    half = max(ems(text, BOLD) * style.size / 2 + 2.2, 6.2)
    if half > 7.2:  # a long number gets a rounded box: a circle would reach into the next row
        s.box(x - half, y - 6.2, 2 * half, 12.4, line=0.7)
    else:
        s.circle(x, y, half, 0.7)
        if critical:
            s.circle(x, y, half - 1.3, 0.4)
    s.text(x, y - 2.7, text, style, "centre")


def texture(s: Sheet, x: float, top: float, spec: Texture) -> float:
    """Draw the texture symbol for a surface to be machined, its value under the bar."""
    foot = top - 15.5
    text = texture_text(spec)
    wide = ems(text) * TEXT.size
    s.path([(x, foot + 6.5), (x + 3.6, foot + 0.8), (x + 10.6, foot + 13.8)], width=LINE)
    s.rule(x + 0.1, foot + 6.5, x + 6.8, foot + 6.5, LINE)  # material is to be removed
    s.rule(x + 10.6, foot + 13.8, x + 13.5 + wide, foot + 13.8, LINE)
    s.text(x + 12, foot + 5, text, TEXT)
    return 13.5 + wide


def texture_text(spec: Texture) -> str:
    """Parameter and limit as they stand in the symbol."""
    name = spec.parameter + ("max" if spec.rule == "max" else "")
    bound = "L " if spec.bound == "lower" and spec.lower_um is None else ""
    if spec.lower_um is not None:
        return f"U {name} {number(spec.value_um)}  L {name} {number(spec.lower_um)}"
    return f"{bound}{name} {number(spec.value_um)}" + (" 16%" if spec.rule == "16%" else "")


def thread(s: Sheet, x: float, top: float, spec: Thread) -> float:
    """Draw the end view of a thread (ISO 6410-1): full circle and three quarters of one."""
    cx, cy = x + 5.5, top - 6
    outer, inner = 5.2, 3.7
    if spec.internal:
        s.circle(cx, cy, inner, 0.8)
        s.path(arc(cx, cy, outer, 95, 355), width=0.35)
    else:
        s.circle(cx, cy, outer, 0.8)
        s.path(arc(cx, cy, inner, 95, 355), width=0.35)
    return 13.0


def edge(s: Sheet, x: float, top: float, spec: Edge) -> float:
    """Draw the edge sign of ISO 13715 with its limits beside it; return its width."""
    foot = top - 13
    s.path([(x + 1, foot + 10.5), (x + 1, foot + 2), (x + 9.5, foot + 2)], width=LINE)
    s.rule(x + 1, foot + 2, x + 7, foot + 8, 0.5)
    if spec.lower_mm == 0 or spec.upper_mm == 0:
        text = signed(spec.upper_mm or spec.lower_mm)
    elif spec.upper_mm == -spec.lower_mm:
        text = f"±{number(spec.upper_mm)}"
    else:
        text = f"{signed(spec.upper_mm)} / {signed(spec.lower_mm)}"
    where = f"{text} {spec.where}".strip()
    return 11 + s.text(x + 11, foot + 3.4, where, TEXT)


# --- a callout as it stands on the drawing ----------------------------------------------------


def shown(callout: Callout, spec: Spec | None, room: float) -> Cell:
    """The callout as a cell: its sign drawn, or its short form as text."""
    if spec is None:
        return callout.text or "as on the drawing"
    times = f"{callout.times}x " if callout.times > 1 else ""
    match spec:
        case Geometric():
            return _drawn(times, FRAME_HIGH + 2, lambda s, x, top: frame(s, x, top - 0.5, spec))
        case Datum():
            return _drawn(times, FRAME_HIGH + 2, lambda s, x, top: datum(s, x, top, spec.letter))
        case Texture():
            return _drawn(times, 17.0, lambda s, x, top: texture(s, x, top, spec))
        case Edge():
            return _drawn(times, 14.0, lambda s, x, top: edge(s, x, top, spec))
        case Thread():
            return _with_text(canonical_times(callout, spec), room, spec)
    text = canonical_times(callout, spec)
    if not callout.has_envelope:
        return text
    plain = text.removesuffix(" (E)")
    return _drawn("", 13.0, lambda s, x, top: _envelope(s, x, top, plain))


def canonical_times(callout: Callout, spec: Spec) -> str:
    """The short form with the number of equal features before it, once."""
    text = canonical(spec)
    if callout.times > 1 and not text.startswith(f"{callout.times}x "):
        return f"{callout.times}x {text}"
    return text


def _envelope(s: Sheet, x: float, top: float, text: str) -> float:
    wide = s.text(x, top - 8.4, text, TEXT)
    return wide + 3 + _circled(s, x + wide + 3, top - 8.4, "E")


def _drawn(times: str, height: float, draw: Callable[[Sheet, float, float], float]) -> Drawn:
    def paint(s: Sheet, x: float, top: float, _width: float) -> None:
        if times:
            x += s.text(x, top - 9, times, TEXT)
        draw(s, x, top)

    return Drawn(height, paint)


def _with_text(text: str, room: float, spec: Thread) -> Drawn:
    lines = wrap(text, room - 14, TEXT.size)

    def paint(s: Sheet, x: float, top: float, _width: float) -> None:
        wide = thread(s, x, top, spec)
        y = top - 8.4
        for line in lines:
            s.text(x + wide, y, line, TEXT)
            y -= TEXT.leading

    return Drawn(max(13.0, len(lines) * TEXT.leading + 1), paint)

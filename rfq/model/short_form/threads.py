"""Reading threads: ISO metric, trapezoidal, pipe (ISO 228-1) and unified inch threads."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from rfq.model.series import COARSE_PITCH_MM, PITCHES_MM
from rfq.model.short_form.text import NUM, Notes, Wrong, clip, dec
from rfq.model.spec import Spec, Thread, number

_METRIC = re.compile(rf"^M\s?(?P<size>{NUM})(?P<rest>(?:[\s\-x/(↧].*)?)$", re.IGNORECASE)
_TRAPEZOIDAL = re.compile(
    rf"^Tr\s?(?P<size>{NUM})\s*x\s*(?P<pitch>{NUM})(?P<rest>.*)$", re.IGNORECASE
)
_PIPE = re.compile(
    r"^G\s?(?P<label>(?:\d+[ -])?\d+/\d+|\d+)(?![\d.])\s*\"?\s*(?P<class>[AB])?(?P<rest>.*)$",
    re.IGNORECASE,
)
_UNIFIED = re.compile(
    r"^(?P<label>#\d{1,2}|(?:\d+[ -])?\d+/\d+|\d+)\s*\"?\s*-\s*(?P<tpi>\d+)\s*"
    r"(?P<system>UNEF|UNC|UNF|UN)\b(?P<rest>.*)$",
    re.IGNORECASE,
)
_CLASS = r"(?:[3-9][A-Za-z]{1,2}){1,2}|[123][ABab]"
_TAIL = re.compile(
    rf"""
    (?P<lh>-?\s*\bLH\b)
  | (?P<through>\b(?:through|thru|durch(?:gehend)?)\b(?:\s+all)?)
  | (?P<external>\b(?:external|outside|male|bolt|stud)\b)
  | (?P<internal>\b(?:internal|inside|female|nut|tapped)\b)
  | [-\s]?\s*\b(?P<cls>{_CLASS})(?=[\s\-x/,]|$)
  | (?:x|↧|depth|deep|tief|-)\s*(?P<mm>{NUM})\s*(?:mm\b)?(?:\s*(?:deep|tief|min)\b)?
      (?:\s*/\s*(?:Ø\s*{NUM}\s*x\s*)?(?P<drill>{NUM})(?:\s*mm\b)?)?
  | (?P<bare>{NUM})\s*(?:mm)?\s*(?:deep|tief)\b
  | [\s,]+
    """,
    re.VERBOSE | re.IGNORECASE,
)
#: Unified coarse and fine: threads per inch by size, for numbered sizes. Source: ASME B1.1,
#: from memory; the major diameter of #n is 0.060 + 0.013 n inches.
_NUMBERED_BASE = Decimal("0.060")
_NUMBERED_STEP = Decimal("0.013")


@dataclass(slots=True)
class _Tail:
    """What may follow a thread's size, in any order."""

    cls: str = ""
    depth_mm: Decimal | None = None
    drill_mm: Decimal | None = None
    through: bool = False
    left_hand: bool = False
    said: bool | None = None  # internal as said in words


def read_thread(text: str, count: int, notes: Notes) -> Spec | None:
    """A thread, or None when the text is of another kind."""
    for reader in (_metric, _trapezoidal, _pipe, _unified):
        thread = reader(text, notes)
        if thread is not None:
            return replace(thread, count=count)
    return None


def _metric(text: str, notes: Notes) -> Thread | None:
    found = _METRIC.match(text)
    if not found:
        return None
    size, rest = dec(found["size"]), found["rest"]
    name = f"M{number(size)}"
    coarse = COARSE_PITCH_MM.get(size)
    pitch, rest = _written_pitch(size, coarse, rest, text)
    if pitch is None:
        if coarse is None:
            raise Wrong(
                "K007",
                f"'{clip(text)}': {name} has no coarse pitch in ISO 261; write the pitch, "
                f"for example '{name}x1'.",
            )
        pitch = coarse
    tail = _tail(rest, text)
    if tail.cls and (
        tail.cls[0] in "12" or (tail.cls[1:].upper() in ("A", "B") and len(tail.cls) < 3)
    ):
        raise Wrong("K008", f"'{clip(text)}': {tail.cls} is no class of ISO 965; write 6H or 6g.")
    internal = _inside(tail, tail.cls[1:2].isupper() if tail.cls else None)
    if internal is None:
        internal = True
        if tail.depth_mm is None and not tail.through:
            notes.add(
                "K014",
                f"'{clip(text)}' without a class is read as a tapped hole 6H; write '{name}-6g' "
                "for a thread on a shaft.",
            )
    return Thread(
        "M" if pitch == coarse else "MF",
        size,
        pitch,
        tail.cls,
        tail.depth_mm,
        tail.through,
        internal,
        tail.left_hand,
        tail.drill_mm,
    )


def _written_pitch(
    size: Decimal, coarse: Decimal | None, rest: str, text: str
) -> tuple[Decimal | None, str]:
    """The pitch written after x, if it is one, and what follows.

    'M8x1' is a pitch and 'M8x16' a depth; ISO 6410-1 writes both with x. No metric thread has
    a pitch above its coarse one, and a thread shorter than half its diameter is not asked.
    """
    found = re.match(rf"^\s?x\s?(?P<pitch>{NUM})(?![\d.])", rest, re.IGNORECASE)
    if not found:
        return None, rest
    value = dec(found["pitch"])
    if value <= (coarse if coarse is not None else size / 4) and value in PITCHES_MM:
        return value, rest[found.end() :]
    if value < size / 2:
        best = f"M{number(size)}" + (f"x{number(coarse)}" if coarse is not None else "x1")
        raise Wrong(
            "K007",
            f"'{clip(text)}': {number(value)} is neither a pitch of M{number(size)} nor a likely "
            f"depth; write '{best} x 12' with pitch and depth.",
        )
    return None, rest


def _trapezoidal(text: str, notes: Notes) -> Thread | None:
    found = _TRAPEZOIDAL.match(text)
    if not found:
        return None
    tail = _tail(found["rest"], text)
    internal = _inside(tail, tail.cls[1:2].isupper() if tail.cls else None)
    return Thread(
        "Tr",
        dec(found["size"]),
        dec(found["pitch"]),
        tail.cls,
        tail.depth_mm,
        tail.through,
        True if internal is None else internal,
        tail.left_hand,
        tail.drill_mm,
    )


def _pipe(text: str, notes: Notes) -> Thread | None:
    found = _PIPE.match(text)
    if not found:
        return None
    tail = _tail(found["rest"], text)
    # ISO 228-1 has classes A and B for the external thread only.
    internal = _inside(tail, False if found["class"] else None)
    return Thread(
        "G",
        _inches(found["label"]),
        None,
        (found["class"] or "").upper(),
        tail.depth_mm,
        tail.through,
        True if internal is None else internal,
        tail.left_hand,
        tail.drill_mm,
        _label(found["label"]),
    )


def _unified(text: str, notes: Notes) -> Thread | None:
    found = _UNIFIED.match(text)
    if not found:
        return None
    tail = _tail(found["rest"], text)
    if tail.cls and not re.fullmatch(r"[123][AB]", tail.cls.upper()):
        raise Wrong("K008", f"'{clip(text)}': {tail.cls} is no inch class; write 2B or 2A.")
    per_inch = int(found["tpi"])
    if not 4 <= per_inch <= 80:
        raise Wrong(
            "K007", f"'{clip(text)}': {per_inch} threads an inch; inch threads have 4 to 80."
        )
    internal = _inside(tail, tail.cls.upper().endswith("B") if tail.cls else None)
    label = found["label"]
    if label.isdigit() and int(label) <= 12 and per_inch >= 24:
        label = f"#{label}"  # '10-32 UNF' is the numbered size; ten inches have no 32 threads
    return Thread(
        found["system"].upper(),
        _inches(label),
        Decimal("25.4") / per_inch,
        tail.cls.upper(),
        tail.depth_mm,
        tail.through,
        True if internal is None else internal,
        tail.left_hand,
        tail.drill_mm,
        _label(label),
    )


def _label(text: str) -> str:
    return " ".join(text.replace("-", " ").split())


def _inches(label: str) -> Decimal:
    if label.startswith("#"):
        return _NUMBERED_BASE + _NUMBERED_STEP * int(label[1:])
    try:
        whole = sum((Fraction(part) for part in _label(label).split()), Fraction(0))
    except ZeroDivisionError:
        raise Wrong("K007", f"'{label}' is no inch size; write for example '1/4'.") from None
    if not 0 < whole <= 12:
        raise Wrong("K007", f"'{label}' is no inch size of a thread; write for example '1/4'.")
    return Decimal(whole.numerator) / Decimal(whole.denominator)


def _tail(rest: str, text: str) -> _Tail:
    tail, at = _Tail(), 0
    while at < len(rest):
        found = _TAIL.match(rest, at)
        if not found or found.end() == at:
            raise Wrong(
                "K008",
                f"'{clip(text)}': '{clip(rest[at:].strip())}' is not understood after a thread; "
                "write for example 'M6-6H x 12' or 'M6-6g through'.",
            )
        at = found.end()
        if found["cls"]:
            tail.cls = _class(found["cls"], text)
        elif found["mm"] or found["bare"]:
            tail.depth_mm = dec(found["mm"] or found["bare"])
            tail.drill_mm = dec(found["drill"]) if found["drill"] else tail.drill_mm
        tail.through = tail.through or bool(found["through"])
        tail.left_hand = tail.left_hand or bool(found["lh"])
        if found["external"] or found["internal"]:
            tail.said = bool(found["internal"])
    if tail.depth_mm is not None and tail.depth_mm <= 0:
        raise Wrong(
            "K010", f"'{clip(text)}': a thread depth of 0 mm; write the full thread length."
        )
    if tail.drill_mm is not None and tail.depth_mm is not None and tail.drill_mm < tail.depth_mm:
        raise Wrong(
            "K005",
            f"'{clip(text)}': the core hole ({number(tail.drill_mm)}) is shallower than the thread "
            f"({number(tail.depth_mm)}).",
        )
    return tail


def _class(text: str, whole: str) -> str:
    """A class as ISO 965 writes it; the zones it has are e, f, g, h and G, H (az ... for coats)."""
    pairs = re.findall(r"([1-9])([A-Za-z]{1,2})", text)
    zones = {zone for _, zone in pairs}
    if len({zone.isupper() for zone in zones}) > 1:
        raise Wrong("K008", f"'{clip(whole)}': {text} mixes a nut's and a bolt's class.")
    known = {"e", "f", "g", "h", "az", "G", "H", "AZ", "a", "b", "A", "B", "c", "d"}
    strange = sorted(zones - known)
    if strange:
        raise Wrong(
            "K008",
            f"'{clip(whole)}': ISO 965 has no thread class {text}; write 6H (or 6G) for a nut "
            "thread, 6g (or 6h, 6e) for a bolt thread.",
        )
    return text


def _inside(tail: _Tail, by_class: bool | None) -> bool | None:
    """Whether a nut thread, by words first, then by class, else unknown."""
    return tail.said if tail.said is not None else by_class

"""ISO metric threads: series (ISO 261), profile (ISO 68-1, 724), tolerances (ISO 965), core holes.

The tables and their sources stand in ``thread_tables``. Seen on printed pages: M10x1.5-6g whole,
the pitch-diameter tolerances 6H of M3, M4 and M5, and the deviation of 6az (ISO 965-4) at M10.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal

from rfq.engine.standards.limits import NoSuchZone, NotInTable
from rfq.engine.standards.thread_tables import (
    BLIND_OVERRUN_MM,
    BOLT_MAJOR_6_UM,
    BOLT_MAJOR_STEPS,
    BOLT_PITCH_6_UM,
    BOLT_PITCH_STEPS,
    CORE_DRILL_MM,
    DIAMETER_BANDS_MM,
    FINE_PITCHES_MM,
    FUNDAMENTAL_UM,
    NUT_MINOR_6_UM,
    NUT_MINOR_STEPS,
    NUT_PITCH_STEPS,
    PIPE_G,
    R40,
)
from rfq.model.series import COARSE_PITCH_MM
from rfq.model.spec import Thread, number

_D2 = Decimal("0.649519053")  # 2 x 3/8 H, with H = sqrt(3)/2 P: ISO 68-1
_D1 = Decimal("1.082531755")  # 2 x 5/8 H
_D3 = Decimal("1.226869322")  # 2 x 17/24 H: root of the bolt at radius H/6 (ISO 68-1)
_ROOT_LEAST = Decimal("0.616025404")  # H - 2 x 0.125 P: root at the least radius 0.125 P
_MICRON = Decimal("0.001")


@dataclass(frozen=True, slots=True)
class ThreadLimits:
    """Limits of a metric thread in mm.

    Args:
        internal: nut thread.
        major_min_mm, major_max_mm: major diameter; a nut has only a least one (max is None).
        pitch_min_mm, pitch_max_mm: pitch diameter.
        minor_min_mm, minor_max_mm: minor diameter (of a bolt: its root, for the rounded root).
        basis: standard and class.
    """

    internal: bool
    major_min_mm: Decimal
    major_max_mm: Decimal | None
    pitch_min_mm: Decimal
    pitch_max_mm: Decimal
    minor_min_mm: Decimal
    minor_max_mm: Decimal
    basis: str

    @property
    def pitch_tolerance_um(self) -> Decimal:
        """Width of the pitch-diameter tolerance, um."""
        return (self.pitch_max_mm - self.pitch_min_mm) * 1000


def round_r40(value_um: Decimal, steps: int = 0) -> Decimal:
    """The nearest step of R40 and ``steps`` further, printed as ISO 965-1 prints it (um).

    Below 100 um the tables print whole micrometres (47.5 as 48, 42.5 as 42).

    >>> [str(round_r40(Decimal(v))) for v in ("130.18", "84", "47", "233.29")]
    ['132', '85', '48', '236']
    >>> round_r40(Decimal(132), 5)
    Decimal('180')
    """
    if value_um <= 0:
        raise ValueError(f"a tolerance of {value_um} um is none")
    scale = value_um.adjusted() - 1
    lead = value_um.scaleb(-scale)
    ladder = (*R40, Decimal(100))
    place = min(range(len(ladder)), key=lambda n: abs(ladder[n] - lead)) + steps
    tens, rung = divmod(place, len(R40))
    printed = R40[rung].scaleb(scale + tens)
    return Decimal(int(printed.to_integral_value(ROUND_HALF_EVEN)))


def pitch_diameter_mm(size_mm: Decimal, pitch_mm: Decimal) -> Decimal:
    """Basic pitch diameter d2 = d - 0.6495 P (ISO 724), mm.

    >>> round(pitch_diameter_mm(Decimal(10), Decimal("1.5")), 3)
    Decimal('9.026')
    """
    return size_mm - _D2 * pitch_mm


def minor_diameter_mm(size_mm: Decimal, pitch_mm: Decimal) -> Decimal:
    """Basic minor diameter d1 = d - 1.0825 P (ISO 724), mm.

    >>> round(minor_diameter_mm(Decimal(10), Decimal("1.5")), 3)
    Decimal('8.376')
    """
    return size_mm - _D1 * pitch_mm


def in_series(size_mm: Decimal, pitch_mm: Decimal) -> bool:
    """Whether ISO 261 lists this size with this pitch.

    >>> in_series(Decimal(8), Decimal(1)), in_series(Decimal(10), Decimal("0.5"))
    (True, False)
    """
    return COARSE_PITCH_MM.get(size_mm) == pitch_mm or pitch_mm in FINE_PITCHES_MM.get(size_mm, ())


@dataclass(frozen=True, slots=True)
class ThreadClass:
    """A class of ISO 965: grades and position, pitch diameter first.

    Args:
        internal: nut thread.
        pitch_grade, crest_grade: grade of the pitch and of the crest diameter.
        position: 'H', 'G', 'g', 'h', 'e', 'f', 'az' ...
    """

    internal: bool
    pitch_grade: str
    crest_grade: str
    position: str


def read_class(text: str) -> ThreadClass:
    """The grades and position of '6H', '6g', '5g6g' or '6az'.

    Raises:
        NoSuchZone: no class of ISO 965.

    >>> read_class("5g6g")
    ThreadClass(internal=False, pitch_grade='5', crest_grade='6', position='g')
    """
    found = re.fullmatch(r"([3-9])([A-Za-z]{1,2})(?:([3-9])\2)?", text)
    if not found or found[2] not in ("H", "G", "AZ", "e", "f", "g", "h", "az"):
        raise NoSuchZone(f"'{text}' is no thread class of ISO 965; write for example 6H or 6g.")
    return ThreadClass(found[2].isupper(), found[1], found[3] or found[1], found[2])


def thread_limits(size_mm: Decimal, pitch_mm: Decimal, tolerance_class: str) -> ThreadLimits:
    """Limits of a metric thread before coating.

    Args:
        size_mm: nominal diameter. pitch_mm: pitch. tolerance_class: '6H', '6g', '5g6g', '6az'...
    Raises:
        NoSuchZone: no class of ISO 965. NotInTable: a size, pitch or grade not held here.
    Source: ISO 965-1; see ``thread_tables``. 6az: ISO 965-4, -(300 + 20 P) um, seen for M10.

    >>> found = thread_limits(Decimal(10), Decimal("1.5"), "6g")
    >>> found.major_max_mm, found.major_min_mm, found.pitch_max_mm, found.pitch_min_mm
    (Decimal('9.968'), Decimal('9.732'), Decimal('8.994'), Decimal('8.862'))
    >>> nut = thread_limits(Decimal(6), Decimal(1), "6H")
    >>> nut.minor_min_mm, nut.minor_max_mm, nut.pitch_max_mm
    (Decimal('4.917'), Decimal('5.153'), Decimal('5.500'))
    """
    cls = read_class(tolerance_class)
    name = f"M{number(size_mm)}x{number(pitch_mm)}-{tolerance_class}"
    gap = _fundamental_mm(cls.position, pitch_mm, name)
    pitch = pitch_diameter_mm(size_mm, pitch_mm)
    steps = NUT_PITCH_STEPS if cls.internal else BOLT_PITCH_STEPS
    on_pitch = _tolerance_mm(_pitch_6_um(size_mm, pitch_mm), steps, cls.pitch_grade, name)
    basis = f"ISO 965-1, {name}"
    if cls.internal:
        on_crest = _tolerance_mm(
            NUT_MINOR_6_UM.get(pitch_mm), NUT_MINOR_STEPS, cls.crest_grade, name
        )
        pitch_min = _micron(pitch + gap)
        minor_min = _micron(minor_diameter_mm(size_mm, pitch_mm) + gap)
        return ThreadLimits(
            True,
            _micron(size_mm + gap),
            None,
            pitch_min,
            pitch_min + on_pitch,
            minor_min,
            minor_min + on_crest,
            basis,
        )
    on_crest = _tolerance_mm(BOLT_MAJOR_6_UM.get(pitch_mm), BOLT_MAJOR_STEPS, cls.crest_grade, name)
    major_max, pitch_max = _micron(size_mm - gap), _micron(pitch - gap)
    return ThreadLimits(
        False,
        major_max - on_crest,
        major_max,
        pitch_max - on_pitch,
        pitch_max,
        _micron(pitch - gap - on_pitch - _ROOT_LEAST * pitch_mm),
        _micron(size_mm - gap - _D3 * pitch_mm),
        basis if cls.position != "az" else f"ISO 965-4, {name} (before galvanising)",
    )


def limits_of_thread(thread: Thread) -> ThreadLimits:
    """Limits of a callout's thread; without a class the medium one, 6H or 6g (ISO 965-1).

    Raises:
        NotInTable: not a metric thread, or a size not held here.

    >>> limits_of_thread(Thread("M", Decimal(6), Decimal(1))).basis
    'ISO 965-1, M6x1-6H'
    """
    if not thread.metric or thread.pitch is None:
        raise NotInTable(f"Limits of {thread.system} threads are not in our table; it holds ISO M.")
    default = "6H" if thread.internal else "6g"
    return thread_limits(thread.size, thread.pitch, thread.tolerance_class or default)


def core_drill_mm(thread: Thread) -> Decimal:
    """Drill for the core hole of a tapped thread, mm.

    Raises:
        NotInTable: a pipe size not held here.
    Source: DIN 336 from memory; fine and inch threads by d - P, common practice.

    >>> core_drill_mm(Thread("M", Decimal(6), Decimal(1))), core_drill_mm(
    ...     Thread("MF", Decimal(8), Decimal(1)))
    (Decimal('5'), Decimal('7'))
    """
    if thread.system == "G":
        if thread.label not in PIPE_G:
            raise NotInTable(f"Pipe thread G{thread.label} is not in our table.")
        return PIPE_G[thread.label][2]
    if thread.system == "M" and thread.size in CORE_DRILL_MM:
        return CORE_DRILL_MM[thread.size]
    major, pitch = thread.major_mm, thread.pitch
    if major is None or pitch is None:
        raise NotInTable(f"No core hole for a {thread.system} thread without a pitch.")
    drill = round(major - pitch, 2)
    return Decimal(number(drill))


def blind_overrun_mm(pitch_mm: Decimal) -> Decimal:
    """How much deeper than the full thread a blind core hole is drilled, usual length, mm.

    Raises:
        NotInTable: a pitch not held here.
    Source: DIN 76-1 (e1, usual), from memory.

    >>> blind_overrun_mm(Decimal(1))
    Decimal('5.1')
    """
    if pitch_mm not in BLIND_OVERRUN_MM:
        raise NotInTable(f"The overrun for pitch {number(pitch_mm)} mm is not in our table.")
    return BLIND_OVERRUN_MM[pitch_mm]


def _fundamental_mm(position: str, pitch_mm: Decimal, name: str) -> Decimal:
    """Distance between the basic profile and the zone, mm, never negative."""
    if position in ("h", "H"):
        return Decimal(0)
    if position in ("az", "AZ"):
        return (300 + 20 * pitch_mm) / 1000
    value = FUNDAMENTAL_UM[position.lower()].get(pitch_mm)
    if value is None:
        raise NotInTable(f"{name} is not in our table; position {position} lacks this pitch.")
    return value / 1000


def _pitch_6_um(size_mm: Decimal, pitch_mm: Decimal) -> Decimal | None:
    if not DIAMETER_BANDS_MM[0] <= size_mm <= DIAMETER_BANDS_MM[-1]:
        return None
    end = next(end for end in DIAMETER_BANDS_MM[1:] if size_mm <= end)
    return BOLT_PITCH_6_UM[end].get(pitch_mm)


def _tolerance_mm(
    grade_6_um: Decimal | None, steps: dict[str, int], grade: str, name: str
) -> Decimal:
    if grade_6_um is None:
        raise NotInTable(f"{name} is not in our table of ISO 965-1 (size and pitch).")
    if grade not in steps:
        raise NotInTable(
            f"{name}: grade {grade} is not used here; ISO 965-1 has {', '.join(steps)}."
        )
    return round_r40(grade_6_um, steps[grade]) / 1000


def _micron(value: Decimal) -> Decimal:
    return value.quantize(_MICRON, ROUND_HALF_UP)

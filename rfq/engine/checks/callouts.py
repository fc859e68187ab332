"""Checks of callouts: readable, possible, complete, measurable."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from rfq.engine.checks.facts import Facts, about, finding
from rfq.engine.checks.widths import limits_of
from rfq.engine.standards import callout_limits, gauges, roughness
from rfq.model.callout import Callout, Datum, Fit, Geometric, Size, Texture, Thread
from rfq.model.part import Part
from rfq.problems import Problem, Severity

# A fit at or finer than this grade on a seat needs its form said.
SEAT_GRADE = 8  # common practice, no source
# Thread depth in internal threads above this many diameters only breaks taps.
LONGEST_THREAD = Decimal("2.5")  # common practice, no source
_FORMS = ("roundness", "cylindricity", "straightness")


def readable(facts: Facts) -> Iterator[Problem]:
    """Every callout's short form can be read, and says what it is for."""
    for part in facts.parts:
        if not part.callouts:
            yield finding(
                "C221", Severity.ASK, facts.at_part(part, "callouts"),
                f"{part.number} has no callouts",
                why="every face is then priced alike, tight or not",
                right="[[callouts]] for fits, threads and seal faces at least",
                subject=part.number,
            )  # fmt: skip
        for callout in part.callouts:
            for problem in callout.spec.problems:
                yield about(
                    problem, part, facts.at_callout(part, callout), callout=callout,
                    why="a shop reads it as it can",
                )  # fmt: skip


def fits(facts: Facts) -> Iterator[Problem]:
    """A fit is in the table, its printed deviations agree, and a seat says its form."""
    for part in facts.parts:
        specs = list(facts.specs(part))
        formed = any(
            isinstance(spec, Geometric) and spec.characteristic in _FORMS for _, spec in specs
        )
        for callout, spec in specs:
            if not isinstance(spec, Fit):
                continue
            for problem in callout_limits.limits_of(spec).problems:
                yield about(
                    problem, part, facts.at_callout(part, callout), callout=callout,
                    why="nobody can compute its limits, or two people differently",
                )  # fmt: skip
            seat = spec.grade.isdigit() and int(spec.grade) <= SEAT_GRADE
            if (
                seat
                and callout.critical
                and facts.request.rule_set == "ISO GPS"
                and not (callout.has_envelope or formed)
            ):
                yield finding(
                    "C224", Severity.ASK, facts.at_callout(part, callout, "envelope"),
                    f"{part.number}, callout {callout.number}: {callout.text} is a seat without "
                    "envelope requirement or form tolerance",
                    why="under ISO 8015 a two-point size lets the seat be bent or lobed",
                    right="envelope = true, or a roundness or cylindricity", subject=part.number,
                )  # fmt: skip


def textures(facts: Facts) -> Iterator[Problem]:
    """Roughness fits the tolerance on the same face and the process that can make it."""
    for part in facts.parts:
        specs = list(facts.specs(part))
        for callout, spec in specs:
            if not isinstance(spec, Texture) or spec.parameter != "Ra":
                continue
            widths = [
                limits.width_mm * 1000
                for other, other_spec in specs
                if isinstance(other_spec, (Fit, Size))
                and other.what
                and other.what == callout.what
                and (limits := limits_of(other_spec)) is not None
            ]
            process = "turning" if part.shape and part.shape.kind == "turned" else "milling"
            for problem in roughness.check_ra(
                spec.value_um, min(widths) if widths else None, process
            ):
                yield about(
                    problem, part, facts.at_callout(part, callout), callout=callout,
                    why="the peaks are worn or cut off, or another process is paid",
                )  # fmt: skip


def threads(facts: Facts) -> Iterator[Problem]:
    """A thread says class and depth, and its depth fits the part."""
    for part in facts.parts:
        for callout, spec in facts.specs(part):
            if not isinstance(spec, Thread):
                continue
            if spec.metric and not spec.tolerance_class:
                yield finding(
                    "C225", Severity.NOTE, facts.at_callout(part, callout),
                    f"{part.number}, callout {callout.number}: {callout.text} without a class",
                    why="6H and 6g are meant by most, written by few", right="M..-6H or -6g",
                    subject=part.number,
                )  # fmt: skip
            if spec.internal and spec.depth_mm is None and not spec.through:
                yield finding(
                    "C226", Severity.ASK, facts.at_callout(part, callout),
                    f"{part.number}, callout {callout.number}: {callout.text} says neither depth "
                    "nor through",
                    why="the deepest thread that fits is drilled, at your cost",
                    right="such as x 12, or through", subject=part.number,
                )  # fmt: skip
            yield from _depth(facts, part, callout, spec)


def _depth(facts: Facts, part: Part, callout: Callout, spec: Thread) -> Iterator[Problem]:
    major = spec.major_mm
    if not spec.internal or spec.depth_mm is None or major is None:
        return
    if spec.depth_mm > LONGEST_THREAD * major:
        yield finding(
            "C227", Severity.ASK, facts.at_callout(part, callout),
            f"{part.number}, callout {callout.number}: a thread {spec.depth_mm} deep is "
            f"{spec.depth_mm / major:.1f} times its diameter",
            why="beyond about 2 diameters it holds no better and breaks taps",
            right=f"{2 * major:g} mm", subject=part.number,
        )  # fmt: skip
    if callout.depth_mm is not None and spec.depth_mm > callout.depth_mm:
        yield finding(
            "C228", Severity.STOP, facts.at_callout(part, callout, "depth_mm"),
            f"{part.number}, callout {callout.number}: a thread {spec.depth_mm} deep in a wall "
            f"of {callout.depth_mm}",
            why="it comes out on the other side", right="a smaller depth, or through",
            subject=part.number,
        )  # fmt: skip


def datums(facts: Facts) -> Iterator[Problem]:
    """Every datum letter used is a datum of the part."""
    for part in facts.parts:
        named = {spec.letter for _, spec in facts.specs(part) if isinstance(spec, Datum)}
        for callout, spec in facts.specs(part):
            if not isinstance(spec, Geometric):
                continue
            letters = {letter for datum in spec.datums for letter in datum.split("(")[0].split("-")}
            for letter in sorted(letters - named):
                yield finding(
                    "C229", Severity.ASK, facts.at_callout(part, callout),
                    f"{part.number}, callout {callout.number}: datum {letter} is used but no "
                    "callout names it",
                    why="whoever measures has to guess what to align to",
                    right=f'a callout "datum {letter}"', subject=part.number,
                )  # fmt: skip


def measurable(facts: Facts) -> Iterator[Problem]:
    """The usual gauge can decide about the tolerance."""
    for part in facts.parts:
        general = part.general_tolerance or facts.request.general_tolerance
        for callout, spec in facts.specs(part):
            limits = limits_of(spec, general) if isinstance(spec, (Fit, Size, Geometric)) else None
            if limits is None or limits.width_mm <= 0 or callout.measured_with:
                continue  # whoever names a gauge has thought about it
            means = gauges.usual_means(spec, limits.width_mm)
            for problem in gauges.check_means(means, limits.width_mm):
                yield about(
                    problem, part, facts.at_callout(part, callout), callout=callout,
                    why="results near a limit then prove nothing",
                )  # fmt: skip


CHECKS = (readable, fits, textures, threads, datums, measurable)

"""Bores that look like core holes of metric threads: a question for the user, never an answer."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from rfq.engine.standards.threads import core_drill_mm, minor_diameter_mm
from rfq.geometry.shape import Bore, MeasuredShape
from rfq.model.series import COARSE_PITCH_MM
from rfq.model.spec import Thread, canonical

_DRILL_MM, _MINOR_MM = 0.06, 0.02
"""How near a bore must be to the core drill or the minor diameter; common practice, no source."""

_LARGEST = Decimal(36)


@dataclass(frozen=True, slots=True)
class LikelyThread:
    """Bores of one size that may be tapped, with the thread to ask about."""

    bore: Bore
    thread: Thread
    drill_mm: float

    @property
    def question(self) -> str:
        """What to ask the user."""
        many = f"{self.bore.count} bores" if self.bore.count > 1 else "a bore"
        reach = "through" if self.bore.through else f"{self.bore.depth_mm:g} deep"
        return (
            f"{many} of {self.bore.diameter_mm:g} mm, {reach}, would be the core hole of"
            f" {canonical(self.thread)}: threaded, or plain?"
        )


def likely_threads(shape: MeasuredShape) -> tuple[LikelyThread, ...]:
    """Bores whose diameter is that of a coarse thread's core drill or of its minor diameter."""
    sizes = []
    for size, pitch in COARSE_PITCH_MM.items():
        if size > _LARGEST:
            continue
        thread = Thread("M", size, pitch, internal=True)
        try:
            drill = core_drill_mm(thread)
        except LookupError:  # not tabled: no question about it
            continue
        sizes.append((thread, float(drill), float(minor_diameter_mm(size, pitch))))
    found = []
    for bore in shape.bores:
        if bore.depth_mm < 0.5 * bore.diameter_mm:
            continue
        # a modelled minor diameter is exact; 6.6 for M6 to pass must not ask about M8 (6.647)
        near = [
            (
                min(
                    abs(bore.diameter_mm - drill) / _DRILL_MM,
                    abs(bore.diameter_mm - minor) / _MINOR_MM,
                ),
                n,
            )
            for n, (_, drill, minor) in enumerate(sizes)
        ]
        gap, place = min(near)
        if gap <= 1.0:
            found.append(LikelyThread(bore, sizes[place][0], sizes[place][1]))
    return tuple(found)

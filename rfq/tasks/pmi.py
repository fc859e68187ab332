"""Dimensions and tolerances written in a model: listed with their misses, taken one by one."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rfq.geometry.callouts import CalloutCandidate, candidates
from rfq.geometry.pins import pin
from rfq.geometry.shape import MeasuredShape
from rfq.model.callout import Callout
from rfq.model.part import Part
from rfq.problems import Place, Problem
from rfq.tasks.done import Done, Stopped
from rfq.tasks.measure import measured_shape, part_with_model, store
from rfq.tasks.open import opened


@dataclass(frozen=True, slots=True)
class Proposed:
    """A candidate with its number in the list.

    Args:
        number: 1 and up, as named to accept it.
        kind: what it is, in the file's words. text: short form; '' where there is none.
        faces: how many faces it speaks of. view: where it would be pinned, '' for nowhere.
        standing: why it cannot be taken, or the balloon number of an equal callout; else ''.
    """

    number: int
    kind: str
    text: str
    faces: int
    view: str
    standing: str


@dataclass(frozen=True, slots=True)
class Pmi:
    """What a model says about its tolerances, counted honestly.

    Args:
        proposed: every candidate.
        missed: what was met and not understood, one sentence each.
        counts: in words.
        added: callouts taken into the part now.
    """

    proposed: tuple[Proposed, ...]
    missed: tuple[str, ...]
    counts: str
    added: tuple[Callout, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """Return it as plain values."""
        return {
            "candidates": [
                {
                    "number": one.number,
                    "kind": one.kind,
                    "text": one.text,
                    "faces": one.faces,
                    "view": one.view,
                    "standing": one.standing,
                }
                for one in self.proposed
            ],
            "not_understood": list(self.missed),
            "counts": self.counts,
            "added": [{"number": one.number, "text": one.text} for one in self.added],
        }


def pmi_of(path: Path, number: str, *, accept: Sequence[int] = ()) -> Done[Pmi | None]:
    """List the candidates of a part's model; those accepted become callouts of the part.

    Balloon numbers go on from the highest; the place is pinned where the model tells it.

    Args:
        path: the project. number: the part.
        accept: numbers of the list.
    Raises:
        Stopped: no such part or model; a number that is not in the list or cannot be taken.
        MissingExtra: the geometry kernel is not installed.
    """
    here = opened(path)
    part = part_with_model(here, number)
    reading = measured_shape(here, part)
    shape = reading.value
    if shape is None:
        return Done(None, reading.problems)
    found = candidates(shape)
    proposed = tuple(_proposed(n, one, part, shape) for n, one in enumerate(found, start=1))
    wanted = tuple(dict.fromkeys(accept))
    _refuse(part, proposed, wanted)
    first = _next_balloon(part)
    added = tuple(
        found[n - 1].as_callout(str(first + k), _pin(found[n - 1], shape))
        for k, n in enumerate(wanted)
    )
    written: tuple[Path, ...] = ()
    if added:
        new = part.model_copy(update={"callouts": (*part.callouts, *added)})
        written = store(here, part, new, "callouts taken from the model", shape)
    pmi = shape.pmi
    without = sum(not one.text for one in found)
    counts = (
        f"{len(pmi.dimensions)} dimensions, {len(pmi.tolerances)} geometrical tolerances and "
        f"{len(pmi.datums)} datum letters read; {without} of them without a short form here; "
        f"{len(pmi.not_understood)} met and not understood"
    )
    missed = (*(one.refused for one in found if one.refused), *pmi.not_understood)
    return Done(Pmi(proposed, missed, counts, added), reading.problems, written)


def _proposed(number: int, one: CalloutCandidate, part: Part, shape: MeasuredShape) -> Proposed:
    pinned = _pin(one, shape)
    equal = next((c.number for c in part.callouts if one.text and c.text == one.text), "")
    standing = one.refused or (f"equals callout {equal}" if equal else "")
    return Proposed(
        number,
        one.found.kind if one.found else "datum",
        one.text,
        one.found.faces if one.found else 0,
        pinned.view if pinned else "",
        standing,
    )


def _pin(one: CalloutCandidate, shape: MeasuredShape) -> Any:
    return pin(shape, one.found.position, one.found.direction) if one.found else None


def _refuse(part: Part, proposed: tuple[Proposed, ...], wanted: Sequence[int]) -> None:
    problems = []
    for n in wanted:
        if not 1 <= n <= len(proposed):
            listed = f"it lists 1 to {len(proposed)}" if proposed else "it has none"
            said = f"the model of {part.number} has no candidate {n}; {listed}."
        elif not proposed[n - 1].text:
            said = f"candidate {n} has no short form: {proposed[n - 1].standing}."
        else:
            continue
        problems.append(Problem("G043", said, Place(part.model.path if part.model else "")))
    if problems:
        raise Stopped(tuple(problems))


def _next_balloon(part: Part) -> int:
    """One above the highest number a balloon starts with ('3a' counts as 3)."""
    numbers = [int(found[0]) for c in part.callouts if (found := re.match(r"\d+", c.number))]
    return max(numbers, default=0) + 1

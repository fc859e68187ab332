"""The bodies of a STEP file, each with a STEP file of its own: an assembly taken apart."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from rfq.geometry.child import Limits, work_in_children
from rfq.geometry.measure import step_bytes
from rfq.geometry.shape import Body
from rfq.problems import Place, Problem, Reading, TooMuch


@dataclass(frozen=True, slots=True)
class Apart:
    """A body, how often the file has it, and the bytes of its own file."""

    body: Body
    data: bytes


def bodies_apart(path: Path, *, limits: Limits | None = None) -> Reading[tuple[Apart, ...]]:
    """The different bodies of a file, in its order; of a file with one body that is itself.

    PMI does not go along: it belongs to the file.

    Args:
        path: the file. limits: bounds on size, time and memory.

    Problems: G001 to G006 as ``measure``.

    Raises:
        Unreadable: the file cannot be opened.
        MissingExtra: the geometry kernel is not installed.
        TooMuch: the file is beyond the limits.
    """
    limits, place = limits or Limits(), Place(path.name)
    data = step_bytes(path, limits)
    if isinstance(data, tuple):
        return Reading(None, (Problem(*data, place),))
    answer = work_in_children(("separate",), data, path.name, 0, limits)["separate"]
    if isinstance(answer, TooMuch):
        raise answer
    if answer is None:
        message = "makes the geometry kernel fail; repair or export it again"
        return Reading(None, (Problem("G005", message, place),))
    told = json.loads(answer)
    if "refused" in told:
        return Reading(None, (Problem(str(told["refused"]), str(told["message"]), place),))
    found = tuple(Apart(_body(one["body"]), one["text"].encode("ascii")) for one in told["found"])
    if len(found) == 1 and found[0].body.count == 1:
        found = (Apart(found[0].body, data),)  # as it came, PMI and all
    return Reading(found)


def _body(told: dict[str, object]) -> Body:
    from pydantic import TypeAdapter  # heavy: only where an answer is read

    return TypeAdapter(Body).validate_python(told)

"""Checks of drawings and models: there, unchanged, of this revision, usable."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from rfq.engine.checks.facts import Facts, finding
from rfq.model.part import FileRef, Part
from rfq.problems import Problem, Severity


def attached(facts: Facts) -> Iterator[Problem]:
    """Every part has a drawing or a model, as it was when it was attached."""
    for part in facts.parts:
        if part.drawing is None and part.model is None:
            yield finding(
                "C201", Severity.STOP, facts.at_part(part, "drawing"),
                f"{part.number} has neither drawing nor model",
                why="a shop cannot quote a part it cannot see",
                right="[drawing] or [model] with a path", subject=part.number,
            )  # fmt: skip
        elif part.drawing is None:
            yield finding(
                "C202", Severity.ASK, facts.at_part(part, "drawing"),
                f"{part.number} has a model and no drawing",
                why="a model carries no threads, fits or roughness; the data sheet then governs",
                right="a drawing, or the callouts complete", subject=part.number,
            )  # fmt: skip
        for name, ref in (("drawing", part.drawing), ("model", part.model)):
            if ref is not None:
                yield from _one(facts, part, name, ref)
        for index, ref in enumerate(part.files):
            yield from _one(facts, part, f"files.{index}", ref)


def _one(facts: Facts, part: Part, field: str, ref: FileRef) -> Iterator[Problem]:
    place = facts.at_part(part, f"{field}.path")
    for problem in facts.files.get(ref.path, ()):
        yield replace(
            problem, place=place, subject=part.number,
            why="shops quote the file they open, and the package goes out with it",
        )  # fmt: skip
    named = revision_in_name(ref.path, part.number)
    if named and named.upper() != part.revision.upper():
        yield finding(
            "C203", Severity.STOP, place,
            f"{part.number}: {ref.path} is named as revision {named}, the part is at "
            f"revision {part.revision}",
            why="shops quote the file they open", right=f"the file of revision {part.revision}",
            subject=part.number,
        )  # fmt: skip


def revision_in_name(path: str, number: str) -> str:
    """Return the revision that a file's name carries behind the part number, or ''.

    >>> revision_in_name("drawings/SB-110_B.pdf", "SB-110")
    'B'
    >>> revision_in_name("drawings/SB-110.pdf", "SB-110")
    ''
    """
    stem = path.rsplit("/", 1)[-1].rsplit(".", 1)[0]
    if not stem.upper().startswith(number.upper()):
        return ""
    rest = stem[len(number) :].strip("_- .")
    for word in ("revision", "rev", "ind"):
        if rest.lower().startswith(word):
            rest = rest[len(word) :].strip("_- .")
    return rest if 0 < len(rest) <= 3 and rest.isalnum() else ""


CHECKS = (attached,)

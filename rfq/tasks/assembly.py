"""Take the bodies of a STEP file in as parts, each with a model of its own and its figures."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Sequence
from pathlib import Path

from rfq.engine.standards import materials
from rfq.geometry.bodies import Apart, bodies_apart
from rfq.geometry.measure import measure
from rfq.geometry.shape import Body
from rfq.geometry.typed import typed_figures
from rfq.intake.parts_list import file_part
from rfq.model.part import FileRef, Part, Shape
from rfq.problems import Place, Problem, RfqError, Severity
from rfq.store.files import sha256_bytes
from rfq.store.save import changes
from rfq.tasks.done import Done, Stopped
from rfq.tasks.measure import CACHE
from rfq.tasks.open import Opened, opened

ENDINGS = (".step", ".stp")


def list_bodies(source: Path) -> Done[tuple[Body, ...]]:
    """The different bodies of a STEP file with their counts and sizes, to choose from.

    Raises:
        MissingExtra: the geometry kernel is not installed.
    """
    reading = bodies_apart(source)
    return Done(tuple(one.body for one in reading.value or ()), reading.problems)


def take_bodies(
    path: Path, source: Path, *, replace: bool = False, only: Sequence[int] = ()
) -> Done[tuple[Part, ...]]:
    """Take a STEP file's bodies in as parts.

    Each body becomes a STEP file of its own in the project, so that a shop that quotes one part
    is not sent the assembly. A file of one body keeps its bytes and its number and revision are
    read from its name.

    Args:
        path: the project. source: the STEP file.
        replace: parts that are there already get this model and its figures, and keep what a model
            cannot tell; else they are left and named.
        only: numbers of bodies, as ``list_bodies`` gives them; empty: all.
    Raises:
        Stopped: a number in ``only`` is no body of the file.
        MissingExtra: the geometry kernel is not installed.
    """
    here = opened(path)
    reading = bodies_apart(source)
    if reading.value is None:
        return Done((), reading.problems)
    chosen = _chosen(reading.value, only, source.name)
    problems: list[Problem] = list(reading.problems)
    taken: list[tuple[Part, bytes]] = []
    names = _numbers(reading.value, source)
    for one in chosen:
        number, revision = names[one.body.number]
        if number in here.project.parts and not replace:
            problems.append(
                Problem(
                    "P130",
                    f"part {number} is there already and was left as it is "
                    "(--replace gives it this model and its figures).",
                    Place(source.name, path=f"body {one.body.number}"),
                    Severity.NOTE,
                    subject=number,
                )
            )
            continue
        before = here.project.parts.get(number)
        shape, remarks = _shape(here, one, before, source.name)
        problems += remarks
        part = _part(one, number, revision, source.name)
        if before is not None:
            part = before.model_copy(update={"model": part.model})
        taken.append((part.model_copy(update={"shape": shape or part.shape}), one.data))
    if not taken:
        return Done((), tuple(problems))
    with changes(
        here.folder, "parts taken from a model", project=here.project, file=source.name,
        detail=", ".join(part.number for part, _ in taken),
    ) as change:  # fmt: skip
        for part, data in taken:
            assert part.model is not None
            kept = here.folder / part.model.path
            if kept.exists() and kept.read_bytes() != data:  # what was attached stays as it is
                other = f"models/{part.number}_{part.revision}_{part.model.sha256[:8]}.step"
                ref = FileRef(path=other, sha256=part.model.sha256)
                part = part.model_copy(update={"model": ref})
            assert part.model is not None
            change.keep(part.model.path, data)
            change.put(part)
    return Done(tuple(part for part, _ in taken), tuple(problems), change.written)


def _chosen(found: tuple[Apart, ...], only: Sequence[int], file: str) -> tuple[Apart, ...]:
    known = {one.body.number for one in found}
    for number in only:
        if number not in known:
            said = f"has no body {number}; it has 1 to {len(found)} (--list shows them)."
            raise Stopped((Problem("G007", said, Place(file)),))
    return tuple(one for one in found if not only or one.body.number in only)


def _numbers(found: tuple[Apart, ...], source: Path) -> dict[int, tuple[str, str]]:
    """Part number and revision of each body: from its name, else from the file's."""
    if len(found) == 1:
        number, revision = file_part(source.name)
        return {found[0].body.number: (_plain(number) or "part", revision or "A")}
    numbers: dict[int, tuple[str, str]] = {}
    used: set[str] = set()
    for one in found:
        unnamed = one.body.name == f"body {one.body.number}"
        wanted = "" if unnamed else _plain(one.body.name)
        number = wanted or f"{_plain(source.stem) or 'part'}-{one.body.number}"
        again = 2
        while number.lower() in used:  # a mirrored part of the same name, for one
            number, again = f"{wanted or 'part'}-{again}", again + 1
        used.add(number.lower())
        numbers[one.body.number] = (number, "A")
    return numbers


def _plain(text: str) -> str:
    """What can be a part number of a text."""
    return re.sub(r"[^A-Za-z0-9._+ -]+", "-", text).strip(" .-_+")[:50]


def _shape(
    here: Opened, one: Apart, before: Part | None, file: str
) -> tuple[Shape | None, tuple[Problem, ...]]:
    """The figures of a body; a body that cannot be measured is taken without and said."""
    with tempfile.TemporaryDirectory(prefix="rfq-body-") as folder:
        path = Path(folder) / f"{_plain(one.body.name) or 'body'}.step"
        path.write_bytes(one.data)
        try:
            reading = measure(path, cache=here.folder / CACHE)
        except RfqError as error:
            place = Place(file, path=f"body {one.body.number}")
            return None, (Problem("G040", str(error), place, Severity.ASK),)
    if reading.value is None:
        return None, tuple(
            Problem(p.code, p.message, Place(file, path=f"body {one.body.number}"), Severity.ASK)
            for p in reading.problems
        )
    material = materials.find(before.material).value if before else None
    density = material.density_kg_m3 if material else None
    return typed_figures(reading.value, density), reading.problems


def _part(one: Apart, number: str, revision: str, file: str) -> Part:
    digest = sha256_bytes(one.data)
    name = one.body.name if not one.body.name.startswith("body ") else number
    note = f"{one.body.count} of it in {file}" if one.body.count > 1 else ""
    return Part(
        number=number,
        revision=revision,
        name=name,
        material="to be said",
        model=FileRef(path=f"models/{number}_{revision}.step", sha256=digest),
        internal_note=note,
    )

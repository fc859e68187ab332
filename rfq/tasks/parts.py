"""Take parts in: a parts list, or a folder of drawings and models."""

from __future__ import annotations

import re
from dataclasses import replace as replace_value
from pathlib import Path

from rfq.engine.standards.materials import find, split_designation
from rfq.intake.parts_list import ListedPart, pair_files, read_parts_list
from rfq.model.part import FileRef, Part
from rfq.model.request import Request, RequestLine
from rfq.problems import Place, Problem, Severity
from rfq.store.files import sha256_bytes
from rfq.store.save import changes
from rfq.tasks.assembly import ENDINGS, take_bodies
from rfq.tasks.done import Done
from rfq.tasks.open import Opened, opened


def take_parts(path: Path, source: Path, *, replace: bool = False) -> Done[tuple[Part, ...]]:
    """Take parts from a list, a STEP file's bodies, or a folder's drawings and models.

    Args:
        path: the project. source: a list (CSV, XLSX), a STEP file or a folder.
        replace: overwrite parts that are there already; else they are left and named.
    """
    if source.suffix.lower() in ENDINGS:
        return take_bodies(path, source, replace=replace)
    here = opened(path)
    return _folder(here, source) if source.is_dir() else _list(here, source, replace)


def _list(here: Opened, source: Path, replace: bool) -> Done[tuple[Part, ...]]:
    reading = read_parts_list(source)
    if reading.value is None:
        return Done((), reading.problems)
    problems = list(reading.problems)
    taken: list[ListedPart] = []
    for listed in reading.value:
        part = listed.part
        if part.number in here.project.parts and not replace:
            problems.append(
                Problem(
                    "P130",
                    f"part {part.number} is there already and was left as it is "
                    "(--replace overwrites it).",
                    Place(source.name),
                    Severity.NOTE,
                    subject=part.number,
                )
            )
            continue
        taken.append(replace_value(listed, part=_with_temper(part)))
    if not taken:
        return Done((), tuple(problems))
    request = here.project.request()
    with changes(
        here.folder, "parts taken in", project=here.project, file=source.name,
        detail=", ".join(listed.part.number for listed in taken),
    ) as change:  # fmt: skip
        for listed in taken:
            change.put(listed.part)
        if request is not None and request.state == "open":
            longer = _with_lines(request, taken)
            if longer != request:
                change.put(longer)
            problems += _not_asked_yet(longer, taken)
    return Done(tuple(listed.part for listed in taken), tuple(problems), change.written)


def _with_temper(part: Part) -> Part:
    """'6082-T651' in one cell is an alloy and its temper."""
    alloy, temper = split_designation(part.material)
    if not temper or part.temper:
        return part
    known = find(alloy).value
    material = known.designation if known is not None else alloy
    return part.model_copy(update={"material": material, "temper": temper})


def _with_lines(request: Request, taken: list[ListedPart]) -> Request:
    """Ask for what the list gives a quantity for; the others are named, not guessed."""
    there = {line.part for line in request.lines}
    new = tuple(
        RequestLine(part=listed.part.number, quantities=listed.quantities)
        for listed in taken
        if listed.quantities and listed.part.number not in there
    )
    return request.model_copy(update={"lines": (*request.lines, *new)})


def _not_asked_yet(request: Request, taken: list[ListedPart]) -> list[Problem]:
    there = {line.part for line in request.lines}
    silent = [listed.part.number for listed in taken if listed.part.number not in there]
    if not silent:
        return []
    return [
        Problem(
            "P132",
            f"{', '.join(silent[:5])}{' ...' if len(silent) > 5 else ''}: the list gives no "
            f"quantity, so request {request.id} does not ask for it yet; add it to its lines.",
            Place(f"requests/{request.id}/request.toml"),
            Severity.NOTE,
        )
    ]


def _folder(here: Opened, source: Path) -> Done[tuple[Part, ...]]:
    """Copy drawings and models into the project, attached with hash; new numbers become parts."""
    paired = pair_files(source)
    problems = list(paired.problems)
    taken: list[Part] = []
    with changes(here.folder, "files attached", project=here.project, file=source.name) as change:
        for pair in paired.value or ():
            part = here.project.parts.get(pair.number) or Part(
                number=pair.number,
                revision=pair.revision or "A",
                name=pair.number,
                material="to be said",
            )
            fresh: dict[str, FileRef] = {}
            for role, file in (("drawing", pair.drawing), ("model", pair.model)):
                if file is None:
                    continue
                data = file.read_bytes()
                ending = re.sub(r"[^a-z0-9]", "", file.suffix.lower())
                home = f"{role}s/{part.number}_{pair.revision or part.revision}.{ending}"
                change.keep(home, data)
                fresh[role] = FileRef(path=home, sha256=sha256_bytes(data), revision=pair.revision)
            if pair.revision and pair.revision.upper() != part.revision.upper():
                problems.append(
                    Problem(
                        "P131",
                        f"{part.number} is at revision {part.revision}; the files are named "
                        f"{pair.revision}: check which one holds.",
                        Place(source.name),
                        Severity.ASK,
                        subject=part.number,
                    )
                )
            part = part.model_copy(update=dict(fresh))
            change.put(part)
            taken.append(part)
    return Done(tuple(taken), tuple(problems), change.written)

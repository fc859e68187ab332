"""Take parts in: a parts list, or a folder of drawings and models."""

from __future__ import annotations

import re
from pathlib import Path

from rfq.intake.parts_list import pair_files, read_parts_list
from rfq.model.part import FileRef, Part
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
    taken: list[Part] = []
    for part in reading.value:
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
        taken.append(part)
    if not taken:
        return Done((), tuple(problems))
    with changes(
        here.folder, "parts taken in", project=here.project, file=source.name,
        detail=", ".join(part.number for part in taken),
    ) as change:  # fmt: skip
        for part in taken:
            change.put(part)
    return Done(tuple(taken), tuple(problems), change.written)


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

"""The format number of a project folder, and the steps from an older one to the present one.

A step takes the text of all records and returns them as the next format has them; it touches no
disk. The upgrade keeps a copy of every file it changes.
"""

from __future__ import annotations

import io
import tomllib
import zipfile
from collections.abc import Callable, Mapping
from pathlib import Path

from rfq.problems import Place, Problem
from rfq.store.files import INNER, atomic_write, read_bounded
from rfq.store.names import class_of
from rfq.store.save import changes

CURRENT = 1
Records = dict[str, str]  # relative path -> TOML text
Step = Callable[[Records], Records]

# From the format in the key to the next. Format 1 is the first, so there is none yet.
STEPS: Mapping[int, Step] = {}
_MOST = 12_000_000


def format_of(folder: Path) -> int:
    """Return the format number in project.toml; 1 where none can be read there."""
    try:
        table = tomllib.loads(read_bounded(folder / "project.toml", _MOST).decode("utf-8-sig"))
    except (ValueError, RecursionError):
        return CURRENT  # whatever is wrong with the file is said where it is read
    number = table.get("format", CURRENT)
    return number if isinstance(number, int) and not isinstance(number, bool) else CURRENT


def newer_than_known(folder: Path) -> Problem | None:
    """Return the problem of a folder whose format this program does not read, or None."""
    found = format_of(folder)
    if found == CURRENT:
        return None
    if found > CURRENT:
        said = (
            f"this folder has format {found}, this program reads up to {CURRENT}; "
            "install a newer rfq."
        )
    else:
        said = f"this folder has the older format {found}; upgrade it first (a copy is kept)."
    return Problem("S012", said, Place("project.toml"), subject="project")


def upgrade(folder: Path) -> Path | None:
    """Bring an older folder to the present format as one change; return the copy that is kept.

    Returns:
        The zip file with all records as they were, or None where nothing was to do.
    Raises:
        KeyError: no step leads on from the folder's format.
        Unwritable, Locked: nothing was changed.
    """
    found = format_of(folder)
    if found >= CURRENT:
        return None
    before = _records(folder)
    after = {path: data.decode("utf-8-sig") for path, data in before.items()}
    for number in range(found, CURRENT):
        after = STEPS[number](after)
    copy = folder / INNER / f"format-{found}.zip"
    atomic_write(copy, _zipped(before))
    with changes(folder, f"upgraded from format {found} to {CURRENT}", about="project") as change:
        for path in sorted({*before, *after}):
            data = after[path].encode() if path in after else None
            if before.get(path) != data:
                change.replace(path, before.get(path), data)
    return copy


def _records(folder: Path) -> dict[str, bytes]:
    found = {}
    for path in sorted(folder.rglob("*.toml")):
        name = path.relative_to(folder).as_posix()
        if class_of(name) == "record":
            found[name] = read_bounded(path, _MOST)
    return found


def _zipped(records: Mapping[str, bytes]) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in sorted(records.items()):
            archive.writestr(zipfile.ZipInfo(name), data)
    return stream.getvalue()

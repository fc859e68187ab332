"""The format number of a project folder, and the steps from an older one to the present one.

A step takes the text of all records and returns them as the next format has them; it touches no
disk. The upgrade keeps a copy of every file it changes.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path

from rfq.problems import Place, Problem
from rfq.store.files import read_bounded

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

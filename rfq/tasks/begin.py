"""Begin with the demo: a copy of it in a folder of the user's own."""

from __future__ import annotations

import shutil
from pathlib import Path

from rfq.problems import Place, Problem, Unwritable
from rfq.shipped import shipped
from rfq.tasks.done import Done, Stopped


def copy_demo(folder: Path) -> Done[Path]:
    """Copy the demo project; nothing of the job is done on it yet.

    Args:
        folder: must not exist, or be empty.
    Raises:
        Stopped: the folder holds something. Unwritable: it cannot be written.
    """
    if folder.exists() and any(folder.iterdir()):
        raise Stopped(
            (Problem("P120", f"{folder} is not empty; name a new folder.", Place(str(folder))),)
        )
    try:
        shutil.copytree(shipped("demo_project"), folder, dirs_exist_ok=True)
    except OSError as error:
        raise Unwritable(f"{folder} cannot be written: {error}.") from error
    return Done(folder)

"""Let git join two people's versions of a record fact by fact, in this clone."""

from __future__ import annotations

from pathlib import Path

from rfq.store.merge import enable
from rfq.tasks.done import Done
from rfq.tasks.open import find_folder


def join_by_fact(path: Path) -> Done[str]:
    """Name rfq as the merge driver of the clone a project lies in; say what that means.

    Raises:
        NoProject: there is no project.
        Unreadable: it lies in no git repository, or git is not there.
    """
    folder = find_folder(path)
    enable(folder)
    return Done(
        "git now joins records in this clone fact by fact; only where two people changed the same "
        "fact does a conflict remain. Each clone has to be told once."
    )

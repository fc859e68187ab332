"""Take back the last change."""

from __future__ import annotations

from pathlib import Path

from rfq.store.undo import undo_last
from rfq.tasks.done import Done
from rfq.tasks.open import find_folder


def undo_last_change(path: Path) -> Done[str]:
    """Take back the last change made on this machine; say what it was.

    Raises:
        ChangedOnDisk: somebody changed the same files since; nothing is taken back.
    """
    folder = find_folder(path)
    undone = undo_last(folder)
    if undone is None:
        return Done("There is no change to take back.")
    files = ", ".join(undone.paths)
    return Done(f"Taken back: {undone.event.what} ({files}).", (), ())

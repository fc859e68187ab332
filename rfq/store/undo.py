"""The last change undone: previous bytes put back, if nobody has touched the files since."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from rfq.model.event import Event
from rfq.problems import ChangedOnDisk, Unwritable
from rfq.store import journal, recover
from rfq.store.files import lock, sweep

UNDONE = "undone"  # beside the kept changes: new files that an undo took away


@dataclass(frozen=True, slots=True)
class Undone:
    """What was taken back.

    Args:
        event: the journal line of the change taken back.
        paths: files restored or removed, relative to the project.
    """

    event: Event
    paths: tuple[str, ...]


def what_undo_would_take_back(folder: Path) -> Event | None:
    """Return the event that ``undo_last`` would take back, or None."""
    kept = recover.kept_changes(folder)
    change = recover.read_change(kept[-1]) if kept else None
    return change.event if change else None


def undo_last(folder: Path, *, by: str = "", at: datetime | None = None) -> Undone | None:
    """Take back the last change on this machine; return it, or None where there is none.

    The journal keeps the line of the change and gets one that says it was undone. What the
    change added is kept beside the undo records, so that an undo by mistake loses nothing.

    Raises:
        ChangedOnDisk: a file of the change was changed since; nothing is taken back.
        Unwritable, Locked: nothing is taken back.
    """
    who = by or journal.user_name(folder)
    with lock(folder, who=who):
        sweep(folder)
        recover.settle(folder)
        kept = recover.kept_changes(folder)
        change = recover.read_change(kept[-1]) if kept else None
        if change is None:
            return None
        for before in change.files:
            if recover.current_hash(folder / before.path) != before.after:
                raise ChangedOnDisk(
                    f"{before.path} was changed since '{change.event.what}'; "
                    "that change cannot be undone any more."
                )
        _set_aside(folder, kept[-1], change)
        _take_back(folder, kept[-1], change, who, at)
    return Undone(change.event, tuple(before.path for before in change.files))


def _take_back(
    folder: Path, kept: Path, change: recover.Change, who: str, at: datetime | None
) -> None:
    """Do the undoing as a change of its own, so that a kill in the middle leaves it whole."""
    event = Event(
        at=at or journal.now(),
        by=who,
        number=journal.last_number(journal.file_of(folder, who)) + 1,
        what="undone",
        about=change.event.about,
        detail=f"{change.event.what} ({change.event.by}, {change.event.number})",
    )
    recover.begin(folder, recover.reverse(folder, kept, change, event))
    try:
        recover.put_back(folder, change)
        journal.append(folder, event)
    except Unwritable:
        recover.settle(folder)
        raise
    recover.finish(folder)


def _set_aside(folder: Path, kept: Path, change: recover.Change) -> None:
    home = recover.undo_folder(folder) / UNDONE / kept.stem
    for before in change.files:
        source = folder / before.path
        if source.exists():
            target = home / before.path
            recover.copy(source, target)

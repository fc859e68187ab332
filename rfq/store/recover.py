"""A change of several records is whole or did not happen: what was pending is settled here.

Before the first file of a change is touched, the previous bytes of all of them are written to
``.rfq/undo/pending.json``. The journal's line accepts the change; then the file becomes the
newest entry of what can be undone. A kill before the line leaves the pending file, and the next
to come puts the previous bytes back.
"""

from __future__ import annotations

import base64
import contextlib
from pathlib import Path

from pydantic import ValidationError

from rfq.model.base import Value
from rfq.model.event import Event
from rfq.problems import Locked, NoProject, Place, Problem, Severity, Unwritable
from rfq.store import journal
from rfq.store.files import INNER, atomic_write, lock, remove, sha256_bytes, sha256_of, sweep

UNDO = f"{INNER}/undo"
PENDING = "pending.json"
MOST_KEPT = 50  # changes that can be undone, one after the other
MOST_KEPT_BYTES = 100_000_000  # of them all; the newest is kept whatever its size


class Before(Value):
    """One file of a change: what stood there, and the hash of what was to stand there."""

    path: str
    previous: str | None  # base64; None: there was no file
    after: str  # SHA-256; '' where the file was to go

    def bytes(self) -> bytes | None:
        """The previous bytes, or None."""
        return None if self.previous is None else base64.b64decode(self.previous)


class Change(Value):
    """A change of one or several files, accepted by one journal line."""

    event: Event
    files: tuple[Before, ...] = ()
    undoes: str = ""  # name of the kept change that this one takes back


def undo_folder(folder: Path) -> Path:
    """Return where changes that can be undone are kept."""
    return folder / UNDO


def begin(folder: Path, change: Change) -> None:
    """Write down what a change is about to replace."""
    atomic_write(undo_folder(folder) / PENDING, change.model_dump_json().encode())


def finish(folder: Path) -> None:
    """Make the pending change the newest that can be undone; its journal line is written.

    An undo is not itself undone: it goes, and with it the change that it took back.
    """
    home = undo_folder(folder)
    change = read_change(home / PENDING)
    if change is not None and change.undoes:
        remove(home / change.undoes)
        remove(home / PENDING)
        return
    kept = kept_changes(folder)
    number = int(kept[-1].stem) + 1 if kept else 1
    (home / PENDING).replace(home / f"{number:08d}.json")
    _thin_out(kept_changes(folder))


def _thin_out(kept: list[Path]) -> None:
    total = 0
    for count, path in enumerate(reversed(kept)):
        with contextlib.suppress(OSError):
            total += path.stat().st_size
            if count >= MOST_KEPT or (count and total > MOST_KEPT_BYTES):
                path.unlink()


def kept_changes(folder: Path) -> list[Path]:
    """Return the files of changes that can be undone, oldest first."""
    home = undo_folder(folder)
    return sorted(path for path in home.glob("*.json") if path.stem.isdigit())


def read_change(path: Path) -> Change | None:
    """Return a change as kept, or None where the file cannot be read."""
    try:
        return Change.model_validate_json(path.read_bytes())
    except (OSError, ValidationError):
        return None


def recover(folder: Path) -> tuple[Problem, ...]:
    """Settle a change that a kill left unfinished; a read-only folder is left as it is.

    Returns:
        A note about what was taken back.
    """
    if not (undo_folder(folder) / PENDING).exists():
        return ()
    try:
        with lock(folder, who="recovery", seconds=5):
            return settle(folder)
    except (Unwritable, Locked, NoProject):
        return (
            Problem(
                "S014",
                "a change is unfinished and cannot be taken back now, as the folder is being "
                "written or read-only; what it wrote may be in part.",
                Place(f"{UNDO}/{PENDING}"),
                Severity.ASK,
            ),
        )


def settle(folder: Path) -> tuple[Problem, ...]:
    """Finish or take back the pending change; the lock is held."""
    path = undo_folder(folder) / PENDING
    if not path.exists():
        return ()
    sweep(folder)
    change = read_change(path)
    if change is None:  # cannot be ours: it is written atomically
        remove(path)
        return ()
    if _accepted(folder, change.event):
        finish(folder)
        return ()
    problems = put_back(folder, change)
    remove(path)
    note = Problem(
        "S013",
        f"'{change.event.what}' of {change.event.by} was cut short and has been taken back; "
        "do it again.",
        Place(change.files[0].path if change.files else ""),
        Severity.NOTE,
    )
    return (note, *problems)


def put_back(folder: Path, change: Change) -> tuple[Problem, ...]:
    """Restore the previous bytes of a change wherever its own bytes still stand."""
    problems = []
    for before in change.files:
        target = folder / before.path
        here = current_hash(target)
        previous = before.bytes()
        if here == ("" if previous is None else sha256_bytes(previous)):
            continue
        if here != before.after:
            problems.append(
                Problem(
                    "S015",
                    "somebody changed this file after an unfinished change; it is left as it is.",
                    Place(before.path),
                    Severity.ASK,
                )
            )
        elif previous is None:
            remove(target)
            drop_empty(folder, target.parent)
        else:
            atomic_write(target, previous)
    return tuple(problems)


def reverse(folder: Path, kept: Path, change: Change, event: Event) -> Change:
    """Return the change that undoes a kept one: what stands now, and what will stand then."""
    files = []
    for before in change.files:
        path, previous = folder / before.path, before.bytes()
        here = base64.b64encode(path.read_bytes()).decode() if path.exists() else None
        after = "" if previous is None else sha256_bytes(previous)
        files.append(Before(path=before.path, previous=here, after=after))
    return Change(event=event, files=tuple(files), undoes=kept.name)


def copy(source: Path, target: Path) -> None:
    """Copy a file's bytes, whole or not at all."""
    atomic_write(target, source.read_bytes())


def current_hash(path: Path) -> str:
    """Return a file's SHA-256, or '' where there is none."""
    if not path.exists():
        return ""
    return sha256_of(path)


def drop_empty(folder: Path, inner: Path) -> None:
    """Remove folders that a taken-back change made, as far as they are empty."""
    with contextlib.suppress(OSError):
        while inner != folder and not list(inner.iterdir()):
            inner.rmdir()
            inner = inner.parent


def _accepted(folder: Path, event: Event) -> bool:
    path = journal.file_of(folder, event.by)
    try:
        data = path.read_bytes()
    except OSError:
        return False
    # Only whole lines count; the number makes the line this change's own.
    wanted = (event.model_dump_json(exclude_defaults=True) + "\n").encode()
    return wanted in data

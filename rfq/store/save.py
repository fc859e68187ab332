"""Records to the folder: one or several at once, whole, never over somebody else's change."""

from __future__ import annotations

import base64
import os
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

from rfq.model.base import Value
from rfq.model.event import Event
from rfq.model.project import Project
from rfq.problems import ChangedOnDisk, NoProject, Reading, Unwritable
from rfq.store import journal, recover, sent
from rfq.store.comments import with_comments
from rfq.store.files import atomic_write, lock, remove, sha256_bytes, sweep
from rfq.store.names import fits, key_of, kind_of, path_of
from rfq.store.read import MOST_BYTES, read_record
from rfq.store.write import Unwritten, render

Seen = str | None


class Changes:
    """What one change writes; nothing touches the disk before the ``with`` block ends.

    Attributes:
        written: after the block, the files written, in order.
        hashes: after the block, key -> SHA-256 of what now stands on disk.
        event: after the block, the journal line.
    """

    def __init__(self, folder: Path, project: Project | None) -> None:
        self.folder = folder
        self.written: tuple[Path, ...] = ()
        self.hashes: dict[str, str] = {}
        self.event: Event | None = None
        self._known = dict(project.hashes) if project is not None else {}
        self._records: dict[str, tuple[Value | None, Seen]] = {}
        self._files: dict[str, bytes] = {}
        self._replaced: dict[str, tuple[bytes | None, bytes | None]] = {}

    def put(self, record: Value, *, key: str = "", seen: Seen = None) -> str:
        """Plan to write a record; returns its key.

        Args:
            record: the whole new value.
            key: where it lies, if the record does not say so itself (drafts, frozen revisions).
            seen: SHA-256 of the file when it was read; None: as the project was loaded, else
                the record is new.
        Raises:
            ValueError: ids in key and record differ.
        """
        key = key or key_of(record)
        if not fits(key, record):
            raise ValueError(f"a {type(record).__name__} of another name cannot lie at {key}")
        self._records[key] = (record, seen if seen is not None else self._known.get(key))
        return key

    def drop(self, key: str, *, seen: Seen = None) -> None:
        """Plan to remove a record."""
        self._records[key] = (None, seen if seen is not None else self._known.get(key))

    def keep(self, path: str, data: bytes) -> None:
        """Plan to keep a file as it is, byte for byte; one that exists must be equal.

        What lies in a request's folder is entered in the list of hashes beside its folder.
        """
        self._files[path] = data

    def replace(self, path: str, before: bytes | None, after: bytes | None) -> None:
        """Plan to replace bytes that still are ``before``; for the upgrade of a format."""
        self._replaced[path] = (before, after)

    def _plan(self) -> dict[str, bytes | None]:
        """Check everything against the disk; return path -> new bytes (None: to go)."""
        plan: dict[str, bytes | None] = {}
        for key, (record, seen) in self._records.items():
            path = path_of(key)
            old = _current(self.folder / path)
            _same_as_seen(path, old, seen)
            data = None if record is None else _rendered(key, record, old)
            if data != old:
                plan[path] = data
            if data is not None:
                self.hashes[key] = sha256_bytes(data)
        for path, (before, after) in self._replaced.items():
            old = _current(self.folder / path)
            _same_as_seen(path, old, None if before is None else sha256_bytes(before))
            plan[path] = after
        for path, listed in sent.ledgers_with(self.folder, self._files).items():
            if _current(self.folder / path) != listed:
                plan[path] = listed
        for path, content in self._files.items():
            _inside(self.folder, path)
            old = _current(self.folder / path)
            if old is None:
                plan[path] = content
            elif old != content:
                raise ChangedOnDisk(
                    f"{path} exists with other content ({_short(old)}) than what was to be kept "
                    f"({_short(content)}); what was kept is never changed."
                )
        return plan

    def _commit(self, event: Event) -> None:
        plan = self._plan()
        numbered = event.model_copy(
            update={"number": journal.last_number(journal.file_of(self.folder, event.by)) + 1}
        )
        change = recover.Change(
            event=numbered,
            files=tuple(
                recover.Before(
                    path=path,
                    previous=_base64(_current(self.folder / path)),
                    after="" if data is None else sha256_bytes(data),
                )
                for path, data in plan.items()
            ),
        )
        recover.begin(self.folder, change)
        try:
            for path, data in plan.items():
                if data is None:
                    remove(self.folder / path)
                else:
                    atomic_write(self.folder / path, data)
            self.event = journal.append(self.folder, numbered)
        except Unwritable:
            # Take back at once what was written; if even that fails, the next to come does it.
            recover.settle(self.folder)
            raise
        recover.finish(self.folder)
        self.written = tuple(self.folder / path for path in plan)


@contextmanager
def changes(
    folder: Path,
    what: str,
    *,
    project: Project | None = None,
    about: str = "",
    detail: str = "",
    file: str = "",
    sha256: str = "",
    by: str = "",
    at: datetime | None = None,
    fresh: bool = False,
) -> Iterator[Changes]:
    """Write several records as one change, accepted by one journal line, undone as one.

    Args:
        folder: the project's folder.
        what: the event in words ('reply accepted').
        project: as loaded; its hashes are what each record is compared with.
        about, detail, file, sha256: of the event.
        by: who; the present user where empty.
        at: when; now where None.
        fresh: the folder may hold no project yet.
    Raises:
        ChangedOnDisk: a record is not what it was when it was read; nothing is written.
        Unwritable: disk full, read-only or gone; what was written is taken back.
        Locked: another process kept writing.
    """
    who = by or journal.user_name(folder)
    planned = Changes(folder, project)
    yield planned
    event = Event(
        at=at or journal.now(),
        by=who,
        what=what,
        about=about or next(iter(planned._records), ""),
        detail=detail,
        file=file,
        sha256=sha256,
    )
    with lock(folder, who=who):
        if not (fresh or "project" in planned._records or (folder / "project.toml").exists()):
            raise NoProject(f"{folder} is no project any more; nothing was changed.")
        sweep(folder)
        recover.settle(folder)
        planned._commit(event)


def save(
    folder: Path,
    record: Value,
    *,
    key: str = "",
    seen: Seen = None,
    what: str = "",
    by: str = "",
    at: datetime | None = None,
) -> Path:
    """Save one record and journal it; return its file.

    Args:
        folder: the project's folder.
        record: the whole new value.
        key: where it lies, if the record does not say so itself.
        seen: SHA-256 of the file when it was read; None: it must be new.
        what: the event in words; '<kind> saved' where empty.
        by, at: who and when; the present user and now.
    Raises:
        ChangedOnDisk, Unwritable, Locked: nothing was changed.
    """
    key = key or key_of(record)
    with changes(folder, what or f"{kind_of(key).name} saved", about=key, by=by, at=at) as change:
        change.put(record, key=key, seen=seen)
    return folder / path_of(key)


def _current(path: Path) -> bytes | None:
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise Unwritable(
            f"{path} cannot be read: {error.strerror}; nothing was changed."
        ) from error


def _same_as_seen(path: str, old: bytes | None, seen: Seen) -> None:
    here = "" if old is None else sha256_bytes(old)
    if here == (seen or ""):
        return
    if not seen:
        said = f"{path} exists already (version {here[:12]}), written by somebody else meanwhile"
    elif old is None:
        said = f"{path} (version {seen[:12]}) was removed since it was read"
    else:
        said = f"{path} was changed since it was read: version {seen[:12]} then, {here[:12]} now"
    raise ChangedOnDisk(f"{said}; read it again and repeat the change.")


def _rendered(key: str, record: Value, old: bytes | None) -> bytes:
    """The record's bytes, proven to read back equal before they replace anything."""
    path = path_of(key)
    try:
        text = with_comments(record, old) if old else render(record)
    except Unwritten as error:
        raise Unwritable(f"{path} cannot be written: {error}; nothing was changed.") from error
    try:
        data = text.encode()
    except UnicodeEncodeError as error:
        raise Unwritable(
            f"{path} cannot be written: it holds half a character; nothing was changed."
        ) from error
    if len(data) > MOST_BYTES:
        raise Unwritable(
            f"{path} would have {len(data) / 1e6:.0f} MB; a record has at most "
            f"{MOST_BYTES / 1e6:.0f}; nothing was changed."
        )
    back: Reading[Value] = read_record(data, type(record), path)
    if back.value != record:
        raise Unwritable(
            f"{path} cannot be written: {back.problems[0].message if back.problems else ''} "
            "it would not read back the same; nothing was changed."
        )
    return data


def _inside(folder: Path, path: str) -> None:
    home = os.path.realpath(folder)
    target = os.path.realpath(folder / path)
    if not target.startswith(home + os.sep):
        raise Unwritable(f"{path} lies outside the project folder; nothing was changed.")


def _base64(data: bytes | None) -> str | None:
    return None if data is None else base64.b64encode(data).decode()


def _short(data: bytes) -> str:
    return f"version {sha256_bytes(data)[:12]}"

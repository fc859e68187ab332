"""Bytes on disk: atomic replacement, hashes, the project's lock, sweeping of leftovers.

A record is never half a file: it is written beside its place under a name that starts with
``.rfq-``, forced to the disk, and renamed over. A kill in between leaves only that dot-file,
which the next writer sweeps away.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import stat
import tempfile
from collections.abc import Iterator
from pathlib import Path

from filelock import FileLock, Timeout

from rfq.problems import Locked, NoProject, TooMuch, Unreadable, Unwritable

INNER = ".rfq"  # lock, undo, log: ours alone, never in git
LEFTOVER = ".rfq-"  # prefix of files being written
LOCK_SECONDS = 20.0

_WHY = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "the quota of the disk is used up",
    errno.EFBIG: "the file would be larger than this system allows",
    errno.EROFS: "the disk is read-only",
    errno.EACCES: "there is no permission to write there",
    errno.EPERM: "there is no permission to write there",
    errno.ENOENT: "its folder is gone",
    errno.ENOTDIR: "its folder is gone",
    errno.EIO: "the disk reported an error",
    errno.ENAMETOOLONG: "its name is too long for this disk",
}


def sha256_bytes(data: bytes) -> str:
    """Return the SHA-256 of bytes as 64 hexadecimal digits."""
    return hashlib.sha256(data).hexdigest()


def sha256_of(path: Path) -> str:
    """Return the SHA-256 of a file.

    Raises:
        Unreadable: it is missing, not a plain file or cannot be opened.
    """
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            raise Unreadable(f"{path} is not a plain file.")
        with path.open("rb") as stream:
            return hashlib.file_digest(stream, "sha256").hexdigest()
    except OSError as error:
        raise Unreadable(f"{path} cannot be read: {_reason(error)}.") from error


def read_bounded(path: Path, most: int) -> bytes:
    """Return a plain file's bytes, refusing more than ``most``.

    Raises:
        Unreadable: not a plain file, or it cannot be opened.
        TooMuch: it is larger than ``most`` bytes.
    """
    try:
        # Opening a pipe would wait for ever, so look before opening.
        if not stat.S_ISREG(path.stat().st_mode):
            raise Unreadable(f"{path} is not a plain file.")
        with path.open("rb") as stream:
            data = stream.read(most + 1)
    except OSError as error:
        raise Unreadable(f"{path} cannot be read: {_reason(error)}.") from error
    if len(data) > most:
        raise TooMuch(f"{path} is larger than {most / 1e6:.0f} MB.")
    return data


def unwritable(path: Path, error: OSError) -> Unwritable:
    """Return the one sentence for a write that the system refused."""
    return Unwritable(f"{path} cannot be written: {_reason(error)}; nothing was changed.")


def atomic_write(path: Path, data: bytes) -> None:
    """Replace a file's content in one step, forced to the disk before and after.

    Raises:
        Unwritable: disk full, read-only, gone; what stood there before still stands.
    """
    temporary = ""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(prefix=f"{LEFTOVER}{os.getpid()}-", dir=path.parent)
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        Path(temporary).chmod(_mode(path))
        Path(temporary).replace(path)
        sync_folder(path.parent)
    except OSError as error:
        if temporary:
            with contextlib.suppress(OSError):
                Path(temporary).unlink(missing_ok=True)
        raise unwritable(path, error) from error


def remove(path: Path) -> None:
    """Remove a file, forced to the disk; a missing one is no error.

    Raises:
        Unwritable: the system refuses.
    """
    try:
        path.unlink(missing_ok=True)
        if path.parent.is_dir():
            sync_folder(path.parent)
    except OSError as error:
        raise unwritable(path, error) from error


def sync_folder(folder: Path) -> None:
    """Force a folder's entries to the disk, where the system can."""
    if os.name == "nt":  # pragma: no cover - Windows has no handle on a folder
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno not in (errno.EINVAL, errno.ENOTSUP):  # some network drives know no fsync
            raise
    finally:
        os.close(handle)


@contextlib.contextmanager
def lock(folder: Path, *, who: str = "", seconds: float = LOCK_SECONDS) -> Iterator[None]:
    """Hold the project's lock: one writer at a time, on this machine and on shared drives.

    The system lets go of it when the process ends, however it ends.

    Args:
        folder: the project's folder.
        who: named to whoever waits in vain.
        seconds: how long to wait for another writer.
    Raises:
        Locked: another process kept it all that time.
        Unwritable: the folder cannot be written.
        NoProject: the folder is gone.
    """
    if not folder.is_dir():
        raise NoProject(f"{folder} is gone; nothing was changed.")
    inner = folder / INNER
    holder = inner / "holder"
    guard = FileLock(inner / "lock", timeout=seconds)
    try:
        inner.mkdir(exist_ok=True)
        guard.acquire(poll_interval=0.01)
    except Timeout as error:
        by = _first_line(holder)
        raise Locked(
            f"Another process is writing to {folder}{f' ({by})' if by else ''}; "
            "try again in a moment."
        ) from error
    except OSError as error:
        raise unwritable(folder, error) from error
    try:
        with contextlib.suppress(OSError):
            holder.write_text(f"{who or 'somebody'}, process {os.getpid()}\n", encoding="utf-8")
        yield
    finally:
        guard.release()


def sweep(folder: Path) -> tuple[Path, ...]:
    """Remove half-written files that a kill left behind; call it with the lock held.

    Returns:
        The files removed.
    """
    swept = []
    for root, folders, names in os.walk(folder):
        folders[:] = [name for name in folders if name != ".git"]
        for name in names:
            if name.startswith(LEFTOVER) and not _being_written(Path(root) / name):
                path = Path(root) / name
                with contextlib.suppress(OSError):
                    path.unlink()
                    swept.append(path)
    return tuple(swept)


def _being_written(path: Path) -> bool:
    """Whether the process that the name tells of is alive, such as an export beside a save."""
    pid = path.name.removeprefix(LEFTOVER).partition("-")[0]
    if not pid.isdigit() or os.name == "nt":  # there, asking by signal would end the process
        return False
    try:
        os.kill(int(pid), 0)
    except (ProcessLookupError, OverflowError):
        return False
    except PermissionError:  # alive, and somebody else's
        pass
    return True


def _mode(path: Path) -> int:
    """Keep a file's mode; a new one is as readable as the user's mask says (mkstemp is not)."""
    with contextlib.suppress(OSError):
        return stat.S_IMODE(path.stat().st_mode)
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def _first_line(path: Path) -> str:
    with contextlib.suppress(OSError, UnicodeDecodeError):
        return path.read_text(encoding="utf-8").partition("\n")[0][:80]
    return ""


def _reason(error: OSError) -> str:
    return _WHY.get(error.errno or 0, (error.strerror or "the system refused").lower())

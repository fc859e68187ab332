"""Notice that somebody else changed the project's records on disk."""

from __future__ import annotations

import os
from pathlib import Path

from rfq.store.files import sha256_of
from rfq.tasks.open import Opened

# Folders that hold no records, or files that are kept and never change.
_LEFT_OUT = {".rfq", ".git", "sent", "replies", "drawings", "models", "incoming", "export"}

Trace = dict[str, tuple[int, int]]


def trace_of(folder: Path) -> Trace:
    """Return size and time of change of every record's file; cheap enough to ask every second."""
    found: Trace = {}
    for home, folders, files in os.walk(folder):
        folders[:] = sorted(name for name in folders if name not in _LEFT_OUT)
        for name in files:
            if not name.endswith((".toml", ".jsonl")):
                continue
            path = Path(home, name)
            try:
                known = path.stat()
            except OSError:
                continue  # gone between listing and looking; the next look sees that
            found[path.relative_to(folder).as_posix()] = (known.st_size, known.st_mtime_ns)
    return found


def changed_since(before: Trace, now: Trace) -> tuple[str, ...]:
    """Return the files whose trace differs, new and gone ones included."""
    return tuple(
        sorted(path for path in before.keys() | now.keys() if before.get(path) != now.get(path))
    )


def really_changed(here: Opened, paths: tuple[str, ...]) -> tuple[str, ...]:
    """Return those of the files whose bytes are not what was read (touching one is no change)."""
    keys = {path: key for key, path in here.project.files.items()}
    out = []
    for path in paths:
        read = here.project.hashes.get(keys.get(path, ""), "")
        file = here.folder / path
        now = sha256_of(file) if file.is_file() else ""
        if now != read:
            out.append(path)
    return tuple(out)

"""Two people's versions of one record joined fact by fact, for git.

git joins by line, so two facts that stand on neighbouring lines look like a conflict. Named as
the merge driver of a clone (``enable``), this joins them by key instead; only where both changed
the same fact does the text conflict remain, marks and all. A clone that has not enabled it gets
git's own merge by line.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from rfq.problems import Unreadable
from rfq.store.comments import with_comments
from rfq.store.names import key_at, kind_of
from rfq.store.read import read_record, read_table

DRIVER = "rfq"
_NONE = object()  # a key that is not there

# What makes an entry of a list the same entry in two versions; the first set that all have.
_IDENTITY = (
    ("part", "quantity", "alternative"),
    ("part", "quantity"),
    ("callout", "piece", "instance"),
    ("name", "part"),
    ("part", "callout", "text"),
    ("number",),
    ("part",),
    ("shop",),
    ("currency", "on"),
    ("code", "subject"),
    ("path",),
    ("sheet", "header_row"),
    ("name",),
)


class Conflict(Exception):
    """Both sides changed the same fact."""


def merged(base: bytes, ours: bytes, theirs: bytes, path: str) -> bytes | None:
    """Return a record with both sides' changes, or None where both changed the same fact.

    Args:
        base: the version both started from; empty where both made the file.
        ours, theirs: the two versions.
        path: of the record in the project.
    """
    key = key_at(path)
    tables = [read_table(data, path)[0] for data in (base, ours, theirs)]
    if not key or any(table is None for table in tables):
        return None
    try:
        joined = _join(*tables)
        text = _render(joined, ours, key, path)
    except Conflict:
        return None
    return text


def enable(folder: Path) -> None:
    """Name this program as the merge driver of the clone the folder lies in.

    Raises:
        Unreadable: the folder lies in no git repository, or git is not there.
    """
    command = f'"{sys.executable}" -m rfq.store.merge %O %A %B %P'
    try:
        done = subprocess.run(
            ["git", "config", f"merge.{DRIVER}.driver", command],
            cwd=folder,
            capture_output=True,
            check=False,
        )
    except OSError as error:
        raise Unreadable(f"git cannot be run: {error.strerror}.") from error
    if done.returncode:
        raise Unreadable(f"{folder} lies in no git repository; there is nothing to merge.")


def main(words: list[str]) -> int:
    """Do what git asks of a merge driver: join into OURS; return 1 where a conflict remains."""
    base, ours, theirs = (Path(word) for word in words[:3])
    # git names the path from the top of its tree; the project may lie in a folder of it.
    name = _inside_project(words[3])
    result = merged(base.read_bytes(), ours.read_bytes(), theirs.read_bytes(), name)
    if result is not None:
        ours.write_bytes(result)
        return 0
    by_line = subprocess.run(
        ["git", "merge-file", "-L", "ours", "-L", "base", "-L", "theirs",
         str(ours), str(base), str(theirs)],
        check=False,
    )  # fmt: skip
    return 1 if by_line.returncode else 0


def _inside_project(path: str) -> str:
    pieces = path.split("/")
    for at in range(len(pieces)):
        name = "/".join(pieces[at:])
        if key_at(name):
            return name
    return path


def _join(base: Any, ours: Any, theirs: Any) -> Any:
    if ours == theirs or theirs == base:
        return ours
    if ours == base:
        return theirs
    if isinstance(ours, Mapping) and isinstance(theirs, Mapping):
        return _join_tables(base if isinstance(base, Mapping) else {}, ours, theirs)
    if isinstance(ours, list) and isinstance(theirs, list):
        return _join_lists(base if isinstance(base, list) else [], ours, theirs)
    raise Conflict


def _join_tables(
    base: Mapping[Any, Any], ours: Mapping[Any, Any], theirs: Mapping[Any, Any]
) -> dict[Any, Any]:
    joined = {}
    for key in (*ours, *(key for key in theirs if key not in ours)):
        value = _join(base.get(key, _NONE), ours.get(key, _NONE), theirs.get(key, _NONE))
        if value is not _NONE:
            joined[key] = value
    return joined


def _join_lists(base: list[Any], ours: list[Any], theirs: list[Any]) -> list[Any]:
    """Entries with an identity are joined like keys; other lists are one fact each."""
    for names in _IDENTITY:
        tables = [_by(names, entries) for entries in (base, ours, theirs)]
        if all(table is not None for table in tables):
            return list(_join_tables(*(table or {} for table in tables)).values())
    raise Conflict


def _by(names: tuple[str, ...], entries: list[Any]) -> dict[Any, Any] | None:
    """Entries by their identity, or None where one lacks it or two share it."""
    found: dict[Any, Any] = {}
    for entry in entries:
        if not isinstance(entry, Mapping) or names[0] not in entry:
            return None
        identity = tuple(str(entry.get(name, "")) for name in names)
        if identity in found:
            return None
        found[identity] = entry
    return found


def _render(joined: dict[str, Any], ours: bytes, key: str, path: str) -> bytes:
    """The joined record as our writer sets it; a joined one that is no record is a conflict."""
    model = kind_of(key).model
    try:
        record = model.model_validate(joined)
    except ValueError as error:
        raise Conflict from error
    data = with_comments(record, ours).encode()
    if read_record(data, model, path).value != record:
        raise Conflict
    return data


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

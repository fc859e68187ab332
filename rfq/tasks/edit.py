"""Change a record: one field at a time as typed, then all at once on disk."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from rfq.model.base import Value
from rfq.model.part import FileRef, Part
from rfq.problems import ChangedOnDisk, Place, Problem, Unreadable
from rfq.store.files import read_bounded, sha256_bytes
from rfq.store.names import key_of
from rfq.store.save import changes
from rfq.store.words import sentence
from rfq.tasks.done import Done, Stopped
from rfq.tasks.open import Opened, moment_of, opened

V = TypeVar("V", bound=Value)
_MOST_BYTES = 200_000_000


@dataclass(frozen=True, slots=True)
class Conflict:
    """A field that another person changed on disk while it was changed here."""

    field: str
    mine: Any
    theirs: Any


def with_fields(record: V, changed: Mapping[str, Any]) -> tuple[V | None, str]:
    """Return the record with fields changed, or None and what is wrong with it, in words.

    Args:
        record: as it is.
        changed: field name -> new value, of the field's type or as typed.
    """
    plain = {name: getattr(record, name) for name in type(record).model_fields}
    try:
        return type(record).model_validate({**plain, **changed}), ""
    except ValidationError as error:
        first = error.errors()[0]
        path = tuple(first["loc"])
        return None, sentence(first, path, type(record))[1]


def save_record(
    here: Opened, record: Value, *, was: Value | None = None, what: str = "", key: str = ""
) -> Done[Value]:
    """Store a record; a change of another person to other fields of it is kept.

    Args:
        here: the project as it was read.
        record: as it is now. was: as it was read; None: it is new.
        what: the event in words. key: where it lies, where the record does not say so.
    Raises:
        Disputed: the same fields were changed on disk.
        ChangedOnDisk: it is new, and somebody made one of the same name.
    """
    at = key or key_of(record)
    name = what or f"{at.partition(':')[0]} {'changed' if was is not None else 'entered'}"
    if was is not None and at not in here.project.hashes:
        raise ChangedOnDisk(f"{at} is gone; read the project again.")
    try:
        return Done(record, (), _put(here, record, at, name))
    except ChangedOnDisk:
        if was is None:
            raise
    return _on_top(here, record, was, at, name)


class Disputed(Exception):
    """The same fields of a record were changed here and on disk."""

    def __init__(self, conflicts: tuple[Conflict, ...], theirs: Value, merged: Value) -> None:
        super().__init__(", ".join(one.field for one in conflicts))
        self.conflicts = conflicts
        self.theirs = theirs
        self.merged = merged


def put_over(here: Opened, record: Value, *, key: str = "") -> Done[Value]:
    """Store a record over what stands on disk now, after the user has decided so."""
    now = opened(here.folder)
    return Done(record, (), _put(now, record, key or key_of(record), "conflict settled"))


def remove_record(here: Opened, key: str) -> Done[str]:
    """Remove a record; undo brings it back.

    Raises:
        Stopped: the request still asks for it.
    """
    kind, _, name = key.partition(":")
    for request in here.project.requests.values():
        used = [line.part for line in request.lines] if kind == "part" else []
        used += [asked.shop for asked in request.asked] if kind == "shop" else []
        if name in used:
            place = Place(here.project.files.get(f"request:{request.id}", ""))
            raise Stopped(
                (Problem("P140", f"request {request.id} asks for {name}; take it out there first.",
                         place, subject=name),)
            )  # fmt: skip
    with changes(
        here.folder, f"{kind} removed", project=here.project, about=key, at=moment_of(here.project)
    ) as change:
        change.drop(key)
    return Done(name, (), change.written)


def attach_file(here: Opened, part: Part, source: Path) -> Done[Part]:
    """Copy a drawing, model or other file into the project and attach it with its hash.

    Args:
        here: the project. part: whose file it is.
        source: a PDF becomes the drawing, a STEP file the model, anything else one of the files.
    Raises:
        Unreadable: the file cannot be read.
    """
    if not source.is_file():
        raise Unreadable(f"{source} is no file.")
    data = read_bounded(source, _MOST_BYTES)
    ending = source.suffix.lower().lstrip(".")
    role = {"pdf": "drawing", "step": "model", "stp": "model"}.get(ending, "file")
    folder = {"drawing": "drawings", "model": "models", "file": "files"}[role]
    own = re.sub(r"[^A-Za-z0-9._-]+", "_", source.stem)
    name = f"{part.number}_{part.revision}" if role != "file" else f"{part.number}_{own}"
    digest = sha256_bytes(data)
    path = f"{folder}/{name}.{ending}"
    there = here.folder / path
    if there.exists() and there.read_bytes() != data:
        path = f"{folder}/{name}_{digest[:8]}.{ending}"  # what was attached before stays as it is
    ref = FileRef(path=path, sha256=digest)
    changed = part.model_copy(
        update={"files": (*part.files, ref)} if role == "file" else {role: ref}
    )
    with changes(
        here.folder, f"{role} attached", project=here.project, file=path, sha256=digest,
        at=moment_of(here.project),
    ) as change:  # fmt: skip
        if not there.exists() or path != f"{folder}/{name}.{ending}":
            change.keep(path, data)
        change.put(changed)
    return Done(changed, (), change.written)


def _put(here: Opened, record: Value, key: str, what: str) -> tuple[Path, ...]:
    with changes(
        here.folder, what, project=here.project, about=key, at=moment_of(here.project)
    ) as change:
        change.put(record, key=key)
    return change.written


def _on_top(here: Opened, record: Value, was: Value, key: str, what: str) -> Done[Value]:
    """Put my changed fields on top of what stands on disk now."""
    now = opened(here.folder)
    theirs = record_at(now, key)
    if theirs is None:
        raise ChangedOnDisk(f"{key} was removed by somebody else; nothing was changed.")
    mine = {
        name: getattr(record, name)
        for name in type(record).model_fields
        if getattr(record, name) != getattr(was, name)
    }
    both = tuple(
        Conflict(name, value, getattr(theirs, name))
        for name, value in mine.items()
        if getattr(theirs, name) not in (getattr(was, name), value)
    )
    merged, wrong = with_fields(theirs, mine)
    if merged is None:
        raise ChangedOnDisk(f"{key} was changed by somebody else, and both do not fit: {wrong}")
    if both:
        raise Disputed(both, theirs, merged)
    return Done(merged, (), _put(now, merged, key, what))


def record_at(here: Opened, key: str) -> Value | None:
    """Return the record of a key ('part:SB-110'), where it is one the user edits."""
    kind, _, name = key.partition(":")
    project = here.project
    match kind:
        case "part":
            return project.parts.get(name)
        case "shop":
            return project.shops.get(name)
        case "request":
            return project.requests.get(name)
        case "rates":
            return project.rates
        case "project":
            return project.settings
        case _:
            return None

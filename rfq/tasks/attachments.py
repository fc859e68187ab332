"""Drawings, models and other files of parts: their bytes, and what is wrong with them."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from rfq.documents.drawings import look_at_drawing
from rfq.model.part import FileRef, Part
from rfq.problems import Problem, Unreadable
from rfq.store.files import read_bounded

MOST_BYTES = 200_000_000


def refs_of(part: Part) -> tuple[tuple[str, FileRef], ...]:
    """Return a part's files with their role: drawing, model, file."""
    named = (("drawing", part.drawing), ("model", part.model))
    return (
        *((role, ref) for role, ref in named if ref is not None),
        *(("file", ref) for ref in part.files),
    )


def bytes_of(folder: Path, parts: Iterable[Part], logo: str = "") -> dict[str, bytes]:
    """Return the bytes of each attached file that is there, by path; the logo too.

    Raises:
        Unreadable: a file leads out of the project folder or cannot be read.
    """
    paths = {ref.path for part in parts for _, ref in refs_of(part)} | ({logo} if logo else set())
    found: dict[str, bytes] = {}
    home = folder.resolve()
    for relative in sorted(paths):
        path = (home / relative).resolve()
        if not path.is_relative_to(home):
            raise Unreadable(f"{relative} lies outside the project folder; copy it into it.")
        if path.is_file():
            found[relative] = read_bounded(path, MOST_BYTES)
    return found


def findings_of(folder: Path, parts: Iterable[Part]) -> dict[str, tuple[Problem, ...]]:
    """Return path -> what is wrong with each attached file."""
    whole = tuple(parts)
    data = bytes_of(folder, whole)
    return {
        ref.path: tuple(look_at_drawing(part, ref, role, data.get(ref.path)))
        for part in whole
        for role, ref in refs_of(part)
    }

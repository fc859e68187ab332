"""Measure a STEP model: the one door of this folder that reads files.

``measure`` never loads the kernel itself: ``child`` does, in another process.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import tempfile
from dataclasses import replace
from pathlib import Path

from rfq.geometry.child import Limits, work_in_children
from rfq.geometry.shape import MeasuredShape, as_json, from_json
from rfq.problems import Place, Problem, Reading, Severity, TooMuch, Unreadable

CACHE_FORM = 4
"""Part of the cached file's name; raised whenever what is measured or how changes."""

VOLUME_AGREES = 1e-3
"""Relative difference from the file's own volume above which neither is trusted in silence."""

_HEADER = re.compile(rb"\A[\s\xef\xbb\xbf]*(/\*.*?\*/\s*)*ISO-10303-21\s*;", re.S)


def measure(
    path: Path,
    *,
    cache: Path | None = None,
    body: int = 0,
    views: bool = True,
    limits: Limits | None = None,
) -> Reading[MeasuredShape]:
    """What the model in a STEP file tells, or the sentence that says why nothing is told.

    Args:
        path: the file.
        cache: folder for results by the file's hash; None keeps nothing.
        body: number of one of the file's bodies; 0 measures all of it together.
        views: whether to draw it as well, in a second process beside the first.
        limits: bounds on size, time and memory.

    Returns:
        The shape; with it an ``ask`` where the file has several bodies or its own volume differs,
        it is not closed, faces were lost or PMI was not understood, a ``note`` where it could not
        be drawn.
        Problems G001 (not STEP), G002 (empty), G003 (no solid), G004 (mesh), G005 (the kernel
        fails on it), G006 (too many parts), G007 (no such body).

    Raises:
        Unreadable: the file cannot be opened.
        MissingExtra: the geometry kernel is not installed.
        TooMuch: the file is beyond the limits.
    """
    limits = limits or Limits()
    place = Place(path.name)
    data = step_bytes(path, limits)
    if isinstance(data, tuple):
        return _refused(*data, place)
    digest = hashlib.sha256(data).hexdigest()
    kept = cache / _kept_name(digest, body, views) if cache else None
    shape = _cached(kept, digest, body)
    if shape is None:
        found = _measured(data, path.name, body, limits, views)
        if isinstance(found, tuple):
            return _refused(*found, place)
        shape = replace(found, file=path.name, sha256=digest)
        if kept and (shape.views or not views):
            _keep(kept, shape)
    remarks = _remarks(shape, place)
    if views and not shape.views:
        remarks += (Problem("G013", "could not be drawn; no views of it", place, Severity.NOTE),)
    return Reading(replace(shape, file=path.name), remarks)


def step_bytes(path: Path, limits: Limits) -> bytes | tuple[str, str]:
    """The bytes of a file that starts as STEP does, or the code and sentence that refuse it.

    Raises:
        Unreadable: the file cannot be opened.
        TooMuch: the file is beyond the limits.
    """
    data = _bytes_of(path, limits)
    if not data.strip(b"\0 \t\r\n"):
        return "G002", "is empty; export the model again"
    if not _HEADER.match(data[:65536]):
        return (
            "G001",
            f"does not start as a STEP file (ISO-10303-21) but {_looks_like(data)};"
            " export the model as STEP AP242 or AP214",
        )
    return data


def measured_before(path: Path, cache: Path, body: int = 0) -> MeasuredShape | None:
    """The shape of a file as measured earlier, or None; the kernel is never started.

    Args:
        path: the file, read for its hash.
        cache: where ``measure`` kept its results. body: as measured then.
    Raises:
        Unreadable: the file cannot be opened.
        TooMuch: the file is beyond the limits.
    """
    digest = hashlib.sha256(_bytes_of(path, Limits())).hexdigest()
    shape = _cached(cache / _kept_name(digest, body, True), digest, body)
    return None if shape is None else replace(shape, file=path.name)


def _kept_name(digest: str, body: int, views: bool) -> str:
    return f"{digest}-{CACHE_FORM}-{body}{'' if views else '-undrawn'}.json"


def _measured(
    data: bytes, name: str, body: int, limits: Limits, views: bool
) -> MeasuredShape | tuple[str, str]:
    """The shape, or the code and the sentence of its refusal; views may fail without harm."""
    answers = work_in_children(
        ("measure", "draw") if views else ("measure",), data, name, body, limits
    )
    answer = answers["measure"]
    if isinstance(answer, TooMuch):
        raise answer
    if answer is None:
        return "G005", "makes the geometry kernel fail; repair or export it again"
    told = json.loads(answer)
    if "refused" in told:
        return str(told["refused"]), str(told["message"])
    drawing = answers.get("draw")
    if isinstance(drawing, bytes):
        told["found"]["views"] = json.loads(drawing).get("found", [])
    return from_json(json.dumps(told["found"]))


def _bytes_of(path: Path, limits: Limits) -> bytes:
    try:
        with path.open("rb") as file:
            data = file.read(limits.file_bytes + 1)
    except OSError as trouble:
        raise Unreadable(f"{path.name} cannot be opened: {trouble.strerror}") from trouble
    if len(data) > limits.file_bytes:
        raise TooMuch(
            f"{path.name} is larger than {limits.file_bytes / 1e6:.0f} MB;"
            " export a lighter model (one part, no threads or engraving modelled)"
        )
    return data


def _looks_like(data: bytes) -> str:
    known = {
        b"solid": "like a text STL mesh",
        b"%PDF": "like a PDF",
        b"PK\x03\x04": "like a zip archive",
        b"\xd0\xcf\x11\xe0": "like a native document of a modeller or office program",
        b"<?xml": "like XML",
    }
    for start, words in known.items():
        if data.lstrip().startswith(start):
            return words
    return "with something else"


def _refused(code: str, message: str, place: Place) -> Reading[MeasuredShape]:
    return Reading(None, (Problem(code, message, place),))


def _remarks(shape: MeasuredShape, place: Place) -> tuple[Problem, ...]:
    remarks = []
    if shape.body == 0 and shape.solids > 1:
        kinds = len(shape.bodies)
        different = f" ({kinds} different)" if kinds > 1 else ""
        remarks.append(
            Problem(
                "G010",
                f"holds {shape.solids} solids{different}, measured together;"
                " choose the body that is the part",
                place,
                Severity.ASK,
            )
        )
    stated = shape.volume_in_file_mm3
    if stated and abs(shape.volume_mm3 - stated) > VOLUME_AGREES * stated:
        percent = 100 * (shape.volume_mm3 - stated) / stated
        remarks.append(
            Problem(
                "G011",
                f"measures {shape.volume_mm3:,.0f} mm³ but states {stated:,.0f} mm³ itself"
                f" ({percent:+.1f} %); compare with the modeller before leaning on the mass",
                place,
                Severity.ASK,
            )
        )
    if shape.faces_lost:
        remarks.append(
            Problem(
                "G015",
                f"describes {shape.faces_lost} faces that ended up in no solid: lost, and then the"
                " figures are wrong, or construction surfaces; compare the mass with the modeller",
                place,
                Severity.ASK,
            )
        )
    if shape.open_edges:
        remarks.append(
            Problem(
                "G014",
                f"is not closed ({shape.open_edges} edges have a face on one side only): the"
                " figures, above all the mass, may be wrong; repair it and export again",
                place,
                Severity.ASK,
            )
        )
    if shape.pmi.not_understood:
        count = len(shape.pmi.not_understood)
        remarks.append(
            Problem(
                "G012",
                f"has {count} dimension{'s' if count > 1 else ''} or tolerances that were not"
                f" understood (first: {shape.pmi.not_understood[0]}); read them from the drawing",
                place,
                Severity.ASK,
            )
        )
    return tuple(remarks)


def _cached(kept: Path | None, digest: str, body: int) -> MeasuredShape | None:
    if kept is None:
        return None
    try:
        shape = from_json(kept.read_bytes())
    except (OSError, ValueError):  # not there, or spoilt: measured anew
        return None
    return shape if (shape.sha256, shape.body) == (digest, body) else None


def _keep(kept: Path, shape: MeasuredShape) -> None:
    """Write the cache file whole or not at all; a cache that cannot be written is no trouble."""
    try:
        kept.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=kept.parent, suffix=".part")
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(as_json(shape))
        Path(name).replace(kept)
    except OSError:
        return

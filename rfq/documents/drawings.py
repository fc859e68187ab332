"""Drawings and models on their way into a package: their flat names, and what can be wrong."""

from __future__ import annotations

import hashlib
import re
from typing import Final

from rfq.model.part import FileRef, Part
from rfq.problems import Place, Problem, Severity

PAGES_USUAL: Final = 50  # sheets of one part; common practice, no source
PAGES_MOST: Final = 1000


def flat_name(part: Part, ref: FileRef, role: str) -> str:
    """Return the file's name in the package: PART_REV.ext, further files PART_REV_name.ext.

    >>> part = Part(number="SB 110", revision="C", name="block", material="steel")
    >>> flat_name(part, FileRef(path="a/b/Drawing.PDF"), "drawing")
    'SB-110_C.pdf'
    """
    last = ref.path.replace("\\", "/").rsplit("/", 1)[-1]
    stem, dot, ending = last.rpartition(".")
    extension = re.sub(r"[^a-z0-9]", "", ending.lower())[:10] if dot else ""
    name = _safe(f"{part.number}_{part.revision}")
    if role == "file":
        own = _safe(stem or last).removeprefix(name).strip("_-")
        name = f"{name}_{own}" if own else name
    return f"{name}.{extension}" if extension else name


def _safe(text: str) -> str:
    return re.sub(r"[^A-Za-z0-9._+]+", "-", text).strip("-.")[:80] or "file"


def look_at_drawing(part: Part, ref: FileRef, role: str, data: bytes | None) -> list[Problem]:
    """Return what is wrong with a drawing, model or further file of a part.

    Problems: D010 not there, D011 changed since it was attached, D012 cannot be read,
    D013 encrypted, D014 far too many pages, D015 empty.
    """
    found = _trouble(ref, data)
    if found is None:
        return []
    code, words, severity = found
    message = f"{part.number}: the {role} {words}"
    return [Problem(code, message, Place(ref.path), severity, subject=part.number)]


_Trouble = tuple[str, str, Severity]


def _trouble(ref: FileRef, data: bytes | None) -> _Trouble | None:
    if data is None:
        return "D010", "is not there; put it back or take it off the part.", Severity.STOP
    if not data:
        return "D015", "is empty; export it again.", Severity.STOP
    if ref.sha256 and hashlib.sha256(data).hexdigest() != ref.sha256:
        words = "changed since it was attached; attach it again if this is the right one."
        return "D011", words, Severity.STOP
    return _pdf(data) if ref.path.lower().endswith(".pdf") else None


def _pdf(data: bytes) -> _Trouble | None:
    import pypdfium2

    try:
        document = pypdfium2.PdfDocument(data)
    except pypdfium2.PdfiumError as trouble:
        if "password" in str(trouble).lower():
            words = "is encrypted; a shop cannot open it: export it without a password."
            return "D013", words, Severity.STOP
        return "D012", "cannot be read as PDF; export it again.", Severity.STOP
    try:
        pages = len(document)
    finally:
        document.close()
    if pages > PAGES_MOST:
        words = f"has {pages} pages; attach the sheets of this part only."
        return "D014", words, Severity.STOP
    if pages > PAGES_USUAL:
        return "D014", f"has {pages} pages; are they all of this part?", Severity.ASK
    return None

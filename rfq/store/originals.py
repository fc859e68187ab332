"""Replies as received: kept byte for byte under shop, day and name, never changed."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from rfq.model.part import FileRef
from rfq.problems import Place, Problem, Severity
from rfq.store.files import sha256_bytes, sha256_of
from rfq.store.names import UNKNOWN

MOST_NAME = 80  # characters kept of a received file's name


@dataclass(frozen=True, slots=True)
class Kept:
    """Where a reply is kept.

    Args:
        source: path and hash, as a draft and a quote name it.
        data: the bytes; None when the same bytes are kept already.
        problems: a note when it is a duplicate.
    """

    source: FileRef
    data: bytes | None
    problems: tuple[Problem, ...] = ()


def place_reply(
    folder: Path, request: str, round_: int, shop: str, day: date, name: str, data: bytes
) -> Kept:
    """Return where a reply's bytes belong; ``Changes.keep(kept.source.path, kept.data)`` does it.

    The same bytes anywhere among the request's replies are noticed and not kept twice.

    Args:
        folder: the project's folder.
        request, round_, shop: whose it is; shop '' while nobody knows.
        day: received on.
        name: the file's own name, as it came; made safe for every file system.
        data: the bytes.
    """
    sha256 = sha256_bytes(data)
    home = folder / "requests" / request
    for earlier in sorted(home.glob("round-*/replies/*")):
        if (
            earlier.is_file()
            and earlier.stat().st_size == len(data)
            and sha256_of(earlier) == sha256
        ):
            path = earlier.relative_to(folder).as_posix()
            note = Problem(
                "S030",
                f"{safe_name(name)} is kept already as {path}; it was not kept twice.",
                Place(path),
                Severity.NOTE,
            )
            return Kept(FileRef(path=path, sha256=sha256), None, (note,))
    stem = f"{shop or UNKNOWN}-{day.isoformat()}-{safe_name(name)}"
    base = f"requests/{request}/round-{round_}/replies"
    path, count = f"{base}/{stem}", 1
    while (folder / path).exists():
        count += 1
        start, point, ending = stem.rpartition(".")
        path = f"{base}/{start}-{count}.{ending}" if point else f"{base}/{stem}-{count}"
    return Kept(FileRef(path=path, sha256=sha256), data)


def safe_name(name: str) -> str:
    """Return a received file's name as every file system takes it, ending kept.

    >>> safe_name("../../etc/Angebot Nº 7 (neu).xlsx")
    'Angebot-No-7-neu.xlsx'
    """
    last = re.split(r"[\\/]", name)[-1]
    plain = unicodedata.normalize("NFKD", last).encode("ascii", "ignore").decode()
    stem, point, ending = plain.rpartition(".")
    if not point:
        stem, ending = plain, ""
    stem = re.sub(r"[^A-Za-z0-9_.]+", "-", stem).strip("-.")[:MOST_NAME] or "file"
    ending = re.sub(r"[^A-Za-z0-9]+", "", ending)[:10]
    return f"{stem}.{ending}" if ending else stem

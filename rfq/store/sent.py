"""What was sent or written for others: a list of hashes vouches for every file kept.

Beside a folder of kept files lies ``<folder>.sha256`` in the form that ``sha256sum --check``
reads, so that anybody can prove without this program that nothing changed. A package also
carries its own ``manifest.json`` to the shop, which lists what is inside; both are checked.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from rfq.store.files import read_bounded, sha256_bytes

MANIFEST = "manifest.json"
ENDING = ".sha256"
_MOST = 50_000_000

_PACKAGE = re.compile(r"(requests/[^/]+/sent/[^/]+(?:/[^/]+)?)/.+")
_OTHER = re.compile(r"(requests/[^/]+/(?!round-\d+/replies/).+)/[^/]+")
_LINE = re.compile(r"([0-9a-f]{64})  ([^\x00-\x1f]+)")


def ledger_of(path: str) -> str:
    """Return the list of hashes that vouches for a kept file, or '' where a record does.

    >>> ledger_of("requests/R1/sent/oakvane/R1_rev1_round1/drawings/SB-110.pdf")
    'requests/R1/sent/oakvane/R1_rev1_round1.sha256'
    >>> ledger_of("requests/R1/round-1/replies/oakvane-2026-07-24-a.xlsx")
    ''
    """
    found = _PACKAGE.fullmatch(path) or _OTHER.fullmatch(path)
    return found[1] + ENDING if found else ""


def ledgers_with(folder: Path, kept: Mapping[str, bytes]) -> dict[str, bytes]:
    """Return path -> new bytes of the lists that vouch for files about to be kept.

    Args:
        folder: the project's folder, whose lists are carried on.
        kept: relative path -> bytes.
    """
    new: dict[str, dict[str, str]] = {}
    for path, data in kept.items():
        ledger = ledger_of(path)
        if ledger:
            inner = path.removeprefix(ledger.rpartition("/")[0] + "/")
            new.setdefault(ledger, {})[inner] = sha256_bytes(data)
    out = {}
    for ledger, entries in new.items():
        known = listed(folder / ledger) if (folder / ledger).is_file() else {}
        lines = sorted({**(known or {}), **entries}.items())
        out[ledger] = "".join(f"{sha256}  {name}\n" for name, sha256 in lines).encode()
    return out


def lists(folder: Path) -> list[Path]:
    """Return every list of hashes of what was kept, then every manifest."""
    requests = folder / "requests"
    found = [*requests.glob(f"*/**/*{ENDING}"), *requests.glob(f"*/sent/**/{MANIFEST}")]
    kept = (path for path in found if path.parent.name != "replies")
    return sorted(kept, key=lambda path: (path.suffix != ENDING, path))


def listed(path: Path) -> dict[str, str] | None:
    """Return name -> SHA-256 as a list or manifest has them, names relative to its folder.

    None where it cannot be read as one.
    """
    try:
        data = read_bounded(path, _MOST)
        if path.suffix == ENDING:
            rows = [_LINE.fullmatch(row) for row in data.decode().splitlines()]
            return {row[2]: row[1] for row in rows if row} if all(rows) else None
        found: Any = json.loads(data)
        return {str(entry["name"]): str(entry["sha256"]) for entry in found["files"]}
    except (ValueError, KeyError, TypeError, RecursionError):
        return None

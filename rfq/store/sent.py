"""What was sent to a shop: kept byte for byte, with a manifest of hashes beside it."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from rfq.problems import Unwritable
from rfq.store.files import read_bounded, sha256_bytes

MANIFEST = "manifest.json"
_MOST = 50_000_000


def manifest_of(files: Mapping[str, bytes]) -> bytes:
    """Return the manifest of files: name, size and SHA-256 of each, in order of the names."""
    listed = [
        {"name": name, "bytes": len(data), "sha256": sha256_bytes(data)}
        for name, data in sorted(files.items())
        if name != MANIFEST
    ]
    return (json.dumps({"files": listed}, indent=2, ensure_ascii=False) + "\n").encode()


def place_sent(
    folder: Path, request: str, shop: str, files: Mapping[str, bytes], *, revision: int = 1
) -> dict[str, bytes]:
    """Return path -> bytes to keep of a package that goes out; each for ``Changes.keep``.

    A second package to the same shop (a revised request, a further round) gets a folder of its
    own in the shop's, as what was sent is never replaced; the same package again gives nothing.

    Args:
        folder: the project's folder.
        request, shop: whose package.
        files: name within the package -> bytes; a manifest of its own is kept as it is.
        revision: of the request.
    Raises:
        Unwritable: a name leads out of the package.
    """
    whole = dict(files)
    whole.setdefault(MANIFEST, manifest_of(files))
    for name in whole:
        if name.startswith(("/", ".")) or "\\" in name or ".." in name.split("/"):
            raise Unwritable(f"'{name}' leads out of the package; nothing was kept.")
    home = f"requests/{request}/sent/{shop}"
    base, count = home, 1
    while (folder / base / MANIFEST).exists():
        if _same(folder / base, whole):
            return {}
        base = f"{home}/revision-{revision}" + (f"-{count}" if count > 1 else "")
        count += 1
    return {f"{base}/{name}": data for name, data in whole.items()}


def manifests(folder: Path) -> list[Path]:
    """Return every manifest of what was sent, in order."""
    return sorted((folder / "requests").glob(f"*/sent/**/{MANIFEST}"))


def listed(manifest: Path) -> dict[str, str] | None:
    """Return name -> SHA-256 as a manifest lists them, or None where it is none."""
    try:
        found: Any = json.loads(read_bounded(manifest, _MOST))
        return {str(entry["name"]): str(entry["sha256"]) for entry in found["files"]}
    except (ValueError, KeyError, TypeError, RecursionError):
        return None


def _same(home: Path, files: Mapping[str, bytes]) -> bool:
    return all(
        (home / name).is_file() and (home / name).read_bytes() == data
        for name, data in files.items()
    )

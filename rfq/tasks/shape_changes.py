"""What changed in the models of parts between two revisions of a request, as measured."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from rfq.model.part import FileRef, Part
from rfq.problems import RfqError
from rfq.store.files import sha256_of
from rfq.tasks.measure import CACHE, changes_between, has_model
from rfq.tasks.open import Opened


def shapes_changed(
    here: Opened, old: Mapping[str, Part], new: Mapping[str, Part]
) -> dict[str, tuple[str, ...]]:
    """Return measured differences by part number, where the model became another file.

    The earlier file must still lie in the project as it was; where it does not, or a model cannot
    be measured, the part is left out and the list of revisions says only that the file changed.

    Args:
        here: the project. old, new: parts by number, as sent and as they are.
    """
    found: dict[str, tuple[str, ...]] = {}
    for number in old.keys() & new.keys():
        before, after = old[number].model, new[number].model
        if before is None or after is None or not has_model(new[number]):
            continue
        if (before.sha256 or before.path) == (after.sha256 or after.path):
            continue
        first, second = _lies(here.folder, before), _lies(here.folder, after)
        if first is not None and second is not None:
            words = changes_between(first, second, cache=here.folder / CACHE)
            if words:
                found[number] = words
    return found


def _lies(folder: Path, ref: FileRef) -> Path | None:
    path = folder / ref.path
    try:
        same = path.is_file() and ref.sha256 in ("", sha256_of(path))
    except (OSError, RfqError):
        return None
    return path if same else None

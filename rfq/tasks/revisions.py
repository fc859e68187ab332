"""What the present revision of a request changed, for the marks in a package."""

from __future__ import annotations

from rfq.documents.changes import Changes, changes_between
from rfq.model.request import Request
from rfq.store.load import load_revision
from rfq.tasks.open import Opened
from rfq.tasks.rounds import parts_as_sent
from rfq.tasks.shape_changes import shapes_changed


def changes_of(here: Opened, request: Request, shop: str) -> Changes | None:
    """Return what changed since the revision before, as far as a shop may hear of it.

    None for a first revision, and where the one before was never frozen.
    """
    if request.revision < 2:
        return None
    before = load_revision(here.folder, request.id, request.revision - 1).value
    parts = parts_as_sent(here, request, request.revision - 1)
    if before is None or not parts:
        return None
    asked = request.parts_of(shop)
    shapes = shapes_changed(here, parts, here.project.parts)
    return changes_between(before, request, parts, here.project.parts, asked, shapes=shapes)

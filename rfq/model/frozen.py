"""What freezing a request covers: one hash over all that a shop could see of it."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping

from rfq.model.part import Part
from rfq.model.request import Request

# State and bookkeeping of a request; changing them changes nothing of what was asked.
_NOT_CONTENT = {"internal_note", "state", "sent_at", "content_sha256", "overrides", "asked"}
_NOT_OF_A_PART = {"internal_note", "responsible", "should_cost", "shape", "critical"}


def content_sha256(request: Request, parts: Mapping[str, Part]) -> str:
    """Return the SHA-256 of what a request asks: its content and that of its parts.

    Args:
        request: the request; who is asked is left out, as a shop added later changes nothing
            for the others.
        parts: part number -> part; those of the request are taken, unknown ones left out.
    """
    # Defaults are left out, so that a field added to the model later changes no old request.
    content = request.model_dump_json(exclude=_NOT_CONTENT, exclude_defaults=True)
    digest = hashlib.sha256(content.encode())
    for line in request.lines:
        part = parts.get(line.part)
        if part is not None:
            callouts = tuple(
                callout.model_copy(update={"internal_note": ""}) for callout in part.callouts
            )
            shown = part.model_copy(update={"callouts": callouts})
            text = shown.model_dump_json(exclude=_NOT_OF_A_PART, exclude_defaults=True)
            digest.update(text.encode())
    return digest.hexdigest()

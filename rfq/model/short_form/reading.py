"""From text to spec: which reader is asked in which order.

What has an unmistakable mark (M, Ra, R, °, a sign of ISO 1101) goes first, a bare number last.
"""

from __future__ import annotations

from functools import lru_cache

from rfq.model.short_form.faces import (
    read_attribute,
    read_datum,
    read_edge,
    read_geometric,
    read_texture,
)
from rfq.model.short_form.sizes import (
    read_angle,
    read_chamfer,
    read_fit,
    read_radius,
    read_size,
    split_count,
)
from rfq.model.short_form.text import Notes, Wrong, decimal_points, tidy
from rfq.model.short_form.threads import read_thread
from rfq.model.spec import Spec
from rfq.problems import Place, Problem, Reading, Severity

EXAMPLES = "for example '42 H7', '25 ±0.05', 'M6-6H x 12', 'Ra 0.8', 'position Ø0.1 A B', '1x45°'"
LONGEST = 200


def read_short_form(text: str, place: Place) -> Reading[Spec]:
    """The spec in ``text``, or the problem that prevented it, located at ``place``."""
    spec, found = _read(text)
    problems = tuple(
        Problem(code=code, message=message, place=place, severity=severity)
        for code, message, severity in found
    )
    return Reading(spec, problems)


@lru_cache(maxsize=8192)
def _read(text: str) -> tuple[Spec | None, tuple[tuple[str, str, Severity], ...]]:
    """Pure in ``text``, so remembered: a screen asks for the same callouts over and over."""
    notes = Notes()
    try:
        return _understand(text, notes), tuple(notes.found)
    except Wrong as wrong:
        return None, ((wrong.code, wrong.message, Severity.STOP),)


def _understand(original: str, notes: Notes) -> Spec:
    if len(original) > LONGEST:
        raise Wrong(
            "K002", f"The callout has {len(original)} characters; a short form has up to {LONGEST}."
        )
    text = tidy(original)
    if not text:
        raise Wrong("K001", f"The callout is empty; write the short form, {EXAMPLES}.")
    if any(not char.isprintable() for char in text):
        raise Wrong("K002", f"The callout holds a control character; write it plainly, {EXAMPLES}.")
    attribute = read_attribute(text)
    if attribute is not None:
        return attribute
    text = decimal_points(text, original.strip())
    for plain in (read_texture, read_edge, read_datum):
        spec = plain(text, notes)
        if spec is not None:
            return spec
    thread = read_thread(text, 1, notes)
    if thread is not None:  # before the count: '1/4-20 UNC' and '10-32 UNF' begin with a number
        return thread
    count, rest = split_count(text)
    for counted in (
        read_geometric,
        read_thread,
        read_chamfer,
        read_radius,
        read_angle,
        read_fit,
        read_size,
    ):
        spec = counted(rest, count, notes)
        if spec is not None:
            return spec
    raise Wrong("K002", f"'{original.strip()}' is no callout we can read; write {EXAMPLES}.")

"""The internal sheet of a measured part: its views with the findings marked, and its figures."""

from __future__ import annotations

from pathlib import Path

from rfq.documents.shape_pdf import Marked, shape_pdf
from rfq.geometry.pins import pin
from rfq.store.files import atomic_write
from rfq.tasks.done import Done
from rfq.tasks.measure import drawn_views, measure_part, part_with_model
from rfq.tasks.open import moment_of, opened


def write_shape_sheet(path: Path, number: str, target: Path) -> Done[bytes | None]:
    """Write the internal sheet of a part's model as PDF.

    Args:
        path: the project. number: the part. target: the file to write.
    Returns:
        The PDF, or None and why the model cannot be measured.
    Raises:
        Stopped: no such part, or it has no model.
        MissingExtra: the geometry kernel is not installed.
    """
    here = opened(path)
    part = part_with_model(here, number)
    done = measure_part(here.folder, number)
    if done.value is None:
        return Done(None, done.problems)
    shape = done.value.shape
    pins, findings = [], []
    for n, one in enumerate(done.value.marked, start=1):
        found = pin(shape, one.point, one.direction)
        if found is not None:
            pins.append((found.view, str(n), found.share, False))
        where = ", ".join(f"{value:.1f}" for value in one.point) if one.point else "the whole part"
        view = found.view if found else ""
        findings.append(Marked(str(n), one.message, where, one.seen, view))
    data = shape_pdf(
        title=f"{part.number} {part.revision}  {part.name}",
        source=f"{shape.file}, SHA-256 {shape.sha256[:12]}…",
        views=drawn_views(shape, pins),
        findings=findings,
        figures=[(name.replace("_", " "), a, b, c) for name, a, b, c in done.value.rows],
        remarks=[str(problem) for problem in done.problems],
        when=moment_of(here.project),
    )
    atomic_write(target, data)
    return Done(data, done.problems, (target,))

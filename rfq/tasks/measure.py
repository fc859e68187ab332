"""Measure a part's STEP model; show typed and measured figures; take them into the part."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rfq.documents.views import View as DrawnView
from rfq.engine.standards import materials, stock_sizes
from rfq.geometry.callouts import candidates
from rfq.geometry.measure import measure
from rfq.geometry.savings import shape_savings
from rfq.geometry.shape import MeasuredShape
from rfq.geometry.threads import likely_threads
from rfq.geometry.typed import accept as accepted_shape
from rfq.geometry.typed import beside, typed_figures
from rfq.model.callout import Thread, canonical
from rfq.model.part import Part
from rfq.problems import MissingExtra, Place, Problem, Reading, RfqError
from rfq.store.save import changes
from rfq.tasks.done import Done, Stopped
from rfq.tasks.open import Opened, opened

CACHE = ".rfq/measured"
VIEWS_OF_A_SHEET = ("front", "top", "side", "isometric")


@dataclass(frozen=True, slots=True)
class Measured:
    """What a model says beside what was typed.

    Args:
        rows: figure, typed, measured, where from.
        findings: savings of the shape, likely threads and PMI candidates, in words.
        shape: all that was measured.
    """

    rows: tuple[tuple[str, str, str, str], ...]
    findings: tuple[str, ...]
    shape: MeasuredShape

    def as_json(self) -> dict[str, Any]:
        """Return the figures as plain values."""
        return {
            "figures": [
                {"name": name, "typed": typed, "measured": measured, "source": source}
                for name, typed, measured, source in self.rows
            ],
            "findings": list(self.findings),
        }


def measure_part(path: Path, number: str, *, accept: bool = False) -> Done[Measured | None]:
    """Measure a part's model; on ``accept`` its figures replace the typed ones.

    Raises:
        Stopped: no such part, or it has no model.
        MissingExtra: the geometry kernel is not installed.
    """
    here = opened(path)
    part = here.project.parts.get(number)
    if part is None or part.model is None:
        said = f"there is no part '{number}'" if part is None else f"{number} has no model"
        raise Stopped((Problem("P140", f"{said}; rfq parts takes models in.", Place("parts/")),))
    reading = _measured(here, part)
    if reading.value is None:
        return Done(None, reading.problems)
    shape = reading.value
    material = materials.find(part.material).value
    figures = typed_figures(shape, material.density_kg_m3 if material else None)
    rows = tuple(
        (
            row.field,
            "" if row.typed is None else _words(row.typed),
            _words(row.measured),
            f"from model, {shape.sha256[:8]}",
        )
        for row in beside(part.shape, figures)
    )
    sizes = stock_sizes.sizes_mm(material.family, part.form) if material and part.form else ()
    findings = (
        *(one.message for one in shape_savings(shape, sizes)),
        *_threads_to_ask(part, shape),
        *(f"PMI gives {one.text}: take it as a callout?" for one in candidates(shape)),
    )
    written: tuple[Path, ...] = ()
    if accept:
        new = part.model_copy(update={"shape": accepted_shape(part.shape, figures)})
        with changes(
            here.folder, "model measured", project=here.project, file=part.model.path,
            sha256=shape.sha256,
        ) as change:  # fmt: skip
            change.put(new)
        written = change.written
    return Done(Measured(rows, findings, shape), reading.problems, written)


def views_of(here: Opened, parts: Iterable[Part]) -> dict[str, tuple[DrawnView, ...]]:
    """Return the outlines of each part whose model can be measured, for the data sheets.

    A model that cannot be measured, or a machine without the kernel, gives no outlines and stops
    nothing: the drawing goes out all the same.
    """
    found: dict[str, tuple[DrawnView, ...]] = {}
    for part in parts:
        if part.model is None or not part.model.path.lower().endswith((".step", ".stp")):
            continue
        try:
            shape = _measured(here, part).value
        except MissingExtra:
            return {}
        except RfqError:
            continue
        if shape is not None:
            found[part.number] = tuple(
                _drawn(view)
                for name in VIEWS_OF_A_SHEET
                for view in shape.views
                if view.name == name
            )
    return found


def _threads_to_ask(part: Part, shape: MeasuredShape) -> tuple[str, ...]:
    """Bores of a core drill's size that no thread callout of the part explains yet."""
    called = {
        spec.size for callout in part.callouts if isinstance(spec := callout.spec.value, Thread)
    }
    return tuple(
        f"{len(one.bore.positions)} bores of {one.bore.diameter_mm:g} mm have the size of a core "
        f"hole for {canonical(one.thread)}: are they threads?"
        for one in likely_threads(shape)
        if one.thread.size not in called
    )


def _measured(here: Opened, part: Part) -> Reading[MeasuredShape]:
    assert part.model is not None
    cache = here.folder / CACHE
    cache.mkdir(parents=True, exist_ok=True)
    return measure(here.folder / part.model.path, cache=cache)


def _drawn(view: Any) -> DrawnView:
    low_x, low_y = view.low
    wide, tall = view.size_mm

    def moved(lines: Any) -> tuple[tuple[tuple[float, float], ...], ...]:
        return tuple(tuple((x - low_x, y - low_y) for x, y in line) for line in lines)

    # Hidden edges of an isometric view only make it hard to read.
    hidden = () if view.name == "isometric" else moved(view.hidden)
    return DrawnView(view.name, moved(view.visible), hidden, wide, tall)


def _words(value: object) -> str:
    if isinstance(value, tuple):
        return f"{len(value)}"
    return str(value)

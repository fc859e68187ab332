"""Measure a part's STEP model; show typed and measured figures; take them into the part."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rfq.documents.views import Pin
from rfq.documents.views import View as DrawnView
from rfq.engine.standards import materials, stock_sizes
from rfq.geometry.callouts import candidates
from rfq.geometry.dots import text_drawing
from rfq.geometry.measure import measure
from rfq.geometry.pins import toward_eye
from rfq.geometry.revisions import compare_shapes
from rfq.geometry.savings import ShapeSaving, shape_savings
from rfq.geometry.shape import MeasuredShape, View
from rfq.geometry.threads import likely_threads
from rfq.geometry.typed import Beside, beside, typed_figures
from rfq.geometry.typed import accept as accepted_shape
from rfq.geometry.vectors import Vector
from rfq.model.callout import Callout, Thread, canonical
from rfq.model.part import Part, Shape
from rfq.problems import MissingExtra, Place, Problem, Reading, RfqError
from rfq.store.save import changes
from rfq.tasks.done import Done, Stopped
from rfq.tasks.open import Opened, opened

CACHE = ".rfq/measured"
VIEWS_OF_A_SHEET = ("front", "top", "side", "isometric")


@dataclass(frozen=True, slots=True)
class Finding:
    """Something the shape says, in words, and where: a point of the model and whence to look."""

    message: str
    point: Vector | None = None
    direction: Vector | None = None
    seen: str = ""  # 'from +z', 'along z'


@dataclass(frozen=True, slots=True)
class Measured:
    """What a model says beside what was typed.

    Args:
        rows: figure, typed, measured, where from.
        findings: savings of the shape, likely threads and PMI candidates, in words.
        shape: all that was measured.
        marked: the savings and likely threads with their places, as the internal sheet shows them.
    """

    rows: tuple[tuple[str, str, str, str], ...]
    findings: tuple[str, ...]
    shape: MeasuredShape
    marked: tuple[Finding, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """Return the figures as plain values."""
        return {
            "figures": [
                {"name": name, "typed": typed, "measured": measured, "source": source}
                for name, typed, measured, source in self.rows
            ],
            "findings": list(self.findings),
        }


def measure_part(
    path: Path, number: str, *, accept: bool = False, take: Sequence[str] = ()
) -> Done[Measured | None]:
    """Measure a part's model and show both figures; those accepted replace the typed ones.

    Args:
        path: the project. number: the part.
        accept: take all figures.
        take: names of single figures to take, such as 'length_mm'.
    Raises:
        Stopped: no such part, it has no model, or a name in ``take`` is no figure of this model.
        MissingExtra: the geometry kernel is not installed.
    """
    here = opened(path)
    part = part_with_model(here, number)
    reading = measured_shape(here, part)
    if reading.value is None:
        return Done(None, reading.problems)
    shape = reading.value
    figures = figures_of(part, shape)
    both = beside(part.shape, figures)
    unknown = sorted(set(take) - {row.field for row in both})
    if unknown:
        said = ", ".join(row.field for row in both)
        raise Stopped(
            (
                Problem(
                    "G042", f"the model gives no '{unknown[0]}'; it gives {said}.", Place(number)
                ),
            )
        )
    rows = tuple(
        (
            row.field,
            "" if row.typed is None else _words(row.typed),
            _words(row.measured),
            f"from model, {shape.sha256[:8]}{_against_typed(row)}",
        )
        for row in both
    )
    marked = _marked(part, shape)
    findings = (
        *(one.message for one in marked),
        *(f"PMI gives {one.text}: take it as a callout?" for one in candidates(shape)),
    )
    written: tuple[Path, ...] = ()
    if accept or take:
        fields = None if accept else tuple(take)
        new = part.model_copy(update={"shape": accepted_shape(part.shape, figures, fields)})
        written = store(here, part, new, "model measured", shape)
    return Done(Measured(rows, findings, shape, marked), reading.problems, written)


def measure_all(path: Path) -> Done[tuple[tuple[str, MeasuredShape, int], ...]]:
    """Measure every part's model: number, shape and how many findings; nothing is taken over.

    Raises:
        MissingExtra: the geometry kernel is not installed.
    """
    here = opened(path)
    rows: list[tuple[str, MeasuredShape, int]] = []
    problems: list[Problem] = []
    for part in here.project.parts.values():
        if not has_model(part):
            continue
        try:
            reading = measured_shape(here, part)
        except MissingExtra:
            raise
        except RfqError as error:
            problems.append(Problem("G040", str(error), Place(part.number), subject=part.number))
            continue
        problems += reading.problems
        if reading.value is not None:
            rows.append((part.number, reading.value, len(_marked(part, reading.value))))
    return Done(tuple(rows), tuple(problems))


def changes_between(old: Path, new: Path, *, cache: Path | None = None) -> tuple[str, ...]:
    """What changed from one STEP file to another, one sentence each, for a list of revisions.

    Empty when nothing did, and also where it cannot be told (no kernel, a file that cannot be
    measured): the list of revisions then says only that it is another file.

    Args:
        old, new: the files. cache: where measured shapes are kept, such as the project's.
    """
    try:
        before = measure(old, cache=cache, views=False).value
        after = measure(new, cache=cache, views=False).value
    except RfqError:
        return ()
    if before is None or after is None:
        return ()
    # set-ups and walls are our own reading of the shape, not the shape: they stay with us
    said = ("volume", "area", "box", "bore", "inner radius", "pmi")
    return tuple(one.message for one in compare_shapes(before, after) if one.subject in said)


def compare_with(path: Path, number: str, old: Path) -> Done[tuple[str, ...]]:
    """What changed from an earlier model to the part's present one.

    Raises:
        Stopped: no such part, or it has no model.
        MissingExtra: the geometry kernel is not installed.
    """
    here = opened(path)
    part = part_with_model(here, number)
    before = measure(old, cache=here.folder / CACHE)
    after = measured_shape(here, part)
    problems = (*before.problems, *after.problems)
    if before.value is None or after.value is None:
        return Done((), problems)
    return Done(tuple(one.message for one in compare_shapes(before.value, after.value)), problems)


def drawing_of(
    here: Opened, number: str, columns: int, rows: int, *, view: str = "isometric"
) -> tuple[str, ...]:
    """A part's view as rows of text, made of small dots; for a terminal.

    Args:
        here: the project. number: the part.
        columns, rows: the field in characters.
        view: 'front', 'top', 'side' or 'isometric'.
    Returns:
        ``rows`` strings of ``columns`` characters; none where the model cannot be drawn, for
        whatever reason (no model, no kernel, a file that cannot be measured).
    """
    part = here.project.parts.get(number)
    if part is None or not has_model(part):
        return ()
    try:
        shape = measured_shape(here, part).value
    except RfqError:
        return ()
    drawn = next((one for one in shape.views if one.name == view), None) if shape else None
    return text_drawing(drawn, columns, rows) if drawn is not None else ()


def views_of(here: Opened, parts: Iterable[Part]) -> dict[str, tuple[DrawnView, ...]]:
    """Return the outlines of each part whose model can be measured, for the data sheets.

    Callouts that are pinned stand as balloons in their view. A model that cannot be measured, or
    a machine without the kernel, gives no outlines and stops nothing: the drawing goes out all
    the same.
    """
    found: dict[str, tuple[DrawnView, ...]] = {}
    for part in parts:
        if not has_model(part):
            continue
        try:
            shape = measured_shape(here, part).value
        except MissingExtra:
            return {}
        except RfqError:
            continue
        if shape is not None:
            found[part.number] = drawn_views(shape, _pinned(part.callouts))
    return found


def drawn_views(
    shape: MeasuredShape, pins: Iterable[tuple[str, str, tuple[float, float], bool]] = ()
) -> tuple[DrawnView, ...]:
    """The views of a shape for paper, in the order of a sheet.

    Args:
        shape: measured with views.
        pins: view, number, shares of its width and height, critical.
    """
    wanted = tuple(pins)
    return tuple(
        _drawn(
            view,
            tuple(
                Pin(text, share[0] * view.size_mm[0], share[1] * view.size_mm[1], critical)
                for name, text, share, critical in wanted
                if name == view.name
            ),
        )
        for name in VIEWS_OF_A_SHEET
        for view in shape.views
        if view.name == name
    )


# --- shared with the tasks beside ---------------------------------------------------------


def has_model(part: Part) -> bool:
    """Whether a part has a file that may be measured."""
    return part.model is not None and part.model.path.lower().endswith((".step", ".stp"))


def part_with_model(here: Opened, number: str) -> Part:
    """Return the part.

    Raises:
        Stopped: there is none, or it has no model.
    """
    part = here.project.parts.get(number)
    if part is None or part.model is None:
        said = f"there is no part '{number}'" if part is None else f"{number} has no model"
        raise Stopped((Problem("G041", f"{said}; rfq parts takes models in.", Place("parts/")),))
    return part


def measured_shape(here: Opened, part: Part) -> Reading[MeasuredShape]:
    """Measure a part's model, or take what was measured before.

    Raises:
        RfqError: as ``geometry.measure`` says.
    """
    assert part.model is not None
    return measure(here.folder / part.model.path, cache=here.folder / CACHE)


def savings_of(part: Part, shape: MeasuredShape) -> tuple[ShapeSaving, ...]:
    """What in the shape costs without need, the stock's sizes known by the part's material."""
    material = materials.find(part.material).value
    sizes = stock_sizes.sizes_mm(material.family, part.form) if material and part.form else ()
    return shape_savings(shape, sizes)


def store(here: Opened, part: Part, new: Part, what: str, shape: MeasuredShape) -> tuple[Path, ...]:
    """Write a part that took something from its model; return the files written."""
    path = part.model.path if part.model else ""
    with changes(
        here.folder, what, project=here.project, file=path, sha256=shape.sha256,
        about=f"part:{part.number}",
    ) as change:  # fmt: skip
        change.put(new)
    return change.written


def figures_of(part: Part, shape: MeasuredShape) -> Shape:
    """The typed entry the model gives, its mass by the part's material."""
    material = materials.find(part.material).value
    return typed_figures(shape, material.density_kg_m3 if material else None)


def _marked(part: Part, shape: MeasuredShape) -> tuple[Finding, ...]:
    """Savings, then bores of a core drill's size that no thread callout explains yet."""
    called = {
        spec.size for callout in part.callouts if isinstance(spec := callout.spec.value, Thread)
    }
    return (
        *(
            Finding(
                one.message,
                one.position,
                toward_eye(one.direction)
                if one.direction and one.kind == "corner radius"
                else one.direction,
                one.seen,
            )
            for one in savings_of(part, shape)
        ),
        *(
            Finding(
                f"{len(one.bore.positions)} bores of {one.bore.diameter_mm:g} mm have the size of "
                f"a core hole for {canonical(one.thread)}: are they threads?",
                one.bore.positions[0],
                toward_eye(one.bore.axis),
            )
            for one in likely_threads(shape)
            if one.thread.size not in called
        ),
    )


def _pinned(
    callouts: Iterable[Callout],
) -> tuple[tuple[str, str, tuple[float, float], bool], ...]:
    return tuple(
        (one.view, one.number, (float(one.position[0]), float(one.position[1])), one.critical)
        for one in callouts
        if one.position is not None
    )


def _drawn(view: View, pins: tuple[Pin, ...]) -> DrawnView:
    low_x, low_y = view.low
    wide, tall = view.size_mm

    def moved(lines: Any) -> tuple[tuple[tuple[float, float], ...], ...]:
        return tuple(tuple((x - low_x, y - low_y) for x, y in line) for line in lines)

    # Hidden edges of an isometric view only make it hard to read.
    hidden = () if view.name == "isometric" else moved(view.hidden)
    return DrawnView(view.name, moved(view.visible), hidden, wide, tall, pins)


def _against_typed(row: Beside) -> str:
    """What there is to decide about a figure, if anything."""
    if not row.differs:
        return ""
    return "; not typed" if row.typed is None else "; differs"


def _words(value: object) -> str:
    if isinstance(value, tuple):
        return f"{len(value)}"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)

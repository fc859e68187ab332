"""What the measured models say in a check: savings of the shape, figures of an earlier model."""

from __future__ import annotations

from collections.abc import Iterable

from rfq.geometry.child import kernel_installed
from rfq.geometry.measure import measured_before
from rfq.geometry.shape import MeasuredShape
from rfq.geometry.typed import beside
from rfq.model.part import Part
from rfq.problems import Place, Problem, RfqError, Severity
from rfq.store.names import key_of, path_of
from rfq.tasks.measure import CACHE, figures_of, has_model, savings_of
from rfq.tasks.open import Opened

SIZES = ("length_mm", "width_mm", "height_mm", "diameter_mm", "finished_mass_kg")
"""Figures a model knows better than anybody; the others are estimates one may overrule."""


def shape_findings(here: Opened, parts: Iterable[Part]) -> tuple[Problem, ...]:
    """Return what earlier measurements say; the kernel is never started, so it takes no time.

    Args:
        here: the project. parts: those asked for.
    Returns:
        Savings as notes with the face's place; an ask where a part's figures are those of an
        earlier model, or a typed size is not the model's; one note naming the models never
        measured, where they could be.
    """
    problems: list[Problem] = []
    unmeasured: list[str] = []
    for part in parts:
        if part.model is None or not has_model(part):
            continue
        try:
            shape = measured_before(here.folder / part.model.path, here.folder / CACHE)
        except RfqError:
            continue  # the checks of files say that better
        if shape is None:
            unmeasured.append(part.number)
            continue
        earlier = part.shape.model_sha256 if part.shape else ""
        if earlier and earlier != shape.sha256:
            problems.append(
                Problem(
                    "G030",
                    f"the figures of {part.number} are from a model {earlier[:8]}, but the file is "
                    f"{shape.sha256[:8]} now; measure it again (rfq measure {part.number}).",
                    Place(path_of(key_of(part)), path="shape.model_sha256"),
                    Severity.ASK,
                    why="the should-cost is that of the earlier shape",
                    subject=part.number,
                )
            )
        else:
            problems += _against_typed(part, shape)
        found = savings_of(part, shape)
        problems += [one.as_problem(part.number, part.model.path) for one in found]
    if unmeasured and kernel_installed():
        shown = ", ".join(unmeasured[:6]) + (" and more" if len(unmeasured) > 6 else "")
        problems.append(
            Problem(
                "G031",
                f"models not measured yet: {shown}; 'rfq measure' reads them and finds what their "
                "shape costs without need.",
                Place("parts/"),
                Severity.NOTE,
            )
        )
    return tuple(problems)


def _against_typed(part: Part, shape: MeasuredShape) -> tuple[Problem, ...]:
    """Sizes that were typed and are not the model's."""
    if part.shape is None:
        return ()
    return tuple(
        Problem(
            "G032",
            f"{row.field} of {part.number} is typed as {row.typed}, its model gives "
            f"{row.measured}; take it (rfq measure {part.number} --take {row.field}) or see "
            "whether the model is the right one.",
            Place(path_of(key_of(part)), path=f"shape.{row.field}"),
            Severity.ASK,
            why="the should-cost leans on what was typed",
            subject=part.number,
        )
        for row in beside(part.shape, figures_of(part, shape))
        if row.field in SIZES and row.typed is not None and row.differs
    )

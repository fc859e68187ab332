"""Checks of material, temper, form, thickness, certificate; and of parts that carry load."""

from __future__ import annotations

from collections.abc import Iterator

from rfq.engine.checks.facts import Facts, about, finding
from rfq.engine.standards import certificates, materials
from rfq.model.part import Part
from rfq.problems import Problem, Severity


def stock(facts: Facts) -> Iterator[Problem]:
    """Alloy, temper, form and thickness exist together."""
    for part in facts.parts:
        found = materials.find(part.material, facts.at_part(part, "material"))
        if found.value is None:
            for problem in found.problems:
                # A material that we lack is no mistake of the user's: it only has no should-cost.
                yield about(
                    problem, part, problem.place, severity=Severity.ASK,
                    why="a typing slip here becomes the wrong material at the shop",
                )  # fmt: skip
            continue
        for problem in materials.check_stock(
            found.value, part.temper, part.form, _thickness_mm(part)
        ):
            field = "temper" if problem.code in ("T011", "T012", "T015", "T016") else "form"
            yield about(
                problem, part, facts.at_part(part, field),
                why="a shop that cannot buy it quotes something else",
            )  # fmt: skip
        if not part.form:
            yield finding(
                "C211", Severity.ASK, facts.at_part(part, "form"),
                f"{part.number}: the stock form is not said",
                why="plate and extruded bar differ in strength, price and how they move",
                right=f"one of {', '.join(dict.fromkeys(o.form for o in found.value.forms))}",
                subject=part.number,
            )  # fmt: skip
        yield from _certificate(facts, part, found.value)


def _certificate(facts: Facts, part: Part, material: materials.Material) -> Iterator[Problem]:
    for problem in certificates.check_certificate(part.certificate, material):
        yield about(
            problem, part, facts.at_part(part, "certificate"),
            why="EN 10204 covers metallic products only",
        )  # fmt: skip
    if part.loaded and part.certificate not in ("3.1", "3.2") and material.metallic:
        yield finding(
            "C212", Severity.ASK, facts.at_part(part, "certificate"),
            f"{part.number} carries load and asks for no specific material certificate",
            why="only 3.1 and 3.2 speak of the very heat the part is cut from",
            right="3.1, if the responsible engineer wants it", subject=part.number,
        )  # fmt: skip


def loaded(facts: Facts) -> Iterator[Problem]:
    """A part that carries load, pressure or people has a responsible engineer, and says so."""
    for part in facts.parts:
        if not part.loaded:
            continue
        if not part.responsible:
            yield finding(
                "C213", Severity.ASK, facts.at_part(part, "loaded"),
                f"{part.number} carries load, but no responsible engineer is named",
                why="a change of material, temper, finish or tolerance needs somebody's release",
                right="responsible (it never leaves this folder)", subject=part.number,
            )  # fmt: skip
        if part.other_materials or part.other_routes:
            yield finding(
                "C214", Severity.NOTE, facts.at_part(part, "other_routes"),
                f"{part.number} carries load and allows another material or route",
                why="strength and fatigue differ; the responsible engineer releases it first",
                right="the release on file before a shop is told", subject=part.number,
            )  # fmt: skip


def hazards(facts: Facts) -> Iterator[Problem]:
    """What to mind in a material; a note, no safety instruction."""
    seen: set[str] = set()
    for part in facts.parts:
        material = materials.find(part.material).value
        for caution in material.cautions if material else ():
            if caution not in seen and "dust can explode" not in caution:
                seen.add(caution)
                yield finding(
                    "C215", Severity.NOTE, facts.at_part(part, "material"),
                    f"{part.number}, {part.material}: {caution}",
                    why="whoever handles the part or its chips should know", subject=part.number,
                )  # fmt: skip


def _thickness_mm(part: Part) -> float:
    shape = part.shape
    if shape is None:
        return 0.0
    if part.form in ("round bar", "rod", "tube") and shape.diameter_mm is not None:
        return float(shape.diameter_mm)
    sizes = [size for size in (shape.length_mm, shape.width_mm, shape.height_mm) if size]
    return float(min(sizes)) if sizes else 0.0


CHECKS = (stock, loaded, hazards)

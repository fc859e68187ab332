"""Checks of finishes against material, fits and threads."""

from __future__ import annotations

from collections.abc import Iterator

from rfq.engine.checks.facts import Facts, about, finding
from rfq.engine.checks.widths import feature_of, limits_of
from rfq.engine.standards import finishes, materials
from rfq.model.callout import Callout, Fit, Size, Spec, Thread
from rfq.model.part import Finish, Part
from rfq.problems import Problem, Severity


def finish_callouts(facts: Facts) -> Iterator[Problem]:
    """Each finish is known, goes on the material, and says its thickness where that matters."""
    for part in facts.parts:
        material = materials.find(part.material).value
        for index, stated in enumerate(part.finishes):
            place = facts.at_part(part, f"finishes.{index}.name")
            found = finishes.find(stated.name, place)
            if found.value is None:
                for problem in found.problems:
                    yield about(
                        problem, part, place, severity=Severity.ASK,
                        why="a finish by a house name is another finish at the next shop",
                    )  # fmt: skip
                continue
            if material is not None:
                for problem in finishes.check_finish(
                    found.value, material, temper=part.temper, loaded=part.loaded
                ):
                    yield about(
                        problem, part, place,
                        why="the finisher would send it back, or worse, would not",
                    )  # fmt: skip
            if found.value.builds_up and stated.thickness_um is None and not stated.grade:
                yield finding(
                    "C231", Severity.ASK, facts.at_part(part, f"finishes.{index}.thickness_um"),
                    f"{part.number}: {stated.name} stands without thickness or class",
                    why="the price per face and the growth on every fit depend on it",
                    right="thickness_um, or the class of the standard", subject=part.number,
                )  # fmt: skip


def build_up(facts: Facts) -> Iterator[Problem]:
    """A coating that grows eats no fit or thread in silence."""
    for part in facts.parts:
        for stated in part.finishes:
            finish = finishes.find(stated.name).value
            if finish is None or not finish.builds_up:
                continue
            for callout, spec in facts.specs(part):
                if isinstance(spec, (Fit, Size, Thread)):
                    yield from _one(facts, part, stated, finish, callout, spec)


def _one(
    facts: Facts, part: Part, stated: Finish, finish: finishes.Finish, callout: Callout, spec: Spec
) -> Iterator[Problem]:
    limits = limits_of(spec)
    feature = feature_of(spec)
    if limits is None or not feature or callout.coating == "before":
        return
    thickness = float(stated.thickness_um) if stated.thickness_um is not None else None
    masked = stated.masks > 0 and isinstance(spec, Thread)
    for problem in finishes.check_build_up(limits, feature, finish, thickness):
        if masked:
            continue  # masks on the finish name the threads, as they usually do
        if callout.coating == "after":
            # Said clearly: the shop has to hold it after coating, which must be possible at all.
            span = (thickness * 0.8, thickness * 1.2) if thickness else finish.thickness_um[::2]
            before = finishes.before_coating(
                limits, feature, (span[0], span[1]), (finish.growth[0], finish.growth[2])
            )
            if before is not None:
                continue
            yield finding(
                "C232", Severity.ASK, facts.at_callout(part, callout),
                f"{part.number}, callout {callout.number}: {callout.text} after {finish.name} "
                "leaves no room before coating, as thickness and growth vary by more than the "
                "tolerance",
                why="no size to machine to would end inside for certain",
                right="mask it, or a wider zone after coating", subject=part.number,
            )  # fmt: skip
            continue
        yield about(
            problem, part, facts.at_callout(part, callout), callout=callout,
            why="the coating takes what the fit needs",
        )  # fmt: skip


CHECKS = (finish_callouts, build_up)

"""All checks in the order a person reads them, and the recorded ways past."""

from __future__ import annotations

from dataclasses import replace

from rfq.engine.checks import callouts, coatings, dear, files, material, request
from rfq.engine.checks.facts import Check, Facts
from rfq.problems import Problem, Severity

ALL: tuple[Check, ...] = (
    *request.CHECKS,
    *files.CHECKS,
    *material.CHECKS,
    *callouts.CHECKS,
    *coatings.CHECKS,
    *dear.CHECKS,
)


def check(facts: Facts) -> tuple[Problem, ...]:
    """Return all findings, in the order of ``ALL``.

    A finding with a recorded override of its code (and subject, where the override names one)
    becomes a note that says who let it pass and why.
    """
    found = [problem for one in ALL for problem in one(facts)]
    return tuple(_passed(facts, problem) for problem in found)


def _passed(facts: Facts, problem: Problem) -> Problem:
    for override in facts.request.overrides:
        if override.code == problem.code and override.subject in ("", problem.subject):
            if problem.severity is Severity.NOTE:
                return problem
            return replace(
                problem,
                severity=Severity.NOTE,
                message=f"{problem.message} (let pass by {override.by} on {override.on}: "
                f"{override.reason})",
            )
    return problem

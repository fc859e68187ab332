"""What the app knows of the open project: its records, and what was computed from them."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from rfq.model.codes import Verdict
from rfq.model.project import Project
from rfq.model.request import Request
from rfq.problems import Problem, Severity
from rfq.tasks.open import Opened
from rfq.tasks.watch import Trace

if TYPE_CHECKING:
    from rfq.model.comparison import Comparison
    from rfq.model.estimate import Estimate

STAGES = ("parts", "request", "replies", "should-cost", "compare", "rounds", "award", "order")


@dataclass(slots=True)
class Session:
    """An open project; what was computed is None until a worker has computed it.

    Attributes:
        here: folder and records as read.
        trace: size and time of the record files when they were read.
        findings: of the request; estimates: by part and quantity, with what prevented others;
        full: estimates that were looked at, with drivers, steps and assumptions;
        comparison: of the round looked at, or the reason why there is none.
        stale: which of these have to be computed (again).
    """

    here: Opened
    trace: Trace = field(default_factory=dict)
    round_: int | None = None
    findings: tuple[Problem, ...] | None = None
    estimates: dict[tuple[str, int], Estimate] | None = None
    full: dict[tuple[str, int], Estimate] = field(default_factory=dict)
    estimate_problems: tuple[Problem, ...] = ()
    comparison: Comparison | None = None
    comparison_problems: tuple[Problem, ...] = ()
    comparison_note: str = ""
    stale: set[str] = field(default_factory=lambda: {"estimates", "comparison", "findings"})

    @property
    def folder(self) -> Path:
        """The project's folder."""
        return self.here.folder

    @property
    def project(self) -> Project:
        """The project's records."""
        return self.here.project

    @property
    def request(self) -> Request | None:
        """The request looked at."""
        return self.here.project.request()

    @property
    def round_number(self) -> int:
        """The newest round of the request; 1 before any was opened."""
        request = self.request
        if request is None:
            return 1
        return max((one.number for one in self.project.rounds_of(request.id)), default=1)

    def same_in(self, other: Session, kinds: tuple[str, ...]) -> bool:
        """Whether the records of these kinds are byte for byte those of another session."""

        def of(one: Session) -> dict[str, str]:
            hashes = one.project.hashes
            return {key: hashes[key] for key in hashes if key.partition(":")[0] in kinds}

        return of(self) == of(other)

    def take_over(self, before: Session) -> None:
        """Keep what was computed from an older reading; what no longer holds is marked stale.

        Stale results stay on the screen until newer ones are there.
        """
        self.round_ = before.round_
        self.findings, self.estimates = before.findings, before.estimates
        self.estimate_problems = before.estimate_problems
        self.comparison, self.comparison_note = before.comparison, before.comparison_note
        self.comparison_problems = before.comparison_problems
        fresh = not before.stale
        if fresh and self.same_in(before, ("part", "rates", "request")):
            self.full = before.full
            self.stale.discard("estimates")
        if fresh and self.same_in(
            before, ("part", "rates", "request", "quote", "round", "shop", "project")
        ):
            self.stale.discard("comparison")
        if fresh and self.same_in(before, ("part", "rates", "request", "shop", "project")):
            self.stale.discard("findings")

    def waiting(self) -> dict[str, int]:
        """Return how many things wait for the user, by stage; 0 where none or not known yet."""
        project = self.project
        request = self.request
        found = dict.fromkeys(STAGES, 0)
        found["parts"] = sum(
            1
            for part in project.parts.values()
            if any(not callout.spec.ok for callout in part.callouts)
        )
        if self.findings is not None:
            found["request"] = sum(one.severity is not Severity.NOTE for one in self.findings)
        found["replies"] = len(self.open_drafts())
        found["should-cost"] = len({one.subject for one in self.estimate_problems})
        if self.comparison is not None:
            found["compare"] = sum(
                cell.verdict in (Verdict.QUERY, Verdict.LIKELY_ERROR)
                for line in self.comparison.lines
                for cell in line.prices
            )
        if request is not None:
            found["rounds"] = sum(
                one.request == request.id and one.state in ("open", "answered")
                for one in project.clarifications
            ) + sum(
                taken.state == "open"
                for quote in project.quotes
                if quote.request == request.id and quote.state == "standing"
                for taken in {(one.part, one.text): one for one in quote.exceptions}.values()
            )
            ordered = {order.award for order in project.orders}
            found["award"] = sum(
                award.request == request.id and award.id not in ordered for award in project.awards
            )
        found["order"] = sum(not order.acknowledged for order in project.orders) + sum(
            not article.disposition for article in project.first_articles
        )
        return found

    def open_drafts(self) -> tuple[int, ...]:
        """Return the indices of the drafts that no quote was accepted from yet."""
        accepted = {quote.source.sha256 for quote in self.project.quotes}
        return tuple(
            index for index, draft in enumerate(self.project.drafts) if draft.sha256 not in accepted
        )

    def silent_shops(self) -> tuple[str, ...]:
        """Return the shops asked in the newest round that no reply is here from."""
        request = self.request
        if request is None:
            return ()
        number = self.round_number
        rounds = self.project.rounds_of(request.id)
        asked = (rounds[-1].asked if rounds else ()) or request.asked
        heard = {quote.shop for quote in self.project.quotes_of(request.id, number)} | {
            draft.shop for draft in self.project.drafts if draft.round == number
        }
        return tuple(one.shop for one in asked if one.shop not in heard)

"""All that is gathered while a book is read."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal

from rfq.intake.matching import Known
from rfq.intake.row import Row
from rfq.intake.settled import Settled
from rfq.intake.table import Table
from rfq.intake.terms_found import Said
from rfq.model.draft import DraftCell
from rfq.model.quote import Charge, Declined, TakenException
from rfq.problems import Place, Problem, Severity


@dataclass(slots=True)
class Work:
    """All that is gathered while a book is read."""

    file: str
    known: Known
    tables: list[Table] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)
    settled: list[Settled] = field(default_factory=list)
    cells: dict[tuple[str, int, int], DraftCell] = field(default_factory=dict)
    listed: list[DraftCell] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    said: list[Said] = field(default_factory=list)
    charges: list[Charge] = field(default_factory=list)
    declined: list[Declined] = field(default_factory=list)
    exceptions: list[TakenException] = field(default_factory=list)
    one_offs: dict[str, list[tuple[Decimal, str, tuple[str, ...], Place]]] = field(
        default_factory=dict
    )

    def problem(
        self, code: str, message: str, place: Place, severity: Severity, subject: str = ""
    ) -> None:
        """Add a problem once."""
        found = Problem(code, message, place, severity, subject=subject)
        if found not in self.problems:
            self.problems.append(found)

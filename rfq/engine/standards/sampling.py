"""How many pieces are checked: ISO 2859-1 for series of lots, and the plain offer for one lot.

Source: ISO 2859-1, single sampling, normal inspection, general level II, AQL 1.0: table of code
letters and plans with the arrows followed (from memory, as widely printed). It is made for a
series of lots from one process; a single lot is the case of ISO 2859-2.
"""

from __future__ import annotations

from dataclasses import dataclass

from rfq.problems import Problem, Severity


@dataclass(frozen=True, slots=True)
class Plan:
    """A sampling plan.

    Args:
        code_letter: letter of the lot size. plan_letter: plan used after following the arrow.
        sample: pieces to check (never more than the lot). accept, reject: numbers of bad pieces.
        whole_lot: the sample is the lot: every piece is checked.
    """

    code_letter: str
    plan_letter: str
    sample: int
    accept: int
    reject: int
    whole_lot: bool

    @property
    def arrow(self) -> bool:
        """Whether an arrow led to another plan than the lot's own letter."""
        return self.code_letter != self.plan_letter


#: Lot from | to (0: no end) | code letter | nominal sample | plan used | sample | accept | reject.
ROWS: tuple[tuple[int, int, str, int, str, int, int, int], ...] = (
    (2, 8, "A", 2, "E", 13, 0, 1),
    (9, 15, "B", 3, "E", 13, 0, 1),
    (16, 25, "C", 5, "E", 13, 0, 1),
    (26, 50, "D", 8, "E", 13, 0, 1),
    (51, 90, "E", 13, "E", 13, 0, 1),
    (91, 150, "F", 20, "E", 13, 0, 1),
    (151, 280, "G", 32, "H", 50, 1, 2),
    (281, 500, "H", 50, "H", 50, 1, 2),
    (501, 1200, "J", 80, "J", 80, 2, 3),
    (1201, 3200, "K", 125, "K", 125, 3, 4),
    (3201, 10000, "L", 200, "L", 200, 5, 6),
    (10001, 35000, "M", 315, "M", 315, 7, 8),
    (35001, 150000, "N", 500, "N", 500, 10, 11),
    (150001, 500000, "P", 800, "P", 800, 14, 15),
    (500001, 0, "Q", 1250, "Q", 1250, 21, 22),
)


def plan(lot: int) -> Plan:
    """The plan for a lot, level II, AQL 1.0, normal inspection.

    Args:
        lot: pieces in the lot, 1 and up.
    Raises:
        ValueError: a lot below 1.

    >>> plan(100)
    Plan(code_letter='F', plan_letter='E', sample=13, accept=0, reject=1, whole_lot=False)
    >>> plan(10).sample, plan(10).whole_lot, plan(200).sample
    (10, True, 50)
    """
    if lot < 1:
        raise ValueError(f"a lot of {lot} pieces is no lot; write 1 or more")
    if lot == 1:
        return Plan("A", "A", 1, 0, 1, True)
    for first, last, letter, _, used, sample, accept, reject in ROWS:
        if first <= lot and (lot <= last or not last):
            return Plan(letter, used, min(sample, lot), accept, reject, sample >= lot)
    raise AssertionError("the last row has no end")


def check_lots(lots: int) -> tuple[Problem, ...]:
    """A note where ISO 2859-1 is asked for a single lot.

    Problems: T080.

    >>> [problem.code for problem in check_lots(1)], check_lots(10)
    (['T080'], ())
    """
    if lots > 1:
        return ()
    return (
        Problem(
            "T080",
            "ISO 2859-1 is made for a series of lots; for a single lot ask for ISO 2859-2, or "
            "plainly: all critical characteristics, n pieces of the rest.",
            severity=Severity.NOTE,
        ),
    )


@dataclass(frozen=True, slots=True)
class Checks:
    """Pieces to measure. ``critical``: for critical characteristics; ``rest``: for the others."""

    critical: int
    rest: int


def critical_and_rest(lot: int, rest: int = 5) -> Checks:
    """The plain offer: critical characteristics on every piece, ``rest`` pieces of the others.

    Source: common practice, no source.

    >>> critical_and_rest(25), critical_and_rest(3)
    (Checks(critical=25, rest=5), Checks(critical=3, rest=3))
    """
    if lot < 1 or rest < 0:
        raise ValueError(f"{lot} pieces with {rest} checked is no plan")
    return Checks(lot, min(rest, lot))


def in_words(lot: int, rest: int = 5) -> str:
    """The plain offer as a sentence for a data sheet.

    >>> in_words(25)
    'critical characteristics on all 25 pcs, the others on 5 pcs'
    """
    checks = critical_and_rest(lot, rest)
    return f"critical characteristics on all {checks.critical} pcs, the others on {checks.rest} pcs"

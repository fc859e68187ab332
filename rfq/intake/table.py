"""A table found in a grid and its columns: what each means, and what its heading names."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from rfq.intake.grid import Grid
from rfq.intake.money import PIECE
from rfq.intake.numbers import plain_digits

PRICES = ("unit price", "price", "lot price", "gross price", "kg price")


TOTALS = ("total", "amount", "gross total")


PARTS = ("part", "shop part", "name")


@dataclass(slots=True)
class Column:
    """One column of a table."""

    index: int
    meaning: str = ""
    sure: float = 0.0
    heading: str = ""
    quantity: int = 0  # of a price break in the heading
    base: str = ""
    currencies: tuple[str, ...] = ()
    tax: str = ""
    tax_percent: str = ""

    def base_is(self, quantity: int) -> bool:
        """Whether the number in the heading is its price base and no break."""
        if re.fullmatch(rf"\s*\d+\s*{PIECE}\s*", self.heading, re.IGNORECASE):
            return False
        return self.base == str(quantity) and not re.search(
            rf"(?i)(?<!\w)(?:ab|from|at|@|bei|qty|menge|for)\s*{quantity}",
            plain_digits(self.heading),
        )


@dataclass(slots=True)
class Table:
    """A table found in a grid."""

    grid: Grid
    head: tuple[int, ...]  # heading rows; empty where there are none
    first: int
    last: int
    columns: dict[int, Column] = field(default_factory=dict)
    title: str = ""  # text line right above
    unlabelled: bool = False  # figures stand in a column without a heading

    def by(self, *meanings: str) -> list[Column]:
        """Return the columns of these meanings, in order."""
        return [column for column in self.columns.values() if column.meaning in meanings]

    @property
    def confidence(self) -> float:
        """How sure the meanings of the columns that matter are."""
        sure = [c.sure for c in self.by(*PRICES, *TOTALS, "part", "shop part", "quantity")]
        return min(sure, default=0.0)

"""A Draft: a reply as understood cell by cell, whole even where it is only half understood."""

from __future__ import annotations

from datetime import datetime

from pydantic import Field

from rfq.model.base import Value
from rfq.model.codes import Scope, Ticked
from rfq.model.quote import Breakdown, Charge, Declined, Price, QuoteTerms, TakenException
from rfq.problems import Place, Problem, Severity


class DraftCell(Value):
    """One cell (or text box) of the file and what was understood of it."""

    place: Place
    raw: str
    meaning: str = ""  # part, quantity, unit price, one-off, heading, term, left out ...
    understood: str = ""
    sure: float = 1.0  # 0 to 1
    kind: str = "s"  # s text, n number, d date, b truth value, e error, f formula without result
    format: str = ""  # number format, as it may carry the currency
    comment: str = ""  # what is pinned to the cell, and whether it is struck out


class ColumnMap(Value):
    """Which column means what in one table of a file."""

    sheet: str = ""
    header_row: int = 0  # 1-based; 0: none found
    columns: dict[str, str] = Field(default_factory=dict)  # column letter or index -> meaning
    headings: dict[str, str] = Field(default_factory=dict)  # column -> heading as printed
    quantities: dict[str, int] = Field(default_factory=dict)  # price column -> quantity
    per: str = ""
    currency: str = ""
    confidence: float = 0.0
    merges: tuple[tuple[int, int, int, int], ...] = ()  # merged cells of the sheet


class Draft(Value):
    """A reply as understood; stored beside the file, shown for review, accepted into a Quote."""

    file: str
    sha256: str
    number: int = 1  # among the drafts of its shop and round; part of its file name
    shop: str = ""
    shop_confidence: float = 0.0
    form: str = ""
    request: str = ""
    revision: int = 0
    round: int = 0
    received: datetime | None = None
    sender: str = ""
    prices: tuple[Price, ...] = ()
    charges: tuple[Charge, ...] = ()
    terms: QuoteTerms = QuoteTerms()
    scope: dict[Scope, Ticked] = Field(default_factory=dict)
    exceptions: tuple[TakenException, ...] = ()
    declined: tuple[Declined, ...] = ()
    breakdowns: tuple[Breakdown, ...] = ()
    columns: tuple[ColumnMap, ...] = ()
    cells: tuple[DraftCell, ...] = ()
    problems: tuple[Problem, ...] = ()

    @property
    def complete(self) -> bool:
        """Whether every price is sure and nothing is left to ask before accepting."""
        blocking = any(problem.severity is not Severity.NOTE for problem in self.problems)
        return bool(self.prices or self.declined) and not blocking and self.sure

    @property
    def sure(self) -> bool:
        """Whether every price that was read is sure."""
        return all(price.sure and price.each is not None for price in self.prices)

"""One row a price that was ever accepted: the data set all learning is made of."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from math import log
from typing import TypeVar

from rfq.model.award import Award, Order
from rfq.model.codes import Verdict
from rfq.model.comparison import Comparison, Line, PriceCell
from rfq.model.estimate import Estimate
from rfq.model.part import Part
from rfq.model.project import Project
from rfq.model.request import Request

_Record = TypeVar("_Record", Award, Order)
_ODD = (Verdict.QUERY, Verdict.LIKELY_ERROR)
_BREAKS = ((5, "1 to 5"), (25, "6 to 25"), (100, "26 to 100"))


@dataclass(frozen=True, slots=True)
class Observation:
    """A price against our should-cost.

    Args:
        project, request, round, day: where and when it was seen.
        process: the route of the should-cost. material: designation. lot: band of quantity.
        low, middle, high: should-cost; None without one. comparable: the market's word.
        work_share: share of machine and labour in the should-cost, 0 to 1.
        odd: verdict query or likely error. awarded: taken in an award.
        promised, received: of the order, where there was one.
    """

    project: str
    request: str
    round: int
    day: date
    part: str
    revision: str
    process: str
    material: str
    quantity: int
    lot: str
    shop: str
    currency: str
    low: float | None
    middle: float | None
    high: float | None
    basis: str
    work_share: float | None
    comparable: float
    odd: bool
    awarded: bool
    promised: date | None
    received: date | None

    @property
    def log_ratio(self) -> float | None:
        """log(comparable / middle); None without a should-cost."""
        if self.middle is None or self.middle <= 0 or self.comparable <= 0:
            return None
        return log(self.comparable / self.middle)

    @property
    def article(self) -> tuple[str, str, str]:
        """What shares our error: one part in one request, at whatever quantity."""
        return self.project, self.request, self.part

    @property
    def line(self) -> tuple[str, str, str, int]:
        """What quotes of one line share."""
        return self.project, self.request, self.part, self.quantity


def observations(
    project: Project,
    request: Request,
    comparison: Comparison,
    estimates: Mapping[tuple[str, int], Estimate],
    name: str,
) -> tuple[Observation, ...]:
    """Return a row a price of one request.

    Args:
        project, request: whose. comparison: of its newest round. estimates: by part and quantity.
        name: of the project in the data set; two projects must not share it.
    """
    taken = {
        (share.part, share.shop): share.quantity
        for award in _of(project.awards, request)
        for share in award.proposal.shares
    }
    found = []
    for line in comparison.lines:
        estimate = estimates.get((line.part, line.quantity))
        part = project.parts.get(line.part)
        for cell in line.prices:
            if cell.comparable is None or cell.comparable <= 0:
                continue
            if cell.quoted is None or cell.quoted.quantity != line.quantity:
                continue  # a lower break that binds is no word on this quantity
            found.append(
                _row(
                    project, request, comparison, line, cell, estimate, part, name,
                    taken.get((line.part, cell.shop)) == line.quantity,
                )
            )  # fmt: skip
    return tuple(found)


def _row(
    project: Project,
    request: Request,
    comparison: Comparison,
    line: Line,
    cell: PriceCell,
    estimate: Estimate | None,
    part: Part | None,
    name: str,
    awarded: bool,
) -> Observation:
    band = line.should_cost
    promised, received = _dates(project, request, line.part, cell.shop) if awarded else (None, None)
    assert cell.comparable is not None
    return Observation(
        project=name,
        request=request.id,
        round=comparison.round,
        day=comparison.as_of,
        part=line.part,
        revision=line.revision,
        process=estimate.route if estimate is not None else "",
        material=part.material if part is not None else "",
        quantity=line.quantity,
        lot=lot_of(line.quantity),
        shop=cell.shop,
        currency=comparison.currency,
        low=float(band.low) if band else None,
        middle=float(band.middle) if band else None,
        high=float(band.high) if band else None,
        basis=band.basis if band else "",
        work_share=work_share(estimate),
        comparable=float(cell.comparable),
        odd=cell.verdict in _ODD,
        awarded=awarded,
        promised=promised,
        received=received,
    )


def lot_of(quantity: int) -> str:
    """Return the band a quantity falls into.

    >>> lot_of(5), lot_of(25), lot_of(500)
    ('1 to 5', '6 to 25', 'over 100')
    """
    return next((name for most, name in _BREAKS if quantity <= most), "over 100")


def work_share(estimate: Estimate | None) -> float | None:
    """Return the share of machine and labour in a should-cost; what is bought is the rest."""
    if estimate is None or not estimate.elements:
        return None
    bought = {"stock", "casting", "build", "finish", "packing and certificates"}
    spread = {"overhead and margin"}
    whole = sum(e.middle for e in estimate.elements if e.name not in spread)
    work = sum(e.middle for e in estimate.elements if e.name not in bought | spread)
    return work / whole if whole > 0 else None


def _dates(
    project: Project, request: Request, part: str, shop: str
) -> tuple[date | None, date | None]:
    for order in _of(project.orders, request):
        if order.shop == shop:
            for line in order.lines:
                if line.part == part:
                    return line.promised, line.received
    return None, None


def _of(records: Iterable[_Record], request: Request) -> list[_Record]:
    return [one for one in records if one.request == request.id]

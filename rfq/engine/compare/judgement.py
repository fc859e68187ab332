"""What is said about a table of prices: cells, shops, lines, and the words of the verdicts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rfq.engine.compare.level_and_odd import Floats, Ints, Layout
from rfq.engine.compare.posterior import NAMED
from rfq.engine.compare.whole_reply import ReplySlip

BAND_TO_SD = 2.5631031310892007  # width of a 10-90 band in standard deviations
NO_NAME, WHOLE_REPLY, ELEMENT = -1, -2, -3  # in ``Judgement.best``
IN_LINE = "in line"
OUTSIDE = "outside the band"
ASK = "query"
ERROR = "likely error"
VERDICTS = (IN_LINE, OUTSIDE, ASK, ERROR)
CODE_IN, CODE_OUT, CODE_ASK, CODE_ERROR = range(4)


@dataclass(frozen=True, slots=True)
class NamedSlip:
    """The likeliest mistake behind an odd price, and the runner-up.

    Args:
        key: key of the slip (see ``slips``); empty where no named mistake fits.
        factor: what the price is too high by.
        fit: share of the log distance that the factor explains, 0 to 1.
        next_best: key of the runner-up, or empty.
        whole_reply: whether it lies on the whole reply and not on this price.
    """

    key: str
    factor: float
    fit: float
    next_best: str
    whole_reply: bool = False


@dataclass(frozen=True, slots=True)
class Cell:
    """One price, judged. ``low`` and ``high`` are the price over should-cost (or over the line's
    reference) that everything else lets expect, 80 %; z is nan where nothing speaks about it.
    """

    z: float
    p_slip: float
    verdict: str
    slip: NamedSlip | None
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Shop:
    """A shop's price level against the market (0.12 = 12 % dear), 90 % interval, and its slip.

    A whole-reply slip is already taken out of the level. ``p_slip`` is stated even below one half.
    """

    level: float
    low: float
    high: float
    slip: ReplySlip | None
    p_slip: float


@dataclass(frozen=True, slots=True)
class Line:
    """The market over our should-cost for one line (1.17 = 17 % above), 90 % interval.

    ``band_is_odd``: all shops agree with each other and not with us. nan without a should-cost.
    """

    market: float
    low: float
    high: float
    band_is_odd: bool


@dataclass(frozen=True, slots=True)
class Judgement:
    """Everything said about one table; cells are flat arrays, in the order of ``layout``."""

    layout: Layout
    z: Floats
    p_slip: Floats
    verdict_code: NDArray[np.int8]
    best: Ints  # index into NAMED, or NO_NAME, WHOLE_REPLY, ELEMENT
    second: Ints
    fit: Floats
    slip_log_factor: Floats
    expected: Floats
    expected_sd: Floats
    shops: tuple[Shop, ...]
    lines: tuple[Line, ...]
    market: Line
    spread_warning: bool  # the quotes spread more than the model assumes
    element: tuple[str, ...] = ()  # per cell, the element that is out; empty without breakdowns

    def cell(self, line: int, shop: int) -> Cell | None:
        """The judgement of one price, or None where there is none."""
        first, last = np.searchsorted(self.layout.line, (line, line + 1))
        at = first + np.flatnonzero(self.layout.shop[first:last] == shop)
        return self._cell(int(at[0])) if at.size else None

    def slip_of(self, at: int) -> NamedSlip | None:
        """The named slip of a flat cell: of query and likely error, and of an either-or reply."""
        reply = self.shops[int(self.layout.shop[at])].slip
        if self.verdict_code[at] < CODE_ASK:
            if reply is None or not reply.either:
                return None
            return NamedSlip(reply.key, reply.factor, reply.fit, reply.next_best, True)
        best, second = int(self.best[at]), int(self.second[at])
        if best == WHOLE_REPLY and reply is not None:
            return NamedSlip(reply.key, reply.factor, reply.fit, reply.next_best, True)
        next_best = NAMED[second][0] if second >= 0 else ""
        if best == ELEMENT:
            factor = float(np.exp(self.slip_log_factor[at]))
            return NamedSlip(self.element[at], factor, float(self.fit[at]), next_best)
        factor = float(np.exp(self.slip_log_factor[at]))
        key = NAMED[best][0] if best >= 0 else ""
        return NamedSlip(key, factor, float(self.fit[at]), next_best)

    def _cell(self, at: int) -> Cell:
        half = self.expected_sd[at] * BAND_TO_SD / 2.0
        return Cell(
            z=float(self.z[at]),
            p_slip=float(self.p_slip[at]),
            verdict=VERDICTS[int(self.verdict_code[at])],
            slip=self.slip_of(at),
            low=float(np.exp(self.expected[at] - half)),
            high=float(np.exp(self.expected[at] + half)),
        )

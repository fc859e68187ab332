"""Rates that our own history proposes: by how much the hour's rates would have to move.

All work places are priced as shares of the rates of 3 and 5 axes, so these two are moved
together. A price of which a share s is work follows a factor f on the rates by 1 + s (f - 1);
the f that brings the middle to the market is 1 + (m - 1) / s.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from statistics import fmean
from typing import Final

from rfq.engine.cost.rate import RATES_BY_REGION, region_of
from rfq.engine.history.market import Group, market, sound
from rfq.engine.history.observations import Observation
from rfq.model.codes import Basis
from rfq.model.rates import Rate, Rates

NAMES: Final = ("rate_3_axis", "rate_5_axis")
BOUNDS: Final = (0.5, 2.0)  # beyond, something else than a rate is wrong
_CENT: Final = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class ProposedRates:
    """Rates before and after, or why none are proposed.

    Args:
        factor: on the hour's rates; None where none is proposed. why: what it rests on.
        before, after: parameter -> low, typical, high in EUR/h.
    """

    factor: float | None
    why: str
    before: Mapping[str, tuple[Decimal, Decimal, Decimal]]
    after: Mapping[str, tuple[Decimal, Decimal, Decimal]]


def proposed_rates(rows: Sequence[Observation], rates: Rates) -> ProposedRates:
    """Return the rates that the history proposes for a project.

    Args:
        rows: of all projects. rates: of the project they would be applied to.
    """
    before = {name: _now(rates, name) for name in NAMES}
    whole: Group = market(rows)[0]
    if whole.ratio is None or whole.low is None or whole.high is None:
        return ProposedRates(None, f"{whole.words}; no rates are proposed", before, {})
    if whole.low <= 1 <= whole.high:
        why = f"{whole.words}: the market is not proven to stand elsewhere; the rates stay"
        return ProposedRates(None, why, before, {})
    shares = [row.work_share for row in sound(rows) if row.work_share is not None]
    share = fmean(shares) if shares else 0.0
    if share < 0.1:
        return ProposedRates(None, "the should-costs hold too little work to judge rates", before,
                             {})  # fmt: skip
    factor = 1 + (whole.ratio - 1) / share
    if not BOUNDS[0] <= factor <= BOUNDS[1]:
        why = (
            f"{whole.words}; the rates would need a factor of {factor:.2f}, which says that "
            "something else is wrong (times, material, margin)"
        )
        return ProposedRates(None, why, before, {})
    by = Decimal(str(round(factor, 4)))
    after = {
        name: (
            (values[0] * by).quantize(_CENT),
            (values[1] * by).quantize(_CENT),
            (values[2] * by).quantize(_CENT),
        )
        for name, values in before.items()
    }
    why = f"{whole.words}; {share:.0%} of the should-cost is work: rates x {factor:.2f}"
    return ProposedRates(factor, why, before, after)


def with_rates(rates: Rates, proposed: ProposedRates, source: str) -> Rates:
    """Return rates with the proposed ones in them, as the user's own."""
    own = dict(rates.parameters)
    for name, (low, typical, high) in proposed.after.items():
        own[name] = Rate(
            low=low, typical=typical, high=high, unit="EUR/h", basis=Basis.USER, source=source
        )
    return rates.model_copy(update={"parameters": own})


def _now(rates: Rates, name: str) -> tuple[Decimal, Decimal, Decimal]:
    own = rates.parameters.get(name)
    if own is not None:
        return own.low, own.typical, own.high
    region = region_of(rates.region) or "DE"
    low, typical, high = RATES_BY_REGION[region][NAMES.index(name)]
    return Decimal(str(low)), Decimal(str(typical)), Decimal(str(high))

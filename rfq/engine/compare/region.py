"""The price level a shop's region leads one to expect, so that a cheaper country is not odd."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import log
from statistics import fmean

from rfq.engine.cost.estimate import labour_machine_share
from rfq.engine.cost.rate import region_rate_ratio
from rfq.model.estimate import Estimate
from rfq.model.shop import Shop


def expected_levels(
    shops: Iterable[Shop], reference: str, estimates: Mapping[tuple[str, int], Estimate]
) -> dict[str, float]:
    """Return shop -> expected log price level against the should-cost of the reference region.

    The rate ratio of the two regions acts on the labour and machine share of a price; material,
    finishing outside and margins are taken as equal.

    Args:
        shops: those asked.
        reference: region of the should-cost (``Rates.region``).
        estimates: (part, quantity) -> should-cost, for the share; empty: no level is expected.
    Source: rates by region, common practice (see ``cost.rate``).
    """
    if not estimates:
        return {}
    share = fmean(labour_machine_share(estimate) for estimate in estimates.values())
    return {
        shop.id: log(1 - share + share * region_rate_ratio(shop.country, reference))
        for shop in shops
    }

"""What each callout is of the price, and what its cheaper neighbour would save."""

from __future__ import annotations

import numpy as np

from rfq.engine.cost.changes import three, with_feature
from rfq.engine.cost.run import check_draws, check_quantity, prepare
from rfq.engine.cost.savings import relaxed
from rfq.model.estimate import CalloutShare
from rfq.model.part import Part
from rfq.model.rates import Rates
from rfq.model.request import Request


def callout_shares(
    part: Part,
    quantity: int,
    rates: Rates | None = None,
    draws: int = 2048,
    seed: int = 0,
    *,
    request: Request | None = None,
    only_open: bool = True,
) -> tuple[CalloutShare, ...]:
    """What each callout adds to the price of a piece, the dearest first.

    The amount is the price with the callout less the price without it, on the same draws; the
    saving that of its next looser neighbour (never below zero).

    Args:
        only_open: callouts marked open only; else all that add something.

    Raises:
        EstimateError: the part cannot be estimated.
    """
    pieces = check_quantity(quantity)
    check_draws(draws, seed)
    run = prepare(part, rates, request=request)
    price = run.draw([pieces], draws, seed).price[0]
    middle = float(np.median(price))
    neighbours = {
        number: (found, other) for number, found, other in relaxed(part, run, only_open=only_open)
    }
    known = {feature.number for feature in run.entry.features}
    shares = []
    for callout in part.callouts:
        if (only_open and callout.state != "open") or callout.number not in known:
            continue
        bare = with_feature(run, callout.number, None).draw([pieces], draws, seed).price[0]
        low, amount, high = three(price - bare)
        saving = (0.0, 0.0, 0.0)
        becomes = ""
        if callout.number in neighbours:
            found, other = neighbours[callout.number]
            becomes = found.becomes
            saving = three(price - other.draw([pieces], draws, seed).price[0])
        shares.append(
            CalloutShare(
                callout=callout.number,
                what=callout.what,
                text=callout.text,
                low=low,
                middle=amount,
                high=high,
                neighbour=becomes,
                saving=max(0.0, saving[1]),
                state=callout.state,
                share=amount / middle,
                saving_low=max(0.0, saving[0]),
                saving_high=max(0.0, saving[2]),
            )
        )
    shares.sort(key=lambda share: (-share.middle, share.callout))
    return tuple(shares)

"""Whether another round pays: what it may still bring against what a week of delay costs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from rfq.engine.negotiate.movement import Movement
from rfq.engine.negotiate.targets import Target

#: What a re-quote with a named argument recovers of the distance to the target, and how a round
#: compares with the one before. Common practice, no source.
FIRST_SHARE: Final = Decimal("0.5")
NEXT_SHARE: Final = Decimal("0.4")


@dataclass(frozen=True, slots=True)
class AnotherRound:
    """The value of another round.

    Args:
        likely_gain: project currency, on the quantities ordered first.
        cost: of the delay. worth: gain above cost; None where the cost per week is not known.
        words: for the user.
    """

    likely_gain: Decimal
    cost: Decimal | None
    worth: bool | None
    words: str


def another_round(
    open_targets: Sequence[Target],
    lowest: Sequence[tuple[str, int, str]],
    conceded: Sequence[Movement],
    weeks: Decimal,
    cost_per_week: Decimal | None,
    currency: str,
) -> AnotherRound:
    """Return whether one more round is likely to pay.

    Args:
        open_targets: of the newest round. lowest: (part, quantity, shop) that would be awarded.
        conceded: movements of the last round; () after the first.
        weeks: how long another round takes. cost_per_week: of delay; None: not said.
    """
    winners = set(lowest)
    if conceded:
        last = -sum(
            (one.concession * one.quantity for one in conceded
             if (one.part, one.quantity, one.shop) in winners),
            Decimal(0),
        )  # fmt: skip
        gain = max(Decimal(0), last * NEXT_SHARE)
        ground = f"the last round brought {last:.2f} {currency}"
    else:
        gap = sum(
            (one.gain for one in open_targets
             if (one.part, one.quantity, one.shop) in winners and one.target is not None),
            Decimal(0),
        )  # fmt: skip
        gain = gap * FIRST_SHARE
        ground = f"the lowest prices stand {gap:.2f} {currency} above their targets"
    gain = gain.quantize(Decimal("0.01"))
    said = f"another round may bring about {gain} {currency} ({ground})"
    if cost_per_week is None:
        return AnotherRound(
            gain, None, None, f"{said}; what a week of delay costs is not known (delay_per_week)."
        )
    cost = (weeks * cost_per_week).quantize(Decimal("0.01"))
    worth = gain > cost
    advice = "it is worth it" if worth else "stop here and award"
    return AnotherRound(
        gain, cost, worth, f"{said} and costs {cost} {currency} of delay: {advice}."
    )

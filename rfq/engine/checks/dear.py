"""Expensive for no reason: each open callout's share of the price and its cheaper neighbour."""

from __future__ import annotations

from collections.abc import Iterator

from rfq.engine.checks.facts import Facts, finding
from rfq.problems import Problem, Severity

# Below this share of a piece's price a looser callout is not worth the talk.
# Common practice, no source.
WORTH_SAYING = 0.002


def open_callouts(facts: Facts) -> Iterator[Problem]:
    """Open callouts that cost something, dearest first over the whole request."""
    rows = [
        (share, part)
        for part in facts.parts
        for share in facts.shares.get(part.number, ())
        if share.state == "open"
        and share.neighbour
        and share.saving >= WORTH_SAYING * share.middle / max(share.share, 1e-9)
    ]
    for share, part in sorted(rows, key=lambda row: -row[0].saving):
        index = next(
            (i for i, callout in enumerate(part.callouts) if callout.number == share.callout), 0
        )
        yield finding(
            "C301", Severity.NOTE, facts.at_part(part, f"callouts.{index}.text"),
            f"{part.number}, callout {share.callout} ({share.what or share.text}): {share.text} "
            f"costs about {share.middle:.2f} EUR a piece ({share.low:.2f} to {share.high:.2f})",
            why="it is marked open, so nothing seems to need it this tight",
            right=f"{share.neighbour} would save about {share.saving:.2f} EUR a piece, "
            "if the part still works with it",
            subject=part.number, saving=f"{share.saving:.2f}",
        )  # fmt: skip


CHECKS = (open_callouts,)

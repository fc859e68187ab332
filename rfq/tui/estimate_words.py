"""An estimate in rows: elements with bars, steps with formula and source."""

from __future__ import annotations

from rfq.model.estimate import Estimate
from rfq.tui.cells import Bits, bar, bit, bits, money


def element_rows(estimate: Estimate, room: int = 18) -> list[list[Bits]]:
    """Return the elements as rows with bars, in the order the shop makes it."""
    top = max((one.middle for one in estimate.elements), default=1.0) or 1.0
    rows: list[list[Bits]] = []
    for one in estimate.elements:
        minutes, rate = estimate.minutes.get(one.name), estimate.rates.get(one.name)
        how = f"{minutes:.1f} min" if minutes else f"{money(one.low)} to {money(one.high)}"
        if minutes and rate:
            how += f" at {rate:.0f} {estimate.currency}/h"
        rows.append(
            [bits(one.name), bits(money(one.middle)), bits(bar(one.middle / top, room)),
             bits(how, "dim")]
        )  # fmt: skip
    return rows


def element_words(estimate: Estimate, row: int) -> Bits:
    """Return what an element is, in one line."""
    one = estimate.elements[row]
    return (
        bit(f"{one.name} {money(one.middle)}: ", "strong"),
        bit(
            f"share of the middle; by itself {money(one.low)} to {money(one.high)} "
            f"{estimate.currency} a piece (w shows the steps)"
        ),
    )


def why_rows(estimate: Estimate, element: str = "") -> list[object]:
    """Return the steps of an estimate: value, formula, source; and what it assumes."""
    steps = [one for one in estimate.steps if not element or one.element == element]
    rows: list[object] = [
        (
            bit(
                f"{estimate.part}, {estimate.quantity} pcs, {element or 'the whole price'}",
                "strong",
            ),
        )
    ]
    for step in steps or estimate.steps:
        rows.append(
            (bit(f"{step.name}: ", "strong"), bit(f"{step.value:.4g} {step.unit}  "),
             bit(f"{step.formula}  ", "plain"), bit(step.source, "dim"))
        )  # fmt: skip
    if not element:
        rows += ["", (bit("assumed", "strong"),)]
        rows += [
            (bit(f"{one.name} = {one.value} {one.unit}  "), bit(one.source or one.basis, "dim"))
            for one in estimate.assumptions
        ]
    return rows

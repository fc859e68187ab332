"""What a change to the request would save, and what moves the price, over the should-cost."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from rfq.model.estimate import Estimate, Saving
from rfq.tui.cells import bar, bit, lines, money, strip
from rfq.tui.screens.cards import TextCard

if TYPE_CHECKING:
    from rfq.tui.app import RfqApp


def show_savings(app: RfqApp, estimate: Estimate) -> None:
    """Compute the savings of a part in a worker and show them."""
    from rfq.tasks.cost import savings_of

    session = app.session
    assert session is not None
    folder, number, quantity = session.folder, estimate.part, estimate.quantity

    def have(done: Any) -> None:
        if done.stops:
            app.show_problems("savings", done.problems)
            return
        title = f"savings   {number}, {quantity} pcs, now {money(estimate.middle)}"
        app.push_screen(TextCard(title, lines(savings_rows(done.value, estimate))))

    app.begin("savings", lambda _: savings_of(folder, number, quantity), have)


def savings_rows(found: tuple[Saving, ...], estimate: Estimate) -> list[object]:
    """Return the savings as lines: what, how much, what to say, what to mind."""
    if not found:
        return ["no change that we know of saves anything at this quantity"]
    rows: list[object] = []
    for one in found:
        verb = "saves" if one.middle < 0 else "costs"
        low, high = sorted((abs(one.low), abs(one.high)))
        rows.append(
            (
                bit(f"{one.name:<38.38} ", "strong"),
                bit(f"{verb} {money(low):>9} to {money(high):>9} {estimate.currency}  "),
                bit(bar(min(1.0, abs(one.share) * 2), 14)),
            )
        )
        if one.sentence:
            rows.append((bit(f"    to the {one.to}: ", "dim"), bit(one.sentence)))
        if one.caution:
            rows.append((bit("    caution: ", "query"), bit(one.caution)))
    return rows


def show_drivers(app: RfqApp, estimate: Estimate) -> None:
    """Show what the price becomes with each input at its low and high end."""
    low = min([estimate.low, *(one.low for one in estimate.drivers)])
    high = max([estimate.high, *(one.high for one in estimate.drivers)])
    rows: list[object] = [
        (bit(f"{'input at its low and high end':<34}{'low':>10}{'high':>10}", "dim"),)
    ]
    for one in estimate.drivers:
        line = strip(low, estimate.middle, high, one.low, 40)
        other = strip(low, estimate.middle, high, one.high, 40)
        both = "".join("●" if "●" in pair else pair[0] for pair in zip(line, other, strict=True))
        rows.append(
            (bit(f"{one.name:<34.34}", "strong"), bit(f"{money(one.low):>10}{money(one.high):>10}"),
             bit(f"  {both}"))
        )  # fmt: skip
    rows.append((bit(f"{'':<54}  {money(low):<20}{money(high):>20}", "dim"),))
    title = f"what moves the price of {estimate.part}, {estimate.quantity} pcs"
    app.push_screen(TextCard(title, lines(rows)))

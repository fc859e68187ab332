"""Routes: the ways to make a part, each with its band, and where they cross over the quantity."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from rfq.model.estimate import Estimate, RouteComparison
from rfq.tui.cells import bit, lines, money
from rfq.tui.screens.cards import Card
from rfq.tui.widgets.price_curve import PriceCurve

if TYPE_CHECKING:
    from rfq.tui.app import RfqApp


def show_routes(app: RfqApp, estimate: Estimate) -> None:
    """Compute the routes of a part in a worker and show them."""
    from rfq.tasks.cost import routes_of

    session = app.session
    assert session is not None
    folder, number = session.folder, estimate.part

    def have(done: Any) -> None:
        if done.value is None:
            app.show_problems("routes", done.problems)
            return
        app.push_screen(RoutesCard(done.value))

    app.begin("routes", lambda _: routes_of(folder, number), have)


class RoutesCard(Card[None]):
    """The curves over the quantity, then bands, crossings and what to mind, in words."""

    def __init__(self, found: RouteComparison) -> None:
        super().__init__(f"routes   {found.part}, price of a piece over the quantity")
        self.found = found

    def inside(self) -> ComposeResult:
        """Plot and words."""
        yield PriceCurve(
            self.found.curve_quantities, self.found.curves, self.found.currency, id="curve"
        )
        with VerticalScroll(id="routes-words"):
            yield Static(lines(route_rows(self.found)), markup=False, id="card-text")

    def on_mount(self) -> None:
        """Let the arrows scroll the words."""
        self.query_one("#routes-words").focus()


def route_rows(found: RouteComparison) -> list[object]:
    """Return crossings first, then the band of each route at each quantity."""
    rows: list[object] = [
        (bit("crossing  ", "strong"), bit(one.sentence)) for one in found.crossings
    ]
    if len(found.routes) < 2:
        rows.append("only one route: allow others in the part (other routes, other materials)")
    for quantity in found.quantities:
        rows.append((bit(f"{quantity} pcs", "dim"),))
        for one in found.bands:
            if one.quantity == quantity:
                rows.append(
                    (bit(f"  {one.route:<26.26} {one.material:<14.14} "),
                     bit(f"{money(one.low):>10} [{money(one.middle):>10}] {money(one.high):>10}"))
                )  # fmt: skip
    rows += [(bit("mind  ", "query"), bit(one)) for one in found.caveats]
    rows += [(bit("not estimated  ", "dim"), bit(one.message)) for one in found.problems]
    return rows

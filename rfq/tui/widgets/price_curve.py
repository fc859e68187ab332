"""Price over quantity, one curve a route, both axes by powers; words where nothing can be drawn."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from rfq.tui.cells import text

# Told apart by sign as well as colour.
_MARKS = ("●", "▲", "■", "◆", "○", "△")
_COLOURS = ("cyan", "magenta", "green", "yellow", "blue", "red")


class PriceCurve(Vertical):
    """A plot of several curves.

    Args:
        quantities: pieces, rising. curves: name -> price at each of them. currency: of the prices.
    """

    def __init__(
        self,
        quantities: Sequence[int],
        curves: Mapping[str, Sequence[float]],
        currency: str,
        id: str | None = None,
    ) -> None:
        super().__init__(id=id)
        self.quantities = quantities
        self.curves = curves
        self.currency = currency

    def compose(self) -> ComposeResult:
        """The plot and its legend in words."""
        names = "   ".join(f"{_MARKS[i % 6]} {name}" for i, name in enumerate(self.curves))
        yield Static(
            text(f"{self.currency} a piece, over pieces; {names}"), markup=False, id="curve-legend"
        )
        if len(self.quantities) > 1 and self.curves:
            from textual_plot import PlotWidget  # heavy, and only wanted here

            yield PlotWidget(allow_pan_and_zoom=False, id="curve-plot")

    def on_mount(self) -> None:
        """Draw the curves."""
        if len(self.quantities) < 2 or not self.curves:
            return
        plot: Any = self.query_one("#curve-plot")
        plot.can_focus = False
        x = [math.log10(quantity) for quantity in self.quantities]
        for index, prices in enumerate(self.curves.values()):
            y = [math.log10(max(price, 1e-6)) for price in prices]
            colour = _COLOURS[index % 6]
            plot.plot(x, y, line_style=colour)
            plot.scatter(x[:: max(1, len(x) // 8)], y[:: max(1, len(y) // 8)],
                         marker=_MARKS[index % 6], marker_style=colour)  # fmt: skip
        plot.set_xticks([math.log10(q) for q in self.quantities[:: max(1, len(x) // 5)]])
        plot.set_x_formatter(_Powers())
        plot.set_y_formatter(_Powers())


class _Powers:
    """Labels of an axis that holds logarithms."""

    def get_ticks(self, min_: float, max_: float, max_ticks: int = 8) -> list[float]:
        """Ticks at 1, 2 and 5 of each power."""
        marks = [
            math.log10(digit * 10.0**power)
            for power in range(math.floor(min_) - 1, math.ceil(max_) + 1)
            for digit in (1, 2, 5)
        ]
        inside = [mark for mark in marks if min_ <= mark <= max_]
        return inside[:: max(1, math.ceil(len(inside) / max_ticks))]

    def get_labels_for_ticks(self, ticks: Sequence[float]) -> list[str]:
        """The figure itself, not its logarithm."""
        return [f"{10**tick:.4g}" for tick in ticks]

    def get_ticks_and_labels(
        self, min_: float, max_: float, max_ticks: int = 8
    ) -> tuple[list[float], list[str]]:
        """Both."""
        ticks = self.get_ticks(min_, max_, max_ticks)
        return ticks, self.get_labels_for_ticks(ticks)

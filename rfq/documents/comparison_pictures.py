"""Pictures of a comparison, drawn as vectors: dots on bands, levels, waterfalls, routes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import exp, log
from typing import Final

from rfq.documents.look import BOLD, LABEL, SMALL, Sheet, Style, clip
from rfq.model.codes import Verdict
from rfq.model.comparison import BridgeStep, Comparison, Line, PriceCell
from rfq.model.estimate import RouteComparison

_LOW, _HIGH = log(0.35), log(2.9)  # of a price over the middle of the band; further out: arrows
_TICKS: Final = (0.5, 0.75, 1.0, 1.5, 2.0)
_STRONG: Final = Style(8, BOLD, 10)


def legend(sheet: Sheet, letters: Mapping[str, str]) -> None:
    """Say which letter is which shop and how the picture is read."""
    names = "   ".join(f"{letter} {shop}" for shop, letter in letters.items())
    sheet.paragraph(names, _STRONG)
    sheet.paragraph(
        "Grey: should-cost from the 10th to the 90th percentile; stroke: its middle. A letter: "
        "a shop's comparable price over the middle; in a ring: to be asked about; arrow: further "
        "out than the picture.",
        SMALL,
    )


def dots(sheet: Sheet, comparison: Comparison, letters: Mapping[str, str]) -> None:
    """One row a line: its band, and each shop's price as a letter on it."""
    left, right = sheet.left + 118, sheet.right - 6
    _scale(sheet, left, right)
    for line in comparison.lines:
        if sheet.room < 20:
            sheet.new_page()
            _scale(sheet, left, right)
        sheet.y -= 15
        y = sheet.y + 4
        sheet.text(sheet.left, y - 2.5, clip(f"{line.part} {line.revision}", 72, 8), SMALL)
        sheet.text(left - 12, y - 2.5, f"{line.quantity} pcs", SMALL, "right")
        band = line.should_cost
        if band is None:
            sheet.text(left, y - 2.5, "no should-cost", SMALL)
            continue
        middle = float(band.middle)
        x0, x1 = (_at(float(edge) / middle, left, right)[0] for edge in (band.low, band.high))
        sheet.box(x0, y - 4, x1 - x0, 8, line=0, grey=0.86)
        centre = _at(1.0, left, right)[0]
        sheet.rule(centre, y - 5, centre, y + 5, 0.9)
        _letters(sheet, line, letters, left, right, y, middle)


def _letters(
    sheet: Sheet,
    line: Line,
    letters: Mapping[str, str],
    left: float,
    right: float,
    y: float,
    middle: float,
) -> None:
    taken: list[float] = []
    for cell in sorted(line.prices, key=lambda one: one.comparable or 0):
        if cell.comparable is None:
            continue
        x, out = _at(float(cell.comparable) / middle, left, right)
        while any(abs(x - other) < 7 for other in taken):
            x += 7  # letters stand side by side rather than on each other
        taken.append(x)
        sheet.text(x, y - 2.8, letters[cell.shop] + out, _STRONG, "centre")
        if cell.verdict in (Verdict.QUERY, Verdict.LIKELY_ERROR):
            sheet.circle(x, y, 6.2, 0.7)


def _scale(sheet: Sheet, left: float, right: float) -> None:
    sheet.y -= 14
    for tick in _TICKS:
        x, _ = _at(tick, left, right)
        sheet.text(x, sheet.y + 2, f"x {tick:g}", LABEL, "centre")
        sheet.rule(x, sheet.y, x, sheet.y - 3, 0.3)
    sheet.rule(left, sheet.y, right, sheet.y, 0.3)


def _at(ratio: float, left: float, right: float) -> tuple[float, str]:
    """Return the x of a ratio on a logarithmic scale, and an arrow where it lies outside."""
    value = log(max(ratio, 1e-9))
    share = (min(max(value, _LOW), _HIGH) - _LOW) / (_HIGH - _LOW)
    out = " →" if value > _HIGH else " ←" if value < _LOW else ""
    return left + share * (right - left), out


def levels(sheet: Sheet, comparison: Comparison, letters: Mapping[str, str]) -> None:
    """Price level of each shop with its interval, on one scale."""
    shops = [
        shop
        for shop in comparison.shops
        if shop.level is not None and shop.level_low is not None and shop.level_high is not None
    ]
    if not shops:
        return
    sheet.need(20 + 13 * len(shops))
    sheet.paragraph("Price level, with its 90 % interval", _STRONG)
    span = max(0.3, *(abs(edge or 0) for s in shops for edge in (s.level_low, s.level_high))) * 1.1
    left, right = sheet.left + 110, sheet.right - 10
    middle = (left + right) / 2
    top = sheet.y
    for shop in shops:
        sheet.y -= 13
        y = sheet.y + 4
        sheet.text(sheet.left, y - 2.5, clip(f"{letters[shop.shop]}  {shop.shop}", 104, 8), SMALL)

        def x(level: float | None) -> float:
            return middle + (level or 0) / span * (right - left) / 2

        sheet.rule(x(shop.level_low), y, x(shop.level_high), y, 2.2)
        sheet.circle(x(shop.level), y, 2.6, 1.2)
    sheet.rule(middle, top, middle, sheet.y, 0.4)
    sheet.y -= 10
    for share in (-1.0, -0.5, 0.0, 0.5, 1.0):
        at = middle + share * (right - left) / 2
        sheet.text(at, sheet.y, f"{share * span:+.0%}", LABEL, "centre")
    sheet.y -= 4


def waterfall(sheet: Sheet, line: Line, cell: PriceCell, currency: str) -> None:
    """The bridge of one price: each step as a bar from where the last one ended."""
    steps = [step for step in cell.bridge if step.amount]
    height = 26 + 11 * (len(steps) + 1)
    sheet.need(height)
    sheet.paragraph(
        f"{line.part} {line.revision}, {line.quantity} pcs, {cell.shop}: {cell.comparable:.2f} "
        f"{currency}",
        _STRONG,
    )
    totals = _running(steps)
    low = min([0.0, *totals])
    high = max([0.0, *totals]) or 1.0
    left, right = sheet.left + 150, sheet.left + 320
    for index, step in enumerate(steps):
        sheet.y -= 11
        _bar(sheet, step, totals[index], totals[index + 1], (low, high), (left, right))
    sheet.y -= 11
    sheet.text(sheet.left, sheet.y + 3, "comparable price", SMALL)
    sheet.text(left - 6, sheet.y + 3, f"{cell.comparable:.2f}", SMALL, "right")
    x = left + (totals[-1] - low) / (high - low) * (right - left)
    zero = left + (0 - low) / (high - low) * (right - left)
    sheet.box(min(zero, x), sheet.y + 1, abs(x - zero), 7, line=0.5, grey=0.55)
    sheet.gap(6)


def _bar(
    sheet: Sheet,
    step: BridgeStep,
    start: float,
    end: float,
    span: tuple[float, float],
    room: tuple[float, float],
) -> None:
    low, high = span
    left, right = room
    x0 = left + (start - low) / (high - low) * (right - left)
    x1 = left + (end - low) / (high - low) * (right - left)
    sheet.text(sheet.left, sheet.y + 3, clip(step.step, 96, SMALL.size), SMALL)
    sheet.text(left - 6, sheet.y + 3, f"{step.amount:+.2f}", SMALL, "right")
    grey = 0.8 if step.estimated else 0.93
    sheet.box(min(x0, x1), sheet.y + 1, max(abs(x1 - x0), 0.6), 7, line=0.5, grey=grey)
    mark = "our estimate: " if step.estimated else ""
    text = clip(f"{mark}{step.reason}", sheet.right - right - 8, LABEL.size)
    sheet.text(right + 8, sheet.y + 3, text, LABEL)


def _running(steps: Sequence[BridgeStep]) -> list[float]:
    totals = [0.0]
    for step in steps:
        totals.append(totals[-1] + float(step.amount))
    return totals


def routes(sheet: Sheet, found: RouteComparison) -> None:
    """Each route's band over quantity, on logarithmic scales, with the crossings in words."""
    if len(found.routes) < 2 or len(found.quantities) < 2:
        return
    sheet.need(235)  # heading and picture stay together
    sheet.heading(f"Ways to make {found.part}", level=0)
    quantities = found.quantities
    lowest = log(min(band.low for band in found.bands))
    highest = log(max(band.high for band in found.bands))
    left, right, top = sheet.left + 46, sheet.right - 110, sheet.y - 8
    bottom = top - 150
    span_q = max(log(quantities[-1]) - log(quantities[0]), 1e-9)
    span_p = max(highest - lowest, 1e-9)

    def point(quantity: float, price: float) -> tuple[float, float]:
        return (
            left + (log(quantity) - log(quantities[0])) / span_q * (right - left),
            bottom + (log(price) - lowest) / span_p * (top - bottom),
        )

    sheet.box(left, bottom, right - left, top - bottom, line=0.4)
    for quantity in quantities:
        x, _ = point(quantity, exp(lowest))
        sheet.text(x, bottom - 9, str(quantity), LABEL, "centre")
    for price in (exp(lowest), exp((lowest + highest) / 2), exp(highest)):
        sheet.text(left - 4, point(quantities[0], price)[1] - 2, f"{price:.0f}", LABEL, "right")
    dashes = (None, (4.0, 2.0), (1.2, 2.0), (6.0, 2.0))
    ends: list[float] = []
    for index, route in enumerate(found.routes):
        mine = sorted((b for b in found.bands if b.route == route), key=lambda b: b.quantity)
        if not mine:
            continue
        dash = dashes[index % len(dashes)]
        sheet.path([point(b.quantity, b.middle) for b in mine], width=1.2, dash=dash)
        for band in mine:
            # Bands stand side by side, or one would hide the other.
            (x, y0), (_, y1) = point(band.quantity, band.low), point(band.quantity, band.high)
            x += 2.5 * index
            sheet.rule(x, y0, x, y1, 0.5)
        x, y = point(mine[-1].quantity, mine[-1].middle)
        while any(abs(y - other) < 9 for other in ends):
            y -= 9
        ends.append(y)
        sheet.text(right + 8, y - 2, clip(route, 100, LABEL.size), LABEL)
    sheet.y = bottom - 16
    sheet.paragraph("across: pieces; up: EUR a piece; both scales logarithmic", SMALL)
    for crossing in found.crossings:
        sheet.paragraph(crossing.sentence)
    for caveat in found.caveats:
        sheet.paragraph(caveat, SMALL)

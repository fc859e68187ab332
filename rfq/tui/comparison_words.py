"""What is said of one price below the table, and of a comparison as a whole."""

from __future__ import annotations

from decimal import Decimal

from rfq.model.comparison import Comparison, Line, PriceCell, ShopSummary
from rfq.tui.cells import Bits, bar, bit, money, percent, plain
from rfq.tui.comparison_grid import is_odd


def headline(comparison: Comparison) -> str:
    """Return how many prices there are to ask about, in words."""
    cells = [cell for line in comparison.lines for cell in line.prices]
    counts: dict[str, int] = {}
    for cell in cells:
        if cell.verdict is not None and cell.verdict.value != "in line":
            counts[cell.verdict.value] = counts.get(cell.verdict.value, 0) + 1
        if cell.state.value not in ("quoted", "not asked"):
            counts[cell.state.value] = counts.get(cell.state.value, 0) + 1
    parts = [
        f"{counts[word]} {word}"
        for word in ("likely error", "query", "outside the band", "declined", "no answer",
                     "expired", "withdrawn")
        if word in counts
    ]  # fmt: skip
    return f"compare   round {comparison.round}, {comparison.currency} a piece, landed: " + (
        ", ".join(parts) or "nothing odd"
    )


def pane(line: Line, cell: PriceCell, currency: str) -> list[object]:
    """Return the lower pane of a price: verdict, reason, bridge, question."""
    # The question comes second: it is what is done next, and must not be cut off.
    rows: list[object] = [first_line(line, cell, currency)]
    if cell.question:
        rows.append((bit("ask      ", "dim"), bit(f"'{cell.question}'"), bit("  [a]", "strong")))
    if cell.bridge:
        steps = "   ".join(
            f"{step.amount:+.2f} {step.step}{'~' if step.estimated else ''}"
            for step in cell.bridge[1:]
            if step.amount
        )
        start = cell.bridge[0]
        rows.append(
            (bit("bridge   ", "dim"), bit(f"{start.amount:.2f} {start.step}   {steps}   = "),
             bit(money(cell.comparable), "strong"))
        )  # fmt: skip
    if cell.why_not_ranked:
        rows.append((bit("not ranked  ", "query"), bit(cell.why_not_ranked)))
    if cell.exceptions:
        rows.append((bit("exception   ", "query"), bit("; ".join(cell.exceptions))))
    rows += elements(line, cell)
    if cell.reason:
        rows.append((bit("reason   ", "dim"), bit(cell.reason)))
    if cell.slip is not None and cell.slip.name not in cell.reason:
        after = f"; next: {cell.slip.next_best}" if cell.slip.next_best else ""
        rows.append(
            (bit("may be   ", "dim"),
             bit(f"{cell.slip.name}, explains {cell.slip.fit:.0%}{after}. {cell.slip.reason}"))
        )  # fmt: skip
    return rows


def first_line(line: Line, cell: PriceCell, currency: str) -> Bits:
    """Return the one line that stands for all where there is room for one only."""
    who = f"{cell.shop}, {line.part} {line.revision}, {line.quantity} pcs: "
    if cell.comparable is None:
        return (bit(who, "strong"), bit(cell.state.value))
    said = cell.verdict.value if cell.verdict is not None else "nothing to compare with"
    lowest = ", lowest" if cell.rank == 1 else ""
    more = ""
    if cell.slip is not None:
        more = f"; may be {cell.slip.name}"
    elif cell.expected_low is not None and cell.expected_high is not None:
        more = (
            f"; price level and band lead to {money(cell.expected_low)} to "
            f"{money(cell.expected_high)}"
        )
    return (bit(who, "strong"), bit(f"{money(cell.comparable)} {currency}, {said}{lowest}{more}"))


def elements(line: Line, cell: PriceCell) -> list[object]:
    """Return the shop's own elements beside the should-cost's, where it gave them."""
    if not cell.elements:
        return []
    ours = line.should_cost.elements if line.should_cost else {}
    said = "   ".join(
        f"{name} {amount:.2f}" + (f" ({ours[name]:.2f})" if name in ours else "")
        for name, amount in cell.elements.items()
    )
    return [(bit("elements ", "dim"), bit(said), bit("   (should-cost in brackets)", "dim"))]


def details(line: Line, cell: PriceCell, currency: str) -> list[object]:
    """Return everything about a price, with each step's reason and place."""
    rows = [row for row in pane(line, cell, currency) if not _is_bridge(row)]
    quoted = cell.quoted
    if quoted is not None:
        rows.append(
            (bit("quoted   ", "dim"),
             bit(f"{quoted.amount} {quoted.currency} per {quoted.per} at {quoted.quantity} pcs"),
             bit(f"   {quoted.place}", "dim"))
        )  # fmt: skip
    rows += ["", (bit(f"bridge, {currency} per accepted piece", "strong"),)]
    total = Decimal(0)
    for step in cell.bridge:
        total += step.amount
        mark = "~" if step.estimated else " "
        rows.append(
            (bit(f"  {step.step:<26.26}{step.amount:>14.4f} {mark}  ", "plain"), bit(step.reason),
             bit(f"  {step.place}", "dim"))
        )  # fmt: skip
    if cell.bridge:
        rows.append((bit(f"  {'comparable price':<26}{total:>14.4f}", "strong"),))
        rows.append((bit("  ~ our own estimate, not the shop's figure", "dim"),))
    if cell.comparable_date is not None:
        rows += ["", (bit(f"comparable date {cell.comparable_date}", "strong"),)]
        rows += [f"  {step}" for step in cell.date_steps]
    if cell.paid_before_delivery:
        rows.append(f"paid before delivery: {money(cell.paid_before_delivery)} {currency}")
    rows += [f"alternative: {one}" for one in cell.alternatives]
    if cell.missing_scope:
        rows.append("not said whether included: " + ", ".join(cell.missing_scope))
    if cell.z is not None:
        rows.append(
            (bit(f"ratio to the middle {cell.ratio or 0:.2f}, distance {cell.z:+.1f} spreads",
                 "dim"),)
        )  # fmt: skip
    return rows


def _is_bridge(row: object) -> bool:
    return isinstance(row, tuple) and row[0].text.startswith("bridge")


def shop_words(shop: ShopSummary, currency: str) -> list[object]:
    """Return what is said of a shop on the whole."""
    level = percent(shop.level) if shop.level is not None else "no level"
    rows: list[object] = [
        (bit(f"{shop.shop} {shop.name}: ", "strong"),
         bit(f"price level {level} ({percent(shop.level_low)} to {percent(shop.level_high)}), "
             f"{shop.lines_quoted} of {shop.lines_asked} lines quoted"))
    ]  # fmt: skip
    if shop.slip is not None:
        rows.append(
            (bit("whole reply  ", "error"), bit(f"may be {shop.slip.name}: {shop.slip.reason}"))
        )
    if shop.question:
        rows.append((bit("ask      ", "dim"), bit(shop.question)))
    if shop.total is not None:
        rows.append(f"total of the lines that every shop quoted: {money(shop.total)} {currency}")
    if shop.paid_before_delivery:
        rows.append(f"paid before delivery: {money(shop.paid_before_delivery)} {currency}")
    if shop.date is not None:
        rows.append(f"comparable date: {shop.date}")
    if shop.implied_rate is not None:
        rows.append(f"hour rate its breakdown implies: {shop.implied_rate:.0f} {currency}/h")
    return rows


def totals(comparison: Comparison) -> list[object]:
    """Return totals of like sets and what decides."""
    if not comparison.like_set:
        rows: list[object] = ["No line was quoted by every shop, so no totals can be compared."]
    else:
        count = len(comparison.like_set)
        rows = [(bit(f"over the {count} lines that every ranked shop quoted", "dim"),)]
    tops = [shop.total for shop in comparison.shops if shop.total is not None]
    top = max(tops, default=Decimal(1)) or Decimal(1)
    for shop in sorted(comparison.shops, key=lambda one: one.total or Decimal("Infinity")):
        if shop.total is None:
            rows.append((bit(f"  {shop.shop:<16}", "strong"), bit("no like total", "dim")))
            continue
        rows.append(
            (bit(f"  {shop.shop:<16}", "strong"), bit(f"{money(shop.total):>12}  "),
             bit(bar(float(shop.total / top), 30)),
             bit(f"  {shop.date or ''}", "dim"))
        )  # fmt: skip
    if comparison.what_ifs:
        rows += ["", (bit("what decides", "strong"),)]
    for one in comparison.what_ifs:
        word = "changes it" if one.changes else "stays"
        rows.append((bit(f"  {one.name:<44.44} "), bit(f"{word}: {one.winner}", "strong")))
        if one.note:
            rows.append((bit(f"      {one.note}", "dim"),))
    rows += [
        "",
        (bit("rates of exchange", "strong"),),
        *(f"  {one}" for one in comparison.exchange),
    ]
    if comparison.spread_warning:
        rows.append("The shops lie far apart on the whole: read the prices with care.")
    return rows


def dots(line: Line, currency: str, room: int) -> list[object]:
    """Return the prices of a line on one scale, with the band, a shop a row."""
    prices = [(cell, float(cell.comparable)) for cell in line.prices if cell.comparable]
    band = line.should_cost
    ends = [price for _, price in prices] + ([float(band.low), float(band.high)] if band else [])
    if not ends:
        return ["no price to draw"]
    low, high = min(ends), max(ends)
    span = (high - low) or 1.0

    def at(value: float) -> int:
        return max(0, min(room - 1, round((value - low) / span * (room - 1))))

    rows: list[object] = []
    if band is not None:
        row = [" "] * room
        for place in range(at(float(band.low)), at(float(band.high)) + 1):
            row[place] = "─"
        row[at(float(band.middle))] = "│"
        rows.append(
            (bit(f"{'should-cost':<14}{money(band.middle):>11}  ", "strong"), bit("".join(row)))
        )
    for cell, price in sorted(prices, key=lambda one: one[1]):
        row = [" "] * room
        if band is not None:
            row[at(float(band.middle))] = "│"
        row[at(price)] = "●"
        said = cell.verdict.value if cell.verdict and cell.verdict.value != "in line" else ""
        rows.append(
            (bit(f"{plain(cell.shop):<14.14}{money(price):>11}  ", "plain"), bit("".join(row)),
             bit(f"  {said}", "error" if is_odd(cell) else "dim"))
        )  # fmt: skip
    rows.append(
        (bit(f"{'':<27}{money(low):<{room // 2}}{money(high):>{room - room // 2}}", "dim"),)
    )
    rows.append((bit(f"{'':<27}{currency} a piece, comparable", "dim"),))
    return rows

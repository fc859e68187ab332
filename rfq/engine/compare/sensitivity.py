"""What decides: the totals again under changed assumptions, and what the second would need.

Every row changes one thing and bridges the same lines anew; shares of shipments stay as they
were, so that only the changed figure speaks. The totals cover the like set at the quantities
ordered first.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal

from rfq.engine.compare.rank import winner
from rfq.engine.compare.table import Source, Table, TableCell, TableLine, TableShop, build_table
from rfq.engine.normalise.bridge import Assumptions, bridged
from rfq.model.codes import Verdict
from rfq.model.comparison import WhatIf
from rfq.model.money import round_money

Totals = dict[str, Decimal]
_FX_PERCENT = Decimal(5)
_YIELD_POINTS = Decimal("0.05")
_FARTHEST = Decimal(3)  # a change beyond four times is no news
_ROUNDS = 8


class Deciding:
    """The like set of a table, totalled under any assumptions."""

    def __init__(
        self, source: Source, table: Table, like: Collection[int], shops: Collection[str]
    ) -> None:
        self._source = source
        self._table = table
        self._like = sorted(like)
        self._columns = [
            (index, shop.shop.id) for index, shop in enumerate(table.shops) if shop.shop.id in shops
        ]
        self.base = self.totals(table.given)

    def totals(
        self, given: Assumptions, shops: Collection[str] = (), lines: Collection[int] | None = None
    ) -> Totals:
        """Comparable totals of the compared shops (or some of them), unrounded."""
        plain = given is self._table.given
        found: Totals = {}
        for column, name in self._columns:
            if shops and name not in shops:
                continue
            total = Decimal(0)
            for row in self._like if lines is None else lines:
                cell = self._table.cells[row][column]
                assert cell.offered is not None and cell.offered.line is not None
                numbers = cell.numbers if plain else bridged(cell.offered.line, given)
                assert numbers is not None
                total += numbers.comparable * self._table.lines[row].quantity
            found[name] = total
        return found

    def at_quantities(self, change: Callable[[int], int]) -> tuple[Totals, tuple[str, ...]]:
        """Totals with every quantity changed, and the shops that have no price there."""
        lines = []
        estimates = dict(self._source.estimates)
        for row in self._like:
            line = self._table.lines[row]
            quantity = change(line.quantity)
            lines.append(TableLine(line.part, quantity, True, line.wants, line.need))
            known = estimates.get((line.part.number, line.quantity))
            if known is not None:
                estimates.setdefault((line.part.number, quantity), known)
        shops = [
            TableShop(shop.shop, shop.asked, shop.stands, shop.conditions)
            for shop in self._table.shops
        ]
        source = replace(self._source, estimates=estimates)
        table = build_table(source, lines, shops, self._table.given)
        found: Totals = {}
        without = []
        for column, name in self._columns:
            cells = [row[column] for row in table.cells]
            if not all(_usable(cell) for cell in cells):
                without.append(name)
                continue
            found[name] = sum(
                (
                    cell.numbers.comparable * line.quantity
                    for cell, line in zip(cells, lines, strict=True)
                    if cell.numbers is not None
                ),
                Decimal(0),
            )
        return found, tuple(without)

    def turning_point(self, make: Callable[[Decimal], Assumptions]) -> tuple[Decimal, str] | None:
        """The smallest relative change of one figure at which another shop is lowest.

        Args:
            make: assumptions with the figure changed by a share (0.05 = 5 % more).
        """
        if len(self.base) < 2:
            return None
        first = min(self.base, key=lambda name: (self.base[name], name))
        best: tuple[Decimal, str] | None = None
        step = _FX_PERCENT / 100
        moved = self.totals(make(step))
        for name in self.base:
            if name == first:
                continue
            gap = self.base[name] - self.base[first]
            slope = ((moved[name] - moved[first]) - gap) / step
            if not slope:
                continue
            change = self._refined(make, first, name, -gap / slope)
            if change is not None and (best is None or abs(change) < abs(best[0])):
                best = (change, name)
        return best

    def _refined(
        self, make: Callable[[Decimal], Assumptions], first: str, second: str, guess: Decimal
    ) -> Decimal | None:
        """Secant steps from a linear guess; None where the change would be out of all reason."""
        x0, y0 = Decimal(0), self.base[second] - self.base[first]
        x1 = guess
        for _ in range(_ROUNDS):
            if not -1 < x1 <= _FARTHEST:
                return None
            totals = self.totals(make(x1), (first, second))
            y1 = totals[second] - totals[first]
            if abs(y1) < Decimal("0.005") or y1 == y0:
                return x1
            x0, y0, x1 = x1, y1, x1 - y1 * (x1 - x0) / (y1 - y0)
        return x1 if -1 < x1 <= _FARTHEST else None


def what_ifs(
    source: Source,
    table: Table,
    like: Collection[int],
    shops: Collection[str],
    verdicts: Mapping[tuple[int, str], Verdict | None],
) -> tuple[WhatIf, ...]:
    """Return what decides between the compared shops, one changed assumption a row.

    Args:
        like: indices of the lines that are totalled.
        shops: ids of the compared shops.
        verdicts: (line, shop) -> verdict, for the row without the lines that hold an odd price.
    """
    if len(shops) < 2 or not like:
        return ()
    deciding = Deciding(source, table, like, shops)
    given, currency = table.given, source.exchange.currency
    before = winner(deciding.base)
    rows: list[WhatIf] = []

    def add(name: str, totals: Totals, note: str = "") -> None:
        rounded = {shop: round_money(total, currency) for shop, total in totals.items()}
        now = winner(rounded)
        plain = winner({name: deciding.base[name] for name in totals}) if totals else ""
        rows.append(
            WhatIf(
                name=name, totals=rounded, winner=now, changes=bool(now) and now != plain, note=note
            )
        )

    add("as quoted", deciding.base, _margin(deciding.base))
    for name, change in (("half the quantity", _half), ("double the quantity", _double)):
        totals, without = deciding.at_quantities(change)
        note = f"no firm price there: {', '.join(without)}" if without else ""
        if totals:
            add(name, totals, note)
    add("without one-offs", deciding.totals(replace(given, one_offs=False)), "a repeat order")
    odd = {
        line
        for (line, shop), verdict in verdicts.items()
        if shop in shops and verdict in (Verdict.QUERY, Verdict.LIKELY_ERROR)
    }
    calm = [line for line in like if line not in odd]
    if calm and len(calm) < len(like):
        note = f"{len(like) - len(calm)} lines with a price to ask about are left out"
        add("without lines to ask about", deciding.totals(given, lines=calm), note)
    for kind in sorted({_kind(table.lines[line]) for line in like}):
        own = [line for line in like if _kind(table.lines[line]) == kind]
        if kind and len(own) < len(like):
            add(f"only {kind} parts", deciding.totals(given, lines=own))
    for code in _foreign(table, shops):
        for percent in (_FX_PERCENT, -_FX_PERCENT):
            moved = replace(given, exchange=given.exchange.moved(code, percent))
            word = "dearer" if percent > 0 else "cheaper"
            add(f"{code} {abs(percent)} % {word}", deciding.totals(moved))

        def by(share: Decimal, code: str = code) -> Assumptions:
            return replace(given, exchange=given.exchange.moved(code, share * 100))

        _note(rows, deciding.turning_point(by), f"{code} is", "dearer", "cheaper")
    for factor, name in ((Decimal(0), "money costs nothing"), (Decimal(2), "money costs double")):
        changed = replace(given, money_percent=given.money_percent * factor)
        add(name, deciding.totals(changed))
    if given.money_percent:
        turning = deciding.turning_point(
            lambda share: replace(given, money_percent=given.money_percent * (1 + share))
        )
        _note(rows, turning, "our cost of money is", "higher", "lower")
    if _we_pay_carriage(table, like, shops):
        for factor, name in (
            (Decimal("0.5"), "half our carriage"),
            (Decimal(2), "double our carriage"),
        ):
            add(name, deciding.totals(replace(given, carriage_factor=factor)))
        turning = deciding.turning_point(
            lambda share: replace(given, carriage_factor=given.carriage_factor * (1 + share))
        )
        _note(rows, turning, "our carriage is", "higher", "lower")
    lower = max(given.yield_share - _YIELD_POINTS, Decimal("0.01"))
    name = f"{(lower * 100).normalize():f} % accepted"
    note = _yield_note(deciding.base, given.yield_share, before)
    add(name, deciding.totals(replace(given, yield_share=lower)), note)
    return tuple(rows)


def _usable(cell: TableCell) -> bool:
    return cell.numbers is not None and cell.offered is not None and not cell.offered.open_items


def _half(quantity: int) -> int:
    return (quantity + 1) // 2


def _double(quantity: int) -> int:
    return 2 * quantity


def _kind(line: TableLine) -> str:
    shape = line.part.shape
    return shape.kind if shape is not None else ""


def _foreign(table: Table, shops: Collection[str]) -> list[str]:
    own = table.given.exchange.currency
    codes: set[str] = set()
    for shop in table.shops:
        if shop.shop.id in shops:
            for offer in shop.stands.parts.values():
                codes.update(price.currency for price in offer.prices)
    return sorted(code for code in codes if code != own and table.given.exchange.knows(code))


def _we_pay_carriage(table: Table, like: Collection[int], shops: Collection[str]) -> bool:
    columns = [index for index, shop in enumerate(table.shops) if shop.shop.id in shops]
    for line in like:
        for column in columns:
            offered = table.cells[line][column].offered
            if offered is not None and offered.line is not None:
                delivered = offered.line.conditions.delivery
                if delivered.carriage_paid_by_us and (delivered.per_shipment or delivered.per_kg):
                    return True
    return False


def _margin(totals: Mapping[str, Decimal]) -> str:
    order = sorted(totals.items(), key=lambda item: (item[1], item[0]))
    if len(order) < 2 or not order[0][1]:
        return ""
    gap = (order[1][1] / order[0][1] - 1) * 100
    return f"{order[1][0]} is second, {gap:.1f} % above"


def _note(
    rows: list[WhatIf], turning: tuple[Decimal, str] | None, figure: str, up: str, down: str
) -> None:
    """Add to the last row how much its figure has to change for another shop to be lowest."""
    if turning is None:
        note = "no change within reason makes another shop lowest"
    else:
        change, shop = turning
        word = up if change > 0 else down
        note = f"{shop} is lowest once {figure} {abs(change) * 100:.1f} % {word}"
    rows[-1] = rows[-1].model_copy(update={"note": note})


def _yield_note(totals: Mapping[str, Decimal], share: Decimal, first: str) -> str:
    order: Sequence[tuple[str, Decimal]] = sorted(
        totals.items(), key=lambda item: (item[1], item[0])
    )
    if len(order) < 2 or not order[1][1] or " = " in first:
        return ""
    falls_to = share * order[0][1] / order[1][1] * 100
    return (
        f"the same yield for all changes no winner; {order[1][0]} is lowest once only "
        f"{falls_to:.1f} % of {first}'s pieces are good"
    )

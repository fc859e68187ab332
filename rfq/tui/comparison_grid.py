"""The comparison as a grid: lines by shops, a cell made only when it is on the screen."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property

from rfq.model.codes import CellState, Verdict
from rfq.model.comparison import Comparison, Line, PriceCell, ShopSummary
from rfq.tui.cells import Bit, Bits, bits, fit, money, percent, plain, strip
from rfq.tui.widgets.matrix import Column

PRICE = 10  # columns of a price
SHOP = PRICE + 14  # price, strip or words, sign of the lowest
_NARROW = 100
_FOLDED = 150

SORTS = ("as asked", "most to ask about", "dearest line first", "widest spread first")
_WORDS = {
    Verdict.QUERY: ("query", "query"),
    Verdict.LIKELY_ERROR: ("likely error", "error"),
    Verdict.OUTSIDE: ("outside", "plain"),
}


@dataclass(frozen=True, slots=True)
class View:
    """What of a comparison is shown, and how.

    Args:
        words: filter on part number and name. odd_only: only lines with a price to ask about.
        hidden: shops left out. quantity: '' all, 'half' the smallest, 'double' the largest only.
        sort: of SORTS. one_offs: with or without them. dates: dates in place of prices.
    """

    words: str = ""
    odd_only: bool = False
    hidden: frozenset[str] = frozenset()
    quantity: str = ""
    sort: str = SORTS[0]
    one_offs: bool = True
    dates: bool = False


def is_odd(cell: PriceCell) -> bool:
    """Whether a price is one to ask about."""
    return cell.verdict in (Verdict.QUERY, Verdict.LIKELY_ERROR)


def one_offs_in(cell: PriceCell) -> Decimal:
    """Return what of a comparable price are one-off charges, per piece."""
    return sum((step.amount for step in cell.bridge if "one-off" in step.step.lower()), Decimal(0))


@dataclass
class ComparisonGrid:
    """Lines by shops, frozen at the left: line, pieces, band.

    Args:
        comparison: what is shown. view: how.
        room: columns of the screen: below 150 the band folds to its middle, below 100 the
            part's name gives way, so that shops are on the screen and not figures of ours.
    """

    comparison: Comparison
    view: View = field(default_factory=View)
    room: int = 160

    @property
    def narrow(self) -> bool:
        """Whether the part's name gives way."""
        return self.room < _NARROW

    @property
    def folded(self) -> bool:
        """Whether the band is only its middle."""
        return self.room < _FOLDED

    @cached_property
    def shops(self) -> tuple[ShopSummary, ...]:
        """The shops shown."""
        return tuple(one for one in self.comparison.shops if one.shop not in self.view.hidden)

    @cached_property
    def lines(self) -> Sequence[Line]:
        """The lines shown, in their order."""
        found = [line for line in self.comparison.lines if self._wanted(line)]
        keys: dict[str, Callable[[Line], float]] = {
            SORTS[1]: lambda line: -sum(is_odd(cell) for cell in line.prices),
            SORTS[2]: lambda line: -_highest(line),
            SORTS[3]: lambda line: -_spread(line),
        }
        key = keys.get(self.view.sort)
        return sorted(found, key=key) if key else found

    def _wanted(self, line: Line) -> bool:
        view = self.view
        words = view.words.lower().split()
        if not all(word in f"{line.part} {line.name}".lower() for word in words):
            return False
        if view.odd_only and not any(is_odd(cell) for cell in line.prices):
            return False
        if view.quantity:
            chosen = self._quantities[line.part]
            return line.quantity == (chosen[0] if view.quantity == "half" else chosen[1])
        return True

    @cached_property
    def _quantities(self) -> dict[str, tuple[int, int]]:
        found: dict[str, tuple[int, int]] = {}
        for line in self.comparison.lines:
            low, high = found.get(line.part, (line.quantity, line.quantity))
            found[line.part] = (min(low, line.quantity), max(high, line.quantity))
        return found

    @cached_property
    def _by_shop(self) -> dict[int, dict[str, PriceCell]]:
        return {}

    @property
    def frozen(self) -> int:
        """Line, pieces, band."""
        return 3

    @cached_property
    def columns(self) -> Sequence[Column]:
        """The frozen columns, then one a shop."""
        band = (
            Column("should-cost" if not self.narrow else "middle", 11, right=True)
            if self.folded
            else Column("should-cost band", 31, right=True)
        )
        name = Column("line", 11 if self.narrow else 18 if self.folded else 26)
        shops = (Column(f"{plain(one.shop):>{PRICE}}", SHOP) for one in self.shops)
        return (name, Column("pcs", 5, right=True), band, *shops)

    def __len__(self) -> int:
        return len(self.lines) + 1 if self.lines else 0

    def price(self, row: int, column: int) -> PriceCell | None:
        """Return the price at a row and column, or None."""
        place = column - self.frozen
        if row >= len(self.lines) or not 0 <= place < len(self.shops):
            return None
        found = self._by_shop.get(row)
        if found is None:
            found = self._by_shop[row] = {cell.shop: cell for cell in self.lines[row].prices}
        return found.get(self.shops[place].shop)

    def cell(self, row: int, column: int) -> Bits:
        """What one cell shows; the last row holds the price levels."""
        if row == len(self.lines):
            return self._level(column)
        line = self.lines[row]
        if column == 0:
            name = "" if self.narrow else f" {line.name}"
            return (Bit(plain(f"{line.part} {line.revision}"), "strong"), Bit(plain(name), "dim"))
        if column == 1:
            return bits(line.quantity)
        if column == 2:
            return self._band(line)
        cell = self.price(row, column)
        return self._price(line, cell) if cell is not None else ()

    def _band(self, line: Line) -> Bits:
        found = line.should_cost
        if found is None:
            return bits("none", "dim")
        if self.folded:
            return bits(money(found.middle))
        low, middle, high = money(found.low), money(found.middle), money(found.high)
        return (Bit(f"{low:>9} [", "dim"), Bit(f"{middle:>9}"), Bit(f"] {high:>9}", "dim"))

    def _level(self, column: int) -> Bits:
        if column == 0:
            return bits("price level", "dim")
        if column < self.frozen:
            return ()
        shop = self.shops[column - self.frozen]
        level = percent(shop.level) if shop.level is not None else "no level"
        said = f"{level:>{PRICE}}"
        if shop.slip is not None:
            return (Bit(said), Bit(f" ! {shop.slip.name}", "error"))
        if shop.level_low is not None and shop.level_high is not None:
            return (Bit(said), Bit(f" {percent(shop.level_low)} {percent(shop.level_high)}", "dim"))
        return bits(said)

    def _price(self, line: Line, cell: PriceCell) -> Bits:
        if cell.comparable is None:
            return bits(f"{cell.state.value:>{PRICE}}", "dim")
        if self.view.dates:
            day = cell.comparable_date.isoformat() if cell.comparable_date else "no date"
            return bits(f"{day:>{PRICE}}")
        amount = cell.comparable - (Decimal(0) if self.view.one_offs else one_offs_in(cell))
        price = Bit(fit(money(amount), PRICE, right=True), "low" if cell.rank == 1 else "plain")
        sign = Bit("↓" if cell.rank == 1 else " ", "low")
        words, role = self._words(line, cell, amount)
        return (price, sign, Bit(words, role))

    def _words(self, line: Line, cell: PriceCell, amount: Decimal) -> tuple[str, str]:
        """Return the words where they matter more than the place in the band, else the strip."""
        if cell.verdict in _WORDS:
            return _WORDS[cell.verdict]
        if cell.state is not CellState.QUOTED:
            return cell.state.value, "dim"
        if cell.exceptions:
            return "exception", "query"
        band = line.should_cost
        if band is None:
            return "no band", "dim"
        found = strip(float(band.low), float(band.middle), float(band.high), float(amount))
        return (found, "dim" if cell.ranked else "plain") if cell.ranked else (f"{found} –", "dim")


def _highest(line: Line) -> float:
    prices = [float(cell.comparable) for cell in line.prices if cell.comparable is not None]
    return max(prices, default=0.0) * line.quantity


def _spread(line: Line) -> float:
    prices = [
        float(cell.comparable) for cell in line.prices if cell.comparable and cell.comparable > 0
    ]
    return max(prices) / min(prices) if prices else 0.0

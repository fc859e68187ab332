# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""A price on its way: what is known, what is doubtful; arithmetic with a row's weight and total."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from rfq.intake.cells import Amount, amount
from rfq.intake.grid import Cell
from rfq.intake.money import PIECE
from rfq.intake.numbers import Figure, Habit, figure, habit, plain_digits
from rfq.intake.row import Offer, Row
from rfq.model.money import last_digit

DIVISOR = {"1": 1, "10": 10, "100": 100, "1000": 1000, "dozen": 12}


COUNT_WORDS = re.compile(
    rf"(?i)[\W\d]*(?:(?:{PIECE}|x|sets?|satz|sätze|up|more|and|or|ab|from|bis|to|von|min\.?|moq|minimum|mindest\w*|menge|qty|as requested|each|per|lot|batch|los|no\.?|nos\.?|or more|und|mehr|plus|à|a|de|do|套|以上|pack|first|order|ca|approx)[\W\d]*)*"
)


@dataclass(slots=True)
class Settled:
    """One price with what is known and what is doubtful about it.

    ``doubts`` are (problem code, sentence without the place); an empty list means sure.
    """

    row: Row
    offer: Offer
    quantity: int = 0
    printed: Decimal | None = None
    base: str = "1"
    each: Decimal | None = None
    total: Decimal | None = None
    discount: Decimal | None = None
    weight: Decimal | None = None
    minimum: int | None = None
    gross: bool = False  # tax is inside the printed price
    evidence: list[str] = field(default_factory=list)
    doubts: list[tuple[str, str]] = field(default_factory=list)
    notes: list[tuple[str, str]] = field(default_factory=list)

    @property
    def cell(self) -> Cell | None:
        """The cell that holds the price."""
        return self.offer.cell or self.offer.total_cell or self.offer.quantity_cell


def column_habit(rows: Sequence[Row]) -> Habit:
    """Return the decimal sign that all money texts of the rows show."""
    figures: list[Figure] = []
    for row in rows:
        for offer in row.offers:
            figures += [a.figure for a in (offer.amount, offer.total) if a.figure is not None]
        figures += [a.figure for _, _, a in row.one_offs if a.figure is not None]
        figures += [a.figure for _, a in row.elements if a.figure is not None]
    return habit(figures)


def choose(read: Amount, style: Habit) -> tuple[Decimal, ...]:
    """Return the readings that the habit of the columns leaves."""
    if read.figure is not None and len(read.values) == 2:
        return style.settle(read.figure).values
    return read.values


def quantities(read: Amount, cell: Cell | None, style: Habit) -> tuple[tuple[int, ...], str]:
    """Return (whole quantities a cell can mean, words beside the number).

    A range ('10-49') is the break that begins with its first number.
    """
    values = choose(read, style) if not read.percent else ()
    words = read.words
    if not values and cell is not None and cell.kind in ("s", "d"):
        plain = plain_digits(cell.text)
        found = re.match(
            r"(?i)\s*(?:ab|from|à partir de|da|od|desde|≥|>=|=>|min\.?|moq:?|qty:?|ca\.?|x)?\s*(\d[\d.,'’\u00a0 ]*?\d|\d)\s*(?:\+|x\b|×|-|–|to\b|bis\b|à\b|a\b|do\b|pcs|stk|st|pc|ea|$|[^\W\d])",
            plain,
        )
        if found:
            values = choose(Amount(figure(found[1]).values, figure=figure(found[1])), style)
            words = plain[found.end(1) :]
    whole = [int(v) for v in values if v == v.to_integral_value() and 0 < v <= 10_000_000]
    return tuple(dict.fromkeys(whole)), words


def fits(printed: Decimal, divisor: Decimal | int, quantity: int, total: Decimal) -> bool:
    """Return whether quantity x printed / divisor is the total, within rounding.

    Rounding: half a cent of the total, and half of the price's last digit (at most a cent) a
    piece, as the unit price may itself be rounded; at one piece the total's half cent alone.
    """
    step = min(last_digit(printed), Decimal("0.01"))
    slack = Decimal("0.0051")
    if quantity > 1:
        slack += quantity * step / Decimal(divisor) / 2
    return abs(printed * quantity / Decimal(divisor) - total) < slack


def agrees(out: Settled, p: Decimal, q: int, t: Decimal, base: str, row: Row) -> bool:
    """Return whether price, quantity and total go together."""
    """Whether price, quantity and total go together, line discount, one-off or minimum included."""
    weight = weight_of(row) if base == "kg" else None
    if base == "kg":
        if weight is None:
            return True
        return any(
            abs(v * n - t) < Decimal("0.0051") + n * Decimal("0.005")
            for v in (p * weight, p * weight / q)
            for n in (q, max(out.minimum or 0, q))
        )
    divisor: Decimal | int = q if base == "lot" else DIVISOR[base]
    counts = [q, *([out.minimum] if out.minimum and out.minimum > q and base != "lot" else [])]
    for count in counts:
        if fits(p, divisor, count, t):
            return True
        if out.discount and abs(p * count / divisor * (1 - out.discount / 100) - t) < Decimal(
            "0.0051"
        ) + count * Decimal("0.005"):
            return True
        if "tax rate" in row.by:
            rate = amount(row.by["tax rate"])
            if len(rate.values) == 1 and 0 < rate.values[0] < 40:
                percent = rate.values[0] if rate.values[0] >= 1 else rate.values[0] * 100
                if abs(p * count / divisor * (1 + percent / 100) - t) < Decimal(
                    "0.0151"
                ) + count * Decimal("0.005"):
                    return True
        for _, _, once in row.one_offs:
            if len(once.values) == 1 and fits(p, divisor, count, t - once.values[0]):
                return True
    return False


def weight_of(row: Row) -> Decimal | None:
    """Return the weight of one piece in kg that the row gives, or None."""
    cell = row.by.get("weight")
    if cell is None:
        return None
    read = amount(cell)
    column = next((c for c in row.table.by("weight")), None)
    if len(read.values) != 1 or read.values[0] <= 0:
        return None
    text = (cell.text + " " + cell.format + " " + (column.heading if column else "")).lower()
    grams = re.search(r"(?<![a-z])(?:g|gr|gramm|grams?)(?![a-z])", text) and not re.search(
        r"kg|kilo", text
    )
    return read.values[0] / 1000 if grams else read.values[0]


def each_of(p: Decimal, q: int, base: str, weight: Decimal | None) -> Decimal:
    """Return what one piece costs at a base."""
    if base == "lot":
        return p / q
    if base == "kg":
        return p * (weight or 1)
    return p / DIVISOR[base]


def finish(out: Settled, row: Row) -> None:
    """Settle what one piece costs."""
    """What one piece costs, from the chosen reading; and what no base can be."""
    assert out.printed is not None
    if out.base == "kg":
        out.weight = weight_of(row)
        if out.weight is None:
            total = out.total
            if total is not None and total > 0:
                out.each = total / out.quantity
                out.weight = out.each / out.printed if out.printed else None
                out.evidence.append("price per kg; one piece from the line total")
            else:
                out.doubts.append(("R030", "the price is per kg and no weight stands beside it"))
            return
        out.each = out.printed * out.weight
        if out.total is not None and out.total > 0:
            each = out.total / out.quantity
            if abs(each - out.each) <= Decimal("0.0051"):
                out.each = each  # the shop rounded the piece before it multiplied
    else:
        out.each = each_of(out.printed, out.quantity, out.base, None)
    if out.discount and out.each is not None:
        out.each = _discounted(out, out.each)
    if out.each is not None and out.each <= 0:
        what = "nought" if out.each == 0 else "negative"
        out.doubts.append(("R023", f"the price is {what}; ask whether the part is quoted at all"))
        if out.each < 0:
            out.each = None


def _discounted(out: Settled, each: Decimal) -> Decimal:
    """Take the line discount off, unless the total shows that the price already lies below it."""
    assert out.discount is not None
    if out.total is not None and out.base != "lot":
        if fits(each, 1, out.quantity, out.total):
            out.notes.append(
                (
                    "R038",
                    f"the line total is without the discount of {out.discount} %, so the price is taken as already discounted",
                )
            )
            out.discount = None
            return each
        out.evidence.append(f"less {out.discount} %")
        return each * (1 - out.discount / 100)
    heading = out.offer.column.heading.lower()
    if re.search(r"net|after|discounted|nach rabatt|remisé|scontat", heading):
        return each
    out.evidence.append(f"less {out.discount} %")
    return each * (1 - out.discount / 100)

# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""From a row's cells to a price: which reading, which base, what one piece costs; or the doubt.

Arithmetic decides where a total stands beside the price: quantity x price / base = total. What
arithmetic and the habit of the column leave open is unsure, with a sentence that says why.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from itertools import product

from rfq.intake.cells import Amount, amount
from rfq.intake.grid import Cell
from rfq.intake.money import PIECE, base_in
from rfq.intake.numbers import Figure, Habit, figure, habit, plain_digits
from rfq.intake.rows import Offer, Row
from rfq.intake.table import Column
from rfq.model.money import last_digit

DIVISOR = {"1": 1, "10": 10, "100": 100, "1000": 1000, "dozen": 12}
_TRIED = ("1", "100", "1000", "10", "lot", "dozen")


_COUNT_WORDS = re.compile(
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


def _choose(read: Amount, style: Habit) -> tuple[Decimal, ...]:
    if read.figure is not None and len(read.values) == 2:
        return style.settle(read.figure).values
    return read.values


def quantities(read: Amount, cell: Cell | None, style: Habit) -> tuple[tuple[int, ...], str]:
    """Return (whole quantities a cell can mean, words beside the number).

    A range ('10-49') is the break that begins with its first number.
    """
    values = _choose(read, style) if not read.percent else ()
    words = read.words
    if not values and cell is not None and cell.kind in ("s", "d"):
        plain = plain_digits(cell.text)
        found = re.match(
            r"(?i)\s*(?:ab|from|à partir de|da|od|desde|≥|>=|=>|min\.?|moq:?|qty:?|ca\.?|x)?\s*(\d[\d.,'’\u00a0 ]*?\d|\d)\s*(?:\+|x\b|×|-|–|to\b|bis\b|à\b|a\b|do\b|pcs|stk|st|pc|ea|$|[^\W\d])",
            plain,
        )
        if found:
            values = _choose(Amount(figure(found[1]).values, figure=figure(found[1])), style)
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


def settle(row: Row, offer: Offer, style: Habit, asked: Sequence[int], said_base: str) -> Settled:
    """Return the price of one offer, sure or with its doubts; see the module's text.

    Args:
        row: classified row.
        offer: price, quantity and total of it.
        style: decimal sign of the columns.
        asked: quantities the request asks for of this part.
        said_base: base stated for the whole reply, or ''.
    """
    out = _settle(row, offer, style, asked, said_base)
    if out.each is not None and out.each < 0:
        out.each = None
        if not any(code == "R023" for code, _ in out.doubts):
            out.doubts.append(
                ("R023", "the price is negative; ask whether the part is quoted at all")
            )
    if not row.table.head and not any("=" in words for words in out.evidence):
        out.doubts.append(("R045", "the table has no headings and no total to check the price by"))
    widths = row.table.grid.widths
    wide, head = (
        widths.get(row.number, 0),
        max((widths.get(r, 0) for r in row.table.head), default=0),
    )
    if wide and head and wide != head and not any("=" in words for words in out.evidence):
        most = [widths[r] for r in range(row.table.first, row.table.last + 1) if r in widths]
        if wide > head or most.count(wide) < len(most) * 0.5:
            out.doubts.append(
                (
                    "R058",
                    f"the row has {wide} fields and the headings {head}, so its cells may have moved",
                )
            )
    if row.table.unlabelled and not any("=" in words for words in out.evidence):
        out.doubts.append(
            (
                "R045",
                "figures stand beside it in a column without a heading, so the headings may have moved",
            )
        )
    return out


def _settle(row: Row, offer: Offer, style: Habit, asked: Sequence[int], said_base: str) -> Settled:
    out = Settled(row, offer)
    counts, count_words = quantities(offer.quantity, offer.quantity_cell, style)
    if len(counts) > 1 and asked:
        counts = tuple(c for c in counts if c in asked) or counts
    _minimum(out, row, offer, style, count_words)
    prices = _choose(offer.amount, style)
    totals = _choose(offer.total, style) if offer.total.state in ("", "date") else ()
    if offer.total.state == "date":
        totals = ()
    base, stated = _base(row, offer, said_base)
    out.base = base
    out.gross = offer.column.meaning in ("gross price", "gross total")
    if "discount" in row.by:
        rate = amount(row.by["discount"])
        values = _choose(rate, style)
        if len(values) == 1 and 0 < values[0] < 100:
            # a percentage column holds 5 or, formatted as a share, 0.05
            value = values[0]
            if not rate.percent and value < 1 and row.by["discount"].kind == "n":
                value *= 100
            out.discount = value
        elif chained := _chain(row.by["discount"].text):
            out.discount = chained
        elif not values and re.search(r"\d", row.by["discount"].text):
            shown = row.by["discount"].text[:30]
            out.doubts.append(
                ("R038", f"the discount '{shown}' can't be read; ask for the net price")
            )
    if not counts:
        counts = _missing_quantity(out, offer, asked, row)
    if offer.amount.state in ("formula", "error", "date"):
        return _no_number(out, offer, counts, totals)
    if count_words and not _COUNT_WORDS.fullmatch(count_words.strip()):
        out.doubts.append(
            (
                "R017",
                f"'{offer.quantity_cell.text[:40] if offer.quantity_cell else ''}' isn't plainly a quantity",
            )
        )
    if not prices and not totals:
        out.quantity = counts[0]
        out.doubts.append(("R010", f"'{_shown(offer)}' is no price that can be read"))
        return out
    if not prices:
        return _from_total(out, offer, counts, totals)
    _solve(out, row, offer, prices, counts, totals, stated)
    return out


def _chain(text: str) -> Decimal | None:
    """Discounts one after the other ('50+10' leaves 45 %), as one percentage; None if it is none."""
    if not re.fullmatch(
        r"\s*\d{1,2}(?:[.,]\d+)?\s*%?(?:\s*\+\s*\d{1,2}(?:[.,]\d+)?\s*%?)+\s*", text
    ):
        return None
    left = Decimal(1)
    for one in re.findall(r"\d{1,2}(?:[.,]\d+)?", text):
        left *= 1 - Decimal(one.replace(",", ".")) / 100
    return (1 - left) * 100


def _minimum(out: Settled, row: Row, offer: Offer, style: Habit, words: str) -> None:
    cell = row.by.get("minimum")
    if cell is not None:
        found, _ = quantities(amount(cell), cell, style)
        if len(found) == 1:
            out.minimum = found[0]
    text = " ".join([words, row.by["note"].text if "note" in row.by else "", offer.amount.words])
    said = re.search(
        r"(?i)\b(?:moq|min(?:imum|dest)?\.?\s*(?:order\s*)?(?:qty|quantity|menge|abnahme|bestellmenge)?|qté min\w*|mbm)\s*[:=]?\s*(\d[\d.,']*)",
        text,
    )
    if said and out.minimum is None:
        values = [int(v) for v in figure(said[1].rstrip(".,")).values if v % 1 == 0 and v > 0]
        if len(values) == 1:
            out.minimum = values[0]


def _base(row: Row, offer: Offer, said: str) -> tuple[str, bool]:
    """Return (price base, whether it is stated); the nearest statement wins."""
    if offer.amount.base:
        return offer.amount.base, True
    if "price base" in row.by:
        cell = row.by["price base"]
        base = base_in(cell.text.strip()) or ("1" if cell.text.strip() in ("1", "1.0") else "")
        if base:
            return base, True
        number = amount(cell)
        if len(number.values) == 1 and str(number.values[0].normalize()) in (
            "1",
            "1E+1",
            "1E+2",
            "1E+3",
        ):
            return str(int(number.values[0])), True
    if offer.column.meaning == "kg price":
        return "kg", True
    beside = offer.amount.words
    if beside and base_in(beside):
        return base_in(beside), True
    if "unit" in row.by:
        text = row.by["unit"].text.strip()
        base = base_in(text)
        if base and base not in ("1", "kg") and offer.column.base in ("", "1"):
            return base, True
    if "note" in row.by:
        text = row.by["note"].text
        base = base_in(text) if len(text) < 40 else _base_in_sentence(text)
        if base and not (base == "lot" and offer.column.base == "1"):
            return base, True
    if offer.column.meaning == "lot price":
        return "lot", True
    if offer.column.base and not (said and _says_unit_alone(offer.column)):
        return offer.column.base, True
    if said:
        return said, True
    return "1", offer.column.meaning in ("unit price", "gross price")


def _says_unit_alone(column: Column) -> bool:
    """Whether the heading is a bare 'unit price', which a 'prices per 100' below may define."""
    return column.base == "1" and not re.search(
        rf"(?i)(?:per|/|je|pro|par|por|za|al|à|each|every|cad)\s*\.?\s*(?:1\s*)?(?:{PIECE})?|stück|stk|szt|每|单件",
        re.sub(r"(?i)unit\w*|unitaire|einheit\w*", "", column.heading),
    )


def _base_in_sentence(text: str) -> str:
    said = re.search(
        r"(?i)(?:price[sd]?|preise?|prix|prezz[oi]|precios?|cen[ay]|单价)\W{0,3}(?:\w+\W+){0,3}?((?:per|je|pro|pour|par|por|za|/)\s*\S+(?:\s*\S+)?)",
        text,
    )
    return base_in(said[1]) if said else ""


def _missing_quantity(
    out: Settled, offer: Offer, asked: Sequence[int], row: Row
) -> tuple[int, ...]:
    if len(asked) == 1 and not (offer.quantity_cell and re.search(r"\w", offer.quantity_cell.text)):
        out.notes.append(
            ("R033", f"no quantity stands beside the price; {asked[0]}, as asked, is taken")
        )
        return (asked[0],)
    if row.match.how == "quantity of the table":
        return ()
    shown = offer.quantity_cell.text if offer.quantity_cell else ""
    what = f"'{shown}' is no quantity" if shown else "no quantity stands beside the price"
    out.doubts.append(("R017", f"{what}; say for how many pieces it is meant"))
    return (1,)


def _shown(offer: Offer) -> str:
    cell = offer.cell or offer.total_cell
    return cell.text[:60] if cell else ""


def _no_number(
    out: Settled, offer: Offer, counts: Sequence[int], totals: Sequence[Decimal]
) -> Settled:
    """A formula without result, an error value, or a price that became a date."""
    out.quantity = counts[0]
    if offer.amount.state == "date":
        good = {v for v in offer.amount.values for q in counts for t in totals if fits(v, 1, q, t)}
        if len(good) == 1 and len(counts) == 1:
            out.printed = out.each = good.pop()
            out.total = totals[0]
            out.evidence.append(
                f"the sheet holds the date {offer.amount.words}; {out.each} x {counts[0]} is the total"
            )
            out.notes.append(
                (
                    "R013",
                    f"a spreadsheet turned this price into the date {offer.amount.words}; the total shows that {out.each} was meant",
                )
            )
            return out
        out.printed = out.each = offer.amount.values[0] if offer.amount.values else None
        out.doubts.append(
            (
                "R013",
                f"a spreadsheet turned this price into the date {offer.amount.words}; it may have been {offer.amount.values[0] if offer.amount.values else 'anything'}: ask for the figure",
            )
        )
        return out
    if len(totals) == 1 and len(counts) == 1:
        out.total = totals[0]
        out.each = totals[0] / counts[0]
        out.evidence.append("from the line total")
    what = (
        "a formula without a stored result"
        if offer.amount.state == "formula"
        else f"the error {offer.amount.words}"
    )
    out.doubts.append(
        (
            "R014",
            f"the price is {what}; ask for the figure or have the file saved again by a spreadsheet",
        )
    )
    return out


def _from_total(
    out: Settled, offer: Offer, counts: Sequence[int], totals: Sequence[Decimal]
) -> Settled:
    """Only a total stands there."""
    out.quantity, out.base = counts[0], "lot"
    out.total = out.printed = totals[0]
    out.each = totals[0] / counts[0]
    if len(totals) > 1 or len(counts) > 1:
        out.doubts.append(
            ("R011", f"'{_shown(offer)}' can be read as {' or '.join(map(str, totals))}")
        )
    if offer.cell is not None and offer.amount.state == "words":
        out.doubts.append(
            (
                "R010",
                f"'{offer.cell.text[:60]}' is no price that can be read; the line total gives {out.each}",
            )
        )
    elif (offer.total_column or offer.column).meaning == "amount":
        out.doubts.append(
            ("R022", "the heading doesn't say whether the amount is for one piece or for all")
        )
    column = offer.total_column or offer.column
    if column.sure < 0.6:
        out.doubts.append(
            ("R045", f"the heading '{column.heading[:40]}' doesn't say plainly what the figure is")
        )
    out.evidence.append("line total / quantity")
    return out


def _solve(
    out: Settled, row: Row, offer: Offer, prices: Sequence[Decimal], counts: Sequence[int],
    totals: Sequence[Decimal], stated: bool,
) -> None:  # fmt: skip
    """Choose readings and base by arithmetic where a total stands there."""
    found = [
        (p, q, t)
        for p, q, t in product(prices, counts, totals)
        if _agrees(out, p, q, t, out.base, row)
    ]
    if totals and not found:
        others = [
            (p, q, t, b)
            for b in _TRIED if b != out.base
            for p, q, t in product(prices, counts, totals)
            if _agrees(out, p, q, t, b, row)
        ]  # fmt: skip
        eaches = {_each(p, q, b, out.weight) for p, q, _, b in others}
        if others and len(eaches) == 1:
            p, q, t, b = others[0]
            out.printed, out.quantity, out.total = p, q, t
            if stated:
                words = f"the heading says per {out.base}, but {q} x {p} / {out.base} isn't the total {t}; as a price per {b} it is"
                if b == "lot":
                    words = f"the price {p} equals the line total, so it may be for all {q} pieces; the heading says per {out.base}"
                if out.base == "1" and b in ("100", "1000"):
                    # 'unit price' says nothing of the price's base; the total does
                    out.notes.append(
                        ("R022", f"{q} x {p} / {b} is the total {t}, so the price is per {b}")
                    )
                else:
                    out.doubts.append(("R022", words))
            elif b == "lot" and offer.column.base == "1":
                out.doubts.append(
                    (
                        "R022",
                        f"the price {p} equals the line total, so it may be for all {q} pieces",
                    )
                )
            else:
                out.notes.append(("R022", f"the line total {t} shows that the price is per {b}"))
            out.base = b
            out.evidence.append(f"{q} x {p} per {b} = {t}")
            _finish(out, row)
            return
        p, q, t = prices[0], counts[0], totals[0]
        out.printed, out.quantity, out.total = p, q, t
        _finish(out, row)
        out.doubts.append(
            ("R012", f"{q} x {p} per {out.base} isn't the line total {t}; ask which is right")
        )
        return
    if found:
        pairs = {(_each(p, q, out.base, out.weight), q) for p, q, _ in found}
        out.printed, out.quantity, out.total = found[0]
        if len(pairs) > 1:
            shown = sorted({str(p) for p, _, _ in found})
            out.doubts.append(
                (
                    "R011",
                    f"'{_shown(offer)}' can be read as {' or '.join(shown)}, and so can the total",
                )
            )
        else:
            out.evidence.append(f"{out.quantity} x {out.printed} = {out.total}")
        _finish(out, row)
        return
    out.printed, out.quantity = prices[0], counts[0]
    if offer.column.sure < 0.6 and offer.column.heading:
        out.doubts.append(
            (
                "R045",
                f"the heading '{offer.column.heading[:40]}' doesn't say plainly what the figure is",
            )
        )
    if len(prices) > 1:
        out.doubts.append(
            (
                "R011",
                f"'{_shown(offer)}' can be read as {' or '.join(map(str, prices))}; nothing in the column decides it",
            )
        )
    if len(counts) > 1:
        out.doubts.append(("R017", f"the quantity can be read as {' or '.join(map(str, counts))}"))
    _finish(out, row)


def _agrees(out: Settled, p: Decimal, q: int, t: Decimal, base: str, row: Row) -> bool:
    """Whether price, quantity and total go together, line discount, one-off or minimum included."""
    weight = _weight(row) if base == "kg" else None
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


def _weight(row: Row) -> Decimal | None:
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


def _each(p: Decimal, q: int, base: str, weight: Decimal | None) -> Decimal:
    if base == "lot":
        return p / q
    if base == "kg":
        return p * (weight or 1)
    return p / DIVISOR[base]


def _finish(out: Settled, row: Row) -> None:
    """What one piece costs, from the chosen reading; and what no base can be."""
    assert out.printed is not None
    if out.base == "kg":
        out.weight = _weight(row)
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
        out.each = _each(out.printed, out.quantity, out.base, None)
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

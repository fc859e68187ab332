# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""From a row's cells to a price: which reading, which base, what one piece costs; or the doubt.

Arithmetic decides where a total stands beside the price: quantity x price / base = total. What
arithmetic and the habit of the column leave open is unsure, with a sentence that says why.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal
from itertools import product

from rfq.intake.cells import amount
from rfq.intake.numbers import Habit, figure
from rfq.intake.price_base import base_of
from rfq.intake.row import Offer, Row
from rfq.intake.settled import (
    COUNT_WORDS,
    Settled,
    agrees,
    choose,
    each_of,
    finish,
    fits,
    quantities,
)

_TRIED = ("1", "100", "1000", "10", "lot", "dozen")


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
    prices = choose(offer.amount, style)
    totals = choose(offer.total, style) if offer.total.state in ("", "date") else ()
    if offer.total.state == "date":
        totals = ()
    base, stated = base_of(row, offer, said_base)
    out.base = base
    out.gross = offer.column.meaning in ("gross price", "gross total")
    if "discount" in row.by:
        rate = amount(row.by["discount"])
        values = choose(rate, style)
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
    if count_words and not COUNT_WORDS.fullmatch(count_words.strip()):
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
        if agrees(out, p, q, t, out.base, row)
    ]
    if totals and not found:
        others = [
            (p, q, t, b)
            for b in _TRIED if b != out.base
            for p, q, t in product(prices, counts, totals)
            if agrees(out, p, q, t, b, row)
        ]  # fmt: skip
        eaches = {each_of(p, q, b, out.weight) for p, q, _, b in others}
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
            finish(out, row)
            return
        p, q, t = prices[0], counts[0], totals[0]
        out.printed, out.quantity, out.total = p, q, t
        finish(out, row)
        out.doubts.append(
            ("R012", f"{q} x {p} per {out.base} isn't the line total {t}; ask which is right")
        )
        return
    if found:
        pairs = {(each_of(p, q, out.base, out.weight), q) for p, q, _ in found}
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
        finish(out, row)
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
    finish(out, row)

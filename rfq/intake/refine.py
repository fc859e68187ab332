# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""Headings corrected by what stands below them: rival columns, breaks, bases, the part's column."""

from __future__ import annotations

import re

from rfq.intake.cells import amount
from rfq.intake.lexicon import Lexicon
from rfq.intake.matching import Known
from rfq.intake.money import PIECE
from rfq.intake.numbers import plain_digits
from rfq.intake.table import PRICES, TOTALS, Column, Table


def refine(table: Table, words: Lexicon, known: Known) -> None:
    """Correct headings by what stands below them."""
    rows = [
        r for r in range(table.first, table.last + 1)
        if r in table.grid.rows and r not in table.grid.hidden_rows
    ][:60]  # fmt: skip
    plain = [c for c in table.by(*PRICES) if not c.quantity]
    breaks = len(table.by("break"))
    around = " ".join([table.title, *(c.heading for c in table.columns.values())])
    worded_prices = re.search(
        r"(?i)pri[cs]e|preis|prix|prezz|preci|cen[ay]|cost|quot|angebot|offer|价|報|€|\beur\b|\busd\b",
        around,
    )
    for column in table.by("break"):
        worded = words.read(re.sub(r"[\d.]+", "", column.heading)).meaning == "quantity"
        piece = re.fullmatch(rf"\W*\d+\W*{PIECE}\W*", column.heading, re.IGNORECASE)
        if plain and worded and not piece:
            column.meaning, column.quantity = "quantity", 0  # 'Qty 1 | Price 1 | Qty 2 | Price 2'
    single = [c for c in table.by(*PRICES) if c.quantity]
    if len(single) == 1 and single[0].quantity == 1 and table.by("quantity"):
        single[0].quantity = 0  # 'price of 1 pc' beside a column of quantities
    if len(single) == 1 and len(table.by(*PRICES)) == 1 and len(table.by("quantity")) == 1:
        _base_beside_quantities(single[0], table, rows)
    for column in table.columns.values():
        cells = [c for r in rows if (c := table.grid.cell(r, column.index)) is not None]
        numbers = [a for c in cells if (a := amount(c)).values]
        share = len(numbers) / len(cells) if cells else 0.0
        if column.meaning in ("material", "finish") and share > 0.6 and len(numbers) > 0:
            column.meaning = "element"
        elif (
            column.meaning in ("revision",)
            and share > 0.9
            and any(a.values[0] % 1 for a in numbers)
        ):
            column.meaning = ""
        elif column.meaning == "break":
            priced = sum(bool(a.values) for a in numbers)
            column.meaning = "unit price" if priced else ""
            # one number alone over a column is hardly a price break
            # bare numbers over columns, with no word of a price anywhere, are a guess
            told = (
                worded_prices
                or re.search(r"[^\W\d]", column.heading)
                or any(a.currencies for a in numbers)
            )
            column.sure = (
                0.7
                if told and (breaks > 1 or column.heading.strip() != str(column.quantity))
                else 0.5
            )
        elif column.meaning == "total" and cells and share < 0.2 and len(cells) > 2:
            column.meaning = ""
        elif column.meaning == "unit" and share > 0.7 and any(a.values[0] % 1 for a in numbers):
            column.meaning, column.sure = "unit price", 0.6
        elif column.meaning == "lead" and share > 0.9 and any(a.values[0] % 1 for a in numbers):
            column.meaning = ""
        elif column.meaning in PRICES and cells and share < 0.2:
            words_only = sum(bool(re.search(r"[^\W\d_]{3}", c.text)) for c in cells)
            if (
                words_only > len(cells) * 0.8
                and any(o.meaning in PRICES and o is not column for o in table.columns.values())
                and not any(amount(c).declined for c in cells)
            ):
                column.meaning = "note"
    _breaks_by_base(table)
    _choose_part(table, rows, known)
    _choose_quantity(table, rows, known)
    _one_of_each(table)
    _setup_in_breakdown(table)


def _base_beside_quantities(price: Column, table: Table, rows: list[int]) -> None:
    """'Price for 100 pcs' beside quantities that are others is a price base and no break."""
    if str(price.quantity) not in ("10", "100", "1000") or not re.search(
        r"(?i)(?:for|für|fuer|pour|per|por|za|je|pro|cada|每|/)\s*\d", plain_digits(price.heading)
    ):
        return
    counted = [
        a for r in rows if (a := amount(table.grid.cell(r, table.by("quantity")[0].index))).values
    ]
    if any(price.quantity not in read.values for read in counted):
        price.base, price.quantity = str(price.quantity), 0


def _breaks_by_base(table: Table) -> None:
    """'Price per 10 | per 50 | per 100' with no quantity column are breaks, not bases."""
    prices = [c for c in table.by(*PRICES) if not c.quantity]
    if len(prices) < 2 or table.by("quantity"):
        return
    found = []
    for column in prices:
        match = re.search(
            r"(?i)(?:per|je|pro|pour|par|per|por|za|/|à|a)\s*(\d+)", plain_digits(column.heading)
        )
        if not match:
            return
        found.append((column, int(match[1])))
    if len({q for _, q in found}) == len(found):
        for column, quantity in found:
            column.quantity, column.base = quantity, ""


def _choose_part(table: Table, rows: list[int], known: Known) -> None:
    """Where the request's part numbers are known, the column that holds them is the part's."""
    candidates = table.by("part", "shop part", "name", "note", "", "position", "material")
    if known.numbers:
        hits = {
            column.index: sum(
                bool(known.find(table.grid.text(r, column.index), loose=False)) for r in rows
            )
            for column in candidates
        }
        best = max(hits, key=lambda i: (hits[i], table.columns[i].meaning == "part"), default=0)
        if best and hits[best] > 0:
            now = table.by("part")
            if not (now and hits.get(now[0].index, 0) >= hits[best]):
                for column in now:
                    column.meaning = "shop part"
                table.columns[best].meaning, table.columns[best].sure = "part", 0.95
    parts = table.by("part")
    if not parts:
        for column in table.by("shop part") or table.by("name"):
            column.meaning = "part"
            column.sure = min(column.sure, 0.8)
            break
    if not table.by("part"):
        for column in table.by("", "position"):
            texts = [t for r in rows if (t := table.grid.text(r, column.index))]
            like = sum(bool(re.search(r"[A-Za-z]", t) and re.search(r"\d", t)) for t in texts)
            if texts and like >= len(texts) * 0.6:
                column.meaning, column.sure = "part", 0.6
                break
    for extra in table.by("part")[1:]:
        extra.meaning = "shop part"


_NOT_OURS = re.compile(
    r"(?i)annual|year|jahr|annuel|annu[ao]|roczn|年|request|asked|required|req\b|angefragt|demand|richiest|solicit|zapytan"
)


def _choose_quantity(table: Table, rows: list[int], known: Known) -> None:
    """Of several quantity columns beside one price, the one that the request or the words point at."""
    columns = [c for c in table.by("quantity") if not c.quantity]
    prices = [c for c in table.by(*PRICES) if not c.quantity]
    if len(columns) < 2 or len(prices) != 1:
        return
    asked = {q for quantities in known.quantities.values() for q in quantities}

    def rank(column: Column) -> tuple[bool, float]:
        values = [amount(table.grid.cell(r, column.index)).values for r in rows]
        filled = [v[0] for v in values if len(v) == 1]
        hits = sum(v in asked for v in filled) / len(filled) if filled else 0.0
        return (not _NOT_OURS.search(column.heading), hits)

    best = sorted(columns, key=rank, reverse=True)
    if rank(best[0]) > rank(best[1]) and rank(best[0])[1] >= rank(best[1])[1]:
        for column in best[1:]:
            column.meaning = "other quantity"


def _one_of_each(table: Table) -> None:
    """Rival columns: a plain price beats 'price', net beats gross; what is left is not read."""
    exact = table.by("unit price")
    for column in table.by("price"):
        if exact or len(table.by("price")) == 1 or column.quantity:
            rival = [c for c in exact if c.quantity == column.quantity]
            if rival and not table.by(*TOTALS, "lot price"):
                column.meaning = "amount"
            elif rival:
                column.meaning = "other price"
    net = [c for c in table.by("unit price", "price", "lot price") if not c.quantity]
    for column in table.by("gross price"):
        if any(c.quantity == column.quantity for c in net) or (
            column.quantity and any(c.quantity == column.quantity for c in exact)
        ):
            column.meaning = "other price"
    if exact and not table.by("weight"):
        for column in table.by("kg price"):
            column.meaning = "other price"  # both are given, and the piece is what is bought
    if table.by("total", "lot price"):
        for column in table.by("gross total", "amount"):
            column.meaning = "other total"


def _setup_in_breakdown(table: Table) -> None:
    """A set-up column among breakdown columns and before the unit price is an element of it."""
    elements = [c.index for c in table.by("element")]
    prices = [c.index for c in table.by(*PRICES)]
    if len(elements) >= 1 and prices:
        for column in table.by("one-off"):
            once = re.search(
                r"(?i)once|one|einmal|unique|tantum|únic|jednoraz|nre|一次|tool|werkzeug",
                column.heading,
            )
            if min(elements) <= column.index + 1 and column.index < max(prices) and not once:
                column.meaning = "element"

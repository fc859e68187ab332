# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""A row of a table before its numbers are settled: its class, its cells, its offers."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

from rfq.intake.cells import BLANK, Amount, amount
from rfq.intake.grid import Cell
from rfq.intake.matching import NOTHING, Match
from rfq.intake.table import PRICES, TOTALS, Column, Table

RowKind = Literal[
    "item", "one-off", "charge", "sum", "tax", "declined", "no price", "text", "left out", "heading"
]


@dataclass(slots=True)
class Offer:
    """One price of a row before its number is settled."""

    cell: Cell | None
    amount: Amount
    column: Column
    quantity: Amount
    quantity_cell: Cell | None
    total: Amount = BLANK
    total_cell: Cell | None = None
    total_column: Column | None = None


@dataclass(slots=True)
class Row:
    """One classified row."""

    table: Table
    number: int
    kind: RowKind
    reason: str = ""
    match: Match = NOTHING
    part_cell: Cell | None = None
    revision: str = ""
    name: str = ""
    label: str = ""
    offers: list[Offer] = field(default_factory=list)
    by: dict[str, Cell] = field(default_factory=dict)  # meaning -> cell
    one_offs: list[tuple[Column, Cell, Amount]] = field(default_factory=list)
    elements: list[tuple[Column, Amount]] = field(default_factory=list)
    alternative: str = ""
    further: bool = False  # of the part above
    comments: list[tuple[Cell, str]] = field(default_factory=list)
    texts: list[Cell] = field(default_factory=list)


def offers_of(
    table: Table, cells: dict[int, Cell], columns: list[Column],
    merged: dict[tuple[int, int], Cell], number: int,
) -> list[Offer]:  # fmt: skip
    """Return the prices of a row, each with its quantity and total."""
    quantities = [c for c in columns if c.meaning == "quantity" and not c.quantity]
    prices = [c for c in columns if c.meaning in PRICES]
    totals = [c for c in columns if c.meaning in TOTALS]
    offers: list[Offer] = []
    for position, column in enumerate(prices):
        cell = cells.get(column.index)
        if column.quantity:
            quantity, quantity_cell = Amount((Decimal(column.quantity),)), None
        else:
            before = [q for q in quantities if q.index < column.index]
            pairs = len(quantities) == len(prices) and len(prices) > 1
            chosen = (
                quantities[position] if pairs else next(iter(reversed(before or quantities)), None)
            )
            if not pairs and quantities:
                chosen = quantities[0]
            quantity_cell = cells.get(chosen.index) if chosen else None
            if quantity_cell is None and chosen:
                quantity_cell = merged.get((number, chosen.index))
            quantity = amount(quantity_cell)
        total_column: Column | None = None
        if column.quantity:
            total_column = next((t for t in totals if t.quantity == column.quantity), None)
            if total_column is None and len(prices) == 1 and len(totals) == 1:
                total_column = totals[0]
        elif len(prices) == 1 and len(totals) == 1:
            total_column = totals[0]
        elif len(totals) == len(prices):
            total_column = totals[position]
        elif len(totals) == 1 and column.meaning != "lot price" and len(quantities) <= 1:
            total_column = totals[0]
        total_cell = cells.get(total_column.index) if total_column else None
        offers.append(
            Offer(cell, amount(cell), column, quantity, quantity_cell, amount(total_cell), total_cell, total_column)
        )  # fmt: skip
    if not prices:
        for column in totals:
            cell = cells.get(column.index)
            if column.quantity:
                quantity, quantity_cell = Amount((Decimal(column.quantity),)), None
            else:
                quantity_cell = cells.get(quantities[0].index) if quantities else None
                quantity = amount(quantity_cell)
            offers.append(
                Offer(None, BLANK, column, quantity, quantity_cell, amount(cell), cell, column)
            )
    lots = [o for o in offers if o.column.meaning == "lot price"]
    units = [o for o in offers if o.column.meaning in ("unit price", "price")]
    for lot in lots:
        twin = next((u for u in units if u.column.quantity == lot.column.quantity), None)
        if twin is not None and twin.total.state == "blank" and twin.amount.values:
            twin.total, twin.total_cell, twin.total_column = lot.amount, lot.cell, lot.column
            offers.remove(lot)
        elif twin is not None and not twin.amount.values:
            offers.remove(twin)
        elif twin is not None:
            offers.remove(lot)
    return offers

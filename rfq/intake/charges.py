# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""Charges beside the unit prices: one-offs of a part, and what is added to the order."""

from __future__ import annotations

import re
from decimal import Decimal

from rfq.intake import row_words as say
from rfq.intake.cells import amount
from rfq.intake.currency import Currencies
from rfq.intake.grid import Cell
from rfq.intake.numbers import Habit
from rfq.intake.row import Row
from rfq.intake.settled import column_habit
from rfq.intake.work import Work
from rfq.model.quote import Charge
from rfq.problems import Place, Severity


def one_off_columns(work: Work) -> None:
    """Gather the amounts of one-off columns by part; what cannot be read is asked about."""
    for row in work.rows:
        if row.kind not in ("item", "declined", "no price") or not row.match:
            continue
        for column, cell, read in row.one_offs:
            place = row.table.grid.place(work.file, cell)
            if len(read.values) == 2:
                read_figure = read.figure
                chosen = (
                    column_habit(work.rows).settle(read_figure).values
                    if read_figure
                    else read.values
                )
            else:
                chosen = read.values
            if len(chosen) == 1:
                if read.percent or chosen[0] < 0:
                    continue
                found = work.one_offs.setdefault(row.match.part, [])
                name = column.heading
                if chosen[0] > 0 and not any(v == chosen[0] and n == name for v, n, _, _ in found):
                    found.append((chosen[0], name, read.currencies or column.currencies, place))
            elif len(chosen) > 1:
                work.problem(
                    "R024",
                    f"The one-off charge '{cell.text}' of {row.match.part} can be read as {chosen[0]} or {chosen[1]}; ask which.",
                    place,
                    Severity.ASK,
                    row.match.part,
                )
            elif read.state in ("words", "formula", "date", "error"):
                work.problem(
                    "R024",
                    f"The one-off charge '{cell.text[:60]}' of {row.match.part} is no amount that can be read; ask what it is.",
                    place,
                    Severity.ASK,
                    row.match.part,
                )


def charge_row(work: Work, row: Row, style: Habit, money: Currencies) -> None:
    """A row that is a charge: a one-off of a part, or a charge on the order."""
    grid = row.table.grid
    value: Decimal | None = None
    percent: Decimal | None = None
    doubtful = False
    cell: Cell | None = None
    offers = [o for o in row.offers if o.amount.values or o.total.values]
    for offer in offers:
        total, price = offer.total, offer.amount
        read, cell = (total, offer.total_cell) if total.values else (price, offer.cell)
        chosen = style.settle(read.figure).values if read.figure else read.values
        doubtful = len(chosen) > 1
        value = chosen[0]
        if (
            read is price
            and offer.quantity.values
            and offer.quantity.values[0] > 1
            and price.base not in ("lot",)
            and offer.column.meaning != "lot price"
        ):
            value *= offer.quantity.values[0]
        if read.percent:
            percent, value = value, None
        break
    if not offers:
        for _, candidate, read in row.one_offs:
            if read.values:
                value, cell = read.values[0], candidate
                doubtful = len(read.values) > 1
                break
    if value is None and percent is None:
        for candidate in grid.rows[row.number].values():
            read = amount(candidate)
            if read.values:
                chosen = style.settle(read.figure).values if read.figure else read.values
                if read.percent:
                    percent, cell = chosen[0], candidate
                else:
                    value, cell, doubtful = chosen[0], candidate, len(chosen) > 1
    stated = re.search(r"(\d{1,2}(?:[.,]\d+)?)\s*%", row.label)
    if stated and percent is None:
        percent = Decimal(stated[1].replace(",", "."))
    name = re.sub(r"\s+", " ", row.label).strip()[:120]
    place = grid.place(work.file, cell) if cell else Place(work.file, sheet=grid.name)
    kind = say.charge_kind(name)
    if doubtful:
        work.problem(
            "R024",
            f"The charge '{name}' can be read in two ways ('{cell.text if cell else ''}'); ask which.",
            place,
            Severity.ASK,
        )
        return
    currencies = (amount(cell).currencies if cell else ()) or ()
    code = money.of_charge(currencies, row)
    if row.kind == "one-off" and value is not None:
        part = row.match.part or _part_above(work, row)
        if part:
            work.one_offs.setdefault(part, []).append((value, name, currencies, place))
        else:
            work.charges.append(
                Charge(name=name, kind=kind, amount=value, currency=code, place=place)
            )
            if sum(r.kind == "item" and not r.further for r in work.rows) > 1:
                work.problem(
                    "R024",
                    f"The one-off charge '{name}' of {value} doesn't say for which part it is; it is taken for the order: ask.",
                    place,
                    Severity.ASK,
                )
        return
    if kind == "discount":
        from rfq.model.base import Percent  # noqa: F401 - documents the range below

        if percent is not None and 0 < percent < 100:
            work.charges = [c for c in work.charges if c.kind != "discount"]
            _discount(work, percent, place)
            return
        if value is not None:
            work.charges.append(
                Charge(name=name, kind="discount", amount=-abs(value), currency=code, place=place)
            )
        return
    if kind == "minimum order" and value is not None:
        work.charges.append(
            Charge(name=name, kind=kind, below=abs(value), currency=code, place=place)
        )
        return
    if value is not None:
        work.charges.append(
            Charge(
                name=name,
                kind=kind,
                amount=value,
                currency=code,
                part=row.match.part,
                per="part" if row.match.part else "order",
                place=place,
            )
        )
    elif percent is not None:
        work.charges.append(Charge(name=name, kind=kind, percent=percent, place=place))


def _discount(work: Work, percent: Decimal, place: Place) -> None:
    work.charges.append(
        Charge(name=f"order discount {percent} %", kind="discount", percent=percent, place=place)
    )


def _part_above(work: Work, row: Row) -> str:
    """The part of the item right above a one-off row; '' where that is not told."""
    rows = [r for r in work.rows if r.table is row.table]
    at = next(i for i, r in enumerate(rows) if r is row)
    above = [r for r in rows[:at] if r.kind in ("item", "sum", "declined")]
    if not above or above[-1].kind == "sum":
        return ""
    parts = {r.match.part for r in rows if r.kind == "item"}
    if len(parts) == 1:
        return above[-1].match.part
    later = any(r.kind == "item" for r in rows[at:])
    between = any(
        r.kind == "one-off" and any(x.kind == "item" for x in rows[i:]) for i, r in enumerate(rows)
    )
    gap = row.number - above[-1].number
    own = [r for r in rows[:at] if r.kind == "one-off" and r.number > above[-1].number]
    if later or (between and gap - len(own) <= 1):
        return above[-1].match.part
    return ""

"""The rows of a table: items, further quantities, one-offs, sums, tax, charges, remarks.

Nothing is decided about numbers here; every row ends in exactly one class, and what is not read
says why.
"""

from __future__ import annotations

import re

from rfq.intake.cells import amount
from rfq.intake.grid import Cell
from rfq.intake.matching import Known, looks_like_part, split_revision
from rfq.intake.row import Row, offers_of
from rfq.intake.row_class import classify, part_of
from rfq.intake.table import Column, Table


def read_rows(table: Table, known: Known) -> list[Row]:
    """Return the classified rows of a table, from top to bottom."""
    grid = table.grid
    merged: dict[tuple[int, int], Cell] = {}
    for r1, c1, r2, _ in grid.merges:
        origin = grid.cell(r1, c1)
        if origin and r2 > r1:
            for r in range(r1, min(r2, r1 + 500) + 1):
                merged[(r, c1)] = origin
    columns = [c for c in table.columns.values() if c.index not in grid.hidden_columns]
    tails = _tails_are_revisions(table)
    rows: list[Row] = []
    # a block headed by its part number: 'Part: SH-2007' above 'Quantity | Unit price'
    alone = not table.by("part")
    above = _subject(table, known, range(max(1, table.first - 4), table.first)) if alone else None
    edge = _edges(table)
    for number in sorted(r for r in grid.rows if table.first <= r <= table.last):
        if number in grid.hidden_rows:
            rows.append(Row(table, number, "left out", "the row is hidden"))
            continue
        cells = {
            c: cell for c, cell in grid.rows[number].items()
            if c not in grid.hidden_columns and edge[0] <= c <= edge[1]
        }  # fmt: skip
        if not cells:
            continue
        row = _row(table, number, cells, merged, columns, known, tails, above)
        if row.kind in ("item", "declined", "no price") and not row.further:
            above = row
        elif alone and row.kind == "text":
            above = _subject(table, known, range(number, number + 1)) or above
        rows.append(row)
    _figures_without_heading(table, rows, edge)
    return rows


def _subject(table: Table, known: Known, numbers: range) -> Row | None:
    """The part that a line above a table without a part column names; the last such line."""
    for number in reversed(numbers):
        cells = [c for _, c in sorted(table.grid.rows.get(number, {}).items()) if c.text.strip()]
        if number in table.head or not cells or len(cells) > 4 or number in table.grid.hidden_rows:
            continue
        text = " ".join(cell.text.strip() for cell in cells)
        named = sum(bool(known.find(c.text, loose=False)) or looks_like_part(c.text) for c in cells)
        if len(text) > 120 or named > 1:
            continue
        hit = known.find(text, loose=False)
        if not hit:
            body = re.sub(r"^[^:：]{2,30}[:：]\s*", "", text)
            labelled = body != text and re.search(r"\d", body) and not re.search("[:：]", body)
            if looks_like_part(body) or (labelled and len(body) < 30):
                hit = part_of(body, known, tails=False)
        if hit:
            row = Row(table, number, "item", match=hit, part_cell=cells[0])
            row.revision = hit.revision
            return row
    return None


def _figures_without_heading(table: Table, rows: list[Row], edge: tuple[int, int]) -> None:
    """Mark a table in which most items have a figure right of the part under no heading."""
    items = [row for row in rows if row.kind == "item"][:200]
    part = next((c.index for c in table.by("part")), 0)
    seen: dict[int, int] = {}
    for row in items:
        for c, cell in table.grid.rows[row.number].items():
            if (
                part < c <= edge[1]
                and c not in table.columns
                and c not in table.grid.hidden_columns
                and re.search(r"\d", cell.text)
            ):
                seen[c] = seen.get(c, 0) + 1
    table.unlabelled = bool(table.head) and any(
        n >= max(2, len(items) * 0.5) for n in seen.values()
    )


def _edges(table: Table) -> tuple[int, int]:
    """Columns that belong to the table: beside a second table on the same rows, only its own."""
    first, last = min(table.columns, default=1), max(table.columns, default=1)
    head = table.head[-1] if table.head else 0
    others = [
        c for c in table.grid.rows.get(head, {}) if c not in table.columns
    ]  # fmt: skip
    left = max((c for c in others if c < first), default=0)
    right = min((c for c in others if c > last), default=10**6)
    return left + 1, right - 1


def _tails_are_revisions(table: Table) -> bool:
    """Whether '-B' after a number is a revision: no revision column, and most numbers have it."""
    if table.by("revision"):
        return False
    parts = table.by("part")
    if not parts:
        return False
    texts = [
        text for r in range(table.first, table.last + 1)
        if (text := table.grid.text(r, parts[0].index)) and re.search(r"\d", text)
    ]  # fmt: skip
    tailed = sum(bool(split_revision(text)[1]) for text in texts)
    return bool(texts) and tailed >= len(texts) * 0.6


def _row(
    table: Table, number: int, cells: dict[int, Cell], merged: dict[tuple[int, int], Cell],
    columns: list[Column], known: Known, tails: bool, above: Row | None,
) -> Row:  # fmt: skip
    row = Row(table, number, "text")
    row.comments = [(cell, cell.comment) for cell in cells.values() if cell.comment]
    struck = {c for c, cell in cells.items() if "[struck out]" in cell.comment}
    if struck and len(struck) >= len(cells) * 0.6:
        row.kind, row.reason = "left out", "the row is struck out"
        return row
    row.texts = [
        cell for cell in cells.values()
        if cell.kind == "s" and cell.text and re.search(r"[^\W\d_]", cell.text)
    ]  # fmt: skip
    parts = table.by("part")
    part_column = parts[0].index if parts else 0
    row.part_cell = cells.get(part_column)
    if row.part_cell is None and (number, part_column) in merged:
        row.part_cell = merged[(number, part_column)]
    for column in columns:
        cell = cells.get(column.index)
        if cell is None and column.meaning in (
            "revision",
            "name",
            "one-off",
            "lead",
            "material",
            "quantity",
        ):
            cell = merged.get((number, column.index))
        if cell is None or column.index in struck:
            continue
        if cell.text and column.meaning:
            row.by.setdefault(column.meaning, cell)
        if column.meaning == "one-off":
            row.one_offs.append((column, cell, amount(cell)))
        elif column.meaning == "element" and amount(cell).values:
            row.elements.append((column, amount(cell)))
    standing = {c: cell for c, cell in cells.items() if c not in struck}
    row.offers = offers_of(table, standing, columns, merged, number)
    part_text = row.part_cell.text.strip() if row.part_cell else ""
    row.name = row.by["name"].text if "name" in row.by else ""
    row.label = " ".join(dict.fromkeys(t.text.strip() for t in row.texts)) or part_text
    if "revision" in row.by:
        row.revision = (
            re.sub(r"(?i)^(?:rev|index|ind|issue)\W*", "", row.by["revision"].text).strip().upper()
        )
    classify(row, part_text, known, tails, above)
    return row

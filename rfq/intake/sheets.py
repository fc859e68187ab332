# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""A sheet to tables and rows; running text, hidden and superseded parts are told apart."""

from __future__ import annotations

import re
from collections.abc import Sequence

from rfq.intake import row_words as say
from rfq.intake.bare_table import table_without_head
from rfq.intake.columns import find_tables
from rfq.intake.grid import Cell, Grid, letters
from rfq.intake.lexicon import Lexicon
from rfq.intake.row import Row
from rfq.intake.rows import read_rows
from rfq.intake.table import Table
from rfq.intake.terms_found import Said
from rfq.intake.work import Work
from rfq.model.draft import ColumnMap, DraftCell
from rfq.problems import Place, Severity


def read_grid(work: Work, grid: Grid, words: Lexicon, memory: Sequence[ColumnMap]) -> None:
    """Read one sheet: its tables, its rows and its running text, and what was left out."""
    if grid.hidden:
        _leave_out(work, grid, "the sheet is hidden")
        work.problem(
            "R026",
            f"The hidden sheet '{grid.name}' was left out; it may hold older prices.",
            Place(work.file, sheet=grid.name),
            Severity.NOTE,
        )
        return
    if not grid.rows:
        return
    if say.OLDER.search(grid.name) and len(grid.name) < 40:
        _leave_out(work, grid, "the sheet's name says that it is superseded")
        work.problem(
            "R026",
            f"The sheet '{grid.name}' was left out: by its name it holds older figures.",
            Place(work.file, sheet=grid.name),
            Severity.NOTE,
        )
        return
    tables = find_tables(grid, words, work.known)
    rows = [row for table in tables for row in rows_of_table(work, table, words, memory)]
    if not any(row.kind in ("item", "declined", "no price") for row in rows):
        turned = grid.transposed()
        turned_tables = find_tables(turned, words, work.known)
        turned_rows = [r for t in turned_tables for r in rows_of_table(work, t, words, memory)]
        if any(row.kind in ("item", "declined") for row in turned_rows):
            tables, rows = turned_tables, turned_rows
    taken = (
        {r for t in tables for r in (*t.head, *range(t.first, t.last + 1))}
        if tables and tables[0].grid is grid
        else set()
    )
    if not any(row.kind in ("item", "declined", "no price") for row in rows) and not (
        tables and tables[0].grid is not grid
    ):
        bare = table_without_head(grid, set(), work.known)
        if bare is not None:
            tables, rows = [bare], read_rows(bare, work.known)
            taken = set(range(bare.first, bare.last + 1))
            if any(row.kind == "item" for row in rows):
                place = Place(work.file, sheet=grid.name)
                work.problem(
                    "R045",
                    "The table has no headings; its columns were told by their content: look at them.",
                    place,
                    Severity.NOTE if bare.confidence >= 0.7 else Severity.ASK,
                )
    work.tables.extend(tables)
    work.rows.extend(rows)
    if tables and tables[0].grid is not grid:
        in_table = {
            (c.address) for t in tables for r in t.grid.rows for c in t.grid.rows[r].values()
            if t.head and (r in t.head or t.first <= r <= t.last)
        }  # fmt: skip
        for r in sorted(grid.rows):
            cells = [
                c for i, c in sorted(grid.rows[r].items()) if f"{letters(i)}{r}" not in in_table
            ]
            _say(work, grid, cells)
        return
    for r in sorted(grid.rows):
        if r in grid.hidden_rows:
            continue
        if r in taken:
            head = any(r in t.head for t in tables)
            columns = {
                c for t in tables if r in t.head or t.first <= r <= t.last for c in t.columns
            }
            low, high = min(columns, default=0), max(columns, default=0)
            beside = [
                c
                for i, c in sorted(grid.rows[r].items())
                if not head and not low <= i <= high and c.kind == "s" and len(c.text) > 8
            ]
            _say(work, grid, beside)
            continue
        _say(
            work, grid, [c for i, c in sorted(grid.rows[r].items()) if i not in grid.hidden_columns]
        )
    for row in rows:
        if row.kind in ("text", "tax"):
            _say(work, row.table.grid, list(row.table.grid.rows[row.number].values()))
        elif row.kind == "left out" and row.number not in grid.hidden_rows:
            _say(work, row.table.grid, [c for c in row.texts])
    for table in tables:
        for column in table.columns.values():
            if column.heading and table.head:
                cell = grid.cell(table.head[-1], column.index) or grid.cell(
                    table.head[0], column.index
                )
                if cell is not None and re.search(
                    r"(?i)incoterm|\bexw\b|\bfob\b|\bdap\b|\bddp\b", column.heading
                ):
                    work.said.append(Said(column.heading, grid.place(work.file, cell)))
    hidden = sorted(r for r in grid.rows if r in grid.hidden_rows)
    if hidden:
        for r in hidden:
            list_row(work, grid, r, "left out: the row is hidden")
        first = min(grid.rows[hidden[0]])
        work.problem(
            "R025",
            f"{len(hidden)} hidden row{'s' if len(hidden) > 1 else ''} ({', '.join(map(str, hidden[:8]))}) {'were' if len(hidden) > 1 else 'was'} left out.",
            Place(work.file, sheet=grid.name, cell=f"{letters(first)}{hidden[0]}"),
            Severity.NOTE,
        )
    if grid.hidden_columns and any(c in grid.hidden_columns for r in grid.rows.values() for c in r):
        work.problem(
            "R025",
            f"Hidden columns ({', '.join(letters(c) for c in sorted(grid.hidden_columns)[:8])}) were left out.",
            Place(work.file, sheet=grid.name),
            Severity.NOTE,
        )


def rows_of_table(
    work: Work, table: Table, words: Lexicon, memory: Sequence[ColumnMap]
) -> list[Row]:
    """Return the rows of a table, its columns as confirmed earlier where the headings are the same."""
    if table.title and say.OLDER.search(table.title):
        for r in range(table.first, table.last + 1):
            if r in table.grid.rows:
                list_row(
                    work, table.grid, r, "left out: the table's title says that it is superseded"
                )
        work.problem(
            "R026",
            f"The table under '{table.title[:60]}' was left out: by its title it holds older figures.",
            table.grid.place(work.file, next(iter(table.grid.rows[table.head[0]].values()))),
            Severity.NOTE,
        )
        return []
    remembered = next(
        (m for m in memory if _same_headings(table, m) and m.sheet in ("", table.grid.name)), None
    ) or next((m for m in memory if _same_headings(table, m)), None)
    if remembered is not None:
        for column in table.columns.values():
            column.meaning = remembered.columns.get(letters(column.index), column.meaning)
            column.quantity = remembered.quantities.get(letters(column.index), column.quantity)
        work.problem(
            "R044",
            "The columns were read as confirmed earlier for this shop; the headings are the same.",
            Place(work.file, sheet=table.grid.name),
            Severity.NOTE,
        )
    rows = read_rows(table, work.known)
    if table.title and say.ALTERNATIVE.search(table.title):
        for row in rows:
            row.alternative = row.alternative or table.title
    return rows


def _same_headings(table: Table, old: ColumnMap) -> bool:
    now = {letters(c.index): c.heading for c in table.columns.values() if c.heading}
    return bool(now) and now == old.headings


def _say(work: Work, grid: Grid, cells: Sequence[Cell]) -> None:
    """Running text of a row: short cells joined ('Valid until | 31.01.2027'), long ones apart."""
    short: list[Cell] = []
    for cell in cells:
        if not cell.text:
            continue
        if len(cell.text) > 60:
            work.said.append(Said(cell.text, grid.place(work.file, cell)))
        else:
            short.append(cell)
    if short:
        text = " ".join(c.text.strip() for c in short)
        work.said.append(Said(text, grid.place(work.file, short[0])))


def _leave_out(work: Work, grid: Grid, reason: str) -> None:
    for r in sorted(grid.rows)[:5000]:
        list_row(work, grid, r, f"left out: {reason}")


def list_row(work: Work, grid: Grid, row: int, reason: str) -> None:
    """List a row that was left out, with the reason."""
    cells = [c for _, c in sorted(grid.rows[row].items()) if c.text or c.comment]
    if cells:
        work.listed.append(
            DraftCell(
                place=grid.place(work.file, cells[0]),
                raw=" | ".join(c.text for c in cells)[:500],
                meaning="left out",
                understood=reason,
            )
        )

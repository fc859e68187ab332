# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""From a book to a Draft: tables, rows, prices, currency, tax, one-offs, sums, and what is open.

The order matters: numbers are settled before currency and tax, one-offs need the parts above them,
sums are checked last, when everything that could be in them is known.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from rfq.intake import row_words as say
from rfq.intake.cells import amount
from rfq.intake.columns import PRICES, TOTALS, Table, find_tables, table_without_head
from rfq.intake.currency import Currencies
from rfq.intake.doubts import doubts_of
from rfq.intake.grid import Book, Cell, Grid, letters
from rfq.intake.lexicon import Lexicon
from rfq.intake.matching import Known
from rfq.intake.money import base_in, tax_in
from rfq.intake.numbers import Habit
from rfq.intake.prose import Spoken, spoken_prices
from rfq.intake.rows import Offer, Row, read_rows
from rfq.intake.settle import Settled, column_habit, settle
from rfq.intake.sums import check_sums
from rfq.intake.terms import Said, Terms, lead_time, read_terms
from rfq.model.draft import ColumnMap, Draft, DraftCell
from rfq.model.quote import Breakdown, Charge, Declined, Price, TakenException
from rfq.problems import Place, Problem, Severity

_SCOPE = re.compile(
    r"(?i)without|w/o|not incl|excl|only|ohne|nicht|nur\b|sans|non compris|senza|escl|sin\b|bez\b|不含|raw|extra|optional|instead|anstatt|statt|assum|subject to|tolerance|tol\.|toleranz"
)  # fmt: skip


@dataclass(slots=True)
class Work:
    """All that is gathered while a book is read."""

    file: str
    known: Known
    tables: list[Table] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)
    settled: list[Settled] = field(default_factory=list)
    cells: dict[tuple[str, int, int], DraftCell] = field(default_factory=dict)
    listed: list[DraftCell] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    said: list[Said] = field(default_factory=list)
    charges: list[Charge] = field(default_factory=list)
    declined: list[Declined] = field(default_factory=list)
    exceptions: list[TakenException] = field(default_factory=list)
    one_offs: dict[str, list[tuple[Decimal, str, tuple[str, ...], Place]]] = field(
        default_factory=dict
    )

    def problem(
        self, code: str, message: str, place: Place, severity: Severity, subject: str = ""
    ) -> None:
        """Add a problem once."""
        found = Problem(code, message, place, severity, subject=subject)
        if found not in self.problems:
            self.problems.append(found)


def draft_of(
    book: Book, file: str, sha256: str, known: Known, words: Lexicon, *,
    shop_currency: str = "", memory: Sequence[ColumnMap] = (), extra: Sequence[Said] = (),
) -> Draft:  # fmt: skip
    """Return the draft of a book; it may hold no price at all, which is then a problem.

    Args:
        book: grids of the file.
        file, sha256: name and hash of the file.
        known: what the request asks for.
        words: heading lexicon.
        shop_currency: the shop's usual currency; settles only a doubtful sign.
        memory: column maps confirmed for this shop.
        extra: running text outside the grids (a mail's body).
    """
    work = Work(file, known)
    for code, text in book.notes:
        work.problem(code, text[:1].upper() + text[1:] + ".", Place(file), Severity.NOTE)
    for grid in book.grids:
        _read_grid(work, grid, words, memory)
    style = column_habit(work.rows)
    work.said.extend(extra)
    terms = read_terms(work.said, style)
    for row in work.rows:
        _settle_row(work, row, style, terms)
    _cut_off(work, book)
    _lone_without_total(work)
    money = Currencies(book, work.rows, terms, shop_currency)
    tax = _tax(work, terms)
    _one_off_columns(work)
    for row in work.rows:
        if row.kind in ("one-off", "charge"):
            _charge_row(work, row, style, money)
    prices = _prices(work, money, tax, terms)
    prices += spoken_prices(work, money, Spoken(tax.state, tax.percent), style, prices)
    prices = _duplicates(work, prices)
    prices = check_sums(work, prices, style, money)
    _remarks(work, terms)
    _open_questions(work, prices, terms)
    _cells(work, book, terms)
    order = {id(p): n for n, p in enumerate(work.problems)}
    work.problems.sort(key=lambda p: (p.severity is Severity.NOTE, order[id(p)]))
    return Draft(
        file=file,
        sha256=sha256,
        form=book.kind,
        prices=tuple(prices),
        charges=tuple(
            [*work.charges, *(c for c in terms.charges if not _repeated(c, work.charges))]
        ),
        terms=terms.terms(),
        exceptions=tuple(work.exceptions),
        declined=tuple(work.declined),
        breakdowns=_breakdowns(work),
        columns=tuple(_map_of(table) for table in work.tables),
        cells=tuple([*work.cells.values(), *work.listed]),
        problems=tuple(work.problems),
    )


def _repeated(charge: Charge, others: Sequence[Charge]) -> bool:
    return any(
        charge.kind == o.kind
        and charge.amount == o.amount
        and charge.percent == o.percent
        and charge.below == o.below
        for o in others
    )


def _read_grid(work: Work, grid: Grid, words: Lexicon, memory: Sequence[ColumnMap]) -> None:
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
    rows = [row for table in tables for row in _rows(work, table, words, memory)]
    if not any(row.kind in ("item", "declined", "no price") for row in rows):
        turned = grid.transposed()
        turned_tables = find_tables(turned, words, work.known)
        turned_rows = [r for t in turned_tables for r in _rows(work, t, words, memory)]
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
            _list_row(work, grid, r, "left out: the row is hidden")
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


def _rows(work: Work, table: Table, words: Lexicon, memory: Sequence[ColumnMap]) -> list[Row]:
    if table.title and say.OLDER.search(table.title):
        for r in range(table.first, table.last + 1):
            if r in table.grid.rows:
                _list_row(
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
        _list_row(work, grid, r, f"left out: {reason}")


def _list_row(work: Work, grid: Grid, row: int, reason: str) -> None:
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


def _settle_row(work: Work, row: Row, style: Habit, terms: Terms) -> None:
    if row.kind == "declined":
        offer = next((o for o in row.offers if o.amount.declined), None)
        cell = (offer.cell if offer else None) or row.part_cell
        if cell is None:
            return
        place = row.table.grid.place(work.file, cell)
        why = cell.text
        if "note" in row.by and row.by["note"] is not cell:
            why = f"{why}; {row.by['note'].text}"
        work.declined.append(Declined(part=row.match.part, reason=why[:300], place=place))
        if offer and offer.amount.state == "later":
            work.problem(
                "R037",
                f"'{cell.text}' stands in place of a price for {row.match.part}: the price is still to come; ask for it.",
                place,
                Severity.ASK,
                row.match.part,
            )
        elif offer and offer.amount.state == "dash":
            work.problem(
                "R037",
                f"A dash stands in place of a price for {row.match.part}; it is taken as not quoted.",
                place,
                Severity.NOTE,
                row.match.part,
            )
        return
    if row.kind == "no price":
        cell = row.part_cell or next(iter(row.table.grid.rows[row.number].values()))
        unread = next(
            (o.cell for o in row.offers if o.cell is not None and re.search(r"\d", o.cell.text)),
            None,
        )
        if unread is not None:
            work.problem(
                "R010",
                f"{row.match.part}: '{unread.text[:60]}' is no price that can be read; look at it and type the price in.",
                row.table.grid.place(work.file, unread),
                Severity.ASK,
                row.match.part,
            )
        elif not row.further:
            work.problem(
                "R036",
                f"{row.match.part} stands in the reply without a price; it counts as not answered.",
                row.table.grid.place(work.file, cell),
                Severity.NOTE,
                row.match.part,
            )
        return
    if row.kind in ("left out", "sum"):
        _nameless(work, row)
    if row.kind != "item":
        return
    said = terms.base if terms.base_place.sheet in ("", row.table.grid.name) else ""
    if any(s.place == terms.base_place and _MARK.match(s.text) for s in work.said):
        said = ""  # '* price per 100' speaks of the prices with that mark alone
    asked = work.known.quantities.get(row.match.part, ())
    if not any(o.quantity.values for o in row.offers) and not asked:
        common = _common_quantity(work, row.table)
        if common:
            asked = (common,)
    for offer in row.offers:
        state = offer.amount.state
        if state == "blank" and not offer.total.values:
            continue
        if state in ("declined", "dash", "later", "included"):
            cell = offer.cell
            if cell is not None:
                quantity = int(offer.quantity.values[0]) if offer.quantity.values else 0
                work.problem(
                    "R037",
                    f"{row.match.part}{f' at {quantity}' if quantity else ''}: '{cell.text}' stands in place of a price; no price is read there.",
                    row.table.grid.place(work.file, cell),
                    Severity.ASK if state == "later" else Severity.NOTE,
                    row.match.part,
                )
            continue
        marked = _by_mark(work, offer)
        work.settled.append(settle(row, offer, style, asked, marked if marked else said))


_MARK = re.compile(r"\s*(\*+|[†‡§¹²³]|\(?[1-9]\))\s*\S")


def _by_mark(work: Work, offer: Offer) -> str:
    """The base that a footnote gives the prices that carry its mark; '' for none."""
    text = offer.cell.text.strip() if offer.cell is not None else ""
    own = re.search(r"(?<=[\d\s€$£])(\*+|[†‡§¹²³]|\(?[1-9]\))$", text)
    if not own:
        return ""
    for said in work.said:
        mark = _MARK.match(said.text)
        if mark and mark[1] == own[1]:
            return base_in(said.text)
    return ""


def _nameless(work: Work, row: Row) -> None:
    """A row with quantity and price that names no part is asked about; sums have no quantity."""
    if "an amount" not in row.reason:
        return
    for offer in row.offers:
        cell = offer.cell
        if (
            cell is not None
            and offer.amount.values
            and offer.quantity_cell
            and offer.quantity.values
        ):
            work.problem(
                "R018",
                f"'{cell.text[:40]}' at {offer.quantity_cell.text[:20]} stands without a part number; say for which part it is or leave it out.",
                row.table.grid.place(work.file, cell),
                Severity.ASK,
            )


def _common_quantity(work: Work, table: Table) -> int:
    """A quantity stated once for the whole table ('Losgröße 25 Stück', in heading or title)."""
    from rfq.intake.columns import heading_quantity

    texts = [
        table.title,
        *(c.heading for c in table.columns.values()),
        *(s.text for s in work.said),
    ]
    for text in texts:
        if text and re.search(
            r"(?i)qty|quantity|batch|lot size|losgr|menge|stückzahl|quantité|quantità|cantidad|ilość|数量|批量|lotto di|lote de|lot de|for \d+ (?:pcs|pieces|sets)",
            text,
        ):
            found = heading_quantity(text)
            if found:
                return found
    return 0


def _lone_without_total(work: Work) -> None:
    """A price without a total in a table whose other prices all agree with theirs."""
    for table in work.tables:
        items = [s for s in work.settled if s.row.table is table]
        agreed = [s for s in items if any(" = " in words for words in s.evidence)]
        lone = [s for s in items if not s.doubts and s.total is None and s.each is not None]
        formula = any(s.offer.total.state == "formula" for s in items)
        if len(agreed) >= 3 and len(lone) <= len(items) * 0.25 and not formula:
            for item in lone:
                item.doubts.append(
                    (
                        "R012",
                        "no line total stands beside it, though the other lines have one; look whether the row is whole",
                    )
                )


def _cut_off(work: Work, book: Book) -> None:
    """A text file that ends inside its last row: the last price may have lost digits."""
    if book.kind != "csv" or not work.settled or not book.grids or book.text.endswith(("\n", "\r")):
        return
    last = work.settled[-1]
    grid = last.row.table.grid
    others = [s for s in work.settled[:-1] if s.row.table is last.row.table]
    if last.row.number != max(grid.rows, default=0) or not others:
        return
    cells = grid.rows[last.row.number]
    widths = [max(grid.rows[s.row.number]) for s in others]
    if max(cells) < min(widths) or (last.cell is not None and last.cell.column == max(cells)):
        last.doubts.append(
            (
                "R057",
                "the file ends inside this row, so digits may be missing; ask for the whole file",
            )
        )


@dataclass(frozen=True, slots=True)
class Tax:
    """What the reply as a whole says of tax."""

    state: str = ""
    percent: Decimal | None = None


def _tax(work: Work, terms: Terms) -> Tax:
    state = str(terms.values.get("tax", ""))
    percent = terms.values.get("tax_percent")
    rows = [row for row in work.rows if row.kind == "tax"]
    if rows and not state:
        for row in rows:
            said, rate = tax_in(row.label)
            state = said or "excluded"
            if rate:
                percent = Decimal(rate)
            cell = row.part_cell or row.texts[0] if row.texts else row.part_cell
            if cell is not None:
                terms.put("tax", state, row.table.grid.place(work.file, cell), f"tax {state}")
            if said:
                break
        if percent is not None:
            terms.values.setdefault("tax_percent", percent)
    if rows and percent is None:
        found = re.search(r"(\d{1,2}(?:[.,]\d{1,2})?)\s*%", " ".join(row.label for row in rows))
        if found:
            percent = Decimal(found[1].replace(",", "."))
            terms.values.setdefault("tax_percent", percent)
    if not state:
        # an order that adds tax below its sum quotes net prices, even where no word says so
        used = (*PRICES, *TOTALS, "list price", "one-off")
        heads = {c.tax for t in work.tables for c in t.by(*used) if c.tax}
        if len(heads) == 1:
            state = heads.pop()
            cell_state: Any = state
            terms.values["tax"] = cell_state
    return Tax(state, percent)


def _one_off_columns(work: Work) -> None:
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


def _charge_row(work: Work, row: Row, style: Habit, money: Currencies) -> None:
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


def _prices(work: Work, money: Currencies, tax: Tax, terms: Terms) -> list[Price]:
    out = []
    for item in work.settled:
        out.append(_price(work, item, money, tax, terms))
    return out


def _price(work: Work, item: Settled, money: Currencies, tax: Tax, terms: Terms) -> Price:
    row, offer, grid = item.row, item.offer, item.row.table.grid
    cell = item.cell or row.part_cell
    place = grid.place(work.file, cell) if cell is not None else Place(work.file, sheet=grid.name)
    part = row.match.part
    at = f"{part} at {item.quantity}"
    currency, doubt, note = money.of_price(item)
    doubts, notes = list(item.doubts), list(item.notes)
    if doubt:
        doubts.append(("R015", doubt))
    if note == "dollar":
        if not any(p.code == "R015" and "$" in p.message for p in work.problems):
            work.problem("R015", "The sign $ is taken as US dollars.", place, Severity.NOTE)
    elif note:
        notes.append(("R015", note))
    revision = row.match.revision or row.revision
    if row.match.sure < 0.9:
        if row.match.how == "not a part of the request":
            doubts.append(
                (
                    "R018",
                    f"'{part}' is not a part of the request; say which part it is or leave it out",
                )
            )
        else:
            shown = row.part_cell.text if row.part_cell else part
            doubts.append(
                ("R019", f"'{shown}' may be {part} ({row.match.how}); confirm the part number")
            )
    asked = work.known.numbers.get(part, "")
    if (
        asked
        and revision
        and asked.upper() != revision.upper()
        and asked.lstrip("0").upper() != revision.lstrip("0").upper()
    ):
        doubts.append(("R020", f"the price is for revision {revision}, asked was {asked}"))
    each, state, percent = item.each, "", None
    if item.gross or offer.column.tax:
        state = "included" if item.gross else offer.column.tax
        percent = Decimal(offer.column.tax_percent) if offer.column.tax_percent else None
    words = tax_in(offer.amount.words)[0] if offer.amount.words else ""
    state = words or state or tax.state
    if state == "included":
        percent = percent or _row_rate(row) or tax.percent
        if percent is None:
            doubts.append(
                ("R016", "tax is inside the price and its rate isn't stated; ask for the net price")
            )
        elif each is not None:
            each = net_of(each, percent)
            notes.append(
                (
                    "R016",
                    f"{percent} % tax is inside the printed {item.printed}; net it is {each.normalize():f}",
                )
            )
    doubts += doubts_of(row, item, cell, offer.column.base)
    if asked and part in work.known.quantities and item.quantity not in work.known.quantities[part]:
        notes.append(("R033", f"{item.quantity} pieces were not asked for"))
    for code, text in doubts:
        work.problem(code, f"{at}: {text}.", place, Severity.ASK, part)
    for code, text in notes:
        work.problem(code, f"{at}: {text}.", place, Severity.NOTE, part)
    lead = row.by["lead"].text if "lead" in row.by else ""
    column = next((c for c in row.table.by("lead")), None)
    lead_text = lead
    if lead and column is not None and re.fullmatch(r"[\d\s–-]+", lead):
        lead_text = f"{lead} {_unit_of(column.heading)}"
    read = lead_time(lead_text) if lead else None
    once = work.one_offs.get(part, [])
    note_text = row.by["note"].text if "note" in row.by else offer.amount.words
    minimum = item.minimum
    return Price(
        part=part, revision=revision or asked, quantity=item.quantity, printed=item.printed, per=item.base, each=each,
        currency=currency, tax=state or "not stated", tax_percent=percent if state else None,
        one_off=sum((v for v, _, _, _ in once), Decimal(0)) if once else None,
        one_off_name="; ".join(dict.fromkeys(n for _, n, _, _ in once))[:200],
        minimum_quantity=minimum, weight_kg=item.weight, line_total=item.total, discount_percent=item.discount,
        lead=lead[:100], lead_days=_lead_days(read), material=row.by["material"].text[:100] if "material" in row.by else "",
        alternative=row.alternative[:200], note=note_text[:300] if note_text else "", place=place,
        sure=not doubts, evidence="; ".join(item.evidence),
    )  # fmt: skip


def net_of(gross: Decimal, percent: Decimal) -> Decimal:
    """Return the net price; in whole cents where these give the printed gross price again.

    >>> net_of(Decimal("45.90"), Decimal(19))
    Decimal('38.57')
    """
    net = gross / (1 + percent / 100)
    for digits in (2, 3, 4):
        rounded = round(net, digits)
        # half a cent either way: programs round halves up, to even, or as binary fractions fall
        if abs(rounded * (1 + percent / 100) - round(gross, 2)) <= Decimal("0.005"):
            return rounded
    return net


def _row_rate(row: Row) -> Decimal | None:
    if "tax rate" not in row.by:
        return None
    read = amount(row.by["tax rate"])
    if len(read.values) == 1 and 0 < read.values[0] < 40:
        return read.values[0] if read.values[0] >= 1 else read.values[0] * 100
    return None


def _unit_of(heading: str) -> str:
    found = re.search(
        r"(?i)working days|business days|arbeitstage|werktage|\bAT\b|weeks?|wks?|wochen?|KW|semaines?|sem\b|settimane|semanas|tygodni\w*|周|days?|tage?|jours?|giorni|gg|días|dni|天",
        heading,
    )
    return found[0] if found else ""


def _lead_days(read: Any) -> int | None:
    if read is None or read.until is not None:
        return None
    return (
        int(read.amount * (7 if read.unit == "weeks" else 1))
        if read.unit != "working days"
        else -(-read.amount * 7 // 5)
    )


def _duplicates(work: Work, prices: list[Price]) -> list[Price]:
    """The same part and quantity twice: once if the prices agree, asked if they do not."""
    seen: dict[tuple[str, int], int] = {}
    out: list[Price] = []
    for price in prices:
        key = (price.part, price.quantity)
        if price.alternative or price.each is None:
            out.append(price)
            continue
        if key not in seen:
            seen[key] = len(out)
            out.append(price)
            continue
        other = out[seen[key]]
        if other.each == price.each and other.currency == price.currency:
            work.problem(
                "R021",
                f"{price.part} at {price.quantity} stands twice with the same price; it is read once.",
                price.place,
                Severity.NOTE,
                price.part,
            )
            continue
        text = f"{price.part} at {price.quantity} stands twice, once at {other.printed} and once at {price.printed}; ask which stands."
        work.problem("R021", text, other.place, Severity.ASK, price.part)
        work.problem("R021", text, price.place, Severity.ASK, price.part)
        out[seen[key]] = other.model_copy(update={"sure": False})
        out.append(price.model_copy(update={"sure": False}))
    return out


def _remarks(work: Work, terms: Terms) -> None:
    """Exceptions and cell comments."""
    for row in work.rows:
        for cell, text in row.comments:
            place = row.table.grid.place(work.file, cell)
            clean = re.sub(r"\s+", " ", text.replace("[struck out]", "")).strip()
            if "[struck out]" in text:
                work.problem(
                    "R031",
                    f"'{cell.text[:60]}' is struck out and was not read.",
                    place,
                    Severity.NOTE,
                    row.match.part,
                )
            if not clean:
                continue
            scope = _SCOPE.search(clean)
            work.problem(
                "R031",
                f"A comment on the cell says: '{clean[:160]}'; {'it changes what the price covers: settle it with the shop' if scope else 'look whether it changes the price'}.",
                place,
                Severity.ASK if scope else Severity.NOTE,
                row.match.part,
            )
            work.exceptions.append(
                TakenException(part=row.match.part, text=clean[:500], place=place)
            )
        for name in ("exceptions",):
            if (
                name in row.by
                and row.by[name].text
                and amount(row.by[name]).state not in ("dash", "declined")
            ):
                work.exceptions.append(
                    TakenException(
                        part=row.match.part,
                        text=row.by[name].text[:500],
                        place=row.table.grid.place(work.file, row.by[name]),
                    )
                )
        if row.kind == "item" and "note" in row.by:
            from rfq.intake.terms import _EXCEPTION

            cell = row.by["note"]
            if _EXCEPTION.search(cell.text):
                work.exceptions.append(
                    TakenException(
                        part=row.match.part,
                        text=cell.text[:500],
                        place=row.table.grid.place(work.file, cell),
                    )
                )
        if row.kind == "item" and row.alternative:
            work.problem(
                "R039",
                f"{row.match.part}: '{row.alternative[:80]}' is read as an alternative, beside the price asked for.",
                row.table.grid.place(work.file, row.part_cell or row.texts[0])
                if (row.part_cell or row.texts)
                else Place(work.file),
                Severity.NOTE,
                row.match.part,
            )
    for said in terms.exceptions:
        work.exceptions.append(TakenException(text=said.text, place=said.place))
        work.problem(
            "R040",
            f"The reply departs from the request or says what is not in its price: '{said.text[:140]}'.",
            said.place,
            Severity.NOTE,
        )
    for code, text, place in terms.doubts:
        work.problem(
            code,
            text[:1].upper() + text[1:] + ".",
            place,
            Severity.NOTE if code in ("R041", "R042") else Severity.ASK,
        )


def _open_questions(work: Work, prices: Sequence[Price], terms: Terms) -> None:
    if not prices and not work.declined:
        items = [row for row in work.rows if row.kind == "no price"]
        if items:
            work.problem(
                "R027",
                f"The sheet is empty: {len(items)} parts stand in it and no price; it looks like an unfilled form. Ask the shop to fill it in.",
                Place(work.file),
                Severity.ASK,
            )
        else:
            work.problem(
                "R028",
                "No price was found in this file; look at it, choose the columns, or type the prices in.",
                Place(work.file),
                Severity.ASK,
            )
        return
    answered = {p.part for p in prices} | {d.part for d in work.declined}
    if work.known.quantities:
        missing = [n for n in work.known.quantities if n not in answered]
        for number in missing:
            work.problem(
                "R036",
                f"{number} was asked for and isn't in this reply.",
                Place(work.file),
                Severity.NOTE,
                number,
            )
        for number, wanted in work.known.quantities.items():
            have = {p.quantity for p in prices if p.part == number and not p.alternative}
            lacking = [q for q in wanted if q not in have]
            if have and lacking:
                work.problem(
                    "R036",
                    f"{number} has no price at {', '.join(map(str, lacking))} pieces.",
                    Place(work.file),
                    Severity.NOTE,
                    number,
                )
    if prices and all(p.tax == "not stated" for p in prices):
        work.problem(
            "R034",
            "The reply doesn't say whether tax is in its prices; they are taken as net until the shop says otherwise.",
            Place(work.file),
            Severity.NOTE,
        )
    for table in work.tables:
        sure = table.confidence
        if 0 < sure < 0.6 and any(r.table is table and r.kind == "item" for r in work.rows):
            weak = min((c for c in table.columns.values() if c.meaning), key=lambda c: c.sure)
            work.problem(
                "R045",
                f"Column {letters(weak.index)} ('{weak.heading[:40]}') is taken as {weak.meaning}; look whether that is right.",
                Place(work.file, sheet=table.grid.name),
                Severity.ASK,
            )


def _breakdowns(work: Work) -> tuple[Breakdown, ...]:
    out = []
    for item in work.settled:
        if not item.row.elements or item.row.alternative:
            continue
        elements: dict[str, Decimal] = {}
        hours: Decimal | None = None
        for column, read in item.row.elements:
            if len(read.values) != 1 or read.values[0] < 0:
                continue
            name = element_name(column.heading)
            if name == "hours":
                hours = read.values[0]
            elif name:
                elements[name] = elements.get(name, Decimal(0)) + read.values[0]
        if elements:
            cell = item.cell
            place = item.row.table.grid.place(work.file, cell) if cell else Place(work.file)
            out.append(
                Breakdown(
                    part=item.row.match.part,
                    quantity=item.quantity,
                    elements=elements,
                    hours=hours,
                    place=place,
                )
            )
    return tuple(out)


def element_name(heading: str) -> str:
    """Return which of the five elements a breakdown heading is; '' for none of them.

    >>> element_name("Rüstanteil je Stück"), element_name("Machining"), element_name("Old price")
    ('set-up', 'run', '')
    """
    for name, words in (
        ("", r"old|previous|prior|last|target|alt(?:er)? preis|bisher|ziel|ancien|vecchio|anterior|poprzedni|旧|scrap|margin|profit|gewinn|marge|utile|margen|marża|利润|overhead|gemeink|管理"),
        ("hours", r"hours?|stunden|heures|\bore\b|horas|godzin|工时|machine time"),
        ("set-up", r"set-?\s?up|rüst|réglage|attrezz|prepar|przygot|przezbroj|开机"),
        ("finish", r"finish|surface|coat|anodi|plat|oberfl|beschicht|elox|trait|acabad|recubr|powłok|wykończ|表面|heat treat|härt"),
        ("inspection", r"inspect|qc|prüf|mess|contrôle|controllo|collaudo|control|kontrol|检"),
        ("material", r"mat|werkst|matière|stock|raw|materiał|材料"),
        ("run", r"machin|run|labou?r|cycle|fertig|bearbeit|lohn|fräs|dreh|schleif|usinage|fraisage|tournage|lavoraz|tornitura|fresatura|mecaniz|fresado|torneado|obróbk|robocizn|加工|人工|turning|milling|grinding|cnc|mfg|process"),
    ):  # fmt: skip
        if re.search(words, heading, re.IGNORECASE):
            return name
    return ""


def _map_of(table: Table) -> ColumnMap:
    prices = table.by("unit price", "price", "lot price")
    return ColumnMap(
        sheet=table.grid.name,
        header_row=table.head[-1] if table.head else 0,
        columns={letters(c.index): c.meaning for c in table.columns.values() if c.meaning},
        headings={letters(c.index): c.heading for c in table.columns.values() if c.heading},
        quantities={letters(c.index): c.quantity for c in table.columns.values() if c.quantity},
        per=prices[0].base if prices else "",
        currency=prices[0].currencies[0] if prices and len(prices[0].currencies) == 1 else "",
        confidence=round(table.confidence, 2),
        merges=tuple(table.grid.merges[:500]),
    )


def _cells(work: Work, book: Book, terms: Terms) -> None:
    """List every cell of the shown sheets with what it was taken for."""
    from rfq.intake.listing import list_cells

    list_cells(work, book, terms)


def as_mapping(parts: Any) -> Mapping[str, Any]:
    """Return parts by number, whether they come as a mapping or in a row."""
    return parts if isinstance(parts, Mapping) else {part.number: part for part in parts or ()}

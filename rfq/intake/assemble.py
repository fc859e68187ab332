"""From a book to a Draft: tables, rows, prices, currency, tax, one-offs, sums, and what is open.

The order matters: numbers are settled before currency and tax, one-offs need the parts above them,
sums are checked last, when everything that could be in them is known.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from rfq.intake.breakdowns import breakdowns_of
from rfq.intake.charges import charge_row, one_off_columns
from rfq.intake.currency import Currencies
from rfq.intake.grid import Book, letters
from rfq.intake.lexicon import Lexicon
from rfq.intake.matching import Known
from rfq.intake.prices import prices_of, tax_of, without_doubles
from rfq.intake.prose import Spoken, spoken_prices
from rfq.intake.remarks import gather_remarks, open_questions
from rfq.intake.row_prices import ask_about_cut, ask_about_lone, settle_row
from rfq.intake.settled import column_habit
from rfq.intake.sheets import read_grid
from rfq.intake.sums import check_sums
from rfq.intake.table import Table
from rfq.intake.terms import read_terms
from rfq.intake.terms_found import Said, Terms
from rfq.intake.work import Work
from rfq.model.draft import ColumnMap, Draft
from rfq.model.quote import Charge
from rfq.problems import Place, Severity


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
        read_grid(work, grid, words, memory)
    style = column_habit(work.rows)
    work.said.extend(extra)
    terms = read_terms(work.said, style)
    for row in work.rows:
        settle_row(work, row, style, terms)
    ask_about_cut(work, book)
    ask_about_lone(work)
    money = Currencies(book, work.rows, terms, shop_currency)
    tax = tax_of(work, terms)
    one_off_columns(work)
    for row in work.rows:
        if row.kind in ("one-off", "charge"):
            charge_row(work, row, style, money)
    prices = prices_of(work, money, tax, terms)
    prices += spoken_prices(work, money, Spoken(tax.state, tax.percent), style, prices)
    prices = without_doubles(work, prices)
    prices = check_sums(work, prices, style, money)
    gather_remarks(work, terms)
    open_questions(work, prices, terms)
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
        breakdowns=breakdowns_of(work),
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

# ruff: noqa: E501 - patterns and whole sentences stand on one line
"""A quotation letter as PDF with a text layer: pages to grids and sentences, then the common road.

Every figure keeps its page and box. A page that is a picture, a scrambled text layer and a locked
file are refused with the way on; what the page leaves open is a doubt on the prices it touches.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from rfq.intake.grid import Book, Cell, Grid
from rfq.intake.kinds import Limits, shown_name, stop
from rfq.intake.letter_columns import figure_in
from rfq.intake.letter_labels import labelled
from rfq.intake.letter_lines import Line, Page, Paragraph, box_of, pages_of, paragraphs
from rfq.intake.letter_rows import Found
from rfq.intake.letter_tables import find_bare, find_on_pages, head_lines, holds_prices
from rfq.intake.letter_text import declined_in, legible, scope_of, sentences
from rfq.intake.lexicon import Lexicon
from rfq.intake.matching import Known
from rfq.model.draft import Draft
from rfq.model.quote import Declined
from rfq.problems import Place, Problem, Reading, Severity

TEXT = ", text"  # ends the name of a grid of sentences
_WAY = (
    "ask the shop for the response sheet or a PDF with text, or type the prices in beside the page"
)


def read_letter(
    path: Path, sha256: str, known: Known, words: Lexicon, limits: Limits,
    context: Mapping[str, Any], request: Any = None,
) -> Reading[Draft]:  # fmt: skip
    """Return the draft of a quotation letter, or of our own PDF form where it is one.

    Args:
        path: the PDF.
        sha256: its hash.
        known: what the request asks for.
        words: heading lexicon.
        limits: bounds of the child that opens it.
        context: what else the draft machinery is told (shop's currency, remembered columns).
        request: the request it answers; our own form is checked against it.
    Raises:
        TooMuch: beyond the bounds.
    Problems:
        R003 damaged; R004 locked; R052 a scan; R053 a scrambled text layer; R074 a page that is
        a picture beside pages with text; R075 a heading beside its column; R076 a price whose
        part isn't told by the page; R077 text recognised in a scan; R078 hidden text left out;
        R079 filled form fields that are not ours.
    """
    from rfq.intake.guard import run_child

    answer, problem = run_child("letter", path, limits)
    if problem is not None:
        return Reading(None, (problem,))
    if answer["form"]:
        from rfq.intake.form_pdf import is_our_form, read_form

        if is_our_form(answer["form"]):
            return read_form(answer["form"], shown_name(path), sha256, known, request)
    return read_pages(answer, shown_name(path), sha256, known, words, context)


def read_pages(
    answer: dict[str, Any], name: str, sha256: str, known: Known, words: Lexicon, context: Mapping[str, Any]
) -> Reading[Draft]:  # fmt: skip
    """Return the draft of what the child found in a PDF; see ``read_letter``."""
    refused = _refused(answer, name)
    if refused is not None:
        return Reading(None, (refused,))
    pages = pages_of(answer)
    if not any(page.lines for page in pages):
        return Reading(
            None, (stop("R052", f"{name} shows no text that a reader could see; {_WAY}.", name),)
        )
    if not legible([line.text for page in pages for line in page.lines], known, words):
        return Reading(None, (_scrambled(name),))
    from rfq.intake.assemble import draft_of

    book, tables = _book(pages, words, known)
    draft = draft_of(book, name, sha256, known, words, **context)
    draft = draft.model_copy(update={"form": "letter"})
    draft = _with_sentences(draft, name, book, known)
    draft = _with_doubts(draft, name, pages, tables, answer)
    texts = [
        cell.text for grid in book.grids if grid.name.endswith(TEXT)
        for row in grid.rows.values() for cell in row.values()
    ]  # fmt: skip
    scope = {**scope_of(texts), **draft.scope}
    return Reading(draft.model_copy(update={"scope": scope}))


def _with_sentences(draft: Draft, name: str, book: Book, known: Known) -> Draft:
    """Add parts declined in a sentence, and the part of one-off charges stated in one."""
    answered = {p.part for p in draft.prices} | {d.part for d in draft.declined}
    declined = list(draft.declined)
    for grid in book.grids:
        if not grid.name.endswith(TEXT):
            continue
        for row in grid.rows.values():
            for cell in row.values():
                for part in declined_in(cell.text, known):
                    if part not in answered:
                        answered.add(part)
                        declined.append(
                            Declined(
                                part=part, reason=cell.text[:300], place=grid.place(name, cell)
                            )
                        )
    gone = {d.part for d in declined}
    problems = tuple(p for p in draft.problems if not (p.code == "R036" and p.subject in gone))
    charges = tuple(
        charge.model_copy(update={"part": part, "per": "part"})
        if charge.kind in ("one-off", "tooling", "first article") and not charge.part
        and charge.amount is not None and (part := known.find(charge.name, loose=False).part)
        else charge
        for charge in draft.charges
    )  # fmt: skip
    return draft.model_copy(
        update={"declined": tuple(declined), "charges": charges, "problems": problems}
    )


def _scrambled(name: str) -> Problem:
    return stop(
        "R053",
        f"{name}: its text layer is scrambled (the letters shown are not those stored), so no figure "
        f"in it can be trusted; {_WAY}.",
        name,
    )


def _refused(answer: dict[str, Any], name: str) -> Problem | None:
    pages = answer["pages"]
    letters = sum(page["letters"] for page in pages)
    bad = sum(page["bad"] for page in pages)
    pictures = [
        n for n, page in enumerate(pages, 1) if page["image"] > 0.3 and page["letters"] < 12
    ]
    if letters < 12 * max(1, len(pages)) and len(pictures) >= len(pages) / 2:
        return stop(
            "R052",
            f"{name} is a scan: its page is a picture without text, so nothing can be read; {_WAY}.",
            name,
        )
    if letters < 5:
        return stop("R052", f"{name} holds no text that can be read; {_WAY}.", name)
    if bad > 3 and bad > 0.08 * letters:
        return _scrambled(name)
    return None


def _book(pages: Sequence[Page], words: Lexicon, known: Known) -> tuple[Book, list[Found]]:
    """Tables as grids; the rest as one grid of sentences a page."""
    everything = [line for page in pages for line in page.lines]
    for line in head_lines(everything, words, known):
        line.repeated = False  # a table's heading at the top of each page is no running head
    lines = [line for line in everything if not line.repeated]
    tables = find_on_pages(pages, lines, words, known)
    used = {i for table in tables for i in table.lines}
    for bare in find_bare(pages, lines, [i for i in range(len(lines)) if i not in used], known):
        if holds_prices(bare.grid, words, known):
            tables.append(bare)
            used |= bare.lines
    book = Book("letter", [table.grid for table in tables])
    rest: dict[int, list[Line]] = {}
    for i, line in enumerate(lines):
        if i not in used:
            rest.setdefault(line.page, []).append(line)
    for page in pages:
        grid = Grid(f"page {page.number}{TEXT}", page=page.number)
        running = [line for line in page.lines if line.repeated] if page.number == 1 else []
        texts: list[Paragraph] = []
        block: list[Line] = []
        for line in [*running, *rest.get(page.number, [])]:
            if block and _table_between(tables, lines, block[-1], line):
                texts += paragraphs(block, page.width)
                block = []
            block.append(line)
        texts += paragraphs(block, page.width)
        row = 0
        for text in texts:
            for sentence in sentences(text, known):
                row += 1
                grid.put(Cell(row, 1, "s", sentence.text, box=sentence.box, page=sentence.page))
        blocks = labelled(grid, words)
        if blocks is not None:
            book.grids.append(blocks)
        if grid.rows:
            book.grids.append(grid)
    return book, tables


def _table_between(tables: Sequence[Found], lines: Sequence[Line], one: Line, two: Line) -> bool:
    return any(
        any(lines[i].page == two.page and one.y1 <= lines[i].y0 + 2 and lines[i].y1 <= two.y0 + 2 for i in table.lines)
        for table in tables
    )  # fmt: skip


def _with_doubts(
    draft: Draft, name: str, pages: Sequence[Page], tables: Sequence[Found], answer: dict[str, Any]
) -> Draft:
    """Add what the pages leave open; prices that it touches are no longer sure."""
    problems = list(draft.problems)
    doubtful: dict[Place, list[tuple[str, str]]] = {}
    for table in tables:
        rows = {row for row, _ in table.doubts}
        for r, cells in table.grid.rows.items():
            if r in rows or 0 in rows:
                for cell in cells.values():
                    doubtful.setdefault(table.grid.place(name, cell), []).extend(
                        ("R075" if row == 0 else "R076", text)
                        for row, text in table.doubts
                        if row in (0, r)
                    )
    recognised = _recognised(pages, answer)
    prices = []
    for price in draft.prices:
        doubts = list(doubtful.get(price.place, []))
        if price.place.page in recognised:
            doubts.append(
                (
                    "R077",
                    "the page is a scan with recognised text, which may be misread; compare the figure with the picture",
                )
            )
        for code, text in doubts:
            problems.append(
                Problem(
                    code,
                    f"{price.part} at {price.quantity}: {text}.",
                    price.place,
                    Severity.ASK,
                    subject=price.part,
                )
            )
        prices.append(price.model_copy(update={"sure": False}) if doubts else price)
    filled = [
        f"{field}: {value}" for field, value in answer.get("form", {}).items() if value.strip()
    ]
    if filled:
        problems.append(
            Problem(
                "R079",
                f"The PDF has form fields that were not read ({'; '.join(filled)[:160]}); look whether they hold prices or terms.",
                Place(name),
                Severity.ASK,
            )
        )
    for number, page in enumerate(answer["pages"], 1):
        if page["image"] > 0.3 and page["letters"] < 12 and len(answer["pages"]) > 1:
            problems.append(
                Problem(
                    "R074",
                    f"Page {number} is a picture without text and was not read; look whether it holds prices.",
                    Place(name, page=number),
                    Severity.ASK,
                )
            )
    for page in pages:
        struck = [w for w in page.aside if w.shown == "struck"]
        if struck:
            shown = " ".join(w.text for w in struck)[:80]
            problems.append(
                Problem(
                    "R031",
                    f"'{shown}' is struck out and was not read.",
                    Place(name, page=page.number, box=box_of(struck)),
                    Severity.NOTE,
                )
            )
        hidden = [w for w in page.aside if w.shown in ("hidden", "invisible")]
        if hidden and any(re.search(r"\d", w.text) for w in hidden):
            shown = " ".join(w.text for w in hidden)[:80]
            problems.append(
                Problem(
                    "R078",
                    f"Text that the page doesn't show was left out: '{shown}'.",
                    Place(name, page=page.number),
                    Severity.NOTE,
                )
            )
    for table in tables:
        problems += _nameless(draft, name, table)
    order = {id(p): n for n, p in enumerate(problems)}
    problems.sort(key=lambda p: (p.severity is Severity.NOTE, order[id(p)]))
    return draft.model_copy(update={"prices": tuple(prices), "problems": tuple(problems)})


def _nameless(draft: Draft, name: str, table: Found) -> list[Problem]:
    """Rows with an amount that was left out because no part stands beside it."""
    rows = {
        table.grid.place(name, cell): r
        for r, row in table.grid.rows.items()
        for cell in row.values()
    }
    seen: set[int] = set()
    out = []
    for cell in draft.cells:
        row = rows.get(cell.place, 0)
        unnamed = cell.understood.endswith("names no part") or "without any name" in cell.understood
        if not unnamed or not row or row in seen or not re.search(r"\d[.,]\d\d", cell.raw):
            continue
        figures = sum(figure_in(c.text) is not None for c in table.grid.rows[row].values())
        if figures < 2 and "without any name" in cell.understood:
            continue
        seen.add(row)
        out.append(
            Problem(
                "R076",
                f"'{cell.raw[:60]}' stands in a line that names no part; say to which part it belongs.",
                cell.place,
                Severity.ASK,
            )
        )
    return out


def _recognised(pages: Sequence[Page], answer: dict[str, Any]) -> set[int]:
    return {
        page.number for page, item in zip(pages, answer["pages"], strict=True)
        if page.lines and item["image"] > 0.5
        and all(w.shown == "invisible" for line in page.lines for p in line.pieces for w in p.words)
    }  # fmt: skip

"""A quotation letter as PDF with a text layer: words to rows and columns, then as any table.

A scanned page or a scrambled text layer is refused with the way on; nothing is guessed from it.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from rfq.intake.assemble import draft_of
from rfq.intake.grid import Book, Grid
from rfq.intake.guard import run_child
from rfq.intake.kinds import Limits, shown_name, stop
from rfq.intake.layout import Phrase, Word, grid_of, rows_of, words_of_text
from rfq.intake.lexicon import Lexicon
from rfq.intake.matching import Known
from rfq.intake.terms import Said
from rfq.problems import Place, Reading

_COMMON = frozenset(
    """the and for your you we our with price prices offer quote quotation thank please date valid from order
    der die das und für ihre wir sie mit preis preise angebot anfrage vielen dank gültig bis datum stück
    le la les et pour votre vous nous prix offre devis merci date il lo per vostra prezzo offerta grazie data
    el los para su precio oferta gracias fecha i na dla cena oferta dziękujemy sztuk data net total tel
    报价 单价 数量 日期 您好 公司""".split()
)


def read_letter(
    path: Path, sha256: str, known: Known, words: Lexicon, limits: Limits, context: dict[str, Any]
) -> Reading[Any]:
    """Return the draft of a PDF letter, or of our fillable form.

    Problems: R052 no text layer (scanned); R053 the text layer is scrambled; R003, R004.
    """
    name = shown_name(path)
    answer, problem = run_child("pdf", path, limits)
    if problem is not None:
        return Reading(None, (problem,))
    if answer["fields"]:
        from rfq.intake.form_pdf import is_our_form, read_form

        if is_our_form(answer["fields"]):
            return read_form(answer["fields"], name, sha256, known)
    pages = answer["pages"]
    all_words = [word for page in pages for word in page["words"]]
    if sum(len(word[0]) for word in all_words) < 25:
        pictures = any(page["pictures"] for page in pages)
        what = "is a scanned picture without a text layer" if pictures else "holds no text"
        return Reading(None, (stop("R052", f"{name} {what}; type the prices in beside the page, or ask the shop for the PDF as its program made it.", name),))  # fmt: skip
    if scrambled([str(word[0]) for word in all_words], words, known):
        return Reading(None, (stop("R053", f"The text layer of {name} is scrambled (what a search finds isn't what the page shows), so no figure in it can be trusted; type the prices in, or ask for a spreadsheet.", name),))  # fmt: skip
    book = Book("letter")
    all_rows: list[tuple[int, list[list[Phrase]]]] = []
    for number, page in enumerate(pages, 1):
        rows = rows_of([Word(*word) for word in page["words"]])
        all_rows.append((number, rows))
        book.grids.append(grid_of(rows, words, number))
    if answer["count"] > len(pages):
        book.notes.append(("R008", f"only the first {len(pages)} of {answer['count']} pages were read"))
    book.text = "\n".join(" ".join(p.text for p in row) for _, rows in all_rows for row in rows)
    _continue_tables(book, all_rows, words)
    return Reading(draft_of(book, name, sha256, known, words, **context))


def _continue_tables(book: Book, rows: list[tuple[int, list[list[Phrase]]]], words: Lexicon) -> None:
    """A table that runs on to a page without headings gets the headings of the page before."""
    from rfq.intake.layout import _head_rows

    for index in range(1, len(book.grids)):
        number, page_rows = rows[index]
        _, before = rows[index - 1]
        if _head_rows(page_rows, words):
            continue
        heads = _head_rows(before, words)
        if not heads:
            continue
        head = [before[i] for i in heads[max(heads)]]
        shift = [
            [Phrase(p.text, p.x0, p.x1, -100 + 10 * n, -92 + 10 * n) for p in row]
            for n, row in enumerate(head)
        ]
        merged = grid_of([*shift, *page_rows], words, number)
        book.grids[index] = merged
        rows[index] = (number, [*shift, *page_rows])


def scrambled(texts: list[str], words: Lexicon, known: Known) -> bool:
    """Whether a text layer is no language at all.

    Signs: private-use or replacement characters, or not one word of the trade in a long text.
    """
    joined = " ".join(texts)
    letters = [c for c in joined if not c.isspace()]
    odd = sum(
        c == "\ufffd" or "\ue000" <= c <= "\uf8ff" or ord(c) < 32 or 0x80 <= ord(c) < 0xA0
        for c in letters
    )
    if letters and odd > len(letters) * 0.05:
        return True
    plain = [re.sub(r"[^\w]+", "", t).casefold() for t in texts]
    hits = sum(p in _COMMON for p in plain) + sum(
        words.read(t).sure >= 0.95 for t in texts[:400] if len(t) > 2 and not t[0].isdigit()
    )
    han = sum("\u4e00" <= c <= "\u9fff" for c in joined)
    if han > 10:
        return False
    if any(known.find(t, loose=False) for t in texts[:400]):
        return hits == 0
    return len(letters) > 60 and hits < 2


def grids_of_text(text: str, words: Lexicon) -> list[Grid]:
    """Return fixed-width text as a grid, if it holds anything like a table."""
    rows = rows_of(words_of_text(text))
    if sum(len(row) >= 3 for row in rows) < 2:
        return []
    grid = grid_of(rows, words, 0)
    return [grid]


def text_lines(text: str, file: str, path: str = "") -> list[Said]:
    """Return running text as lines with their place."""
    return [
        Said(line.strip(), Place(file, line=number, path=path))
        for number, line in enumerate(text.splitlines(), 1)
        if line.strip()
    ]

# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""CSV, TSV and plain text: encoding and delimiter are found from the content."""

from __future__ import annotations

import csv
import io
import re
from functools import lru_cache
from pathlib import Path

from rfq.intake.grid import Book, Cell, Grid
from rfq.intake.kinds import Limits, shown_name
from rfq.intake.lexicon import lexicon, read_phrases
from rfq.problems import TooMuch

_CANDIDATES = ("cp1252", "cp1250", "gb18030", "cp850", "mac_roman", "shift_jis", "cp1254")
# Letters and signs that reply files really hold beyond ASCII; anything else counts against an
# encoding. Detectors made for long prose fail on a table of a hundred characters.
_EXPECTED = frozenset(
    "äöüÄÖÜßéèêëàâçùûîïôœÉÈÀÇáíóúñÁÍÓÚÑ¿ìòÌÒąćęłńśźżĄĆĘŁŃŚŹŻčďěňřšťůýžČŘŠŽÝőűŐŰğışİŞ€£¥°±²³µ–—’‘“”„…·«»§©®№\u00a0Ø×åÅøæõ×½¼Ω"
)


_ALPHABETS = tuple(
    frozenset(letters)
    for letters in ("äöüß", "éèêëàâçùûîïôœæ", "àèéìòù", "áéíóúñü", "ąćęłńóśźż", "áčďéěíňóřšťúůýž", "áéíóöőúüű", "åäö", "æøå", "çğıöşü", "ăâîșşțţ")
)  # fmt: skip


@lru_cache(maxsize=1)
def _accented() -> frozenset[str]:
    """Words of the heading lexicon that hold a letter beyond ASCII."""
    phrases = read_phrases(Path(__file__).with_name("headings.csv"))
    return frozenset(
        word for _, phrase in phrases for word in re.findall(r"[^\W\d_]+", phrase.casefold())
        if not word.isascii() and len(word) > 2
    )  # fmt: skip


def decode(data: bytes) -> tuple[str, str]:
    """Return (text, encoding)."""
    for mark, name in (
        (b"\xef\xbb\xbf", "utf-8-sig"),
        (b"\xff\xfe", "utf-16"),
        (b"\xfe\xff", "utf-16"),
    ):
        if data.startswith(mark):
            return data.decode(name, "replace"), name
    head = data[:4000]
    if head.count(0) > len(head) // 3:
        even, odd = head[::2].count(0), head[1::2].count(0)
        name = "utf-16-le" if odd > even else "utf-16-be"
        return data.decode(name, "replace"), name
    try:
        return data.decode("utf-8"), "utf-8"
    except UnicodeDecodeError:
        pass
    high = b"\n".join(line for line in data[:2_000_000].splitlines() if not line.isascii())[:20_000]
    best, best_score = "cp1252", -(10**9)
    for name in _CANDIDATES:
        try:
            text = high.decode(name)
        except UnicodeDecodeError:
            text = high.decode(name, "replace")
        score = 0
        for char in text:
            if char.isascii():
                continue
            if char in _EXPECTED:
                score += 2
            elif "\u4e00" <= char <= "\u9fff" or "\u3040" <= char <= "\u30ff":
                score += 2 if name in ("gb18030", "shift_jis") else -3
            else:
                score -= 3
        letters = {c.lower() for c in text if not c.isascii() and c.isalpha()}
        if letters and any(letters <= alphabet for alphabet in _ALPHABETS):
            score += 6
        score += 8 * len(_accented() & set(re.findall(r"[^\W\d_]+", text.casefold())))
        if score > best_score:
            best, best_score = name, score
    return data.decode(best, "replace"), best


_BLANK: list[str] = []


def _split(text: str, delimiter: str, limits: Limits, name: str) -> list[list[str]]:
    csv.field_size_limit(limits.cell_characters)
    rows: list[list[str]] = []
    filled = 0
    for row in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter):
        # One empty row for all: millions of blank lines would cost a list each.
        rows.append(row or _BLANK)
        filled += bool(row)
        if filled > limits.cells:
            raise TooMuch(f"{name} holds more than {limits.cells:,} rows; it was not read.")
    return rows


def _score(rows: list[list[str]]) -> float:
    """How much a splitting looks like a table: known headings, then even widths."""
    words = lexicon()
    widths: dict[int, int] = {}
    headings = 0
    for row in rows[:400]:
        if len(row) > 1:
            widths[len(row)] = widths.get(len(row), 0) + 1
        if len(row) > 1 and len(row) < 80:
            known = {
                words.read(cell.strip()).meaning
                for cell in row
                if 0 < len(cell) < 60 and not cell.strip()[:1].isdigit()
            }
            headings = max(headings, len(known - {""}))
    if not widths:
        return 0.0
    width, count = max(widths.items(), key=lambda item: (item[1], item[0]))
    return headings * 10 + min(width, 30) * count / max(len(rows), 1)


def read_csv(path: Path, limits: Limits) -> Book:
    """Return the file as one grid.

    Raises:
        TooMuch: a cell or the number of cells goes beyond the bounds.
    """
    return grid_of_text(path.read_bytes(), shown_name(path), limits)


def grid_of_text(data: bytes, name: str, limits: Limits) -> Book:
    """Return text data as a book with one grid; see :func:`read_csv`."""
    text, encoding = decode(data)
    text = text.replace("\0", "")
    book = Book("csv", properties={"encoding": encoding})
    if "\ufffd" in text:
        book.notes.append(
            (
                "R005",
                f"{name} holds characters that its encoding ({encoding}) does not know; look at the names.",
            )
        )
    first, _, rest = text.partition("\n")
    stated = re.fullmatch(r"\"?sep=(.)\"?\s*", first.strip())
    skipped = 0
    if stated:
        text, skipped = rest, 1
    best: list[list[str]] = []
    best_score, chosen = -1.0, ""
    for delimiter in [stated[1]] if stated else [";", ",", "\t", "|"]:
        if not stated and delimiter not in text:
            continue
        try:
            rows = _split(text, delimiter, limits, name)
        except csv.Error:
            continue
        score = _score(rows)
        if delimiter == "," and _decimal_commas(text):
            score /= 2  # another sign that parts the cells as evenly is the better one
        if score > best_score:
            best, best_score, chosen = rows, score, delimiter
    if not best:
        longest = max((len(line) for line in text.splitlines()), default=0)
        if longest > limits.cell_characters:
            raise TooMuch(f"{name} holds a cell of {longest:,} characters; it was not read.")
    if not best or (best_score < 12 and chosen in ",|" and _looks_like_prose(best)):
        book.kind, book.text = "text", text
        return book
    grid = Grid()
    count = 0
    for r, row in enumerate(best, 1 + skipped):
        grid.widths[r] = len(row)
        for c, value in enumerate(row, 1):
            if value and not value.isspace():
                count += 1
                grid.put(Cell(r, c, "s", value.strip()))
        if count > limits.cells:
            raise TooMuch(f"{name} holds more than {limits.cells:,} cells; it was not read.")
    book.grids.append(grid)
    book.properties["delimiter"] = chosen
    book.text = text if len(text) < 200_000 else ""
    return book


def _decimal_commas(text: str) -> bool:
    """Whether most commas stand inside numbers ('279,61') with two or three digits behind them."""
    head = text[:20_000]
    inside = len(re.findall(r"\d,\d{2,3}(?!\d)", head))
    return inside > 0.6 * head.count(",")


def _looks_like_prose(rows: list[list[str]]) -> bool:
    """Whether a comma is punctuation rather than a delimiter."""
    full = [row for row in rows if len(row) > 1]
    spaced = sum(cell.startswith(" ") for row in full for cell in row[1:])
    cells = sum(len(row) - 1 for row in full)
    return (
        cells > 0
        and (spaced > cells * 0.6 or len(full) < len(rows) * 0.3)
        and not any(len(row) > 3 and sum(bool(cell.strip()) for cell in row) > 3 for row in full)
    )

# ruff: noqa: E501 - patterns and whole sentences stand on one line
"""From words on pages to lines and pieces of lines; what is repeated on each page; paragraphs.

A piece is a run of words without a wide gap or a ruled line between them: a cell of a table, or
a stretch of a sentence.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

Box = tuple[float, float, float, float]
# Measured in the height of the type: spaces are 0.25 to 0.6 (typewriter faces), columns of
# word processors and spreadsheets stand at least 0.9 apart [common practice].
_WIDE = 0.75
_LEADER = re.compile(r"(?:[._·…]{4,}|…{2,})")  # dots that lead the eye to the price


@dataclass(slots=True)
class Word:
    """A word on a page; y runs downwards."""

    text: str
    x0: float
    y0: float
    x1: float
    y1: float
    size: float
    page: int = 1
    shown: str = ""

    @property
    def middle(self) -> float:
        """Height of its middle on the page."""
        return (self.y0 + self.y1) / 2


@dataclass(slots=True)
class Piece:
    """Words of a line that stand together."""

    words: list[Word]

    @property
    def text(self) -> str:
        """Its words, parted by single spaces."""
        return " ".join(word.text for word in self.words)

    @property
    def x0(self) -> float:
        """Left edge."""
        return self.words[0].x0

    @property
    def x1(self) -> float:
        """Right edge."""
        return max(word.x1 for word in self.words)

    @property
    def box(self) -> Box:
        """The box around its words."""
        return box_of(self.words)


@dataclass(slots=True)
class Line:
    """A line of a page."""

    page: int
    y0: float
    y1: float
    pieces: list[Piece] = field(default_factory=list)
    repeated: bool = False  # stands at the same height on other pages too

    @property
    def size(self) -> float:
        """Height of its type."""
        return max(word.size for piece in self.pieces for word in piece.words)

    @property
    def text(self) -> str:
        """All its words."""
        return " ".join(piece.text for piece in self.pieces)


@dataclass(slots=True)
class Page:
    """A page with its lines and ruled lines."""

    number: int
    width: float
    height: float
    lines: list[Line]
    level: list[tuple[float, float, float]]  # x0, x1, y
    upright: list[tuple[float, float, float]]  # x, y0, y1
    aside: list[Word] = field(default_factory=list)  # turned, hidden or invisible words


def box_of(words: Sequence[Word]) -> Box:
    """Return the box around words, in tenths of a point."""
    return (
        round(min(w.x0 for w in words), 1),
        round(min(w.y0 for w in words), 1),
        round(max(w.x1 for w in words), 1),
        round(max(w.y1 for w in words), 1),
    )


def pages_of(answer: dict[str, Any]) -> list[Page]:
    """Return the pages of the child's answer with their lines, top to bottom."""
    pages: list[Page] = []
    for number, item in enumerate(answer["pages"], 1):
        words = [
            Word(text, x0, y0, x1, y1, size, number, shown)
            for text, x0, y0, x1, y1, size, shown in item["words"]
            if text and -5 <= x0 <= item["width"] + 5 and -5 <= y0 <= item["height"] + 5
        ]
        upright = [(x, y0, y1) for x, y0, y1 in item["v"]]
        level = [(x0, x1, y) for x0, x1, y in item["h"]]
        for word in words:
            if not word.shown and _struck(word, level):
                word.shown = "struck"
            if _LEADER.search(word.text):
                word.text = _LEADER.sub(" ", word.text).strip()
        words = [word for word in words if word.text]
        seen = [
            word for word in words if word.shown not in ("turned", "hidden", "invisible", "struck")
        ]
        recognised = [word for word in words if word.shown == "invisible"]
        if recognised and not seen and item["image"] > 0.5:
            seen = recognised  # text recognised in a scan; the caller says so
        aside = (
            [word for word in words if not any(word is s for s in seen)]
            if len(seen) < len(words)
            else []
        )
        page = Page(
            number, item["width"], item["height"], _lines(seen, upright),
            level, upright, aside,
        )  # fmt: skip
        pages.append(page)
    _mark_repeated(pages)
    return pages


def _struck(word: Word, level: Sequence[tuple[float, float, float]]) -> bool:
    """Whether a rule runs through the middle of a word."""
    high = word.y1 - word.y0
    return any(
        word.y0 + 0.36 * high < y < word.y0 + 0.72 * high
        and min(x1, word.x1) - max(x0, word.x0) > 0.7 * (word.x1 - word.x0)
        for x0, x1, y in level
    )


def _lines(words: list[Word], upright: Sequence[tuple[float, float, float]]) -> list[Line]:
    rows: list[list[Word]] = []
    for word in sorted(words, key=lambda w: (w.middle, w.x0)):
        home = None
        for row in reversed(rows[-6:]):
            first = row[-1]
            overlap = min(first.y1, word.y1) - max(first.y0, word.y0)
            if overlap > 0.6 * min(first.y1 - first.y0, word.y1 - word.y0) and abs(
                first.middle - word.middle
            ) < 0.45 * min(first.y1 - first.y0, word.y1 - word.y0):
                home = row
                break
        if home is None:
            rows.append([word])
        else:
            home.append(word)
    lines = []
    for row in rows:
        row.sort(key=lambda w: w.x0)
        line = Line(row[0].page, min(w.y0 for w in row), max(w.y1 for w in row))
        line.pieces = _pieces(row, upright)
        lines.append(line)
    lines.sort(key=lambda line: (line.y0 + line.y1) / 2)
    return lines


def _pieces(row: list[Word], upright: Sequence[tuple[float, float, float]]) -> list[Piece]:
    pieces = [Piece([row[0]])]
    for word in row[1:]:
        last = pieces[-1].words[-1]
        gap = word.x0 - last.x1
        middle = word.middle
        ruled = any(
            last.x1 - 2 <= x <= word.x0 + 2 and y0 - 1 <= middle <= y1 + 1 for x, y0, y1 in upright
        )
        wide = _WIDE * min(word.size, last.size)
        if _digits(last) and _digits(word) and not _typewriter(word):
            wide = 0.42 * min(word.size, last.size)  # '5 287.03' may be two columns set close
        if gap > wide or ruled:
            pieces.append(Piece([word]))
        else:
            pieces[-1].words.append(word)
    return pieces


def _digits(word: Word) -> bool:
    return re.fullmatch(r"[\d.,']+", word.text) is not None


def _typewriter(word: Word) -> bool:
    """Whether a word is set in a face whose signs are all 0.6 of its height wide."""
    return abs((word.x1 - word.x0) / len(word.text) / word.size - 0.6) < 0.03


def _mark_repeated(pages: list[Page]) -> None:
    """Mark running heads and feet: the same words (numbers aside) at the same height."""
    if len(pages) < 2:
        return
    seen: Counter[tuple[int, str]] = Counter()
    for page in pages:
        keys = {_running(line, page) for line in page.lines}
        seen.update(key for key in keys if key is not None)
    for page in pages:
        for line in page.lines:
            key = _running(line, page)
            line.repeated = key is not None and seen[key] > 1


def _running(line: Line, page: Page) -> tuple[int, str] | None:
    if 0.13 * page.height < line.y0 < 0.87 * page.height:
        return None
    text = re.sub(r"\d+", "0", line.text)
    if re.search(r"\d[.,]\d\d(?!\d)", line.text):
        return None
    return round(line.y0 / 4), text


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Running text: lines that belong together, with the words they are made of."""

    text: str
    words: tuple[Word, ...]
    page: int

    @property
    def box(self) -> Box:
        """The box around it."""
        return box_of(self.words)


def paragraphs(lines: Sequence[Line], width: float = 595.0) -> list[Paragraph]:
    """Return the paragraphs of lines that are in no table.

    Args:
        lines: of one page, in order.
        width: of the page; a line that ends well short of its text area is not wrapped.

    Two columns of sentences (two languages side by side) are read one after the other; a short
    label with its value stays one line.
    """
    out: list[Paragraph] = []
    for columns in _stacks(lines):
        for column in columns:
            widest = max((piece.x1 for piece in column), default=0.0)
            if len(columns) == 1:
                widest = max(widest, column[0].x0 + 0.6 * width)
            out += _joined(column, widest)
    return out


def _stacks(lines: Sequence[Line]) -> list[list[list[Piece]]]:
    """Runs of lines, each as one stack of pieces, or as several where text stands side by side."""
    stacks: list[list[list[Piece]]] = []
    run: list[Line] = []

    def close() -> None:
        if not run:
            return
        gutter = _gutter(run)
        if gutter is None:
            stacks.append([[Piece([w for p in line.pieces for w in p.words]) for line in run]])
        else:
            sides: list[list[Piece]] = [[], []]
            for line in run:
                for side in (0, 1):
                    words = [
                        w for p in line.pieces for w in p.words if ((w.x0 + w.x1) / 2 > gutter) == bool(side)
                    ]  # fmt: skip
                    if words:
                        sides[side].append(Piece(words))
            stacks.append(sides)
        run.clear()

    for line in lines:
        if run and (line.page != run[-1].page or line.y0 - run[-1].y1 > 1.1 * line.size):
            close()
        run.append(line)
    close()
    return stacks


def _gutter(run: Sequence[Line]) -> float | None:
    """Where two columns of sentences are parted; None for one column or labels with values."""
    pairs = [line for line in run if len(line.pieces) == 2]
    long = [line for line in pairs if min(len(p.text) for p in line.pieces) >= 20]
    if len(long) < 2 or len(pairs) < 0.5 * len(run):
        return None
    left = max(line.pieces[0].x1 for line in long)
    right = min(line.pieces[1].x0 for line in long)
    if right <= left:
        return None
    gutter = (left + right) / 2
    crossing = [
        line for line in run if any(p.x0 < gutter - 3 and p.x1 > gutter + 3 for p in line.pieces)
    ]
    return gutter if not crossing else None


def _joined(stack: Sequence[Piece], widest: float) -> list[Paragraph]:
    """Join wrapped lines: the line before is full, and this one goes on in the sentence."""
    if not stack:
        return []
    out: list[list[Piece]] = []
    for piece in stack:
        if out:
            last = out[-1][-1]
            text, before = piece.text, last.text
            full = last.x1 > widest - 0.18 * (widest - last.x0) - 6
            small = text[:1].islower() or before.rstrip()[-1:] in ",&(/-"
            goes_on = (
                full and not before.rstrip().endswith((".", ":", ";")) and not _starts(text)
            ) or (small and not before.rstrip().endswith((".", ";")))
            near = piece.words[0].y0 - last.words[0].y1 < 0.9 * piece.words[0].size
            if goes_on and near and abs(piece.x0 - last.x0) < 60 and len(out[-1]) < 30:
                out[-1].append(piece)
                continue
        out.append([piece])
    made = []
    for pieces in out:
        words = tuple(word for piece in pieces for word in piece.words)
        text = pieces[0].text
        for piece in pieces[1:]:
            # a word parted at the end of the line
            if re.search(r"[^\W\d_]-$", text) and piece.text[:1].islower():
                text = text[:-1] + piece.text
            else:
                text += " " + piece.text
        made.append(Paragraph(text, words, words[0].page))
    return made


def _starts(text: str) -> bool:
    """Whether a line begins something of its own: a label, a number of a list, a bullet."""
    return re.match(r"^(?:[-–•*·]\s|\d{1,2}[.)]\s|[^\W\d_][\w /-]{1,28}:\s)", text) is not None

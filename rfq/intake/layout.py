# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""Words with boxes (a page, or a mail's fixed-width lines) to a grid of cells.

Rows by their height, cells by the gaps between words, columns by the headings they stand under.
"""

from __future__ import annotations

from dataclasses import dataclass

from rfq.intake.grid import Cell, Grid
from rfq.intake.lexicon import Lexicon


@dataclass(slots=True)
class Word:
    """One word: text and box (x0, top, x1, bottom) in points, origin top left."""

    text: str
    x0: float
    top: float
    x1: float
    bottom: float


@dataclass(slots=True)
class Phrase:
    """Words that stand close together on one row."""

    text: str
    x0: float
    x1: float
    top: float
    bottom: float


def rows_of(words: list[Word]) -> list[list[Phrase]]:
    """Return rows of phrases from top to bottom, left to right."""
    rows: list[list[Word]] = []
    for word in sorted(words, key=lambda w: ((w.top + w.bottom) / 2, w.x0)):
        middle = (word.top + word.bottom) / 2
        height = max(word.bottom - word.top, 1.0)
        if rows:
            last = rows[-1]
            reference = sum((w.top + w.bottom) / 2 for w in last) / len(last)
            if abs(middle - reference) <= height * 0.45:
                last.append(word)
                continue
        rows.append([word])
    out = []
    for row in rows:
        row.sort(key=lambda w: w.x0)
        phrases: list[Phrase] = []
        for word in row:
            height = max(word.bottom - word.top, 1.0)
            if phrases and word.x0 - phrases[-1].x1 <= height * 0.62:
                last_phrase = phrases[-1]
                gap = "" if word.x0 - last_phrase.x1 < height * 0.08 else " "
                last_phrase.text += gap + word.text
                last_phrase.x1 = max(last_phrase.x1, word.x1)
                last_phrase.top, last_phrase.bottom = (
                    min(last_phrase.top, word.top),
                    max(last_phrase.bottom, word.bottom),
                )
            else:
                phrases.append(Phrase(word.text, word.x0, word.x1, word.top, word.bottom))
        out.append(phrases)
    return out


def words_of_text(text: str) -> list[Word]:
    """Return a fixed-width text's words; one character is one unit wide, a line ten high.

    Two spaces or a tab part two cells; the box's top is the line number times ten.
    """
    words: list[Word] = []
    for number, line in enumerate(text.expandtabs(8).splitlines(), 1):
        start = 0
        while start < len(line):
            while start < len(line) and line[start] == " ":
                start += 1
            if start >= len(line):
                break
            end = start
            while end < len(line) and line[end : end + 2] not in ("  ",) and end < len(line):
                end += 1
            cell = line[start:end].rstrip()
            if cell:
                # scaled so that one space is a small gap and two are a column's gap
                words.append(
                    Word(
                        cell,
                        start * 10.0,
                        number * 10.0,
                        (start + len(cell)) * 10.0,
                        number * 10.0 + 9,
                    )
                )
            start = end + 1
    return words


def grid_of(rows: list[list[Phrase]], words: Lexicon, page: int, name: str = "") -> Grid:
    """Return the rows as a grid whose columns follow the headings above them.

    A row of headings sets the columns for the rows below it; where there is none, overlapping
    phrases of neighbouring rows share a column.
    """
    grid = Grid(name, page=page)
    anchors: list[tuple[float, float]] = []
    heads = _head_rows(rows, words)
    whole = _bands(rows)
    for number, row in enumerate(rows, 1):
        if number - 1 in heads:
            block = heads[number - 1]
            anchors = _anchors([rows[i] for i in block])
        places = anchors or whole
        if len(row) == 1 and (not places or _crosses(row[0], places)):
            _put(grid, number, 1, row[0], page)
            continue
        for phrase in row if any(number - 1 in block for block in heads.values()) else ():
            under = [i + 1 for i, (a, b) in enumerate(places) if phrase.x0 < b and phrase.x1 > a]
            if len(under) > 1:
                grid.merges.append((number, _nearest(phrase, places) + 1, number, max(under)))
        for phrase in row:
            column = _nearest(phrase, places) + 1 if places else row.index(phrase) + 1
            there = grid.cell(number, column)
            if there is not None:
                there.text = f"{there.text} {phrase.text}"
                if there.box:
                    there.box = (
                        there.box[0],
                        min(there.box[1], phrase.top),
                        phrase.x1,
                        max(there.box[3], phrase.bottom),
                    )
            else:
                _put(grid, number, column, phrase, page)
    return grid


def _put(grid: Grid, row: int, column: int, phrase: Phrase, page: int) -> None:
    box = (round(phrase.x0, 1), round(phrase.top, 1), round(phrase.x1, 1), round(phrase.bottom, 1))
    grid.put(Cell(row, column, "s", phrase.text.strip(), box=box if page else None, line=row))


def _head_rows(rows: list[list[Phrase]], words: Lexicon) -> dict[int, range]:
    """Heading rows: index of the first -> range of the rows that make the heading."""
    found: dict[int, range] = {}
    score = [
        len({m for p in row if len(p.text) < 60 and (m := words.read(p.text).meaning)}) if len(row) > 1 else 0
        for row in rows
    ]  # fmt: skip
    index = 0
    while index < len(rows):
        if score[index] >= 3 or (
            score[index] >= 2
            and len(rows[index]) >= 2
            and index + 1 < len(rows)
            and len(rows[index + 1]) >= 2
        ):
            end = index + 1
            while (
                end < len(rows)
                and end - index < 3
                and not any(any(c.isdigit() for c in p.text) and len(p.text) > 4 for p in rows[end])
                and rows[end]
                and rows[end][0].top - rows[end - 1][0].bottom < 8
                and (score[end] >= 1 or all(p.text.strip().isdigit() for p in rows[end]))
            ):
                end += 1
            found[index] = range(index, end)
            index = end
        else:
            index += 1
    return found


def _anchors(rows: list[list[Phrase]]) -> list[tuple[float, float]]:
    """Intervals of the headings; overlapping ones of two heading rows are one, the finer wins."""
    anchors: list[tuple[float, float]] = []
    for row in reversed(rows):  # the lowest heading row is the finest
        for phrase in row:
            hits = [i for i, (a, b) in enumerate(anchors) if phrase.x0 < b and phrase.x1 > a]
            if not hits:
                anchors.append((phrase.x0, phrase.x1))
            elif len(hits) == 1:
                a, b = anchors[hits[0]]
                others = [x for i, (x, _) in enumerate(anchors) if i != hits[0] and x > a]
                anchors[hits[0]] = (
                    min(a, phrase.x0),
                    min(max(b, phrase.x1), min(others, default=1e9)),
                )
    return sorted(anchors)


def _bands(rows: list[list[Phrase]]) -> list[tuple[float, float]]:
    """Column bands of rows with several phrases, by their overlap."""
    spans = sorted((p.x0, p.x1) for row in rows if len(row) >= 3 for p in row)
    bands: list[tuple[float, float]] = []
    for x0, x1 in spans:
        if bands and x0 < bands[-1][1]:
            bands[-1] = (bands[-1][0], max(bands[-1][1], x1))
        else:
            bands.append((x0, x1))
    return bands if len(bands) > 1 else []


def _crosses(phrase: Phrase, places: list[tuple[float, float]]) -> bool:
    """Whether a lone phrase runs over several columns: then it is running text."""
    return (
        sum(phrase.x0 < b and phrase.x1 > a for a, b in places) > 1 or phrase.x1 - phrase.x0 > 260
    )


def _nearest(phrase: Phrase, places: list[tuple[float, float]]) -> int:
    def key(item: tuple[int, tuple[float, float]]) -> tuple[float, float]:
        _, (a, b) = item
        overlap = min(phrase.x1, b) - max(phrase.x0, a)
        if overlap > 0:
            return (-overlap, 0.0)
        return (0.0, min(abs(phrase.x0 - a), abs(phrase.x1 - b), -overlap))

    return min(enumerate(places), key=key)[0]

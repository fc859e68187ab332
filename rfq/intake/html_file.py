"""An HTML table, as programs write it behind the ending .xls; runs in the child process."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

from rfq.intake.csv_file import decode
from rfq.intake.grid import Book, Cell, Grid
from rfq.intake.kinds import Limits

_STRUCK = ("s", "strike", "del")
_UNSEEN = re.compile(r"(?i)display\s*:\s*none|visibility\s*:\s*(?:hidden|collapse)")


class _Tables(HTMLParser):
    """Rows and cells of all tables of a page, one below the other."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.grid = Grid("page")
        self.row, self.column, self.open, self.skip = 0, 0, False, 0
        self.text: list[str] = []
        self.span, self.down = 1, 1
        self.taken: set[tuple[int, int]] = set()
        self.loose: list[str] = []
        self.struck, self.standing = 0, False  # depth of <s>; whether a cell holds other text

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Begin a row or a cell."""
        given = dict(attrs)
        if tag in ("script", "style", "head"):
            self.skip += 1
        elif tag == "tr":
            self._close()
            self._flush()
            self.row, self.column = self.row + 1, 0
            if "hidden" in given or _UNSEEN.search(given.get("style") or ""):
                self.grid.hidden_rows.add(self.row)
        elif tag in ("td", "th"):
            self._close()
            self.row = max(self.row, 1)
            self.open, self.text = True, []
            self.struck, self.standing = 0, False
            self.column += 1
            while (self.row, self.column) in self.taken:  # a cell of a row above reaches down
                self.column += 1
            self.span = _span(given.get("colspan"), 60)
            self.down = _span(given.get("rowspan"), 200)
        elif tag == "table":
            if self.open:  # a table inside a cell: what stood before it is a line of its own
                self.loose, self.open = [*self.loose, *self.text], False
            self._flush()
            self.row, self.column = self.row + 1, 0
        elif tag in _STRUCK:
            self.struck += 1
        elif tag in ("sup", "sub"):
            text = self.text if self.open else self.loose
            if text and text[-1][-1:].isdigit():  # the 1 of a footnote is no digit of its figure
                text.append(" ")
        elif tag == "br":
            (self.text if self.open else self.loose).append("\n")
            if not self.open:
                self._flush()

    def handle_endtag(self, tag: str) -> None:
        """End a cell."""
        if tag in ("script", "style", "head"):
            self.skip = max(0, self.skip - 1)
        elif tag in _STRUCK:
            self.struck = max(0, self.struck - 1)
        elif tag in ("td", "th", "tr", "table"):
            self._close()
            if tag == "table":
                self._flush()
        elif tag in ("p", "div", "li", "h1", "h2", "h3", "h4"):
            if self.open:
                self.text.append("\n")
            else:
                self._flush()

    def _close(self) -> None:
        if not self.open:
            return
        self.open = False
        text = " ".join("".join(self.text).split())
        last = (self.row + self.down - 1, self.column + self.span - 1)
        if text:
            crossed = "" if self.standing else "[struck out]"
            self.grid.put(Cell(self.row, self.column, "s", text, comment=crossed))
        if self.span > 1 or self.down > 1:
            self.grid.merges.append((self.row, self.column, *last))
            if self.down > 1 and len(self.taken) < 100_000:
                self.taken |= {
                    (r, c)
                    for r in range(self.row + 1, last[0] + 1)
                    for c in range(self.column, last[1] + 1)
                }
        self.column = last[1]

    def _flush(self) -> None:
        text = " ".join("".join(self.loose).split())
        if text:
            self.row += 1
            self.grid.put(Cell(self.row, 1, "s", text))
        self.loose = []

    def handle_data(self, data: str) -> None:
        """Collect text."""
        if self.skip:
            return
        self.standing = self.standing or (not self.struck and bool(data.strip()))
        (self.text if self.open else self.loose).append(data)


def _span(text: str | None, most: int) -> int:
    return max(1, min(int(text), most)) if text and text.isdecimal() else 1


def read_html(path: Path, limits: Limits) -> Book:
    """Return the tables of a page as one grid."""
    parser = _Tables()
    parser.feed(decode(path.read_bytes())[0])
    parser._flush()
    return Book("html", [parser.grid])

"""An HTML table, as programs write it behind the ending .xls; runs in the child process."""

from __future__ import annotations

from html.parser import HTMLParser
from pathlib import Path

from rfq.intake.csv_file import decode
from rfq.intake.grid import Book, Cell, Grid
from rfq.intake.kinds import Limits


class _Tables(HTMLParser):
    """Rows and cells of all tables of a page, one below the other."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.grid = Grid("page")
        self.row, self.column, self.open, self.skip = 0, 0, False, 0
        self.text: list[str] = []
        self.span = 1
        self.loose: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Begin a row or a cell."""
        given = dict(attrs)
        if tag in ("script", "style", "head"):
            self.skip += 1
        elif tag == "tr":
            self.row, self.column = self.row + 1, 0
        elif tag in ("td", "th"):
            self.open, self.text = True, []
            self.column += 1
            wide = given.get("colspan") or "1"
            self.span = min(int(wide), 60) if wide.isdigit() else 1
        elif tag == "table":
            self._flush()
            self.row += 1
        elif tag == "br" and self.open:
            self.text.append("\n")

    def handle_endtag(self, tag: str) -> None:
        """End a cell."""
        if tag in ("script", "style", "head"):
            self.skip = max(0, self.skip - 1)
        elif tag in ("td", "th") and self.open:
            text = " ".join("".join(self.text).split())
            if text:
                self.grid.put(Cell(max(self.row, 1), self.column, "s", text))
            if self.span > 1:
                self.grid.merges.append(
                    (self.row, self.column, self.row, self.column + self.span - 1)
                )
                self.column += self.span - 1
            self.open = False
        elif tag in ("p", "div"):
            self._flush()

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
        (self.text if self.open else self.loose).append(data)


def read_html(path: Path, limits: Limits) -> Book:
    """Return the tables of a page as one grid."""
    parser = _Tables()
    parser.feed(decode(path.read_bytes())[0])
    parser._flush()
    return Book("html", [parser.grid])

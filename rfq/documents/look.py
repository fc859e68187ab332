"""The page every document of ours is drawn on: paper, margins, running head and foot, text.

``Sheet`` draws from the top of a page down and breaks pages itself. It writes to a reportlab
canvas; text goes out through one short path that keeps what it has once encoded, because a
request of 200 parts is some ten thousand short strings, mostly the same few hundred.
Black and greys only, so that nothing is lost on a black-and-white printer. Same input, same
bytes: the date in the file is the one passed in.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from io import BytesIO
from typing import Any, Final, Literal

from rfq.documents import fonts
from rfq.documents.fonts import BOLD, ITALIC, REGULAR, clip, ems, runs, wrap

__all__ = [
    "BOLD",
    "ITALIC",
    "PAPERS",
    "REGULAR",
    "Running",
    "Sheet",
    "Style",
    "clip",
    "ems",
    "wrap",
]

Align = Literal["left", "right", "centre"]
MM: Final = 72 / 25.4
PAPERS: Final = {"A4": (595.2756, 841.8898), "Letter": (612.0, 792.0)}  # points
MARGIN: Final = 15 * MM  # of everything printed, on each side
FRAME: Final = 8.0  # between the margin and running text: room for change bars
HEAD: Final = 26.0
FOOT: Final = 24.0
SMALLEST: Final = 7.0  # points; nothing is printed smaller


@dataclass(frozen=True, slots=True)
class Style:
    """Size in points, face and line distance of a text."""

    size: float = 8.5
    face: str = REGULAR
    leading: float = 11.0


BODY: Final = Style()
LABEL: Final = Style(7.0, REGULAR, 8.6)
SMALL: Final = Style(7.5, REGULAR, 9.4)
STRONG: Final = Style(8.5, BOLD, 11.0)
TITLE: Final = Style(17.0, BOLD, 21.0)
HEADING: Final = Style(10.5, BOLD, 14.0)


@dataclass(frozen=True, slots=True)
class Running:
    """What stands on each page: at the head left and right, at the foot left."""

    left: str
    right: str = ""
    foot: str = ""
    page_words: tuple[str, str] = ("page", "of")


class Sheet:
    """A document being drawn, from the top of the first page to ``finish``.

    Args:
        paper: 'A4' or 'Letter'.
        title, subject: of the document's metadata. No author is ever written.
        running: head and foot of each page; may be replaced between pages.
        when: the moment written into the file.
        company: creator named in the metadata.
        progress: called with the number of pages done, after each.
    """

    def __init__(
        self,
        *,
        paper: str,
        title: str,
        running: Running,
        when: datetime,
        subject: str = "",
        keywords: str = "",
        language: str = "en",
        progress: Callable[[int], None] | None = None,
    ) -> None:
        from reportlab.pdfgen.canvas import Canvas

        fonts.ready()
        self.width, self.height = PAPERS.get(paper, PAPERS["A4"])
        self.left = MARGIN + FRAME
        self.right = self.width - MARGIN - FRAME
        self.top = self.height - MARGIN - HEAD
        self.bottom = MARGIN + FOOT
        self.y = self.top
        self.page = 0
        self.running = running
        self._progress = progress
        self._buffer = BytesIO()
        self.canvas = canvas = Canvas(
            self._buffer, pagesize=(self.width, self.height), pageCompression=1, invariant=1,
            lang=language, 
        )  # fmt: skip
        # Short ways past the canvas's text objects: its page's code, its document, its escape.
        self._inner: Any = canvas
        _stamp(self._inner, when)
        self.canvas.setTitle(_plain(title))
        self.canvas.setSubject(_plain(subject))
        self.canvas.setKeywords(_plain(keywords))
        self.canvas.setAuthor("")
        self.canvas.setCreator("rfq")
        self.canvas.setProducer("rfq")
        self._encoded: dict[tuple[str, str], list[tuple[str, str, float]]] = {}
        self._level = -1
        self._open()

    # --- pages ----------------------------------------------------------------------------

    def _open(self) -> None:
        self.page += 1
        self.y = self.top
        left, right = MARGIN, self.width - MARGIN
        head = self.height - MARGIN - 9
        half = (right - left) * 0.64
        self.text(left, head, clip(self.running.left, half, 8, BOLD), Style(8, BOLD))
        rest = right - left - ems(clip(self.running.left, half, 8, BOLD), BOLD) * 8 - 12
        self.text(right, head, clip(self.running.right, rest, 8), Style(8), "right")
        self.rule(left, head - 5, right, head - 5, 0.8)
        foot = MARGIN + 3
        self.rule(left, foot + 10, right, foot + 10, 0.4)
        page, of = self.running.page_words
        words = f"{page} {self.page} {of} "
        room = ems(words) * 7 + ems("000") * 7
        self.text(left, foot, clip(self.running.foot, right - left - room - 10, 7), LABEL)
        self.text(right - room, foot, words, LABEL)
        # The number of pages is known at the end only: each page refers to one form drawn then.
        self.canvas.saveState()
        self.canvas.translate(right - room + ems(words) * 7, foot)
        self.canvas.doForm("pages")
        self.canvas.restoreState()

    def new_page(self) -> None:
        """Close the page and open the next one."""
        self.canvas.showPage()
        if self._progress is not None:
            self._progress(self.page)
        self._open()

    def need(self, height: float) -> bool:
        """Break the page if less than ``height`` points are left; return whether it broke."""
        if self.y - height >= self.bottom:
            return False
        self.new_page()
        return True

    @property
    def room(self) -> float:
        """Points left on this page."""
        return self.y - self.bottom

    def gap(self, points: float) -> None:
        """Leave room, but not at the top of a page."""
        if self.y < self.top:
            self.y -= points

    def finish(self) -> bytes:
        """Close the document and return its bytes."""
        self.canvas.showPage()
        if self._progress is not None:
            self._progress(self.page)
        self.canvas.beginForm("pages", 0, -3, 40, 10)
        self.text(0, 0, str(self.page), LABEL)
        self.canvas.endForm()
        self.canvas.save()
        return self._buffer.getvalue()

    def bookmark(self, title: str, level: int = 0) -> None:
        """Set a bookmark at the present height; a level is at most one deeper than the last."""
        key = f"b{self.page}-{title}-{self.y:.0f}"
        self.canvas.bookmarkHorizontal(key, 0, min(self.height, self.y + 14))
        level = min(level, self._level + 1)
        self._level = level
        self.canvas.addOutlineEntry(_plain(title), key, level=level, closed=level == 0)

    # --- marks ----------------------------------------------------------------------------

    def text(
        self, x: float, y: float, text: str, style: Style = BODY, align: Align = "left"
    ) -> float:
        """Draw one line with its baseline at y; return its width in points."""
        if not text:
            return 0.0
        width = ems(text, style.face) * style.size
        if align != "left":
            x -= width if align == "right" else width / 2
        pieces = self._encoded.get((text, style.face))
        if pieces is None:
            pieces = self._encode(text, style.face)
        code = self._code
        for font, shown, advance in pieces:
            code.append(f"BT {font} {style.size:g} Tf 1 0 0 1 {x:.2f} {y:.2f} Tm ({shown}) Tj ET")
            x += advance * style.size
        return width

    @property
    def _code(self) -> list[str]:
        code: list[str] = self._inner._code
        return code

    def _encode(self, text: str, face: str) -> list[tuple[str, str, float]]:
        """Encode a text once: (font resource, escaped bytes, width in ems) a piece."""
        from reportlab.pdfbase import pdfmetrics

        escape, document = self._inner._escape, self._inner._doc
        pieces: list[tuple[str, str, float]] = []
        for name, run in runs(text, face):
            font: Any = pdfmetrics.getFont(name)
            if not font._dynamicFont:  # Chinese, Japanese, Korean: not embedded
                internal = document.getInternalFontName(name)
                pieces.append((internal, font.formatForPdf(run), ems(run, face)))
                continue
            chunks = font.splitString(run, document)
            if len(chunks) == 1:
                shown = [(chunks[0], run)]
            else:  # the run's letters sit in several subsets: measure letter by letter
                shown = [(font.splitString(char, document)[0], char) for char in run]
            for (subset, code), piece in shown:
                internal = font.getSubsetInternalName(subset, document)
                pieces.append((internal, escape(code), ems(piece, name)))
        self._encoded[text, face] = pieces
        return pieces

    def rule(self, x0: float, y0: float, x1: float, y1: float, width: float = 0.4) -> None:
        """Draw a straight line."""
        self._code.append(f"{width:g} w {x0:.2f} {y0:.2f} m {x1:.2f} {y1:.2f} l S")

    def box(
        self, x: float, y: float, width: float, height: float, *, line: float = 0.4, grey: float = 1
    ) -> None:
        """Draw a rectangle from its lower left corner; ``grey`` below 1 fills it."""
        if grey < 1:
            self._code.append(f"q {grey:g} g {x:.2f} {y:.2f} {width:.2f} {height:.2f} re f Q")
        if line:
            self._code.append(f"{line:g} w {x:.2f} {y:.2f} {width:.2f} {height:.2f} re S")

    def path(
        self,
        points: Sequence[tuple[float, float]],
        *,
        width: float = 0.6,
        closed: bool = False,
        filled: bool = False,
        dash: tuple[float, float] | None = None,
    ) -> None:
        """Draw a polyline, or fill it."""
        if len(points) < 2:
            return
        parts = [f"{points[0][0]:.2f} {points[0][1]:.2f} m"]
        parts += [f"{x:.2f} {y:.2f} l" for x, y in points[1:]]
        end = ("b" if filled else "s") if closed else "S"
        dashes = f"[{dash[0]:g} {dash[1]:g}] 0 d " if dash else ""
        self._code.append(f"q {dashes}1 j {width:g} w {' '.join(parts)} {end} Q")

    def circle(self, x: float, y: float, radius: float, width: float = 0.6) -> None:
        """Draw a circle."""
        k = radius * 0.5523
        r = radius
        self._code.append(
            f"{width:g} w {x + r:.2f} {y:.2f} m "
            f"{x + r:.2f} {y + k:.2f} {x + k:.2f} {y + r:.2f} {x:.2f} {y + r:.2f} c "
            f"{x - k:.2f} {y + r:.2f} {x - r:.2f} {y + k:.2f} {x - r:.2f} {y:.2f} c "
            f"{x - r:.2f} {y - k:.2f} {x - k:.2f} {y - r:.2f} {x:.2f} {y - r:.2f} c "
            f"{x + k:.2f} {y - r:.2f} {x + r:.2f} {y - k:.2f} {x + r:.2f} {y:.2f} c s"
        )

    # --- blocks ---------------------------------------------------------------------------

    def heading(
        self, text: str, *, mark: str | None = None, level: int = 1, ruled: bool = True
    ) -> None:
        """A heading that stays with what follows; bookmarked where ``mark`` is given.

        Not ``ruled`` above a table, which brings its own line.
        """
        self.gap(8)
        self.need(HEADING.leading + 36)
        self.y -= HEADING.leading
        if mark is not None:
            self.bookmark(mark or text, level)
        self.text(
            self.left, self.y + 3, clip(text, self.right - self.left, HEADING.size, BOLD), HEADING
        )
        if ruled:
            self.rule(self.left, self.y, self.right, self.y, 0.5)
            self.y -= 4

    def paragraph(
        self,
        text: str,
        style: Style = BODY,
        *,
        indent: float = 0.0,
        hang: str = "",
        room: float | None = None,
        changed: bool = False,
    ) -> None:
        """Wrapped text across the page; ``hang`` stands before the first line."""
        width = (room if room is not None else self.right - self.left) - indent
        for number, line in enumerate(wrap(text, width, style.size, style.face)):
            self.need(style.leading)
            self.y -= style.leading
            if hang and not number:
                self.text(self.left, self.y + 3, hang, style)
            self.text(self.left + indent, self.y + 3, line, style)
            if changed:
                self.change_bar(self.y, style.leading)

    def change_bar(self, y: float, height: float) -> None:
        """A bar in the margin beside what this revision changed."""
        self.rule(MARGIN + 2, y, MARGIN + 2, y + height, 2.2)

    def tick_box(self, x: float, y: float, size: float = 7.5) -> None:
        """An empty box to tick, its foot on the baseline."""
        self.box(x, y - 0.8, size, size, line=0.7)


def _plain(text: str) -> str:
    return "".join(char if char.isprintable() else " " for char in text)


def _stamp(canvas: Any, when: datetime) -> None:
    """Put the given moment into the document in place of the clock's."""
    moment = when.astimezone(UTC) if when.tzinfo else when.replace(tzinfo=UTC)
    stamp = canvas._doc._timeStamp
    stamp.t = moment.timestamp()
    stamp.lt = moment.timetuple()
    stamp.YMDhms = tuple(moment.timetuple())[:6]
    stamp.dhh = stamp.dmm = 0
    stamp.tzname = "UTC"

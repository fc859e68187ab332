"""Words of a PDF with their boxes, the ruled lines, and what cannot be trusted; child process only.

PDFium gives each character with its box. Nothing is interpreted here: the answer is words per
page, in points from the top left of the page as it is shown, and counts that tell a scan or a
scrambled text layer from a letter.
"""

from __future__ import annotations

import ctypes
import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from rfq.intake.kinds import Limits
from rfq.intake.workbooks import Refused

MOST_PAGES = 120
MOST_CHARACTERS = 400_000
MOST_OBJECTS = 30_000
_SPACES = frozenset(" \t\r\n\u00a0\u2007\u2009\u202f\u3000\u200b\ufeff\u2002\u2003\ufffe")


def read_letter_words(path: Path, limits: Limits) -> dict[str, Any]:
    """Return the words, rules and counts of each page; a filled form's fields where there are any.

    Args:
        path: the file.
        limits: bounds; pages and characters have their own.
    Raises:
        Refused: encrypted, damaged, or beyond the bounds.
    """
    import pypdfium2 as pdfium
    import pypdfium2.raw as raw

    try:
        document = pdfium.PdfDocument(path)
    except pdfium.PdfiumError as error:
        if "assword" in str(error) or "ecurity" in str(error):
            raise Refused(
                "R004", "it is protected with a password; ask the shop for an open copy"
            ) from error
        raise Refused("R003", "it is damaged; ask the shop to send it again") from error
    if len(document) > MOST_PAGES:
        raise Refused(
            "R007", f"it has {len(document):,} pages, and letters of up to {MOST_PAGES} are read"
        )
    if not len(document):
        raise Refused("R003", "it has no page; ask the shop to send it again")
    form = _form(path) if document.get_formtype() else {}
    pages: list[dict[str, Any]] = []
    left = MOST_CHARACTERS
    for number in range(len(document)):
        page = document[number]
        read = _page(raw, page, left)
        left -= read["characters"]
        pages.append(read)
        page.close()
    return {"kind": "letter", "pages": pages, "form": form}


def _form(path: Path) -> dict[str, str]:
    """Values of a fillable form by field name."""
    from pypdf import PdfReader

    fields = PdfReader(path).get_fields() or {}
    if len(fields) > 20_000:
        raise Refused("R007", f"it has {len(fields):,} form fields")
    return {str(name): str(field.get("/V") or "")[:2000] for name, field in fields.items()}


class _Turn:
    """From PDF space to the page as shown: origin top left, crop box and rotation applied."""

    def __init__(self, page: Any) -> None:
        self.left, self.bottom, self.right, self.top = page.get_cropbox()
        self.turn = page.get_rotation() % 360
        self.width, self.height = page.get_size()

    def box(self, x0: float, y0: float, x1: float, y1: float) -> tuple[float, ...]:
        """Return a box of PDF space as shown: left, top, right, bottom."""
        corners = [self._point(x0, y0), self._point(x1, y1)]
        xs, ys = [c[0] for c in corners], [c[1] for c in corners]
        return min(xs), min(ys), max(xs), max(ys)

    def _point(self, x: float, y: float) -> tuple[float, float]:
        if self.turn == 90:
            return y - self.bottom, x - self.left
        if self.turn == 180:
            return self.right - x, y - self.bottom
        if self.turn == 270:
            return self.top - y, self.right - x
        return x - self.left, self.top - y


def _page(raw: Any, page: Any, most: int) -> dict[str, Any]:
    turn = _Turn(page)
    text = page.get_textpage()
    count = text.count_chars()
    if count > most:
        raise Refused("R007", f"it holds more than {MOST_CHARACTERS:,} characters of text")
    gauge = _Characters(raw, text.raw, turn, count)
    words = list(gauge.words())
    rules_h, rules_v, fills, image = _objects(raw, page, turn)
    for word in words:
        if word[6] == "white":
            x, y = (word[1] + word[3]) / 2, (word[2] + word[4]) / 2
            on_dark = any(f[0] <= x <= f[2] and f[1] <= y <= f[3] for f in fills)
            word[6] = "" if on_dark else "hidden"
    text.close()
    return {
        "width": turn.width, "height": turn.height, "words": words, "h": rules_h, "v": rules_v,
        "image": round(image, 3), "bad": gauge.bad, "characters": count, "letters": gauge.letters,
    }  # fmt: skip


class _Characters:
    """Characters of a page, gathered to words in the order of the file."""

    def __init__(self, raw: Any, handle: Any, turn: _Turn, count: int) -> None:
        self.raw, self.handle, self.turn, self.count = raw, handle, turn, count
        self.bad = 0  # characters without a meaning in the text layer
        self.letters = 0

    def words(self) -> Iterator[list[Any]]:
        """Yield [text, x0, y0, x1, y1, size, how shown]."""
        raw, handle, turn = self.raw, self.handle, self.turn
        rect = raw.FS_RECTF()
        now: list[Any] = []
        last: tuple[str, float, float] | None = None
        for index in range(self.count):
            code = raw.FPDFText_GetUnicode(handle, index)
            known = 0 < code < 0x110000 and not 0xD800 <= code < 0xE000
            char = chr(code) if known else "\ufffd"
            if char in _SPACES or raw.FPDFText_IsGenerated(handle, index) == 1:
                if now:
                    yield now
                now, last = [], None
                continue
            self.letters += 1
            if char in "\u0002\u00ad":
                char = "-"  # a word parted at the end of the line
            broken = char == "\ufffd" or 0xE000 <= code < 0xF900 or ord(char) < 32
            if broken or raw.FPDFText_HasUnicodeMapError(handle, index) == 1:
                self.bad += 1
                char = "\ufffd" if broken else char
            if not raw.FPDFText_GetLooseCharBox(handle, index, ctypes.byref(rect)):
                continue
            x0, y0, x1, y1 = turn.box(rect.left, rect.bottom, rect.right, rect.top)
            high = max(y1 - y0, 0.1)
            if now and last is not None:
                # the same sign drawn again a hair beside: a bold face made by hand
                again = char == last[0] and abs(x0 - last[1]) < 0.12 * high
                if again and abs(y0 - last[2]) < 0.12 * high:
                    continue
                gap = x0 - now[3]
                if not (abs(y1 - now[4]) < 0.35 * high and -0.6 * high < gap < 0.25 * high):
                    yield now
                    now = []
            if not now:
                size = raw.FPDFText_GetFontSize(handle, index)
                size = size if 0.4 * high < size < 1.5 * high else 0.85 * high
                now = ["", x0, y0, x1, y1, size, self._shown(index)]
            now[0] += char
            now[1], now[2] = min(now[1], x0), min(now[2], y0)
            now[3], now[4] = max(now[3], x1), max(now[4], y1)
            last = (char, x0, y0)
        if now:
            yield now

    def _shown(self, index: int) -> str:
        raw, handle = self.raw, self.handle
        angle = math.degrees(raw.FPDFText_GetCharAngle(handle, index)) % 360
        apart = {round(angle - self.turn.turn) % 360, round(angle + self.turn.turn) % 360}
        if not any(min(a, 360 - a) <= 8 for a in apart):
            return "turned"
        item = raw.FPDFText_GetTextObject(handle, index)
        if item and raw.FPDFTextObj_GetTextRenderMode(item) in (3, 7):
            return "invisible"
        colour = [ctypes.c_uint() for _ in range(4)]
        if raw.FPDFText_GetFillColor(handle, index, *(ctypes.byref(c) for c in colour)):
            red, green, blue, alpha = (c.value for c in colour)
            if alpha == 0:
                return "invisible"
            if min(red, green, blue) > 240:
                return "white"
        return ""


def _objects(
    raw: Any, page: Any, turn: _Turn
) -> tuple[list[list[float]], list[list[float]], list[tuple[float, ...]], float]:
    """Return (level rules [x0, x1, y], upright rules [x, y0, y1], dark areas, image share)."""
    level: list[list[float]] = []
    upright: list[list[float]] = []
    fills: list[tuple[float, ...]] = []
    image = 0.0
    area = max(turn.width * turn.height, 1.0)
    edges = [ctypes.c_float() for _ in range(4)]
    colour = [ctypes.c_uint() for _ in range(4)]
    for count, item in enumerate(page.get_objects(max_depth=4)):
        if count > MOST_OBJECTS:
            break
        if item.type not in (raw.FPDF_PAGEOBJ_PATH, raw.FPDF_PAGEOBJ_IMAGE):
            continue
        if not raw.FPDFPageObj_GetBounds(item.raw, *(ctypes.byref(v) for v in edges)):
            continue
        x0, y0, x1, y1 = turn.box(*(v.value for v in edges))
        if item.type == raw.FPDF_PAGEOBJ_IMAGE:
            wide = min(x1, turn.width) - max(x0, 0.0)
            image += max(0.0, wide * (min(y1, turn.height) - max(y0, 0.0))) / area
            fills.append((x0, y0, x1, y1))
            continue
        if y1 - y0 <= 2.5 and x1 - x0 > 6:
            level.append([x0, x1, (y0 + y1) / 2])
        elif x1 - x0 <= 2.5 and y1 - y0 > 4:
            upright.append([(x0 + x1) / 2, y0, y1])
        if x1 - x0 <= 4 or y1 - y0 <= 4:
            continue
        mode, stroke = ctypes.c_int(), ctypes.c_int()
        raw.FPDFPath_GetDrawMode(item.raw, ctypes.byref(mode), ctypes.byref(stroke))
        filled = mode.value and raw.FPDFPageObj_GetFillColor(
            item.raw, *(ctypes.byref(v) for v in colour)
        )
        if filled and min(v.value for v in colour[:3]) < 215:
            fills.append((x0, y0, x1, y1))
        if stroke.value and raw.FPDFPath_CountSegments(item.raw) <= 6:
            level += [[x0, x1, y] for y in (y0, y1)]
            upright += [[x, y0, y1] for x in (x0, x1)]
    return level[:6000], upright[:6000], fills[:6000], min(image, 1.0)

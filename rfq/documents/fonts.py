"""Fonts that print what people and places are called: Noto Sans, embedded; Chinese by CID.

No font file lies in the tree: Noto Sans comes from the package pymupdf-fonts (font data only,
SIL Open Font License). What Noto Sans lacks is looked for in FiraGO (same package and
licence), then in the character collections every PDF viewer brings for Chinese, Japanese and
Korean. A character none of them has is printed as a question mark and reported by
``unprintable``.
"""

from __future__ import annotations

from functools import lru_cache
from io import BytesIO
from typing import Final

REGULAR: Final = "NotoSans"
BOLD: Final = "NotoSans-Bold"
ITALIC: Final = "NotoSans-Italic"
_SPARE: Final = "FiraGO"
_PACKED: Final = {REGULAR: "notos", BOLD: "notosbo", ITALIC: "notosit", _SPARE: "figo"}
_HAN: Final = "STSong-Light"
_KANA: Final = "HeiseiMin-W3"
_HANGUL: Final = "HYSMyeongJo-Medium"
ASCENT: Final = 0.76  # of the size: capitals with an accent
DESCENT: Final = 0.24

# Signs the fonts lack and what a reader takes for the same.
_SAME = str.maketrans(
    {
        "⌀": "Ø", "∅": "Ø", "−": "-", "‑": "-", "⟂": "⊥", "✓": "√", "Ⓔ": "(E)", "Ⓜ": "(M)",
        "Ⓛ": "(L)", "↧": "depth ", "⌴": "counterbore ", "⌵": "countersink ",
        "\u00a0": " ", "\u2009": " ", "\u202f": " ", "\t": " ",
    }
)  # fmt: skip


@lru_cache(maxsize=1)
def _glyphs() -> dict[str, dict[int, float]]:
    """Character widths per em of each embedded font; loads and registers them once."""
    import pymupdf_fonts
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.cidfonts import UnicodeCIDFont
    from reportlab.pdfbase.ttfonts import TTFont

    widths = {}
    for name, packed in _PACKED.items():
        font = TTFont(name, BytesIO(pymupdf_fonts.myfont(packed)))
        pdfmetrics.registerFont(font)
        face = font.face
        widths[name] = {
            code: face.charWidths.get(code, face.defaultWidth) / 1000 for code in face.charToGlyph
        }
    for name in (_HAN, _KANA, _HANGUL):
        pdfmetrics.registerFont(UnicodeCIDFont(name))
    return widths


def ready() -> None:
    """Load and register the fonts; calling it again costs nothing."""
    _glyphs()


def _home(char: str, face: str) -> str:
    """The font that has a character, '' when none has it."""
    code = ord(char)
    widths = _glyphs()
    if code in widths[face]:
        return face
    if code in widths[_SPARE]:
        return _SPARE
    if 0x3040 <= code <= 0x30FF:
        return _KANA
    if 0x1100 <= code <= 0x11FF or 0xAC00 <= code <= 0xD7AF:
        return _HANGUL
    if 0x2E80 <= code <= 0x9FFF or 0xF900 <= code <= 0xFAFF or 0xFF00 <= code <= 0xFFEF:
        return _HAN
    return ""


@lru_cache(maxsize=16384)
def runs(text: str, face: str = REGULAR) -> tuple[tuple[str, str], ...]:
    """Return the text as (font, piece) in reading order; a piece stays within one font.

    Control characters become spaces, so that a name cannot break a line or a PDF string.
    """
    widths = _glyphs()[face]
    if all(map(widths.__contains__, map(ord, text))) and text.isprintable():
        return ((face, text),)
    found: list[tuple[str, str]] = []
    for char in text.translate(_SAME):
        char = char if char.isprintable() else " "
        home = _home(char, face)
        if not home:
            home, char = face, "?"
        if found and found[-1][0] == home:
            found[-1] = (home, found[-1][1] + char)
        else:
            found.append((home, char))
    return tuple(found)


def unprintable(text: str) -> str:
    """Return the characters of a text that no font here prints, each once."""
    return "".join(
        dict.fromkeys(
            char
            for char in text.translate(_SAME)
            if char.isprintable() and not _home(char, REGULAR)
        )
    )


@lru_cache(maxsize=32768)
def ems(text: str, face: str = REGULAR) -> float:
    """Return the width of a text in ems; times the size in points it is points."""
    total = 0.0
    for font, piece in runs(text, face):
        widths = _glyphs().get(font)
        total += (
            sum([widths[ord(char)] for char in piece]) if widths is not None else float(len(piece))
        )
    return total


def wrap(text: str, room: float, size: float, face: str = REGULAR) -> list[str]:
    """Return a text broken into lines no wider than ``room`` points.

    Breaks at spaces, after / and -, and inside a word only where the word alone is too wide;
    Chinese and Japanese may break anywhere. Line feeds are kept.
    """
    limit = room / size
    if "\n" not in text and ems(text, face) <= limit:
        return [text]
    lines: list[str] = []
    for paragraph in text.split("\n"):
        line = ""
        for word in _words(paragraph):
            if ems(line + word.rstrip(), face) <= limit:
                line += word
                continue
            if line:
                lines.append(line.rstrip())
            line = word
            while ems(line.rstrip(), face) > limit and len(line) > 1:
                cut = _longest(line, limit, face)
                lines.append(line[:cut])
                line = line[cut:]
        lines.append(line.rstrip())
    return lines


def clip(text: str, room: float, size: float, face: str = REGULAR) -> str:
    """Return a text cut to ``room`` points with an ellipsis where it is longer."""
    if ems(text, face) * size <= room:
        return text
    return text[: max(1, _longest(text, room / size - ems("…", face), face))].rstrip() + "…"


def _longest(text: str, limit: float, face: str) -> int:
    low, high = 1, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if ems(text[:middle], face) <= limit else (low, middle - 1)
    return low


def _words(text: str) -> list[str]:
    words, start = [], 0
    for place, char in enumerate(text):
        if char in " /-" or (0x2E80 <= ord(char) <= 0x9FFF) or (0xFF00 <= ord(char) <= 0xFFEF):
            # a minus or a slash inside '+0.1/-0.05' must not stand alone at a line's end
            if char in "/-" and not (place and text[place - 1].isalpha()):
                continue
            words.append(text[start : place + 1])
            start = place + 1
    words.append(text[start:])
    return [word for word in words if word] or [""]

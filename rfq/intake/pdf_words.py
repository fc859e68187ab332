"""Words and form fields of a PDF; runs in the child process only (pypdfium2, pypdf for forms)."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from rfq.intake.kinds import Limits


def read_pdf(path: Path, limits: Limits) -> dict[str, Any]:
    """Return pages of words with boxes, and the fields of a fillable form.

    Word: [text, x0, top, x1, bottom] in points, origin top left.
    """
    import pypdfium2

    try:
        document = pypdfium2.PdfDocument(str(path))
    except pypdfium2.PdfiumError as error:
        text = str(error).lower()
        if "password" in text:
            return {"refused": ["R004", "it is protected with a password; ask the shop for an open copy"]}
        return {"refused": ["R003", "it is damaged; ask the shop to send it again"]}
    pages: list[dict[str, Any]] = []
    characters = 0
    for number in range(min(len(document), 60)):
        page = document[number]
        height = page.get_height()
        text_page = page.get_textpage()
        count = text_page.count_chars()
        characters += count
        if characters > 400_000:
            return {"refused": ["R007", "its text is longer than that of any quotation"]}
        words: list[list[Any]] = []
        text = text_page.get_text_range(0, count) if count else ""
        aligned = len(text) == count
        current: list[Any] | None = None
        for index in range(count):
            char = text[index] if aligned else text_page.get_text_range(index, 1)
            if not char or char.isspace() or char in "\ufffe\u200b":
                current = None
                continue
            left, bottom, right, top = text_page.get_charbox(index, loose=True)
            if right < left or (right == left and top == bottom):
                continue
            y0, y1 = height - top, height - bottom
            if current is not None and abs(y0 - current[2]) < (y1 - y0) * 0.5 and -2 < left - current[3] < (y1 - y0) * 0.25:
                current[0] += char
                current[3] = right
                current[2], current[4] = min(current[2], y0), max(current[4], y1)
            else:
                current = [char, left, y0, right, y1]
                words.append(current)
        pictures = sum(item.type == 3 for item in page.get_objects(max_depth=2)) if count < 20 else 0
        pages.append({"words": words, "height": height, "pictures": pictures})
    return {"pages": pages, "count": len(document), "fields": _fields(path)}


def _fields(path: Path) -> dict[str, str]:
    """Values of a fillable form by field name."""
    with path.open("rb") as file:
        if b"/AcroForm" not in file.read():
            return {}
    from pypdf import PdfReader

    try:
        found = PdfReader(str(path)).get_fields() or {}
        return {str(name): str(field.get("/V") or "")[:2000] for name, field in found.items()}
    except Exception:  # noqa: BLE001 - a broken form leaves the page's text to read
        return {}

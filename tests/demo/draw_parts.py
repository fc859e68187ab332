"""Draw the demo's part drawings: small vector PDFs of our own, one sheet a part.

Run by hand when a demo part changes: ``python tests/demo/draw_parts.py``. The views are outlines
from the part's typed entry; the balloons stand in the zones that the callouts name.
"""

from __future__ import annotations

import io
from pathlib import Path

from reportlab.lib.pagesizes import A4, landscape
from reportlab.pdfgen.canvas import Canvas

from rfq.model.part import Part
from rfq.store.load import load_project

ROOT = Path(__file__).resolve().parents[2]
WIDE, HIGH = landscape(A4)
MARGIN, COLUMNS, ROWS = 28.0, 6, 5


def zone_at(zone: str) -> tuple[float, float]:
    """Return the middle of a drawing zone such as C4, in points."""
    row, column = ord(zone[0]) - ord("A"), int(zone[1:]) - 1
    cell_w, cell_h = (WIDE - 2 * MARGIN) / COLUMNS, (HIGH - 2 * MARGIN) / ROWS
    return MARGIN + (column + 0.5) * cell_w, HIGH - MARGIN - (row + 0.5) * cell_h


def drawing(part: Part) -> bytes:
    """Return the PDF of one part's drawing."""
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(WIDE, HIGH), invariant=1)
    canvas.setTitle(f"{part.number} {part.revision}")
    canvas.setAuthor("")
    _frame(canvas)
    _views(canvas, part)
    _balloons(canvas, part)
    _title(canvas, part)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def _frame(canvas: Canvas) -> None:
    canvas.setLineWidth(1.2)
    canvas.rect(MARGIN, MARGIN, WIDE - 2 * MARGIN, HIGH - 2 * MARGIN)
    canvas.setFont("Helvetica", 8)
    for column in range(COLUMNS):
        x, _ = zone_at(f"A{column + 1}")
        canvas.drawCentredString(x, HIGH - MARGIN + 6, str(column + 1))
        canvas.drawCentredString(x, MARGIN - 12, str(column + 1))
    for row in range(ROWS):
        _, y = zone_at(f"{chr(65 + row)}1")
        canvas.drawCentredString(MARGIN - 10, y - 3, chr(65 + row))
        canvas.drawCentredString(WIDE - MARGIN + 10, y - 3, chr(65 + row))


def _views(canvas: Canvas, part: Part) -> None:
    shape = part.shape
    assert shape is not None
    length = float(shape.length_mm or 10)
    across = float(shape.width_mm or shape.diameter_mm or 10)
    high = float(shape.height_mm or shape.diameter_mm or across)
    scale = min(300 / (length + across + 30), 190 / max(across, high))
    x, y = MARGIN + 150, HIGH / 2 - high * scale / 2 + 20
    canvas.setLineWidth(0.9)
    canvas.rect(x, y, length * scale, high * scale)
    right = x + length * scale + 40
    if shape.diameter_mm is not None:
        radius = float(shape.diameter_mm) * scale / 2
        centre = (right + radius, y + high * scale / 2)
        canvas.circle(*centre, radius)
        for callout in part.callouts:
            spec = callout.spec.value
            nominal = getattr(spec, "nominal", None)
            if nominal is not None and getattr(spec, "diameter", False) and callout.times == 1:
                canvas.circle(*centre, min(float(nominal) * scale / 2, radius * 0.98))
        wide = 2 * radius
    else:
        canvas.rect(right, y, across * scale, high * scale)
        wide = across * scale
    canvas.setDash(8, 3)
    canvas.setLineWidth(0.3)
    middle = y + high * scale / 2
    canvas.line(x - 12, middle, x + length * scale + 12, middle)
    canvas.line(right - 12, middle, right + wide + 12, middle)
    canvas.setDash()
    _dimension(canvas, x, x + length * scale, y - 18, f"{length:g}")
    if shape.diameter_mm is None:
        _dimension(canvas, right, right + wide, y - 18, f"{across:g}")
    canvas.setFont("Helvetica", 9)
    canvas.saveState()
    canvas.translate(x - 16, middle)
    canvas.rotate(90)
    sign = "\u00d8" if shape.diameter_mm is not None else ""
    canvas.drawCentredString(0, 0, f"{sign}{high:g}")
    canvas.restoreState()


def _dimension(canvas: Canvas, left: float, right: float, y: float, text: str) -> None:
    canvas.setLineWidth(0.3)
    canvas.line(left, y, right, y)
    for x in (left, right):
        canvas.line(x, y - 4, x, y + 14)
    canvas.setFont("Helvetica", 9)
    canvas.drawCentredString((left + right) / 2, y + 3, text)


def _balloons(canvas: Canvas, part: Part) -> None:
    taken: dict[str, int] = {}
    for callout in part.callouts:
        zone = callout.zone or "A1"
        x, y = zone_at(zone)
        y += 26 - 19 * taken.get(zone, 0)
        x -= 42
        taken[zone] = taken.get(zone, 0) + 1
        canvas.setLineWidth(0.6)
        canvas.setFillGray(1)
        text = callout.text.replace("\u00b1", "\u00b1")
        canvas.setFont("Helvetica", 8)
        canvas.rect(x - 9, y - 7, 22 + canvas.stringWidth(text, "Helvetica", 8), 15, 0, 1)
        canvas.setFillGray(0)
        canvas.circle(x, y, 7)
        canvas.drawCentredString(x, y - 3, callout.number)
        canvas.drawString(x + 10, y - 3, text)


def _title(canvas: Canvas, part: Part) -> None:
    left, low, wide = WIDE - MARGIN - 290, MARGIN, 290
    canvas.setFillGray(1)
    canvas.rect(left, low, wide, 84, 1, 1)
    canvas.setFillGray(0)
    rows = [
        f"{part.number}   rev {part.revision}   {part.name}",
        f"material {part.material} {part.temper} {part.form}".strip(),
        "; ".join(
            f"{finish.name} {finish.standard} {finish.thickness_um or ''} um".replace("  um", "")
            for finish in part.finishes
        )
        or "no finish",
        "ISO 8015   ISO 2768-m   Ra 3.2 (ISO 1302)   sheet 1 of 1   not to scale",
        "ISO 13715: outside -0.3, inside +0.3   Vornwick Seadrift (invented)",
    ]
    canvas.setFont("Helvetica-Bold", 10)
    for index, row in enumerate(rows):
        canvas.drawString(left + 8, low + 68 - 15 * index, row)
        canvas.setFont("Helvetica", 8)


def main() -> None:
    """Write all drawings into the demo project."""
    project = load_project(ROOT / "demo_project").get()
    folder = ROOT / "demo_project" / "drawings"
    folder.mkdir(exist_ok=True)
    for part in project.parts.values():
        (folder / f"{part.number}_{part.revision}.pdf").write_bytes(drawing(part))


if __name__ == "__main__":
    main()

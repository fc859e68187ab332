"""What a shop may choose, and the boxes it ticks to propose more."""

from __future__ import annotations

from rfq.documents.fonts import clip
from rfq.documents.look import BODY, SMALL, STRONG, Sheet, Style
from rfq.model.part import Part


def proposal_block(sheet: Sheet, part: Part) -> None:
    """Draw what is free about a part, and an invitation to propose."""
    rows = len(part.free) + bool(part.other_routes) + 1
    sheet.need(120 + rows * BODY.leading)  # the words and what is ticked stay on one page
    sheet.heading("What is free, and what we would like to hear")
    for text in part.free:
        sheet.paragraph(text, BODY, indent=10, hang="•")
    if part.other_routes:
        ways = " or ".join(part.other_routes)
        sheet.paragraph(
            f"The part may also be made {ways}, with finish machining.", BODY, indent=10, hang="•"
        )
    open_ones = [callout.number for callout in part.callouts if callout.state == "open"]
    if open_ones:
        sheet.paragraph(
            f"Open to change by agreement: numbers {', '.join(open_ones)}.",
            BODY,
            indent=10,
            hang="•",
        )
    sheet.need(48)
    sheet.y -= 5
    sheet.text(sheet.left, sheet.y - 8, "It would be cheaper or sooner with:", STRONG)
    sheet.y -= 12
    ticks = (
        "other stock or form", "other alloy or temper", "larger inside radius",
        "looser limits at no.", "other finish or mask", "flats to clamp on",
        "other way of making", "other quantity",
    )  # fmt: skip
    step = (sheet.right - sheet.left) / 4
    for place, text in enumerate(ticks):
        x = sheet.left + step * (place % 4)
        y = sheet.y - 10 - 15 * (place // 4)
        sheet.tick_box(x, y)
        sheet.text(x + 11, y, clip(text, step - 14, 8), Style(8))
    sheet.y -= 15 * ((len(ticks) + 3) // 4) + 4
    sheet.text(sheet.left, sheet.y - 12, "What you propose, and what it saves:", SMALL)
    for line in (14, 30):
        sheet.rule(
            sheet.left + (150 if line == 14 else 0), sheet.y - line, sheet.right, sheet.y - line
        )
    sheet.y -= 34

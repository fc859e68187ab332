"""The screens as text at three sizes; RFQ_WRITE_GOLDEN=1 writes them anew, to be read in a diff."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest

GOLDEN = Path(__file__).resolve().parent.parent / "golden" / "screens"
SIZES = {"narrow": (80, 24), "usual": (120, 40), "wide": (180, 45)}
STAGES = {
    "parts": "1", "request": "2", "replies": "3", "should-cost": "4", "compare": "5",
    "rounds": "6", "award": "7", "order": "8",
}  # fmt: skip


@pytest.mark.parametrize("size", SIZES)
async def test_screens_are_as_agreed(made: Any, shown: Any, keys: Any, size: str) -> None:
    app = made()
    found = {}
    async with app.run_test(size=SIZES[size]) as pilot:
        for name, key in STAGES.items():
            await keys(app, pilot, key)
            found[name] = shown(app)
        await keys(app, pilot, "1", "e")
        found["form"] = shown(app)
        await keys(app, pilot, "escape", "4", "e")
        found["assumptions"] = shown(app)
    GOLDEN.mkdir(parents=True, exist_ok=True)
    for name, text in found.items():
        file = GOLDEN / f"{name}-{size}.txt"
        if os.environ.get("RFQ_WRITE_GOLDEN"):
            file.write_text(text, encoding="utf-8")
        assert text == file.read_text(encoding="utf-8"), f"{name} at {size}"
        assert all(len(line) <= SIZES[size][0] for line in text.splitlines())

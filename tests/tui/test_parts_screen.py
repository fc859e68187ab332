"""Parts by keyboard alone: find, edit with the limits shown, duplicate, attach, remove, undo."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from textual.widgets import Static

from rfq.tui.app import RfqApp


def _understood(app: RfqApp) -> str:
    return str(app.screen.query_one("#understood", Static).render())


async def test_a_callout_shows_its_limits_while_it_is_typed(
    made: Any, shown: Any, keys: Any, typed: Any
) -> None:
    app = made()
    async with app.run_test(size=(120, 40)) as pilot:
        await keys(app, pilot, "e")
        form = app.screen
        form.go_to("callouts.0")
        await keys(app, pilot, "enter")
        app.screen.go_to("text")
        await keys(app, pilot, "e")
        app.screen.query_one("#ask").value = ""
        await typed(pilot, "42 H")
        assert _understood(app).startswith("= stored as typed, but:")
        await typed(pilot, "7")
        assert "42.000 to 42.025 mm" in _understood(app)  # ISO 286-2, table of hole limits
        for _ in range(5):
            await pilot.press("backspace")
        await typed(pilot, "M6-6H x 12")
        assert "pitch 5.350 to 5.500" in _understood(app)  # ISO 965-2: M6 6H
        await keys(app, pilot, "enter")
        stored = app.session.project.parts["A-1"].callouts[0]
        assert stored.text == "M6-6H x 12"
        await keys(app, pilot, "u")
        assert app.session.project.parts["A-1"].callouts[0].text == "42 H7"


async def test_tempers_offered_are_those_that_exist(made: Any, shown: Any, keys: Any) -> None:
    app = made()
    async with app.run_test(size=(120, 40)) as pilot:
        await keys(app, pilot, "e")
        app.screen.go_to("temper")
        await keys(app, pilot, "e")
        offered = shown(app)
        assert "T651" in offered and "T6151" in offered
        assert "T7351" not in offered  # EN 485-2 has it for 7075, not for 6082
        await keys(app, pilot, "up", "enter")
        assert app.session.project.parts["A-1"].temper != "T651"


async def test_numbers_are_typed_with_comma_or_point_and_refused_in_words(
    made: Any, keys: Any, typed: Any
) -> None:
    app = made()
    async with app.run_test(size=(120, 40)) as pilot:
        await keys(app, pilot, "e")
        app.screen.go_to("shape")
        await keys(app, pilot, "e")
        app.screen.go_to("length_mm")
        await keys(app, pilot, "e")
        await typed(pilot, "41,20")
        assert "41.20" in _understood(app)
        await keys(app, pilot, "enter")
        assert str(app.session.project.parts["A-1"].shape.length_mm) == "41.20"
        await keys(app, pilot, "e")
        app.screen.query_one("#ask").value = ""
        await typed(pilot, "1,234")
        assert "may be 1234 or 1.234" in _understood(app)
        await keys(app, pilot, "enter")
        assert str(app.session.project.parts["A-1"].shape.length_mm) == "41.20"


async def test_filter_duplicate_new_and_remove(
    made: Any, shown: Any, keys: Any, typed: Any
) -> None:
    app = made()
    async with app.run_test(size=(120, 40)) as pilot:
        await keys(app, pilot, "slash")
        await typed(pilot, "pin")
        await keys(app, pilot, "enter")
        assert "A-2" in shown(app) and "A-1" not in shown(app)
        await keys(app, pilot, "d", "end")
        await typed(pilot, "b")
        await keys(app, pilot, "enter", "escape")
        assert app.session.project.parts["A-2b"].material == "1.4404"
        await keys(app, pilot, "delete", "y")
        assert "A-2b" not in app.session.project.parts
        await keys(app, pilot, "slash")
        app.screen.query_one("#filter").value = ""
        await keys(app, pilot, "enter", "delete", "y")
        assert "A-1" in app.session.project.parts  # the request asks for it
        assert "take it out there first" in shown(app)


async def test_files_and_lists_are_taken_in(
    made: Any, shown: Any, keys: Any, tmp_path: Path
) -> None:
    drawing = tmp_path / "A-1 sheet.pdf"
    drawing.write_bytes(b"%PDF-1.4 not much of one")
    listed = tmp_path / "list.csv"
    listed.write_text("part,rev,name,material\nB-7,A,cover,EN AW-6082\n", encoding="utf-8")
    app = made()
    async with app.run_test(size=(120, 40)) as pilot:
        await keys(app, pilot, "f")
        app.screen.query_one("#ask").value = str(drawing)
        await keys(app, pilot, "enter")
        attached = app.session.project.parts["A-1"].drawing
        assert attached is not None and len(attached.sha256) == 64
        await keys(app, pilot, "i")
        app.screen.query_one("#ask").value = str(listed)
        await keys(app, pilot, "enter")
        assert "B-7" in app.session.project.parts

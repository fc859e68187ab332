"""The comparison by keyboard alone, on figures of its own."""

from __future__ import annotations

from typing import Any

from rfq.tui.widgets.matrix import Matrix


async def test_what_is_under_the_cursor_is_explained(made: Any, shown: Any, keys: Any) -> None:
    app = made()
    async with app.run_test(size=(140, 40)) as pilot:
        await keys(app, pilot, "5")
        text = shown(app)
        assert "1 likely error, 1 query, 1 outside the band, 1 declined, 2 no answer" in text
        assert "66.20↓" in text and "719.00 likely error" in text and "90.10 outside" in text
        await keys(app, pilot, "x")
        text = shown(app)
        assert "may be   ten times too high, explains 98%" in text
        assert "717.00 quoted price   +2.00 carriage~   = 719.00" in text
        assert "run 400.00 (48.00)" in text  # the shop's element beside ours
        await keys(app, pilot, "d")
        assert "our own estimate" in shown(app)
        await keys(app, pilot, "escape", "p")
        assert "●" in shown(app) and "should-cost" in shown(app)
        await keys(app, pilot, "escape", "t")
        assert "what decides" in shown(app)
        await keys(app, pilot, "escape", "end")
        assert "price level -4 %" in shown(app) or "price level +9 %" in shown(app)


async def test_lines_and_shops_can_be_left_out(made: Any, shown: Any, keys: Any) -> None:
    app = made()
    async with app.run_test(size=(140, 40)) as pilot:
        await keys(app, pilot, "5")
        matrix = app.screen.query_one(Matrix)
        assert len(matrix.grid) == 4  # three lines and the price levels
        await keys(app, pilot, "f")
        assert len(matrix.grid) == 3
        await keys(app, pilot, "minus")
        assert "hidden: oakvane" in shown(app)
        await keys(app, pilot, "plus")
        assert len(matrix.grid) == 4
        await keys(app, pilot, "h")
        assert "smaller quantity" in shown(app)
        await keys(app, pilot, "h", "h", "s", "down", "enter")
        assert "most to ask about" in shown(app)
        await keys(app, pilot, "slash", "p", "i", "n", "enter")
        assert len(matrix.grid) == 2
        await keys(app, pilot, "c")
        assert "no date" in shown(app)


async def test_a_question_goes_on_record_once(made: Any, shown: Any, keys: Any) -> None:
    app = made()
    async with app.run_test(size=(140, 40)) as pilot:
        await keys(app, pilot, "5", "x", "a", "y")
        await keys(app, pilot, "a")
        assert "on record already" in shown(app)
        asked = app.session.project.clarifications
        assert [one.to_shop for one in asked] == ["wiklina"]
        assert asked[0].question.startswith("Could you check")
        assert "6 rounds·1" in shown(app)


async def test_heads_stay_and_the_cursor_is_always_on_the_screen(made: Any, keys: Any) -> None:
    app = made()
    async with app.run_test(size=(80, 24)) as pilot:
        await keys(app, pilot, "5", "right", "right", "down")
        matrix = app.screen.query_one(Matrix)
        assert matrix.column in matrix._shown() and matrix._shown()[:3] == [0, 1, 2]
        await keys(app, pilot, "left", "left", "left")
        assert matrix.column == 3 and matrix.left == 0

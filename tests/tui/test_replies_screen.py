"""A reply with a doubtful price, settled by keyboard alone and accepted."""

from __future__ import annotations

from pathlib import Path
from typing import Any

_REPLY = """Wiklina;;;;
Part;Rev;Quantity;Unit price EUR;Note
A-1;B;25;1,234;
A-1;B;100;83;
A-2;A;25;6;
"""


async def test_a_doubtful_price_is_settled_beside_its_cell_and_accepted(
    made: Any, shown: Any, keys: Any, typed: Any, tmp_path: Path
) -> None:
    app = made()
    file = tmp_path / "offer.csv"
    file.write_text(_REPLY, encoding="utf-8")
    async with app.run_test(size=(140, 40)) as pilot:
        await keys(app, pilot, "3")
        assert "none from oakvane, wiklina, zaffrel" in shown(app)
        await keys(app, pilot, "n", "end", "enter")
        app.screen.query_one("#ask").value = str(file)
        await keys(app, pilot, "enter")
        if not app.session.project.drafts[0].shop:
            await keys(app, pilot, "down", "enter")  # whose reply: wiklina
        draft = app.session.project.drafts[0]
        assert draft.shop == "wiklina"
        doubtful = [price for price in draft.prices if not price.sure or price.each is None]
        assert [(price.part, price.quantity) for price in doubtful] == [("A-1", 25)]
        assert "3 replies·1" in shown(app)
        # A price that is not sure is never accepted.
        await keys(app, pilot, "a")
        assert "to settle before it can be accepted" in shown(app)
        assert app.session.project.quotes == ()
        await keys(app, pilot, "escape", "e")
        text = shown(app)
        assert "1 to settle" in text and "1,234" in text
        await keys(app, pilot, "e")
        await typed(pilot, "41,20")
        assert "= 41.20 EUR a piece" in shown(app)
        await keys(app, pilot, "enter")
        assert "all settled" in shown(app)
        await keys(app, pilot, "u")
        assert "1 to settle" in shown(app)
        await keys(app, pilot, "s", "down", "enter")
        await typed(pilot, "1234")
        await keys(app, pilot, "enter", "a")
        quote = app.session.project.quotes[0]
        assert str(quote.price("A-1", 25).each) == "1234"
        assert "accepted: wiklina, 3 prices" in app.last_words[0]
        # What is accepted is only looked at.
        await keys(app, pilot, "e")
        assert "this reply is accepted" in app.last_words[0]


async def test_where_only_one_side_has_room_tab_shows_the_other(
    made: Any, shown: Any, keys: Any
) -> None:
    app = made()
    async with app.run_test(size=(80, 24)) as pilot:
        await keys(app, pilot, "2")
        assert "C203" in shown(app) and "3 shops" in shown(app)
        await keys(app, pilot, "tab")
        text = shown(app)
        assert "C203" not in text and "▸oakvane" in text
        await keys(app, pilot, "tab")
        assert "C203" in shown(app)

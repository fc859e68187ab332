"""The whole job of the demo by keyboard alone, from its parts to a recorded award."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from rfq.tasks.edit import save_record
from rfq.tasks.open import opened
from rfq.tui.app import RfqApp


async def test_from_the_request_to_the_award(
    demo: Path, shown: Any, keys: Any, typed: Any, rest: Any
) -> None:
    # Three shops, two of which answer, are enough for the walk.
    for name in ("oakvane-mail.eml", "zaffrel-letter.pdf", "wiklina-oferta-118.csv"):
        (demo / "incoming" / name).unlink()
    here = opened(demo)
    request = here.project.requests["2026-07"]
    few = tuple(one for one in request.asked if one.shop in ("kupfermond", "heronjade", "wiklina"))
    save_record(here, request.model_copy(update={"asked": few}), was=request)
    for part in here.project.parts.values():  # measuring models is tested where it is done
        if part.model is not None:
            save_record(here, part.model_copy(update={"model": None}), was=part)
    app = RfqApp(demo)
    async with app.run_test(size=(140, 44)) as pilot:
        await rest(app, pilot)
        # 2: nothing stops the request; the packages are made and it is frozen as sent
        await keys(app, pilot, "2")
        assert "nothing stops it" in shown(app)
        await keys(app, pilot, "m", "y")
        assert "packages made" in shown(app)
        await keys(app, pilot, "escape")
        assert app.session.request.state == "sent"
        assert len(list(demo.glob("requests/2026-07/sent/*/*/*.zip"))) == 3
        # 3: two replies are taken in, looked at beside their cells, and accepted
        await keys(app, pilot, "3", "n", "enter")
        assert "heronjade" in shown(app)
        await keys(app, pilot, "e")
        assert "all settled" in shown(app) and "3284.9" in shown(app)
        await keys(app, pilot, "a", "escape", "n", "down", "enter", "a")
        assert {quote.shop for quote in app.session.project.quotes} == {"heronjade", "kupfermond"}
        assert "none from wiklina" in shown(app)
        # 5: the slip of the demo is found, and the question put on record
        await keys(app, pilot, "5", "x")
        assert "heronjade, SB-115" in shown(app) and "likely error" in shown(app)
        await keys(app, pilot, "a", "y")
        assert [one.to_shop for one in app.session.project.clarifications] == ["heronjade"]
        # 6: the question's letter is written, an exception decided, a point ticked for a letter
        await keys(app, pilot, "6", "end")
        await keys(app, pilot, "a", "down", "enter")
        await typed(pilot, "H7 is a bearing seat")
        await keys(app, pilot, "enter")
        decided = [one.state for quote in app.session.project.quotes for one in quote.exceptions]
        assert "refused" in decided
        await keys(app, pilot, "home", "down", "tab", "space", "l")
        assert "letters as they read" in shown(app)
        assert list(demo.glob("requests/2026-07/round-1/letters/targets/*/*.eml"))
        # 7: a rule is switched on, a proposal chosen with its reason
        await keys(app, pilot, "escape", "7", "tab", "down", "enter", "tab", "c")
        await typed(pilot, "lowest with sound prices")
        await keys(app, pilot, "enter")
        assert "letters as they read" in shown(app), app.last_words
        award = app.session.project.awards[0]
        assert award.reason == "lowest with sound prices" and award.rules.without_odd
        await keys(app, pilot, "escape")
        # 8: its orders wait for their acknowledgement
        await keys(app, pilot, "8", "down", "g", "enter")
        line = app.session.project.orders[0].lines[0]
        assert line.good == line.quantity
        assert "not acknowledged" in shown(app)
        await keys(app, pilot, "u")
        assert app.session.project.orders[0].lines[0].good is None

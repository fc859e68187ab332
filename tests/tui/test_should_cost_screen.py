"""Should-cost by keyboard alone: elements, steps, an assumption that moves the price, routes."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from rfq.model.request import Asked, RequestLine
from rfq.tasks.edit import save_record
from rfq.tasks.open import opened
from rfq.tui.app import RfqApp
from rfq.tui.screens.assumptions import AssumptionsScreen


async def test_an_assumption_moves_the_price_at_once_and_can_be_kept(
    demo: Path, shown: Any, keys: Any, typed: Any
) -> None:
    here = opened(demo)
    request = here.project.requests["2026-07"]
    one = request.model_copy(
        update={
            "lines": (RequestLine(part="SB-120", quantities=(25,)),),
            "asked": (Asked(shop="wiklina"),),
        }
    )
    save_record(here, one, was=request)
    app = RfqApp(demo)
    async with app.run_test(size=(140, 44)) as pilot:
        await keys(app, pilot, "4")
        text = shown(app)
        assert "set-ups" in text and "overhead and margin" in text
        assert "not machine settings" in text
        await keys(app, pilot, "enter", "down", "w")
        assert "set-up" in shown(app)
        await keys(app, pilot, "escape", "e")
        form = app.screen
        assert isinstance(form, AssumptionsScreen)
        before = form.now.middle
        await keys(app, pilot, "slash")
        await typed(pilot, "rate 3 axis")
        await keys(app, pilot, "enter", "e")
        await typed(pilot, "99,50")
        await keys(app, pilot, "enter")
        assert form.now.middle > before
        assert "was" in shown(app)
        await keys(app, pilot, "minus")
        assert form.changed["rate 3 axis"].typical < 99
        await keys(app, pilot, "k")
        assert "rate_3_axis" in app.session.project.rates.parameters
        await keys(app, pilot, "u")
        assert "rate_3_axis" not in app.session.project.rates.parameters
        for key, said in (("s", "savings"), ("r", "printed"), ("d", "input at its low")):
            await keys(app, pilot, "4", key)
            assert said in shown(app), key
            await keys(app, pilot, "escape")
        await keys(app, pilot, "q")
        await typed(pilot, "40")
        await keys(app, pilot, "enter")
        assert app.screen.here.quantity == 40

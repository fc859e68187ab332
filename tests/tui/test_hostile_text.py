"""Four texts that once ended or changed a terminal app, through every screen unharmed."""

from __future__ import annotations

from pathlib import Path
from typing import Any

NAMES = "bore [h7] fit [H7] price [/]"
TEXT = f"{NAMES} Evil\x1b[2J\x1b]0;x\x07 shop"


async def test_every_screen_shows_it_as_it_is(made: Any, shown: Any, keys: Any) -> None:
    from rfq.tui.cells import plain

    # Control characters cannot stand in a record, so those come in by what is computed.
    app = made(NAMES, NAMES, TEXT)
    seen: dict[str, str] = {}
    async with app.run_test(size=(180, 50)) as pilot:
        for stage in "12345678":
            await keys(app, pilot, stage)
            seen[stage] = shown(app)
        for stage, key in (
            ("1", "w"), ("1", "e"), ("2", "w"), ("4", "w"), ("4", "e"), ("4", "d"),
            ("5", "d"), ("5", "p"), ("5", "t"), ("5", "a"), ("2", "0"), ("1", "f1"),
            ("1", "ctrl+s"),
        ):  # fmt: skip
            await keys(app, pilot, stage, *(("x",) if stage == "5" else ()), key)
            seen[stage + key] = shown(app)
            await keys(app, pilot, "escape")
        app.say(TEXT, bad=True)
        await pilot.pause()
        seen["said"] = shown(app)
    for place in ("2", "4", "5", "2w", "4w", "5d", "4d", "5t", "5a", "said", "20"):
        assert plain(TEXT) in seen[place], place
    for place in ("1", "1w", "1e", "5p", "1ctrl+s"):
        assert NAMES in seen[place], place
    assert not any("\x1b" in one or "\x07" in one for one in seen.values())


async def test_the_windows_of_figures_and_the_review_show_it_as_it_is(
    made: Any, shown: Any, keys: Any, tmp_path: Path
) -> None:
    from rfq.model.estimate import RouteBand, RouteComparison, Saving
    from rfq.tui.cells import lines, plain
    from rfq.tui.screens.cards import TextCard
    from rfq.tui.screens.routes import RoutesCard
    from rfq.tui.screens.savings import savings_rows

    app = made(NAMES, NAMES, TEXT)
    # A sheet from a shop may hold anything in its cells.
    file = tmp_path / "oakvane.csv"
    file.write_text(
        f"Part;Rev;Quantity;Unit price EUR;Note\nA-1;B;25;41.20;{TEXT}\nA-1;B;100;38.30;{NAMES}\n",
        encoding="utf-8",
    )
    async with app.run_test(size=(180, 50)) as pilot:
        await keys(app, pilot, "3", "n", "end", "enter")
        app.screen.query_one("#ask").value = str(file)
        await keys(app, pilot, "enter", "e")
        review = shown(app)
        await keys(app, pilot, "tab", "end")
        review += shown(app)
        await keys(app, pilot, "escape")
        estimate = app.session.full["A-1", 25]
        saving = Saving(name=TEXT[:30], kind="callout", low=-3, middle=-2, high=-1,
                        sentence=TEXT, caution=TEXT)  # fmt: skip
        app.push_screen(TextCard(TEXT, lines(savings_rows((saving,), estimate))))
        await keys(app, pilot)
        savings = shown(app)
        await keys(app, pilot, "escape")
        band = RouteBand(route=NAMES, material="x", quantity=25, low=1, middle=2, high=3)
        app.push_screen(
            RoutesCard(
                RouteComparison(
                    part=TEXT, quantities=(25,), routes=(NAMES,), bands=(band,), caveats=(TEXT,),
                    curve_quantities=(1, 10, 100), curves={NAMES: (3.0, 2.0, 1.0)},
                )
            )
        )  # fmt: skip
        await keys(app, pilot)
        routes = shown(app)
    assert "[h7]" in review
    assert savings.count(plain(TEXT)) == 3
    assert routes.count(plain(TEXT)) == 2 and NAMES[:20] in routes
    assert not any(sign in one for one in (review, savings, routes) for sign in "\x1b\x07")

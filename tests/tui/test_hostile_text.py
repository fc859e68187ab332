"""Four texts that once ended or changed a terminal app, through every screen unharmed."""

from __future__ import annotations

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

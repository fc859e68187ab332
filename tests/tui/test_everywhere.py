"""What works everywhere: help, palette, undo, another person's change, colours, the work line."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from rfq.tui.app import RfqApp
from rfq.tui.keys import KEYS
from rfq.tui.palette import commands
from rfq.tui.screens.help import page
from rfq.tui.session import STAGES

HELP = Path(__file__).resolve().parents[2] / "rfq" / "tui" / "help"


def test_every_key_has_an_id_of_its_own_and_says_what_it_does() -> None:
    every = [key for found in KEYS.values() for key in found]
    assert len({key.id for key in every}) == len(every)
    assert all(key.tip.endswith(".") and key.words for key in every)


def test_no_key_is_one_that_terminals_mix_up_or_keep() -> None:
    kept = {"ctrl+h", "ctrl+i", "ctrl+m", "ctrl+left_square_bracket", "f10", "f11", "ctrl+q",
            "ctrl+p", "ctrl+c"}  # fmt: skip
    for found in KEYS.values():
        assert not kept & {name for key in found for name in key.keys.split(",")}


def test_no_key_means_two_things_on_one_screen() -> None:
    for screen in STAGES:
        names = [n for key in (*KEYS[screen], *KEYS["everywhere"]) for n in key.keys.split(",")]
        assert len(set(names)) == len(names), screen


@pytest.mark.parametrize("name", [*STAGES, "review", "form", "assumptions", "findings", "start"])
def test_every_screen_has_a_help_page_with_its_keys(name: str) -> None:
    assert (HELP / f"{name}.md").is_file()
    text = page(name)
    assert all(key.tip in text for key in KEYS.get(name, ()))
    assert not re.search(r"vendor|supplier|bidder|accus", text, re.IGNORECASE)


async def test_every_task_is_in_the_palette_and_help_opens_by_screen(
    made: Any, shown: Any, keys: Any
) -> None:
    app = made()
    async with app.run_test(size=(120, 40)) as pilot:
        titles = [one.title for one in commands(app)]
        for stage in STAGES:
            assert all(f"{stage}: {key.words}" in titles for key in KEYS[stage])
        await keys(app, pilot, "5", "f1")
        assert "likely error" in shown(app)
        await keys(app, pilot, "escape", "ctrl+p")
        for char in "comparetotals":
            await pilot.press(char)
        await keys(app, pilot, "enter")
        assert "what decides" in shown(app)


async def test_another_persons_change_is_noticed_and_two_changes_are_put_together(
    made: Any, shown: Any, keys: Any, typed: Any
) -> None:
    app = made()
    async with app.run_test(size=(120, 40)) as pilot:
        await keys(app, pilot, "e")
        file = app.session.folder / "parts" / "A-1.toml"
        text = file.read_text(encoding="utf-8")
        # They change the finish while we have the form open and have not looked yet.
        file.write_text(text.replace('name = "anodise"', 'name = "hard anodise"'), encoding="utf-8")
        app.screen.go_to("cosmetic")
        await keys(app, pilot, "e")
        await typed(pilot, "no scratches")
        await keys(app, pilot, "enter")
        part = app.session.project.parts["A-1"]
        assert (part.cosmetic, part.finishes[0].name) == ("no scratches", "hard anodise")
        # The same field: asked, and theirs is kept on no.
        text = file.read_text(encoding="utf-8")
        file.write_text(text.replace("no scratches", "polished"), encoding="utf-8")
        app.screen.go_to("cosmetic")
        await keys(app, pilot, "e")
        await typed(pilot, "matt")
        await keys(app, pilot, "enter")
        assert "Put yours over it?" in shown(app)
        await keys(app, pilot, "n")
        assert app.session.project.parts["A-1"].cosmetic == "polished"
        # Looked at between two edits: read again by itself.
        file.write_text(text.replace("no scratches", "brushed"), encoding="utf-8")
        app.look_at_disk()
        assert app.session.project.parts["A-1"].cosmetic == "brushed"
        assert "changed on disk" in app.last_words[0]


@pytest.mark.parametrize("theme", ["textual-light", "textual-dark", "ansi-dark"])
async def test_cursor_and_verdicts_are_told_without_colour(
    made: Any, shown: Any, keys: Any, theme: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    app = made()
    async with app.run_test(size=(140, 40)) as pilot:
        app.theme = theme
        await keys(app, pilot, "5", "x")
        text = shown(app)
        assert "▸A-1 B" in text and "likely error" in text and "↓" in text
        assert app.no_color


async def test_work_can_be_stopped(made: Any, keys: Any) -> None:
    import time

    app = made()
    said: list[str] = []

    def slow(say: Any) -> None:
        for step in range(500):
            say(f"step {step}")
            time.sleep(0.01)

    async with app.run_test(size=(100, 30)) as pilot:
        app.begin("long work", slow, lambda _: said.append("done"))
        for _ in range(50):
            await pilot.pause(0.02)
            if "step" in app.last_words[0]:
                break
        await keys(app, pilot, "escape")
        assert "stopped" in app.last_words[0] and said == []


async def test_a_fault_is_said_as_one_and_the_app_goes_on(made: Any, keys: Any) -> None:
    app: RfqApp = made()

    def broken(_: Any) -> None:
        raise ZeroDivisionError("a [bug] in us")

    async with app.run_test(size=(100, 30)) as pilot:
        app.begin("work", broken, lambda _: None)
        await keys(app, pilot, "5")
        assert "A fault in rfq itself" in app.last_words[0]
        log = re.search(r"details in (\S+)", app.last_words[0])
        assert log is not None
        path = Path(log[1])
        assert "ZeroDivisionError" in path.read_text(encoding="utf-8")
        path.unlink()


async def test_findings_lead_to_the_field(made: Any, shown: Any, keys: Any) -> None:
    app = made()
    async with app.run_test(size=(120, 40)) as pilot:
        await keys(app, pilot, "2", "j")
        assert "part A-1" in shown(app)
        await keys(app, pilot, "escape", "0", "enter")
        assert "part A-1" in shown(app)

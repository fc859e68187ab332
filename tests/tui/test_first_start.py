"""First start without a project: the demo, a new project, and a project that cannot be read."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from textual.widgets import Static

from rfq.tui.app import RfqApp


async def test_the_demo_is_copied_and_opened(
    tmp_path: Path, shown: Any, keys: Any, typed: Any, monkeypatch: Any
) -> None:
    monkeypatch.chdir(tmp_path)
    app = RfqApp(tmp_path, look=False)
    async with app.run_test(size=(100, 30)) as pilot:
        assert "Choose with the" in shown(app)
        await keys(app, pilot, "enter", "end")
        await typed(pilot, "-x")
        await keys(app, pilot, "enter")
        assert (tmp_path / "rfq-demo-x" / "project.toml").is_file()
        assert app.session is not None
        assert "SB-110" in shown(app)


async def test_a_new_project_is_begun_and_its_first_part_entered(
    tmp_path: Path, shown: Any, keys: Any, typed: Any, monkeypatch: Any
) -> None:
    monkeypatch.chdir(tmp_path)
    app = RfqApp(tmp_path, look=False)
    async with app.run_test(size=(100, 30)) as pilot:
        await keys(app, pilot, "down", "enter")
        await typed(pilot, "mine")
        await keys(app, pilot, "enter")
        assert app.session is not None
        await keys(app, pilot, "1", "n")
        await typed(pilot, "A-1")
        await keys(app, pilot, "enter")
        assert (tmp_path / "mine" / "parts" / "A-1.toml").is_file()
        assert "part A-1" in shown(app)


async def test_a_folder_that_holds_something_is_refused(
    tmp_path: Path, shown: Any, keys: Any
) -> None:
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "notes.txt").write_text("x", encoding="utf-8")
    app = RfqApp(tmp_path, look=False)
    async with app.run_test(size=(100, 30)) as pilot:
        await keys(app, pilot, "enter")
        app.screen.query_one("#ask").value = str(tmp_path / "full")  # type: ignore[attr-defined]
        await keys(app, pilot, "enter")
        said = str(app.screen.query_one("#understood", Static).render())
        assert said.startswith("! ") and "holds something already" in said


async def test_records_that_cannot_be_read_are_named_with_file_and_line(
    demo: Path, shown: Any, keys: Any
) -> None:
    part = demo / "parts" / "SB-120.toml"
    whole = part.read_text(encoding="utf-8")
    part.write_text(whole.replace("length_mm = 140", "length_mm = -140"), encoding="utf-8")
    app = RfqApp(demo, look=False)
    async with app.run_test(size=(120, 30)) as pilot:
        await pilot.pause()
        assert "parts/SB-120.toml:" in shown(app)
        part.write_text(whole, encoding="utf-8")
        await keys(app, pilot, "r")
        assert app.session is not None
        assert "12" in shown(app)

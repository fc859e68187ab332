"""The model in the app: both figures are seen before one is taken, and taken one by one."""

from __future__ import annotations

import importlib.util
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from rfq.tui.app import RfqApp


@pytest.mark.skipif(
    importlib.util.find_spec("OCP") is None,
    reason="the optional geometry kernel (extra 'step') is not installed",
)
@pytest.mark.usefixtures("kernel_in_process")
async def test_a_measured_figure_is_seen_beside_the_typed_one_and_taken_alone(
    demo: Path, measure_here: Callable[..., Any], measured_models: Path, keys: Any, shown: Any
) -> None:
    measure_here(demo / "models/SB-130_C.step")
    shutil.copytree(measured_models, demo / ".rfq/measured")
    file = demo / "parts/SB-130.toml"
    file.write_text(file.read_text("utf-8").replace("length_mm = 68", "length_mm = 70"), "utf-8")
    app = RfqApp(demo)
    async with app.run_test(size=(120, 40)) as pilot:
        await keys(app, pilot, "1")
        app.screen.go_to("SB-130")
        await keys(app, pilot, "v")
        picture = shown(app)
        assert "SB-130 C, isometric" in picture
        assert sum("\u2801" <= sign <= "\u28ff" for sign in picture) > 60
        await keys(app, pilot, "escape")
        await keys(app, pilot, "m")
        (row,) = [
            line
            for line in shown(app).splitlines()
            if "from model" in line and " length_mm " in line
        ]
        assert row.split("length_mm")[1].split()[:2] == ["70", "68"]
        assert "differs" in row
        await keys(app, pilot, "escape")
        assert app.session.project.parts["SB-130"].shape.length_mm == 70
        await keys(app, pilot, "m", "down", "down", "enter")  # all figures, kind, length_mm
        assert app.session.project.parts["SB-130"].shape.length_mm == 68
        await keys(app, pilot, "u")
        assert app.session.project.parts["SB-130"].shape.length_mm == 70

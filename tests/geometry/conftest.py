"""Geometry tests need the optional kernel; where it is missing they skip and say so."""

from __future__ import annotations

import importlib.util
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parent))

HERE = Path(__file__).resolve().parent


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    if importlib.util.find_spec("OCP") is not None:
        return
    skip = pytest.mark.skip(reason="the optional geometry kernel (extra 'step') is not installed")
    for item in items:
        if HERE in item.path.parents and not item.name.startswith("test_without_kernel"):
            item.add_marker(skip)


@pytest.fixture
def measured(tmp_path: Path) -> Callable[..., Any]:
    """Measure a shape of the kernel in this process, through a STEP file as a stranger sends it.

    The child process has its own tests; starting one for every made shape would cost a second each.
    """

    def run(shape: Any, body: int = 0, views: bool = False) -> Any:
        import json

        from shapes_made import write_step

        from rfq.geometry.kernel_main import drawn
        from rfq.geometry.kernel_main import measured as measure_file
        from rfq.geometry.shape import from_json

        path = write_step(tmp_path / "made.step", shape, name="made")
        found = measure_file(path, body)
        if views:
            found["views"] = drawn(path, body)
        return from_json(json.dumps(found))

    return run

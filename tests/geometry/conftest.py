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
        if HERE in item.path.parents and "without_kernel" not in item.keywords:
            item.add_marker(skip)


@pytest.fixture(scope="session")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One cache for the session, so that a file is measured once."""
    return tmp_path_factory.mktemp("measured")


@pytest.fixture
def measured(tmp_path: Path) -> Callable[..., Any]:
    """Measure a shape of the kernel in this process, through a STEP file as a stranger sends it.

    The child process has its own tests; starting one for every made shape would cost a second each.
    """

    def run(shape: Any, body: int = 0) -> Any:
        import json

        from rfq.geometry.kernel_main import measured as measure_file
        from rfq.geometry.shape import from_json
        from shapes_made import write_step

        path = write_step(tmp_path / "made.step", shape, name="made")
        return from_json(json.dumps(measure_file(path, body)))

    return run

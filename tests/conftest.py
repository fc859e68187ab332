"""Fixtures that every floor's tests share."""

from __future__ import annotations

import json
import os
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="session")
def open_data() -> Path:
    """Folder with optional open data; tests that need it skip where it is absent."""
    for folder in (os.environ.get("RFQ_OPEN_DATA", ""), ROOT.parent / "shared" / "data"):
        if folder and Path(folder).is_dir():
            return Path(folder)
    pytest.skip("the optional open data (RFQ_OPEN_DATA) is not on this machine")


@pytest.fixture(scope="session")
def demo_source() -> Path:
    """The demo project as shipped; never written to."""
    return ROOT / "demo_project"


@pytest.fixture(scope="session")
def measured_models(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One cache of measured models for the whole run, so that a file is measured once."""
    base = tmp_path_factory.getbasetemp()
    if os.environ.get("PYTEST_XDIST_WORKER"):  # shared by the workers; entries are written whole
        base = base.parent
    folder = base / "measured-models"
    folder.mkdir(exist_ok=True)
    return folder


def _work_here(jobs: Any, data: bytes, name: str, body: int, limits: Any) -> dict[str, bytes]:
    """What a child would answer, from this process."""
    from rfq.geometry.kernel_main import answer_to

    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "model.step"
        copy.write_bytes(data)
        return {job: json.dumps(answer_to(job, copy, body)).encode() for job in jobs}


@pytest.fixture
def kernel_in_process(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let models be measured in this process: a child costs a second, and has its own tests."""
    monkeypatch.setattr("rfq.geometry.measure.work_in_children", _work_here)
    monkeypatch.setattr("rfq.geometry.bodies.work_in_children", _work_here)


@pytest.fixture(scope="session")
def measure_here(measured_models: Path) -> Callable[..., Any]:
    """Measure a file in this process, once in the run; gives the shape."""
    from rfq.geometry.measure import measure

    def run(path: Path, *, views: bool = True) -> Any:
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr("rfq.geometry.measure.work_in_children", _work_here)
            return measure(path, cache=measured_models, views=views).get()

    return run


@pytest.fixture(scope="session")
def ran_demo(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, tuple[str, ...]]:
    """The demo after its whole job, and what was said; copy it before changing anything."""
    from rfq.tasks.demo import run_demo

    folder = tmp_path_factory.mktemp("ran") / "buoy"
    said: list[str] = []
    done = run_demo(folder, say=said.append)
    assert not done.stops
    return folder, tuple(said)

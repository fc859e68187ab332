"""Fixtures that every floor's tests share."""

from __future__ import annotations

import os
from pathlib import Path

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

"""The examples in docstrings are run: they are the first thing a reader trusts."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
ROOMS = ("engine", "model", "intake", "store", "documents", "geometry")


def test_examples_in_docstrings_hold() -> None:
    out = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-p", "no:xdist",
         "--no-cov", "-o", "addopts=--import-mode=importlib", "--doctest-modules",
         *(f"rfq/{room}" for room in ROOMS)],
        cwd=ROOT, capture_output=True, text=True, check=False,
        env={k: v for k, v in os.environ.items() if k != "PYTEST_ADDOPTS"},
    )  # fmt: skip
    assert out.returncode == 0, out.stdout[-3000:] + out.stderr[-1000:]
    assert int(out.stdout.rsplit(" passed", 1)[0].rsplit(None, 1)[-1]) > 200

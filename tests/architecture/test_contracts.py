"""Imports only go down; checked by import-linter with the contracts of pyproject.toml."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def test_import_contracts_hold() -> None:
    code = "from importlinter.cli import lint_imports_command; lint_imports_command()"
    out = subprocess.run(
        [sys.executable, "-c", code, "--no-cache"],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert out.returncode == 0, out.stdout[-3000:] + out.stderr[-2000:]

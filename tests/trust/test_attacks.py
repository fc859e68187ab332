"""Hostile replies through `rfq import --accept`: refused or asked about, fast, small, and harmless.

Each file is read by the command in a process of its own (``attack_drill.py``), on a copy of the
demo project. What is looked at afterwards: every file of the project has its bytes, no quote was
made of anything hostile, one sentence was said without control characters, no traceback, no
call to the network or to another program, under 5 s and 300 MB.
"""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).resolve().parent


@pytest.fixture(scope="session")
def attacked(demo_source: Path, tmp_path_factory: pytest.TempPathFactory) -> list[dict]:
    folder = tmp_path_factory.mktemp("attacks")
    project = folder / "demo"
    # Drawings and models are not what is attacked here; without them a copy is quick.
    shutil.copytree(
        demo_source, project, ignore=shutil.ignore_patterns("incoming", "models", "drawings")
    )
    out = subprocess.run(
        [sys.executable, str(HERE / "attack_drill.py"), str(project), str(folder / "tries")],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert out.returncode == 0, out.stderr[-3000:]
    return [json.loads(line) for line in out.stdout.splitlines()]


def test_every_attack_was_tried(attacked: list[dict]) -> None:
    assert len(attacked) >= 80
    assert len({one["name"] for one in attacked}) == len(attacked)


def test_no_attack_gets_through(attacked: list[dict]) -> None:
    wrong = {one["name"]: (one["wrong"], one.get("stderr")) for one in attacked if one["wrong"]}
    assert wrong == {}


def test_a_refusal_says_why_in_one_sentence(attacked: list[dict]) -> None:
    for one in attacked:
        if one["meant"] == "refused" and one["code"] == 1:
            assert one["said"].endswith("."), one
            assert len(one["said"]) < 400, one

"""Lets coverage see into the child process that opens untrusted formats.

The child gets no environment and may write no file, so nothing can be measured in it. With
RFQ_TEST_CHILD_HERE=1 its code runs in the test's own process instead; the command is in
DEVELOPERS.md. Without it, as usual, every reading goes through the real child.
"""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest

from rfq.intake import child, guard, ubl
from rfq.intake.kinds import Limits, stop
from rfq.problems import TooMuch


def _here(kind: str, path: Path, limits: Limits) -> tuple[dict[str, Any], Any]:
    try:
        answer = child._read(kind, path, limits)
    except Exception as error:
        code = getattr(error, "code", "R003") if hasattr(error, "sentence") else "R003"
        if code == "R007":
            raise TooMuch(str(error)) from error
        return {}, stop(code, f"{path.name} was not read: {error}.", path.name)
    return json.loads(json.dumps(answer)), None


@pytest.fixture(autouse=os.environ.get("RFQ_TEST_CHILD_HERE") == "1")
def child_here(monkeypatch: pytest.MonkeyPatch) -> None:
    for module in (guard, ubl):
        monkeypatch.setattr(module, "run_child", _here)

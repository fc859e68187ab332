"""Runs the child that opens untrusted formats, and turns its end into a value or a sentence."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

from rfq.intake.child import bounds_of
from rfq.intake.grid import Book, Cell, Grid
from rfq.intake.kinds import Limits, shown_name, stop
from rfq.problems import Problem, TooMuch

_START = (
    "import sys; sys.path.insert(0, sys.argv.pop(1)); from rfq.intake.child import main; main()"
)
_ANSWER_BYTES = 120_000_000


def run_child(kind: str, path: Path, limits: Limits) -> tuple[dict[str, Any], Problem | None]:
    """Return (the child's answer, None) or ({}, why the file is refused).

    Raises:
        TooMuch: the child hit its bound of time or memory.
    """
    name = shown_name(path)
    size = path.stat().st_size
    seconds = limits.seconds + size / 4_000_000
    limits = replace(limits, seconds=seconds)
    root = str(Path(__file__).resolve().parent.parent.parent)
    command = [
        sys.executable,
        "-I",
        "-c",
        _START,
        root,
        kind,
        str(path.resolve()),
        bounds_of(limits),
    ]
    environment = {
        key: value for key, value in os.environ.items() if key in ("PATH", "LANG", "SYSTEMROOT")
    }
    environment["OPENPYXL_LXML"] = "False"
    try:
        done = subprocess.run(
            command,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=seconds,
            env=environment,
            check=False,
        )
    except subprocess.TimeoutExpired as error:
        raise TooMuch(
            f"{name} was not read within {seconds:.0f} seconds and was put aside; ask for a "
            "smaller file or type the prices in."
        ) from error
    if done.returncode != 0 or len(done.stdout) > _ANSWER_BYTES:
        if done.returncode < 0 or b"MemoryError" in done.stderr or b"alloc" in done.stderr:
            raise TooMuch(
                f"{name} needs more time or memory than a reply may take and was put aside."
            )
        return {}, stop("R003", f"{name} is damaged and cannot be read.", name)
    answer: dict[str, Any] = json.loads(done.stdout)
    if "too_much" in answer:
        raise TooMuch(f"{name} needs more memory than a reply may take and was put aside.")
    if "refused" in answer:
        code, why = answer["refused"]
        if code == "R007":
            raise TooMuch(f"{name} was not read: {why}.")
        return {}, stop(code, f"{name} was not read: {why}.", name)
    return answer, None


def book_of(answer: dict[str, Any]) -> Book:
    """Return the child's answer as a book."""
    book = Book(
        answer["kind"],
        notes=[(code, text) for code, text in answer["notes"]],
        properties=answer["properties"],
        text=answer.get("text", ""),
    )
    for item in answer["grids"]:
        grid = Grid(
            item["name"],
            merges=[tuple(merge) for merge in item["merges"]],
            hidden=item["hidden"],
            hidden_rows=set(item["hidden_rows"]),
            hidden_columns=set(item["hidden_columns"]),
        )
        rows = grid.rows
        for r, c, kind, text, code, comment in item["cells"]:
            rows.setdefault(r, {})[c] = Cell(r, c, kind, text, code, comment)
        book.grids.append(grid)
    return book

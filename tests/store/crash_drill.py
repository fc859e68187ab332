"""Kill -9 in the middle of changes, again and again, and look at what is left.

Run as a program: ``python crash_drill.py FOLDER TIMES SEED``; prints one JSON object. Children
are forked so that the imports are paid once.
"""

from __future__ import annotations

import json
import os
import random
import signal
import sys
import time
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path

from rfq.model.part import FileRef, Part
from rfq.model.project import Settings
from rfq.model.quote import Price, Quote
from rfq.problems import Severity
from rfq.store.files import LEFTOVER, sha256_bytes
from rfq.store.load import load_project
from rfq.store.originals import place_reply
from rfq.store.save import changes

NOW = datetime(2026, 7, 24, tzinfo=UTC)


def reply_bytes(step: int) -> bytes:
    return f"reply {step}\n".encode() * 2000


def one_change(folder: Path, step: int) -> None:
    """What accepting a reply does: the file, a part, a quote with many lines, one journal line."""
    project = load_project(folder).get()
    kept = place_reply(folder, "R1", 1, "oakvane", NOW.date(), f"q{step}.txt", reply_bytes(step))
    price = Decimal(step).scaleb(-2)
    lines = tuple(Price(part=f"P-{n}", quantity=5, each=price, currency="EUR") for n in range(150))
    with changes(folder, f"step {step}", project=project) as change:
        assert kept.data is not None
        change.keep(kept.source.path, kept.data)
        change.put(project.parts["P-1"].model_copy(update={"internal_note": str(step)}))
        change.put(
            Quote(shop="oakvane", request="R1", received=NOW, accepted_at=NOW, currency="EUR",
                  source=FileRef(path=kept.source.path, sha256=kept.source.sha256), prices=lines)
        )  # fmt: skip


def child(folder: Path, start: int, pipe: int) -> None:
    step = start
    while True:
        step += 1
        one_change(folder, step)
        os.write(pipe, step.to_bytes(4, "big"))


def look(folder: Path, told: int) -> dict[str, int]:
    """Open the folder as the next user would and compare it with what was told accepted."""
    leftovers = sum(1 for path in folder.rglob(f"{LEFTOVER}*"))
    reading = load_project(folder)
    project = reading.get()
    steps = [int(e.what.split()[1]) for e in project.events if e.what.startswith("step ")]
    last = max(steps, default=0)
    assert steps == list(range(1, last + 1)), "a journal line is missing or stands twice"
    assert last >= told, f"{told} was accepted, the journal ends at {last}"
    if last:
        quote = project.quotes[0]
        assert project.parts["P-1"].internal_note == str(last)
        assert {price.each for price in quote.prices} == {Decimal(last).scaleb(-2)}
        assert quote.source.sha256 == sha256_bytes(reply_bytes(last))
    replies = sorted((folder / "requests/R1/round-1/replies").glob("[!.]*"))
    assert len(replies) == last, "a reply of a change that never was accepted, or one lost"
    for path in replies:
        number = int(path.stem.rpartition("q")[2])
        assert path.read_bytes() == reply_bytes(number)
    back = sum(problem.code == "S013" for problem in reading.problems)
    assert not any(problem.severity is Severity.STOP for problem in reading.problems)
    return {"last": last, "taken_back": back, "leftovers": leftovers}


def drill(folder: Path, times: int, seed: int) -> dict[str, int]:
    """Kill a writer ``times`` times; return what was seen."""
    chance = random.Random(seed)
    with changes(folder, "project made") as change:
        change.put(Settings(name="Crash drill"))
        change.put(Part(number="P-1", revision="A", name="Plate", material="EN AW-6082"))
    seen = {"kills": 0, "last": 0, "taken_back": 0, "leftovers": 0}
    for _ in range(times):
        reading, writing = os.pipe()
        pid = os.fork()
        if pid == 0:
            os.close(reading)
            child(folder, seen["last"], writing)
        os.close(writing)
        time.sleep(chance.uniform(0.0, 0.08))
        os.kill(pid, signal.SIGKILL)
        os.waitpid(pid, 0)
        told = b""
        while block := os.read(reading, 65536):
            told += block
        os.close(reading)
        found = look(folder, int.from_bytes(told[-4:], "big") if told else seen["last"])
        seen["kills"] += 1
        seen["last"] = found["last"]
        seen["taken_back"] += found["taken_back"]
        seen["leftovers"] += found["leftovers"]
    one_change(folder, seen["last"] + 1)
    assert not list(folder.rglob(f"{LEFTOVER}*")), "a leftover was not swept"
    return seen


if __name__ == "__main__":
    print(json.dumps(drill(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))))

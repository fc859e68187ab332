"""Two processes adding one to the same record; run as ``python two_writers.py FOLDER TIMES``."""

from __future__ import annotations

import json
import os
import re
import sys
from pathlib import Path

from rfq.model.project import Settings
from rfq.problems import ChangedOnDisk
from rfq.store.files import sha256_of
from rfq.store.load import load_project, load_record
from rfq.store.save import save

BOTH = re.compile(r"version [0-9a-f]{12} then, [0-9a-f]{12} now")


def add(folder: Path, times: int, who: str) -> tuple[int, int]:
    """Add one ``times`` times, repeating what was refused; refusals, and those without names."""
    refused = unnamed = 0
    path = folder / "project.toml"
    for _ in range(times):
        while True:
            seen = sha256_of(path)
            record = load_record(folder, "project").get()
            count = int(record.internal_note or 0) + 1
            try:
                save(
                    folder, record.model_copy(update={"internal_note": str(count)}),
                    seen=seen, by=who,
                )  # fmt: skip
                break
            except ChangedOnDisk as error:
                refused += 1
                unnamed += not BOTH.search(str(error))
    return refused, unnamed


def both(folder: Path, times: int) -> dict[str, int]:
    """Run two adders at once; return what was kept and refused."""
    save(folder, Settings(name="Two writers"))
    reading, writing = os.pipe()
    for who in ("Ana", "Ben"):
        if os.fork() == 0:
            refused, unnamed = add(folder, times, who)
            os.write(writing, f"{refused} {unnamed}\n".encode())
            os._exit(0)
    os.close(writing)
    told = b""
    while block := os.read(reading, 4096):
        told += block
    pairs = [tuple(map(int, line.split())) for line in told.decode().splitlines()]
    project = load_project(folder).get()
    assert len(pairs) == 2
    assert len(project.events) == 2 * times + 1
    return {
        "kept": int(project.settings.internal_note),
        "refused": sum(pair[0] for pair in pairs),
        "unnamed": sum(pair[1] for pair in pairs),
    }


if __name__ == "__main__":
    print(json.dumps(both(Path(sys.argv[1]), int(sys.argv[2]))))

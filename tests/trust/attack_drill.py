"""Runs `rfq import --accept` on every hostile file, each in its own process, and reports.

``python attack_drill.py PROJECT FILES [part of a name]``: PROJECT is a project folder that is
copied for each attack, FILES a scratch folder; prints one JSON object a line: what it was meant
to become, what became of it, seconds, megabytes, and what is wrong (empty: nothing).
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import resource
import shutil
import sys
import time
from pathlib import Path

HERE = Path(__file__).resolve().parent
SECONDS, MEGABYTES = 5.0, 300.0
CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f]")
GROWS = re.compile(r"^(\.rfq/|journal/)")  # locks and what can be undone; the journal only grows
CALLS = ("socket.", "os.system", "os.exec", "os.spawn")


def state(folder: Path) -> dict[str, str]:
    """Hash of every file of a folder."""
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def child(file: Path, project: Path, out: Path) -> None:
    """Run the command in this (forked) process and leave."""
    calls = []
    sys.addaudithook(lambda event, _: calls.append(event) if event.startswith(CALLS) else None)
    for number, name in ((1, "stdout"), (2, "stderr")):
        handle = os.open(out / name, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
        os.dup2(handle, number)
    from rfq.cli.main import main

    code = 99
    try:
        main(["import", str(file), "--shop", "oakvane", "--accept", "--project", str(project)])
    except SystemExit as stop:
        code = stop.code if isinstance(stop.code, int) else 98
    sys.stdout.flush()
    sys.stderr.flush()
    (out / "calls").write_text(json.dumps(calls))
    peak = max(
        resource.getrusage(who).ru_maxrss
        for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    (out / "peak").write_text(str(peak / 1024))
    os._exit(code)


def tried(name: str, becomes: str, file: Path, project: Path, out: Path) -> dict[str, object]:
    """Run one attack; return what became of it and what is wrong with that."""
    before = state(project)
    start = time.perf_counter()
    pid = os.fork()
    if pid == 0:
        child(file, project, out)
    while True:
        done, status = os.waitpid(pid, os.WNOHANG)
        if done:
            break
        if time.perf_counter() - start > 30:
            os.kill(pid, 9)
            os.waitpid(pid, 0)
            return {"name": name, "becomes": "not ended", "wrong": ["no end after 30 s"]}
        time.sleep(0.005)
    code = os.waitstatus_to_exitcode(status)
    after = state(project)
    words = "".join((out / one).read_text(errors="replace") for one in ("stdout", "stderr"))
    kept = {path for path in after if path not in before and not GROWS.match(path)}
    lost = {path for path in before if after.get(path) != before[path] and not GROWS.match(path)}
    quotes = [path for path in kept if "/quotes/" in path]
    draft = any("draft" in path for path in kept)
    result = "accepted" if quotes else "asked" if draft else "refused"
    wrong = []
    if lost:
        wrong.append(f"changed or gone: {sorted(lost)}")
    if result == "refused" and kept:
        wrong.append(f"refused, yet kept: {sorted(kept)}")
    allowed = {"refused": {"refused"}, "asked": {"asked", "refused"}}.get(becomes)
    if allowed and result not in allowed:
        wrong.append(f"{result}, not {becomes}")
    if any(not path.startswith("requests/") for path in kept):
        wrong.append(f"written elsewhere: {sorted(kept)}")
    if code not in (0, 1, 3) or (result == "refused" and code == 0):
        wrong.append(f"exit code {code}")
    if "Traceback" in words or "fault in rfq" in words:
        wrong.append("an uncaught exception")
    if CONTROL.search(words):
        wrong.append("control characters in what is said")
    if "root:" in words or "owned\x07" in words:
        wrong.append("something of this machine in what is said")
    if result == "refused" and not words.strip():
        wrong.append("nothing is said")
    calls = json.loads((out / "calls").read_text()) if (out / "calls").exists() else ["died"]
    if calls:
        wrong.append(f"calls out: {calls}")
    seconds, peak = json.loads((out / "used").read_text()) if (out / "used").exists() else (0, 0)
    if seconds > SECONDS:
        wrong.append(f"{seconds:.1f} s")
    if peak > MEGABYTES:
        wrong.append(f"{peak:.0f} MB")
    told = [line for line in words.splitlines() if line.startswith("stop") or "was not" in line]
    said = told[0] if told else ""
    return {
        "name": name, "meant": becomes, "becomes": result, "seconds": round(seconds, 2),
        "megabytes": round(peak), "code": code, "said": said[:400], "wrong": wrong,
        "stderr": words[-600:] if wrong else "",
    }  # fmt: skip


def main() -> None:
    source, scratch = Path(sys.argv[1]), Path(sys.argv[2])
    wanted = sys.argv[3] if len(sys.argv) > 3 else ""
    sys.path.insert(0, str(HERE))
    from hostile_files import ATTACKS

    # Loaded once, so that a fork shows what the file costs and not what Python's start costs.
    import rfq.intake.assemble
    import rfq.intake.letter
    import rfq.intake.mail
    import rfq.intake.ubl
    import rfq.tasks.take_quote  # noqa: F401

    for number, (name, (becomes, build)) in enumerate(ATTACKS.items()):
        if wanted not in name:
            continue
        place = scratch / str(number)
        (place / "files").mkdir(parents=True)
        (place / "out").mkdir()
        project = place / "project"
        shutil.copytree(source, project)
        # Made by another process: what building a bomb needs is not what reading it needs.
        pid = os.fork()
        if pid == 0:
            path = build(place / "files")
            (place / "path").write_text(str(path))
            os._exit(0)
        os.waitpid(pid, 0)
        file = Path((place / "path").read_text())
        print(json.dumps(tried(name, becomes, file, project, place / "out")), flush=True)
        shutil.rmtree(place)


if __name__ == "__main__":
    main()

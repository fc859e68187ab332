"""Two people's clones, merged by git itself."""

from __future__ import annotations

import subprocess
from pathlib import Path

from rfq.store.load import load_project
from rfq.store.new import empty_project
from rfq.store.save import changes, save


def git(place: Path, *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        ["git", "-c", "user.name=x", "-c", "user.email=x@example.com", *words],
        cwd=place, capture_output=True, text=True, check=False,
    )  # fmt: skip


def test_two_clones_merge_unless_the_same_fact_changed(folder, records, tmp_path: Path) -> None:
    """Real git: two people work on clones; only the same fact may conflict."""
    apart = records.part(form="plate", shop_note="Deburr all edges.", loaded=True)
    project = load_project(folder).get()
    save(folder, apart, seen=project.hashes["part:SB-110"])
    for name in (".gitignore", ".gitattributes"):
        (folder / name).write_bytes(empty_project("x")[name])
    assert git(folder, "init", "-q", "-b", "main").returncode == 0
    git(folder, "add", "-A")
    git(folder, "commit", "-q", "-m", "start")
    theirs = tmp_path / "clone"
    assert git(tmp_path, "clone", "-q", str(folder), str(theirs)).returncode == 0

    for place, who, number in ((folder, "Ana", 2), (theirs, "Ben", 3)):
        project = load_project(place).get()
        part = project.parts["SB-110"]
        fact = {"temper": "T6"} if who == "Ana" else {"responsible": "Ben"}
        with changes(place, "reply accepted", project=project, by=who) as change:
            change.put(records.quote(number))
            change.put(records.part(f"N-{number}"))
            change.put(part.model_copy(update=fact))
            change.keep(
                f"requests/R1/round-1/replies/oakvane-{number}.bin", bytes([13, 10, number])
            )
        git(place, "add", "-A")
        assert git(place, "commit", "-q", "-m", who).returncode == 0
    merged = git(folder, "pull", "-q", "--no-rebase", "--no-edit", str(theirs), "main")
    assert merged.returncode == 0, merged.stdout + merged.stderr
    project = load_project(folder).get()
    assert [quote.number for quote in project.quotes] == [1, 2, 3]
    assert set(project.parts) == {"SB-110", "N-2", "N-3"}
    assert (project.parts["SB-110"].temper, project.parts["SB-110"].responsible) == ("T6", "Ben")
    assert [event.by for event in project.events if event.what == "reply accepted"] == [
        "Ana",
        "Ben",
    ]
    assert (theirs / "requests/R1/round-1/replies/oakvane-3.bin").read_bytes() == b"\r\n\x03"

    git(theirs, "pull", "-q", "--no-rebase", "--no-edit", str(folder), "main")
    for place, who in ((folder, "Ana"), (theirs, "Ben")):
        project = load_project(place).get()
        with changes(place, "part", project=project, by=who) as change:
            change.put(project.parts["SB-110"].model_copy(update={"name": f"{who}'s plate"}))
        git(place, "commit", "-q", "-a", "-m", who)
    assert git(folder, "pull", "-q", "--no-rebase", str(theirs), "main").returncode != 0
    assert [problem.code for problem in load_project(folder).problems] == ["P014"]

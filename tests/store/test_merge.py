"""Two people's clones, merged by git itself."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from rfq.problems import Unreadable
from rfq.store import merge
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


def test_facts_on_neighbouring_lines_do_not_conflict(folder, records, tmp_path: Path) -> None:
    """Two prices beside each other and two notes at one spot: git alone would give up."""
    for name, data in empty_project("x").items():
        if name.startswith("."):
            (folder / name).write_bytes(data)
    one = records.quote().prices[0]
    prices = tuple(one.model_copy(update={"quantity": quantity}) for quantity in (5, 25, 100))
    project = load_project(folder).get()
    save(folder, records.quote(prices=prices), seen=project.hashes["quote:R1/1/oakvane-1"])
    git(folder, "init", "-q", "-b", "main")
    git(folder, "add", "-A")
    git(folder, "commit", "-q", "-m", "start")
    theirs = tmp_path / "clone"
    git(tmp_path, "clone", "-q", str(folder), str(theirs))
    merge.enable(folder)
    for place, who, at in ((folder, "Ana", 0), (theirs, "Ben", 1)):
        project = load_project(place).get()
        quote = project.quotes[0]
        changed = list(quote.prices)
        changed[at] = changed[at].model_copy(update={"note": f"asked by {who}"})
        with changes(place, "notes", project=project, by=who) as change:
            change.put(quote.model_copy(update={"prices": tuple(changed)}))
            fact = {"temper": "T6"} if who == "Ana" else {"marking": "laser"}
            change.put(project.parts["SB-110"].model_copy(update=fact))
        git(place, "add", "-A")
        git(place, "commit", "-q", "-m", who)
    done = git(folder, "pull", "-q", "--no-rebase", "--no-edit", str(theirs), "main")
    assert done.returncode == 0, done.stdout + done.stderr
    project = load_project(folder).get()
    assert [price.note for price in project.quotes[0].prices] == [
        "asked by Ana",
        "asked by Ben",
        "",
    ]
    assert (project.parts["SB-110"].temper, project.parts["SB-110"].marking) == ("T6", "laser")

    git(theirs, "pull", "-q", "--no-rebase", "--no-edit", str(folder), "main")
    for place, who in ((folder, "Ana"), (theirs, "Ben")):
        project = load_project(place).get()
        with changes(place, "part", project=project, by=who) as change:
            change.put(project.parts["SB-110"].model_copy(update={"temper": who}))
        git(place, "commit", "-q", "-a", "-m", who)
    assert git(folder, "pull", "-q", "--no-rebase", str(theirs), "main").returncode != 0
    assert [problem.code for problem in load_project(folder).problems] == ["P014"]


PART = 'number = "SB-110"\nrevision = "B"\nname = "Plate"\nmaterial = "EN AW-6082"\n'


@pytest.mark.parametrize(
    ("ours", "theirs", "joined"),
    [
        ("", "loaded = true\n", "loaded = true\n"),
        ("loaded = true\n", "", "loaded = true\n"),
        ("loaded = true\n", "loaded = true\n", "loaded = true\n"),
        ("[shape]\nsetups = 2\n", "[shape]\naxes = 3\n", "\n[shape]\nsetups = 2\naxes = 3\n"),
        ('free = ["a"]\n', 'free = ["b"]\n', None),
        ('temper = "T6"\n', 'temper = "T4"\n', None),
        ('free = "a"\n', "loaded = true\n", None),  # joined, it would be no part
        (
            'files = [{ path = "a" }]\n',
            'files = [{ path = "b" }]\n',
            'files = [\n  { path = "a" },\n  { path = "b" },\n]\n',
        ),
        ("files = [{ path = 'a' }, { path = 'a' }]\n", "files = [{ path = 'b' }]\n", None),
        ("?", "", None),
        ("# mine\nloaded = true\n", 'temper = "T6"\n', 'temper = "T6"\n# mine\nloaded = true\n'),
    ],
)
def test_facts_are_joined_key_by_key(ours: str, theirs: str, joined: str | None) -> None:
    texts = [(PART + more).encode() for more in ("", ours, theirs)]
    found = merge.merged(*texts, "parts/SB-110.toml")
    assert found == (None if joined is None else (PART + joined).encode())


def test_a_value_taken_out_by_one_side_stays_out() -> None:
    texts = [PART + 'temper = "T6"\n', PART, PART + 'temper = "T6"\nloaded = true\n']
    found = merge.merged(*(text.encode() for text in texts), "parts/SB-110.toml")
    assert found == (PART + "loaded = true\n").encode()
    assert merge.merged(b"", b"a = 1", b"b = 1", "notes.toml") is None


def test_the_driver_writes_into_ours(tmp_path: Path) -> None:
    names = [str(tmp_path / name) for name in ("base", "ours", "theirs")]
    for name, more in zip(names, ("", "loaded = true\n", 'temper = "T6"\n'), strict=True):
        Path(name).write_text(PART + more)
    assert merge.main([*names, "bench/parts/SB-110.toml"]) == 0
    assert Path(names[1]).read_text() == PART + 'temper = "T6"\nloaded = true\n'
    Path(names[2]).write_text(PART + 'temper = "T4"\n')
    assert merge.main([*names, "bench/parts/SB-110.toml"]) == 1
    assert "<<<<<<< ours" in Path(names[1]).read_text()
    for name, text in zip(names, ("a\n\n\nb\n", "a1\n\n\nb\n", "a\n\n\nb1\n"), strict=True):
        Path(name).write_text(text)
    assert merge.main([*names, "notes.toml"]) == 0
    assert Path(names[1]).read_text() == "a1\n\n\nb1\n"


def test_enabling_needs_a_repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(tmp_path.parent))
    with pytest.raises(Unreadable, match="no git repository"):
        merge.enable(tmp_path)
    monkeypatch.setenv("PATH", "")
    with pytest.raises(Unreadable, match="git cannot be run"):
        merge.enable(tmp_path)

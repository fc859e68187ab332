"""Two people run rounds on their clones; git merges them unless they changed the same fact."""

from __future__ import annotations

import shutil
import subprocess
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path

import pytest

from rfq.model.part import FileRef
from rfq.model.quote import Price, Quote, TakenException
from rfq.store.load import load_project
from rfq.store.merge import enable
from rfq.store.new import empty_project
from rfq.store.save import changes
from rfq.tasks.questions import answer, ask, decide_exception, exceptions

R = "2026-07"


def git(place: Path, *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        ["git", "-c", "user.name=x", "-c", "user.email=x@example.com", *words],
        cwd=place, capture_output=True, text=True, check=False,
    )  # fmt: skip


@pytest.fixture
def clones(tmp_path: Path, demo_source: Path) -> tuple[Path, Path]:
    ours, theirs = tmp_path / "ours", tmp_path / "theirs"
    shutil.copytree(demo_source, ours)
    for name in (".gitignore", ".gitattributes"):
        (ours / name).write_bytes(empty_project("x")[name])
    project = load_project(ours).get()
    moment = datetime(2026, 7, 20, 9, tzinfo=UTC)
    price = Price(part="SB-110", revision="B", quantity=25, printed=Decimal(90), each=Decimal(90),
                  currency="EUR")  # fmt: skip
    wishes = tuple(
        TakenException(part="SB-110", callout=str(n), text=f"callout {n} looser") for n in (1, 2)
    )
    with changes(ours, "reply accepted", project=project, by="Ana") as change:
        change.put(
            Quote(shop="wiklina", request=R, received=moment, accepted_at=moment, currency="EUR",
                  source=FileRef(path="x.txt"), prices=(price,), exceptions=wishes)
        )  # fmt: skip
    assert git(ours, "init", "-q", "-b", "main").returncode == 0
    git(ours, "add", "-A")
    git(ours, "commit", "-q", "-m", "start")
    assert git(tmp_path, "clone", "-q", str(ours), str(theirs)).returncode == 0
    for place in (ours, theirs):
        enable(place)
    return ours, theirs


def committed(place: Path, who: str) -> None:
    git(place, "add", "-A")
    assert git(place, "commit", "-q", "-m", who).returncode == 0


def test_questions_and_exceptions_of_two_people_join(
    clones: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    ours, theirs = clones
    for place, who, wish in ((ours, "Ana", 0), (theirs, "Ben", 1)):
        monkeypatch.setenv("RFQ_USER", who)
        one = ask(place, f"{who} asks", from_shop="wiklina", part="SB-110").value
        answer(place, one.id, f"{who} answers")
        key = exceptions(place).value[wish].key
        decide_exception(place, key, accept=who == "Ben", reason=f"{who} says so")
        committed(place, who)
    merged = git(ours, "pull", "-q", "--no-rebase", "--no-edit", str(theirs), "main")
    assert merged.returncode == 0, merged.stdout + merged.stderr
    project = load_project(ours).get()
    assert [(one.id, one.answer) for one in project.clarifications] == [
        ("ana-1", "Ana answers"),
        ("ben-1", "Ben answers"),
    ]
    states = [(one.taken.state, one.taken.by) for one in exceptions(ours).value]
    assert states == [("refused", "Ana"), ("accepted", "Ben")]
    assert {event.by for event in project.events} == {"Ana", "Ben"}


def test_the_same_exception_decided_twice_is_a_conflict(
    clones: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    ours, theirs = clones
    for place, who in ((ours, "Ana"), (theirs, "Ben")):
        monkeypatch.setenv("RFQ_USER", who)
        key = exceptions(place).value[0].key
        decide_exception(place, key, accept=who == "Ben", reason=f"{who} says so")
        committed(place, who)
    merged = git(ours, "pull", "-q", "--no-rebase", "--no-edit", str(theirs), "main")
    assert merged.returncode != 0
    assert [problem.code for problem in load_project(ours).problems] == ["P014"]

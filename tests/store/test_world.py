"""The world in the way: full disks, read-only and vanished folders, locks, kills, two writers."""

from __future__ import annotations

import errno
import json
import os
import resource
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from rfq.problems import Locked, NoProject, TooMuch, Unreadable, Unwritable
from rfq.store import files, journal, recover
from rfq.store.load import load_project
from rfq.store.save import changes, save

HERE = Path(__file__).parent


def snapshot(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and ".rfq" not in path.parts
    }


def run(program: str, *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, str(HERE / program), *words],
        capture_output=True, text=True, timeout=300, check=False,
        env={**os.environ, "RFQ_USER": "Ana"},
    )  # fmt: skip


def test_killed_at_any_instant_nothing_accepted_is_lost(tmp_path: Path) -> None:
    done = run("crash_drill.py", str(tmp_path), "40", "7")
    assert done.returncode == 0, done.stderr
    seen = json.loads(done.stdout)
    assert seen["kills"] == 40 and seen["last"] > 0


def test_two_processes_lose_no_change_of_each_other(tmp_path: Path) -> None:
    done = run("two_writers.py", str(tmp_path), "50")
    assert done.returncode == 0, done.stderr
    seen = json.loads(done.stdout)
    assert seen["kept"] == 100
    assert seen["unnamed"] == 0  # every refusal named both versions


@pytest.mark.parametrize("most", [0, 3, 40, 300, 800])
def test_a_full_disk_takes_back_what_was_written(folder, records, most: int) -> None:
    """The real thing: the system refuses bytes beyond a file's largest size (setrlimit(2))."""
    before = snapshot(folder)
    project = load_project(folder).get()
    pid = os.fork()
    if pid == 0:  # pragma: no cover - the child's coverage is not collected
        resource.setrlimit(resource.RLIMIT_FSIZE, (most, resource.RLIM_INFINITY))
        try:
            with changes(folder, "two records", project=project) as change:
                change.put(records.part(name="Cover"))
                change.put(records.part("SB-120", shop_note="long " * 400))
        except Unwritable as error:
            os._exit(42 if "nothing was changed" in str(error) else 1)
        os._exit(2)
    assert os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) == 42
    assert load_project(folder).get().parts == project.parts
    assert snapshot(folder) == before


def refusing(number: int, when: int):
    """An fsync that fails the n-th time, as a disk does that fills up in between."""
    calls = 0
    real = os.fsync

    def fsync(handle: int) -> None:
        nonlocal calls
        calls += 1
        if calls == when:
            raise OSError(number, os.strerror(number))
        real(handle)

    return fsync


@pytest.mark.parametrize("when", range(1, 12))
@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EIO])
def test_an_error_at_any_step_leaves_all_or_nothing(
    folder, records, monkeypatch: pytest.MonkeyPatch, when: int, number: int
) -> None:
    before = snapshot(folder)
    project = load_project(folder).get()
    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", refusing(number, when))
        try:
            with changes(folder, "two records", project=project) as change:
                change.put(records.part(name="Cover"))
                change.put(records.part("SB-120"))
            failed = False
        except Unwritable:
            failed = True
    after = load_project(folder).get()
    if failed:
        assert after.parts == project.parts
        assert snapshot(folder) == before
    else:
        assert set(after.parts) == {"SB-110", "SB-120"}


@pytest.mark.skipif(os.geteuid() != 0, reason="only root can become another user")
def test_a_folder_of_somebody_else_is_read_and_never_written(folder, records) -> None:
    """Permissions as the system applies them: a child without rights tries to save."""
    with tempfile.TemporaryDirectory() as place:
        theirs = Path(place) / "project"
        shutil.copytree(folder, theirs)
        pid = os.fork()
        if pid == 0:  # pragma: no cover
            os.setuid(65534)
            try:
                load_project(theirs)
            except Unreadable as error:
                said = "cannot be read" in str(error)
                os._exit(41 if said else 1)
            os._exit(2)
        assert os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) == 41
        Path(place).chmod(0o755)
        before = snapshot(theirs)
        pid = os.fork()
        if pid == 0:  # pragma: no cover
            os.setuid(65534)
            project = load_project(theirs).get()
            try:
                save(theirs, records.part("SB-120"))
            except Unwritable as error:
                os._exit(42 if "permission" in str(error) and project.parts else 1)
            os._exit(2)
        assert os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) == 42
        assert snapshot(theirs) == before


def test_a_vanished_folder_is_not_made_again(folder, records) -> None:
    with pytest.raises(NoProject, match="gone"), changes(folder, "part") as change:
        change.put(records.part("SB-120"))
        shutil.rmtree(folder)
    assert not folder.exists()


def test_a_folder_that_lost_its_project_file_takes_nothing(folder, records) -> None:
    (folder / "project.toml").unlink()
    with pytest.raises(NoProject, match="no project any more"):
        save(folder, records.part("SB-120"))


def test_a_folder_in_place_of_a_record_is_said(folder, records) -> None:
    (folder / "parts/SB-120.toml").mkdir()
    with pytest.raises(Unwritable, match="cannot be read"):
        save(folder, records.part("SB-120"))


def test_waiting_for_another_writer_ends_with_its_name(folder) -> None:
    with (
        files.lock(folder, who="Ben"),
        pytest.raises(Locked, match="Ben, process"),
        files.lock(folder, seconds=0.05),
    ):
        pass


def test_what_a_kill_left_is_taken_back_or_finished(folder, records) -> None:
    path = folder / "parts/SB-110.toml"
    old = path.read_bytes()
    new = old.replace(b"Plate", b"Cover")
    event = journal.read_events(folder)[0][-1].model_copy(update={"number": 2, "what": "part"})
    import base64

    change = recover.Change(
        event=event,
        files=(
            recover.Before(path="parts/SB-110.toml", previous=base64.b64encode(old).decode(),
                           after=files.sha256_bytes(new)),
            recover.Before(path="shops/new/x.toml", previous=None,
                           after=files.sha256_bytes(b"x")),
        ),
    )  # fmt: skip
    recover.begin(folder, change)
    path.write_bytes(new)
    files.atomic_write(folder / "shops/new/x.toml", b"x")
    reading = load_project(folder)
    assert [problem.code for problem in reading.problems] == ["S013"]
    assert path.read_bytes() == old
    assert not (folder / "shops/new").exists()

    recover.begin(folder, change)
    path.write_bytes(b'number = "SB-110"\nrevision = "C"\nname = "P"\nmaterial = "EN AW-6082"\n')
    reading = load_project(folder)
    assert [problem.code for problem in reading.problems] == ["S013", "S015"]
    assert load_project(folder).get().parts["SB-110"].revision == "C"

    recover.begin(folder, change)
    journal.append(folder, event)
    assert load_project(folder).problems == ()
    (recover.undo_folder(folder) / recover.PENDING).write_bytes(b"not ours")
    assert load_project(folder).problems == ()


def test_a_pending_change_in_a_folder_that_cannot_be_locked_asks(
    folder, monkeypatch: pytest.MonkeyPatch
) -> None:
    files.atomic_write(recover.undo_folder(folder) / recover.PENDING, b"{}")

    def refuse(*_: object, **__: object) -> None:
        raise Locked("busy")

    monkeypatch.setattr(recover, "lock", refuse)
    assert [problem.code for problem in load_project(folder).problems] == ["S014"]


def test_only_the_newest_changes_are_kept_for_undo(
    folder, records, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(recover, "MOST_KEPT", 3)
    for number in range(5):
        save(folder, records.part(f"N-{number}"))
    assert [path.stem for path in recover.kept_changes(folder)] == [
        "00000004", "00000005", "00000006"
    ]  # fmt: skip
    monkeypatch.setattr(recover, "MOST_KEPT_BYTES", 10)
    save(folder, records.part("N-5"))
    assert [path.stem for path in recover.kept_changes(folder)] == ["00000007"]


def test_leftovers_of_the_dead_are_swept_and_what_is_being_written_is_not(tmp_path: Path) -> None:
    with subprocess.Popen(["true"]) as dead:
        pass
    names = {
        f".rfq-{dead.pid}-a": False, f".rfq-{os.getpid()}-b": True, ".rfq-1-c": True,
        ".rfq-d": False, f".rfq-{'9' * 40}-e": False, "kept": True,
    }  # fmt: skip
    for name in names:
        (tmp_path / name).write_text("")
    (tmp_path / ".git").mkdir()
    (tmp_path / ".git" / ".rfq-x").write_text("")
    files.sweep(tmp_path)
    assert {name for name, stays in names.items() if stays} == {
        path.name for path in tmp_path.iterdir() if path.is_file()
    }
    assert (tmp_path / ".git" / ".rfq-x").exists()


def test_a_process_of_somebody_else_is_alive(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError

    monkeypatch.setattr(os, "kill", refuse)
    (tmp_path / ".rfq-77-a").write_text("")
    assert files.sweep(tmp_path) == ()


def test_reading_is_bounded_and_never_waits(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    for read in (files.sha256_of, lambda path: files.read_bounded(path, 10)):
        with pytest.raises(Unreadable, match="not a plain file"):
            read(pipe)
        with pytest.raises(Unreadable, match="cannot be read"):
            read(tmp_path / "absent")
    (tmp_path / "large").write_bytes(b"x" * 11)
    with pytest.raises(TooMuch):
        files.read_bounded(tmp_path / "large", 10)


def test_a_network_drive_without_fsync_of_folders_is_no_error(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", refusing(errno.EINVAL, 1))
        files.sync_folder(tmp_path)
    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", refusing(errno.EIO, 1))
        with pytest.raises(OSError, match="error"):
            files.sync_folder(tmp_path)


def test_removing_is_refused_in_words(tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()
    with pytest.raises(Unwritable):
        files.remove(tmp_path / "folder")
    files.remove(tmp_path / "gone" / "file")

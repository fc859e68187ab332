"""Hostile and damaged folders: one sentence each, quickly, and nothing followed outwards."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from rfq.model.part import Part
from rfq.problems import Severity, Unreadable
from rfq.store import load, read
from rfq.store.load import load_project
from rfq.store.read import read_record
from rfq.store.words import keys_at, name_of, nearest, shown


def codes(folder: Path) -> list[str]:
    return [problem.code for problem in load_project(folder).problems]


def test_a_record_of_100_mb_is_refused_by_its_size(folder) -> None:
    path = folder / "parts/SB-120.toml"
    with path.open("wb") as stream:
        stream.truncate(100_000_000)
    (problem,) = load_project(folder).problems
    assert (problem.code, problem.message) == ("P013", "the record is larger than 12 MB.")
    assert [p.code for p in read_record(b"a" * 12_000_001, Part, "x").problems] == ["P011"]


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * 100_000,
        "a = " + "{ b = " * 100_000,
        "[" + ".".join("a" * 200_000) + "]",
        ".".join(f'"{n}"' for n in range(100_000)) + " = 1",
        "a = { " + ".".join("b" * 50_000) + " = 1 }",
    ],
    ids=["lists", "tables", "heading", "quoted keys", "inline"],
)
def test_nesting_without_end_is_refused(text: str) -> None:
    assert [problem.code for problem in read_record(text.encode(), Part, "x").problems] == ["P012"]


def test_a_long_word_costs_no_more_than_its_length() -> None:
    reading = read_record(b'number = "' + b"a." * 4_000_000 + b'"', Part, "x")
    assert {problem.code for problem in reading.problems} <= {"P003", "P007", "P012"}


@pytest.mark.parametrize("target", ["/etc/passwd", "../outside.toml"])
def test_links_out_of_the_folder_are_not_followed(folder, target: str) -> None:
    (folder.parent / "outside.toml").write_text("number = 'X'\n")
    (folder / "parts/SB-120.toml").symlink_to(target)
    assert codes(folder) == ["P013"]
    assert load_project(folder).value is None


def test_a_linked_folder_is_not_followed_and_an_inner_link_is(folder) -> None:
    (folder / "notes.txt").symlink_to("/etc/passwd")
    assert codes(folder) == ["P013"] and load_project(folder).ok
    (folder / "shops2").symlink_to("/etc")
    assert not load_project(folder).ok
    (folder / "shops2").unlink()
    (folder / "notes.txt").unlink()
    shutil.move(folder / "parts/SB-110.toml", folder / "files.toml")
    (folder / "parts/SB-110.toml").symlink_to("../files.toml")
    assert "SB-110" in load_project(folder).get().parts


def test_a_pipe_in_place_of_a_record_is_not_waited_for(folder) -> None:
    os.mkfifo(folder / "parts/SB-120.toml")
    os.mkfifo(folder / "journal/ben.jsonl")
    assert codes(folder) == ["P013", "P013"]


def test_too_many_files_and_too_deep_folders_are_bounded(
    folder, monkeypatch: pytest.MonkeyPatch
) -> None:
    deep = folder / "files" / "/".join("abcdefghijklmnop")
    deep.mkdir(parents=True)
    (deep / "x.toml").write_text("")
    assert load_project(folder).problems == ()
    monkeypatch.setattr(load, "MOST_FILES", 3)
    with pytest.raises(Unreadable, match="more than 3 files"):
        load_project(folder)


def test_a_folder_that_vanishes_while_it_is_read(folder, monkeypatch: pytest.MonkeyPatch) -> None:
    real = os.scandir

    def scandir(path):
        if str(path).endswith(gone):
            raise PermissionError(13, "Permission denied")
        return real(path)

    monkeypatch.setattr(load.os, "scandir", scandir)
    gone = "parts"
    assert codes(folder) == ["P013"]
    gone = "project/"
    gone = str(folder).rpartition("/")[2]
    with pytest.raises(Unreadable):
        load_project(folder)


def test_names_in_capitals_only_are_asked_about(folder, records) -> None:
    text = (folder / "parts/SB-110.toml").read_text().replace("SB-110", "sb-110")
    (folder / "parts/sb-110.toml").write_text(text)
    (problem,) = load_project(folder).problems
    assert (problem.code, problem.severity) == ("P021", Severity.ASK)


def test_line_ends_and_a_byte_order_mark_do_not_matter(folder, project) -> None:
    path = folder / "parts/SB-110.toml"
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().replace(b"\n", b"\r\n"))
    assert load_project(folder).get().parts == project.parts


def test_hidden_files_of_others_are_let_be(folder, project) -> None:
    (folder / ".git").mkdir()
    (folder / ".git/config").write_text("[core]")
    (folder / "parts/.SB-110.toml.swp").write_text("")
    assert load_project(folder).problems == ()


def test_no_more_problems_than_a_person_reads() -> None:
    many = "".join(f"unknown{n} = 1\n" for n in range(100))
    assert len(read_record(many.encode(), Part, "x").problems) == read.MOST_PROBLEMS


def test_a_change_finished_while_reading_is_read_again(
    folder, records, monkeypatch: pytest.MonkeyPatch
) -> None:
    from rfq.store.save import save

    real, calls = load._load, []

    def meanwhile(place, settled):
        reading = real(place, settled)
        if not calls:
            save(folder, records.part("SB-120"), by="Ben")
        calls.append(1)
        return reading

    monkeypatch.setattr(load, "_load", meanwhile)
    assert set(load_project(folder).get().parts) == {"SB-110", "SB-120"}
    assert len(calls) == 2


def test_words_for_odd_places() -> None:
    assert name_of(()) == "the record"
    assert keys_at(Part, ("shape", "holes", 0))[:2] == ("diameter_mm", "depth_mm")
    assert keys_at(Part, ("nowhere", 0, "x")) == ()
    assert nearest("zzzz", ("number",)) == ""
    assert shown(b"x") == "something else"
    assert shown("x" * 50) == "'" + "x" * 40 + "…'"
    assert shown({}) == "a table"

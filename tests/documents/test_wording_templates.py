"""Texts with blanks: checked when loaded, a project's own in place of ours."""

from __future__ import annotations

from pathlib import Path

import pytest

from rfq.documents.wording import KINDS, Wording, load_wording
from rfq.problems import Severity


def put(folder: Path, name: str, text: str) -> Path:
    (folder / "templates").mkdir(exist_ok=True)
    (folder / "templates" / name).write_text(text, encoding="utf-8")
    return folder


def test_shipped_texts_are_whole(wording: Wording) -> None:
    assert load_wording().problems == ()
    assert all(wording.has(kind, "en") for kind in KINDS)
    assert wording.has("request", "de") and wording.has("reminder", "de")


def test_a_project_overrides_a_text(tmp_path: Path) -> None:
    put(tmp_path, "request.en.txt", "Subject: RFQ {request}\n\nBy {answer_by}, please.\n")
    letter = (
        load_wording(tmp_path)
        .get()
        .letter("request", "en", {"request": "R1", "answer_by": "Friday"})
    )
    assert letter.subject == "RFQ R1"
    assert letter.body == "By Friday, please.\n"


@pytest.mark.parametrize(
    ("text", "code", "line"),
    [
        ("Subject: {request} {answer_by}\n\nHello {first_name}\n", "D003", 3),
        ("Subject: {request}\n\nHello\n", "D004", 0),
        ("Hello {request}, by {answer_by}\n", "D005", 1),
    ],
)
def test_a_wrong_text_is_named_with_its_line(
    tmp_path: Path, text: str, code: str, line: int
) -> None:
    reading = load_wording(put(tmp_path, "request.en.txt", text))
    assert reading.value is None
    (problem,) = reading.problems
    assert (problem.code, problem.place.line) == (code, line)
    assert problem.place.file == "templates/request.en.txt"


def test_a_file_of_no_kind_is_a_note(tmp_path: Path) -> None:
    reading = load_wording(put(tmp_path, "greeting.en.txt", "hello"))
    assert reading.value is not None
    assert [(p.code, p.severity) for p in reading.problems] == [("D002", Severity.NOTE)]


def test_a_file_in_another_encoding_is_named(tmp_path: Path) -> None:
    put(tmp_path, "request.en.txt", "")
    (tmp_path / "templates" / "request.en.txt").write_bytes("für".encode("latin-1"))
    assert [p.code for p in load_wording(tmp_path).problems] == ["D001"]


def test_a_line_whose_blanks_are_empty_is_left_out(wording: Wording) -> None:
    text = wording.text("request", "en", {"request": "R", "answer_by": "x", "parts": "P"})
    assert "Parts: P" in text
    assert "Finish:" not in text and "What changed" not in text
    assert "{" not in text

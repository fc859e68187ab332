"""The gallery of the store: each folder holds files that are wrong and the words said of them.

``expected.txt`` holds one line a problem: severity, code, place and sentence. The files are laid
over an empty project.
"""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from rfq.store.load import load_project
from rfq.store.verify import verify_all

GALLERY = Path(__file__).parent / "store"
FOLDERS = sorted(path for path in GALLERY.iterdir() if path.is_dir())
ROOT = Path(__file__).parent.parent.parent


@pytest.mark.parametrize("case", FOLDERS, ids=lambda path: path.name)
def test_each_message_says_where_what_and_what_would_be_right(case: Path, tmp_path: Path) -> None:
    folder = tmp_path / "project"
    folder.mkdir()
    (folder / "project.toml").write_text('name = "Sample bench"\n', encoding="utf-8")
    shutil.copytree(case / "files", folder, dirs_exist_ok=True)
    reading = load_project(folder)
    problems = reading.problems
    if reading.value is not None:
        problems += verify_all(folder, reading.value)
    said = [f"{problem.severity} {problem.code} {problem}" for problem in problems]
    assert said == (case / "expected.txt").read_text(encoding="utf-8").splitlines()


def test_each_case_shows_the_code_it_is_named_after() -> None:
    for case in FOLDERS:
        code = case.name.partition("-")[0].upper()
        assert f" {code} " in (case / "expected.txt").read_text(encoding="utf-8"), case.name


def test_every_code_of_the_store_is_shown_or_tested() -> None:
    used: set[str] = set()
    for path in (ROOT / "rfq" / "store").glob("*.py"):
        used |= set(re.findall(r'"([PS]0\d\d)"', path.read_text(encoding="utf-8")))
    shown = {case.name.partition("-")[0].upper() for case in FOLDERS}
    for path in (ROOT / "tests" / "store").glob("test_*.py"):
        shown |= set(re.findall(r'"([PS]0\d\d)"', path.read_text(encoding="utf-8")))
    assert used - shown == set()

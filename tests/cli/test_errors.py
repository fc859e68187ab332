"""Bad input: one clear sentence with file and line or cell, the exit code, nothing changed."""

from __future__ import annotations

import hashlib
import shutil
from pathlib import Path

import pytest

from rfq.cli.main import main

DATA, USAGE, OUTSIDE = 1, 2, 3


@pytest.fixture
def project(tmp_path: Path, demo_source: Path) -> Path:
    folder = tmp_path / "buoy"
    shutil.copytree(demo_source, folder)
    return folder


def state(folder: Path) -> dict[str, str]:
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and ".rfq" not in path.parts
    }


def run(capsys: pytest.CaptureFixture[str], *args: str) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as stop:
        main([*args])
    out = capsys.readouterr()
    assert "Traceback" not in out.err + out.out
    return int(stop.value.code or 0), out.out, out.err


def edit(project: Path, file: str, old: str, new: str) -> int:
    path = project / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return text[: text.index(old)].count("\n") + 1


@pytest.mark.parametrize(
    ("file", "old", "new", "says"),
    [
        ("parts/SB-110.toml", '"T651"', '"T7351"', "has no temper T7351"),
        ("parts/SB-110.toml", "Ø42 H7", "Ø42 I7", "no zone I"),
        ("parts/SB-110.toml", "path = \"drawings/SB-110_B.pdf\"", "path = \"drawings/gone.pdf\"",
         "is not there"),
    ],
)  # fmt: skip
def test_a_wrong_part_is_found_with_file_and_line(
    project: Path, capsys: pytest.CaptureFixture[str], file: str, old: str, new: str, says: str
) -> None:
    line = edit(project, file, old, new)
    before = state(project)
    code, _, err = run(capsys, "check", str(project), "--fast")
    assert code == DATA
    said = next(row for row in err.splitlines() if says in row)
    assert f"{file}:{line}: " in said
    code, _, err = run(capsys, "package", str(project))
    assert code == DATA and says in err
    assert state(project) == before


@pytest.mark.parametrize(
    ("file", "old", "new", "says"),
    [
        ("requests/2026-07/request.toml", "quantities = [5,", "quantities = [-5,", "-5"),
        ("parts/SB-130.toml", "finished_mass_kg =", "finished_mas_kg =", "finished_mass_kg"),
        ("parts/SB-130.toml", 'material = "1.4404"', "material = 1.4404", "material"),
        ("shops/oakvane.toml", 'currency = "USD"', 'currency = "dollars"', "currency"),
        ("rates.toml", "per_eur = 1.1430", "per_eur = ", "rates.toml"),
    ],
)
def test_a_record_that_cannot_be_read_names_file_and_line(
    project: Path, capsys: pytest.CaptureFixture[str], file: str, old: str, new: str, says: str
) -> None:
    line = edit(project, file, old, new)
    before = state(project)
    for command in ("check", "compare", "cost"):
        code, out, err = run(capsys, command, str(project))
        assert code == DATA
        assert not out
        assert any(f"{file}:{line}: " in row and says in row for row in err.splitlines()), err
    assert state(project) == before


def test_an_unreadable_reply_leaves_the_project_as_it_was(
    project: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    reply = tmp_path / "offer.xlsx"
    reply.write_bytes(b"PK\x03\x04 this is no workbook")
    before = state(project)
    code, _, err = run(
        capsys, "import", str(reply), "--project", str(project), "--shop", "oakvane", "--accept"
    )
    assert code == DATA
    assert "offer.xlsx" in err and len(err.strip().splitlines()) <= 3
    assert state(project) == before


def test_a_missing_reply_is_outside_trouble(
    project: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, _, err = run(capsys, "import", str(tmp_path / "no.csv"), "--project", str(project))
    assert code == OUTSIDE and "no.csv" in err


def test_no_project_is_outside_trouble(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, _, err = run(capsys, "compare", str(tmp_path))
    assert code == OUTSIDE and "project.toml" in err


def test_wrong_words_are_a_usage_error(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(capsys, "compar")[0] == USAGE
    assert run(capsys, "cost", "--quantity", "0")[0] == USAGE


@pytest.mark.parametrize("args", [("cost", "--part", "SB-999"), ("compare", "--request", "none"),
                                  ("compare", "--as-of", "soon")])  # fmt: skip
def test_an_unknown_name_says_what_is_known(
    project: Path, capsys: pytest.CaptureFixture[str], args: tuple[str, ...]
) -> None:
    code, _, err = run(capsys, args[0], str(project), *args[1:])
    assert code == DATA and args[2] in err


def test_an_unknown_shop_says_which_there_are(
    project: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, _, err = run(capsys, "package", str(project), "--shop", "nobody")
    assert code == DATA and "kupfermond" in err


def test_a_new_project_needs_an_empty_place(
    project: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = state(project)
    assert run(capsys, "new", str(project))[0] == DATA
    assert run(capsys, "demo", str(project), "--no-app")[0] == DATA
    assert state(project) == before
    assert run(capsys, "new", str(tmp_path / "n"), "--currency", "euro")[0] == DATA


def test_a_new_project_passes_but_for_what_only_the_user_knows(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "fresh"
    assert run(capsys, "new", str(folder))[0] == 0
    code, _, err = run(capsys, "check", str(folder))
    assert code == DATA
    stops = [row for row in err.splitlines() if row.startswith("stop")]
    assert {row.split()[1] for row in stops} <= {"C101", "C102", "C126"}


def test_control_characters_never_reach_the_terminal(
    project: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    edit(project, "parts/SB-130.toml", 'name = "hinge pin"', 'name = "pin \\u001b[31mred"')
    edit(project, "parts/SB-130.toml", 'path = "drawings/SB-130_C.pdf"',
         'path = "drawings/\\u001b[2J.pdf"')  # fmt: skip
    _, out, err = run(capsys, "check", str(project), "--fast")
    assert "\x1b" not in out + err

"""Small tasks: a new project, parts taken in, undo, schema, days, and who is asked for what."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import pytest

from rfq.model.part import Part
from rfq.problems import NoProject, Severity
from rfq.store.load import load_project
from rfq.tasks.done import Stopped
from rfq.tasks.new import new_project
from rfq.tasks.open import find_folder, located, moment_of, opened, request_of, today_of
from rfq.tasks.parts import take_parts
from rfq.tasks.schema import record_schema
from rfq.tasks.undo import undo_last_change


@pytest.fixture
def fresh(tmp_path: Path) -> Path:
    return new_project(tmp_path / "fresh").value


def test_a_new_project_loads_and_has_an_open_request(fresh: Path) -> None:
    project = load_project(fresh).get()
    request = project.request()
    assert request is not None and request.state == "open" and request.answer_by is not None
    assert project.settings.default_request in ("", request.id)
    assert [event.what for event in project.events] == ["project made", "request begun"]


def test_a_parts_list_gives_parts_tempers_and_lines(fresh: Path, tmp_path: Path) -> None:
    source = tmp_path / "list.csv"
    source.write_text(
        "Part no;Rev;Name;Material;Qty\nBX-1;A;bracket;6082-T651;5/25\nBX-2;B;pin;1.4404;\n",
        encoding="utf-8",
    )
    done = take_parts(fresh, source)
    project = load_project(fresh).get()
    assert (project.parts["BX-1"].material, project.parts["BX-1"].temper) == ("EN AW-6082", "T651")
    request = project.request()
    assert request is not None
    assert [(line.part, line.quantities) for line in request.lines] == [("BX-1", (5, 25))]
    assert any("BX-2" in problem.message and problem.code == "P132" for problem in done.problems)
    again = take_parts(fresh, source)
    assert not again.written
    assert {problem.code for problem in again.problems} >= {"P130"}
    assert undo_last_change(fresh).value.startswith("Taken back: parts taken in")
    assert not load_project(fresh).get().parts


def test_drawings_and_models_are_paired_copied_and_hashed(
    fresh: Path, tmp_path: Path, demo_source: Path
) -> None:
    folder = tmp_path / "from-cad"
    folder.mkdir()
    shutil.copy(demo_source / "drawings/SB-130_C.pdf", folder / "BX-2_B.pdf")
    shutil.copy(demo_source / "models/SB-130_C.step", folder / "BX-2 rev B.step")
    done = take_parts(fresh, folder)
    part = load_project(fresh).get().parts["BX-2"]
    assert part.revision == "B" and part.drawing is not None and part.model is not None
    assert (fresh / part.drawing.path).is_file() and len(part.model.sha256) == 64
    assert not [problem for problem in done.problems if problem.severity is Severity.STOP]


def test_a_folder_is_found_from_below(fresh: Path, tmp_path: Path) -> None:
    assert find_folder(fresh / "parts") == fresh.resolve()
    with pytest.raises(NoProject):
        find_folder(tmp_path)


def test_the_day_is_asked_for_pinned_or_today(demo_source: Path, fresh: Path) -> None:
    demo = load_project(demo_source).get()
    assert today_of(demo) == date(2026, 7, 31)
    assert today_of(demo, "2026-08-02") == date(2026, 8, 2)
    assert moment_of(demo).date() == date(2026, 7, 31)
    assert moment_of(demo, "2026-07-03").date() == date(2026, 7, 3)
    with pytest.raises(Stopped) as stop:
        today_of(demo, "next week")
    assert "2026-07-31" in str(stop.value)


def test_an_unknown_request_names_those_there_are(fresh: Path) -> None:
    with pytest.raises(Stopped) as stop:
        request_of(opened(fresh).project, "1999-01")
    assert "requests: " in str(stop.value)


def test_every_record_has_a_schema_that_refuses_unknown_keys() -> None:
    for record in ("project", "part", "shop", "request", "rates", "quote", "award", "order"):
        schema = record_schema(record)
        assert schema["additionalProperties"] is False
    assert "number" in record_schema("part")["required"]


def test_a_record_path_becomes_a_line(demo_source: Path) -> None:
    from rfq.problems import Place, Problem

    text = (demo_source / "parts/SB-130.toml").read_text(encoding="utf-8")
    problem = Problem("C1", "m", Place("parts/SB-130.toml", path="callouts.1.text"))
    (found,) = located(demo_source, [problem])
    row = text.splitlines()[found.place.line - 1]
    part = load_project(demo_source).get().parts["SB-130"]
    assert isinstance(part, Part) and part.callouts[1].text in row and not found.place.path


def test_a_clone_is_told_once_to_join_by_fact(fresh: Path) -> None:
    import subprocess

    from rfq.problems import Unreadable
    from rfq.tasks.join import join_by_fact

    with pytest.raises(Unreadable, match="no git repository"):
        join_by_fact(fresh)
    subprocess.run(["git", "init", "-q"], cwd=fresh, check=True)
    assert "fact by fact" in join_by_fact(fresh).value
    driver = subprocess.run(
        ["git", "config", "merge.rfq.driver"], cwd=fresh, capture_output=True, text=True, check=True
    ).stdout
    assert "rfq.store.merge" in driver

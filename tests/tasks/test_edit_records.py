"""Records changed one field at a time: checked, merged with another's change, attached, removed."""

from __future__ import annotations

import shutil
from decimal import Decimal
from pathlib import Path

import pytest

from rfq.problems import ChangedOnDisk, Unreadable
from rfq.tasks.done import Stopped
from rfq.tasks.edit import (
    Disputed,
    attach_file,
    put_over,
    remove_record,
    save_record,
    with_fields,
)
from rfq.tasks.open import opened
from rfq.tasks.undo import undo_last_change
from rfq.tasks.watch import changed_since, really_changed, trace_of
from rfq.tasks.what_if import Assumed, estimate_with, keep_assumptions


@pytest.fixture
def here(tmp_path: Path, demo_source: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("USER", "ana")
    return Path(shutil.copytree(demo_source, tmp_path / "demo"))


def test_a_wrong_value_is_said_in_words_and_changes_nothing(here: Path) -> None:
    part = opened(here).project.parts["SB-120"]
    new, wrong = with_fields(part, {"certificate": "9.9"})
    assert new is None and "certificate" in wrong and "3.1" in wrong


def test_changes_of_two_people_to_different_fields_are_both_kept(here: Path) -> None:
    mine, theirs = opened(here), opened(here)
    was = mine.project.parts["SB-120"]
    save_record(theirs, was.model_copy(update={"cosmetic": "no scratches"}), was=was)
    save_record(mine, was.model_copy(update={"marking": "laser"}), was=was)
    part = opened(here).project.parts["SB-120"]
    assert (part.cosmetic, part.marking) == ("no scratches", "laser")


def test_changes_to_the_same_field_are_disputed_with_both_values(here: Path) -> None:
    mine, theirs = opened(here), opened(here)
    was = mine.project.parts["SB-120"]
    save_record(theirs, was.model_copy(update={"cosmetic": "polished"}), was=was)
    with pytest.raises(Disputed) as caught:
        save_record(mine, was.model_copy(update={"cosmetic": "matt"}), was=was)
    (one,) = caught.value.conflicts
    assert (one.field, one.mine, one.theirs) == ("cosmetic", "matt", "polished")
    put_over(mine, caught.value.merged)
    assert opened(here).project.parts["SB-120"].cosmetic == "matt"


def test_a_record_removed_meanwhile_is_not_made_again(here: Path) -> None:
    mine = opened(here)
    was = mine.project.parts["SB-120"]
    (here / "parts" / "SB-120.toml").unlink()
    with pytest.raises(ChangedOnDisk):
        save_record(mine, was.model_copy(update={"cosmetic": "matt"}), was=was)


def test_a_part_that_is_asked_for_is_not_removed(here: Path) -> None:
    with pytest.raises(Stopped):
        remove_record(opened(here), "part:SB-120")


def test_a_file_is_attached_with_its_hash_and_what_was_there_stays(
    here: Path, tmp_path: Path
) -> None:
    file = tmp_path / "new.pdf"
    file.write_bytes(b"%PDF-1.4 another")
    project = opened(here)
    old = project.project.parts["SB-120"].drawing
    assert old is not None
    before = (here / old.path).read_bytes()
    part = attach_file(project, project.project.parts["SB-120"], file).value
    assert part.drawing is not None and part.drawing.path != old.path
    assert (here / part.drawing.path).read_bytes() == file.read_bytes()
    assert (here / old.path).read_bytes() == before
    with pytest.raises(Unreadable):
        attach_file(opened(here), part, tmp_path / "none.pdf")
    undo_last_change(here)
    assert opened(here).project.parts["SB-120"].drawing == old


def test_only_other_bytes_are_a_change(here: Path) -> None:
    project = opened(here)
    before = trace_of(here)
    file = here / "parts" / "SB-120.toml"
    file.write_bytes(file.read_bytes())
    touched = changed_since(before, trace_of(here))
    assert really_changed(project, touched) == ()
    file.write_text(file.read_text("utf-8").replace("gimbal yoke", "yoke"), encoding="utf-8")
    assert really_changed(project, ("parts/SB-120.toml",)) == ("parts/SB-120.toml",)
    assert "parts/SB-120.toml" in changed_since(before, trace_of(here))


def test_a_dearer_hour_makes_a_dearer_part_and_is_kept_only_when_asked(here: Path) -> None:
    project = opened(here)
    part = project.project.parts["SB-140"]
    plain = estimate_with(project, part, 25, {}).value
    changed = {"rate 3 axis": Assumed.one(Decimal(150))}
    dear = estimate_with(project, part, 25, changed).value
    assert plain is not None and dear is not None and dear.middle > plain.middle
    assert opened(here).project.rates.parameters == project.project.rates.parameters
    keep_assumptions(project, changed)
    assert opened(here).project.rates.parameters["rate_3_axis"].typical == 150

"""Saving: whole, compared with what was read, journalled, kept in readable form."""

from __future__ import annotations

import stat
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path

import pytest

from rfq.model.event import Event
from rfq.model.project import Project, Settings
from rfq.problems import ChangedOnDisk, NoProject, Unwritable
from rfq.store import names, write
from rfq.store.files import sha256_bytes, sha256_of
from rfq.store.load import load_project, load_record, load_revision
from rfq.store.save import changes, save


def test_a_saved_record_is_in_the_project_and_in_the_journal(folder, records) -> None:
    path = save(folder, records.part("SB-120"), what="part added")
    project = load_project(folder).get()
    assert path == folder / "parts" / "SB-120.toml"
    assert project.parts["SB-120"] == records.part("SB-120")
    assert project.files["part:SB-120"] == "parts/SB-120.toml"
    assert project.hashes["part:SB-120"] == sha256_of(path)
    last = project.events[-1]
    assert (last.what, last.about, last.by, last.number) == ("part added", "part:SB-120", "Ana", 2)


def test_a_record_changed_by_somebody_else_is_not_overwritten(folder, project, records) -> None:
    seen = project.hashes["part:SB-110"]
    path = save(folder, records.part(name="Base plate"), seen=seen)
    theirs = sha256_of(path)
    with pytest.raises(ChangedOnDisk) as refused:
        save(folder, records.part(name="Cover"), seen=seen)
    assert seen[:12] in str(refused.value) and theirs[:12] in str(refused.value)
    assert load_project(folder).get().parts["SB-110"].name == "Base plate"


def test_a_new_record_does_not_replace_one_that_appeared(folder, records) -> None:
    with pytest.raises(ChangedOnDisk, match="exists already"):
        save(folder, records.part(name="Cover"))


def test_a_record_removed_meanwhile_is_not_written_again(folder, project, records) -> None:
    (folder / "parts/SB-110.toml").unlink()
    with pytest.raises(ChangedOnDisk, match="was removed"):
        save(folder, records.part(), seen=project.hashes["part:SB-110"])


def test_one_refusal_stops_the_whole_change(folder, project, records) -> None:
    save(folder, records.shop(payment="14 days"), seen=project.hashes["shop:oakvane"])
    before = (folder / "parts/SB-110.toml").read_bytes()
    with pytest.raises(ChangedOnDisk), changes(folder, "both", project=project) as change:
        change.put(records.part(name="Cover"))
        change.put(records.shop(payment="60 days"))
    assert (folder / "parts/SB-110.toml").read_bytes() == before
    assert [event.what for event in load_project(folder).get().events][-1] == "shop saved"


def test_an_exception_in_the_block_writes_nothing(folder, project, records) -> None:
    with pytest.raises(ZeroDivisionError), changes(folder, "part", project=project) as change:
        change.put(records.part(name="Cover"))
        raise ZeroDivisionError
    assert load_project(folder).get() == project


def test_a_change_may_remove_a_record(folder, project) -> None:
    with changes(folder, "shop removed", project=project) as change:
        change.drop("shop:oakvane")
    assert load_project(folder).get().shops == {}


def test_files_kept_as_they_are_must_be_equal_where_they_exist(folder) -> None:
    path = "requests/R1/round-1/replies/oakvane-2026-07-24-a.txt"
    for _ in range(2):
        with changes(folder, "reply kept") as change:
            change.keep(path, b"one")
    with (
        pytest.raises(ChangedOnDisk, match="never changed") as refused,
        changes(folder, "again") as change,
    ):
        change.keep(path, b"two")
    for data in (b"one", b"two"):
        assert f"version {sha256_bytes(data)[:12]})" in str(refused.value)
    assert (folder / path).read_bytes() == b"one"


@pytest.mark.parametrize("path", ["../out.txt", "/etc/out.txt", "files/../../out.txt"])
def test_nothing_is_kept_outside_the_folder(folder, path: str) -> None:
    with pytest.raises(Unwritable, match="outside"), changes(folder, "x") as change:
        change.keep(path, b"x")


def test_a_key_must_fit_its_record(folder, records) -> None:
    with pytest.raises(ValueError, match="another name"), changes(folder, "x") as change:
        change.put(records.part("SB-110"), key="part:SB-111")
    with pytest.raises(ValueError, match="is no key"):
        names.path_of("part:../SB-110")
    with pytest.raises(ValueError, match="is no key"):
        names.path_of("quote:R1/1")
    with pytest.raises(TypeError, match="not stored on its own"):
        names.key_of(Event(at=records.now, by="a", what="b"))
    with pytest.raises(KeyError):
        names.kind_of("window:1")
    assert not names.fits("shop:SB-110", records.part())


def test_drafts_and_frozen_requests_lie_under_the_key_given(folder, records) -> None:
    from rfq.model.draft import Draft

    draft = Draft(file="requests/R1/round-1/replies/unknown-2026-07-24-a.xlsx", sha256="0" * 64)
    save(folder, draft, key="draft:R1/1/unknown-1")
    save(folder, records.request(), key=names.frozen_key(records.request()))
    project = load_project(folder).get()
    assert project.drafts == (draft,)
    assert load_revision(folder, "R1", 1).get() == records.request()
    assert load_record(folder, "round:R1/1").get() == records.round()
    assert names.key_of(draft, number=3) == "draft://unknown-3".replace("//", "/0/", 1)


def test_all_kinds_know_their_place_both_ways() -> None:
    for kind in names.KINDS:
        key = ":".join(x for x in (kind.name, "/".join("7" for _ in kind.blanks)) if x)
        assert names.key_at(names.path_of(key)) == key
        assert names.kind_of(key) == kind


def test_quotes_are_in_order_of_their_numbers(folder, records) -> None:
    for number in (2, 10):
        save(folder, records.quote(number))
    assert [quote.number for quote in load_project(folder).get().quotes] == [1, 2, 10]


def test_no_change_on_disk_where_the_record_is_the_same(folder, project, records) -> None:
    with changes(folder, "nothing", project=project) as change:
        change.put(records.part())
    assert change.written == ()
    assert change.hashes["part:SB-110"] == project.hashes["part:SB-110"]


def test_an_endless_or_giant_number_is_refused_before_anything_is_written(folder, records) -> None:
    for bad in (Decimal("1E+60"), Decimal("1E-60")):
        quote = records.quote(2, each=str(bad))
        with pytest.raises(Unwritable, match="no number a record can hold"):
            save(folder, quote)
    naive = records.round(2).model_copy(update={"opened": datetime(2026, 7, 1)})  # noqa: DTZ001
    with pytest.raises(Unwritable, match="no time zone"):
        save(folder, naive)
    with pytest.raises(Unwritable, match="half a character"):
        save(folder, records.part("SB-120").model_copy(update={"name": "\ud800"}))
    with pytest.raises(Unwritable, match="at most 12"):
        save(folder, records.part("SB-120", shop_note="x" * 12_000_001))
    unread = records.part("SB-120").model_copy(update={"revision": "B/2"})
    with pytest.raises(Unwritable, match="'revision' is 'B/2'"):
        save(folder, unread)


def test_a_file_is_as_readable_as_the_users_mask_says_and_keeps_its_mode(folder, records) -> None:
    path = folder / "parts/SB-110.toml"
    assert stat.S_IMODE(path.stat().st_mode) & 0o044 == 0o044
    path.chmod(0o600)
    save(folder, records.part(name="Cover"), seen=sha256_of(path))
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_a_project_without_settings_takes_no_records(tmp_path: Path, records) -> None:
    with pytest.raises(NoProject):
        save(tmp_path, records.part())
    with pytest.raises(NoProject, match="no such folder"):
        load_project(tmp_path / "absent")
    with pytest.raises(NoProject, match=r"no project\.toml"):
        load_project(tmp_path)


def test_a_clock_put_back_harms_nothing(folder, records) -> None:
    save(folder, records.part("SB-120"), at=datetime(2026, 7, 25, tzinfo=UTC))
    save(folder, records.part("SB-130"), at=datetime(2020, 1, 1, tzinfo=UTC))
    events = load_project(folder).get().events
    assert [event.about for event in events] == ["part:SB-130", "project", "part:SB-120"]
    assert [event.number for event in events] == [3, 1, 2]


def test_the_text_is_for_people(folder, records, project: Project) -> None:
    assert (folder / "requests/R1/round-1/quotes/oakvane-1.toml").read_text() == (
        'shop = "oakvane"\n'
        'request = "R1"\n'
        "received = 2026-07-24T12:00:00+00:00\n"
        "accepted_at = 2026-07-24T12:00:00+00:00\n"
        'source = { path = "requests/R1/round-1/replies/x.xlsx" }\n'
        'currency = "EUR"\n'
        "prices = [\n"
        '  { part = "SB-110", quantity = 5, printed = 10.00, each = 10.00, currency = "EUR", '
        'place = { file = "reply.xlsx", sheet = "Quote", cell = "F12" } },\n'
        "]\n"
    )
    assert (folder / "project.toml").read_text() == 'name = "Sample bench"\nformat = 1\n'
    wide = write.render(records.part(free=tuple(f"word number {n}" for n in range(9))))
    assert 'free = [\n  "word number 0",\n' in wide


def test_signs_that_mislead_are_written_as_escapes(records) -> None:
    text = write.render(Settings(name="a\u202eb\x1b[31m\u2028"))
    assert 'name = "a\\u202eb\\u001b[31m\\u2028"' in text


def test_hand_comments_stay_with_their_keys(folder, project, records) -> None:
    path = folder / "parts/SB-110.toml"
    path.write_text(
        "# Plate of the bench, see minutes of 3 July\n\n"
        + 'number = "SB-110"\nrevision = "B" # C is coming\nname = "Plate"\n'
        + '# certified stock only\nmaterial = "EN AW-6082"\n'
        + 'shop_note = """\n# no comment\n"""\n'
        + "should_cost = [\n  # asked in May\n"
        + '  { low = 1, middle = 2, high = 3, source = "own # 1" },\n]\n# end\n',
        encoding="utf-8",
    )
    part = load_project(folder).get().parts["SB-110"]
    save(folder, part.model_copy(update={"temper": "T6"}), seen=sha256_of(path))
    assert path.read_text(encoding="utf-8") == (
        "# Plate of the bench, see minutes of 3 July\n# end\n\n"
        'number = "SB-110"\n# C is coming\nrevision = "B"\nname = "Plate"\n'
        '# certified stock only\nmaterial = "EN AW-6082"\ntemper = "T6"\n'
        'shop_note = """\n# no comment\n"""\n'
        "should_cost = [\n  # asked in May\n"
        '  { low = 1, middle = 2, high = 3, source = "own # 1" },\n]\n'
    )
    bare = part.model_copy(update={"should_cost": (), "shop_note": ""})
    save(folder, bare, seen=sha256_of(path))
    assert path.read_text(encoding="utf-8").startswith(
        "# Plate of the bench, see minutes of 3 July\n# end\n# asked in May\n\n"
    )


def test_comments_of_a_file_that_cannot_be_read_do_not_stop_a_repair(folder, records) -> None:
    path = folder / "parts/SB-110.toml"
    for damaged in (b"# note\nnumber = \n", b"# \xff\n", b'name = "a # b"\n'):
        path.write_bytes(damaged)
        save(folder, records.part(), seen=sha256_of(path))
        assert load_project(folder).get().parts["SB-110"] == records.part()


def test_a_comment_in_a_table_that_became_something_else_moves_to_the_top(folder, records) -> None:
    path = folder / "parts/SB-110.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(f"{text}[drawing.x]\n# of y\ny = 1\n[[files]]\n# of z\nz = 2\n")
    save(folder, records.part(files=({"path": "a"},)), seen=sha256_of(path))
    assert path.read_text(encoding="utf-8").startswith("# of y\n# of z\n\nnumber")


def test_bounds_of_numbers_and_of_the_line(records) -> None:
    for most in ("1E+40", "1E-40", "-" + "9" * 41):
        assert write.fits_digits(Decimal(most))
    for beyond in ("1E+41", "1E-41", "9" * 42):
        assert not write.fits_digits(Decimal(beyond))
    for length, rows in ((100, 1), (101, 3)):
        word = "x" * (length - len('free = [""]'))
        text = write.render(records.part(free=(word,)))
        assert text[text.index("free") :].count("\n") == rows


def test_what_was_read_and_what_stands_there_are_named_by_twelve_digits(
    folder, project, records
) -> None:
    seen = project.hashes["part:SB-110"]
    path = save(folder, records.part(name="Base plate"), seen=seen)
    with pytest.raises(ChangedOnDisk) as refused:
        save(folder, records.part(name="Cover"), seen=seen)
    assert f"version {seen[:12]} then, {sha256_of(path)[:12]} now;" in str(refused.value)

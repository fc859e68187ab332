"""Journal, undo, originals, sent packages, hashes, format steps, exchange rates, new projects."""

from __future__ import annotations

import getpass
import json
import shutil
import subprocess
import zipfile
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from pathlib import Path

import pytest

from rfq.model.award import FirstArticle, Order
from rfq.model.draft import Draft
from rfq.model.event import Event
from rfq.model.part import FileRef
from rfq.model.rates import ExchangeRate
from rfq.problems import ChangedOnDisk, NoProject, Severity, Unwritable
from rfq.store import ecb, formats, journal, new, recover, undo
from rfq.store.files import sha256_bytes, sha256_of
from rfq.store.load import load_project
from rfq.store.locate import line_of, lines_of
from rfq.store.originals import place_reply, safe_name
from rfq.store.save import changes, save
from rfq.store.verify import verify_all

DAY = date(2026, 7, 24)


# Journal


def test_each_person_has_a_journal_with_running_numbers(folder, records) -> None:
    for who in ("Ana Núñez", "Ben", "Ana Núñez", "李"):
        save(folder, records.part(f"N-{len(list((folder / 'parts').iterdir()))}"), by=who)
    names = sorted(path.name for path in (folder / "journal").iterdir())
    assert names[:3] == ["ana-nunez.jsonl", "ana.jsonl", "ben.jsonl"]
    assert names[3].startswith("user-")
    events = load_project(folder).get().events
    assert [event.number for event in events if event.by == "Ana Núñez"] == [1, 2]


def test_a_torn_line_is_cut_before_the_next(folder, records) -> None:
    path = folder / "journal/ana.jsonl"
    whole = path.read_bytes()
    path.write_bytes(whole + b'{"at":"2026-07-24T1')
    assert [p.code for p in load_project(folder).problems] == ["P019"]
    save(folder, records.part("SB-120"))
    assert path.read_bytes().startswith(whole + b'{"at"')
    assert [e.number for e in load_project(folder).get().events] == [1, 2]
    path.write_bytes(path.read_bytes().rstrip(b"\n"))  # as an editor may leave it
    save(folder, records.part("SB-130"))
    assert sorted(e.number for e in load_project(folder).get().events) == [1, 2, 3]


def test_an_empty_journal_and_a_moment_without_zone(folder, records) -> None:
    path = folder / "journal/ana.jsonl"
    path.write_bytes(b"")
    save(folder, records.part("SB-120"))
    path.write_bytes(b'{"at":"2026-07-24T12:00:00","by":"Ana","what":"typed"}\n\n')
    (event,) = load_project(folder).get().events
    assert event.at == datetime(2026, 7, 24, 12, tzinfo=UTC)


def test_a_line_that_stands_twice_after_a_merge_counts_once(folder) -> None:
    path = folder / "journal/ana.jsonl"
    path.write_bytes(path.read_bytes() * 2)
    assert len(load_project(folder).get().events) == 1


def test_an_event_may_be_appended_on_its_own(folder) -> None:
    event = Event(at=datetime(2026, 7, 24, tzinfo=UTC), by="Ana", what="mail written")
    assert journal.append(folder, event).number == 2
    assert journal.read_events(folder)[0][0].what == "mail written"


def test_who_is_at_work(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("RFQ_USER", " Ana ")
    assert journal.user_name() == "Ana"
    monkeypatch.delenv("RFQ_USER")
    monkeypatch.setenv("GIT_CONFIG_GLOBAL", str(tmp_path / "config"))
    (tmp_path / "config").write_text("[user]\n\tname = Ben\n")
    assert journal.user_name(tmp_path) == "Ben"
    monkeypatch.setattr(subprocess, "run", _raising(OSError("no git")))
    monkeypatch.setattr(getpass, "getuser", lambda: "cleo")
    assert journal.user_name() == "cleo"
    monkeypatch.setattr(getpass, "getuser", _raising(KeyError("no name")))
    assert journal.user_name() == "somebody"


def _raising(error: Exception):
    def call(*_: object, **__: object) -> None:
        raise error

    return call


# Undo


def test_undo_restores_the_previous_bytes_and_says_so(folder, records) -> None:
    project = load_project(folder).get()
    before = (folder / "parts/SB-110.toml").read_bytes()
    with changes(folder, "two parts", project=project) as change:
        change.put(records.part(name="Cover"))
        change.put(records.part("SB-120"))
        change.drop("shop:oakvane")
    what = undo.what_undo_would_take_back(folder)
    assert what is not None and what.what == "two parts"
    undone = undo.undo_last(folder)
    assert undone is not None and set(undone.paths) == {
        "parts/SB-110.toml", "parts/SB-120.toml", "shops/oakvane.toml"
    }  # fmt: skip
    assert (folder / "parts/SB-110.toml").read_bytes() == before
    after = load_project(folder).get()
    assert (after.parts, after.shops) == (project.parts, project.shops)
    assert [event.what for event in after.events][-1] == "undone"
    kept = list(recover.undo_folder(folder).rglob("SB-120.toml"))
    assert len(kept) == 1  # an undo by mistake loses nothing


def test_undo_goes_back_step_by_step_and_ends(folder, records) -> None:
    save(folder, records.part("SB-120"))
    assert undo.undo_last(folder) and undo.undo_last(folder)
    assert undo.undo_last(folder) is None
    assert undo.what_undo_would_take_back(folder) is None
    assert not (folder / "project.toml").exists()


def test_undo_is_refused_after_a_later_hand_edit(folder, records) -> None:
    path = save(folder, records.part("SB-120"))
    path.write_bytes(path.read_bytes() + b"# mine\n")
    with pytest.raises(ChangedOnDisk, match="cannot be undone"):
        undo.undo_last(folder)
    assert path.exists()


def test_an_undo_cut_short_is_whole_or_not_at_all(
    folder, records, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = save(folder, records.part("SB-120"))
    with monkeypatch.context() as patch:
        patch.setattr(journal, "append", _raising(Unwritable("full")))
        with pytest.raises(Unwritable):
            undo.undo_last(folder)
    assert path.exists() and len(load_project(folder).get().events) == 2
    with monkeypatch.context() as patch:
        patch.setattr(recover, "finish", _raising(KeyboardInterrupt()))
        with pytest.raises(KeyboardInterrupt):
            undo.undo_last(folder)
    assert load_project(folder).get().parts.keys() == {"SB-110"}
    assert len(recover.kept_changes(folder)) == 1


# Originals and sent packages


def test_a_reply_is_kept_byte_for_byte_and_a_second_copy_noticed(folder) -> None:
    data = b"\r\n\x00\xff" * 10
    kept = place_reply(folder, "R1", 1, "oakvane", DAY, "Offer 7.xlsx", data)
    assert kept.source.path == "requests/R1/round-1/replies/oakvane-2026-07-24-Offer-7.xlsx"
    with changes(folder, "reply kept") as change:
        change.keep(kept.source.path, data)
    assert (folder / kept.source.path).read_bytes() == data
    again = place_reply(folder, "R1", 2, "", DAY, "other name.xlsx", data)
    assert again.data is None and again.source == kept.source
    assert [problem.code for problem in again.problems] == ["S030"]
    other = place_reply(folder, "R1", 1, "oakvane", DAY, "Offer 7.xlsx", data[::-1])
    assert other.source.path.endswith("/oakvane-2026-07-24-Offer-7-2.xlsx")
    (folder / "requests/R1/round-1/replies/unknown-2026-07-24-mail").write_bytes(b"a")
    bare = place_reply(folder, "R1", 1, "", DAY, "mail", b"b")
    assert bare.source.path.endswith("/unknown-2026-07-24-mail-2")


@pytest.mark.parametrize(
    ("came", "safe"),
    [
        ("../../etc/passwd", "passwd"),
        ("C:\\temp\\Angebot.PDF", "Angebot.PDF"),
        ("\x1b[31mred\n.xls", "31mred.xls"),
        (".hidden", "file.hidden"),
        ("...", "file"),
        ("见积.xlsx", "file.xlsx"),
        ("a" * 300 + ".csv", "a" * 80 + ".csv"),
    ],
)
def test_names_of_replies_are_made_safe(came: str, safe: str) -> None:
    assert safe_name(came) == safe


PACKAGE = "requests/R1/sent/oakvane/R1_rev1_round1"


def test_what_was_sent_is_vouched_for_and_never_replaced(folder) -> None:
    _keep(folder, {f"{PACKAGE}/request.pdf": b"%PDF", f"{PACKAGE}/drawings/SB-110.pdf": b"%PDF 2"})
    _keep(folder, {f"{PACKAGE}/mail.txt": b"Dear", "requests/R1/awards/A1/letter.pdf": b"%PDF 3"})
    _keep(folder, {f"{PACKAGE}/mail.txt": b"Dear"})
    reading = load_project(folder)
    assert reading.problems == ()
    assert verify_all(folder, reading.get()) == ()
    with pytest.raises(ChangedOnDisk, match="never changed"):
        _keep(folder, {f"{PACKAGE}/mail.txt": b"Dear all"})


def test_the_list_of_hashes_is_what_the_usual_program_checks(folder) -> None:
    """Outside check: sha256sum of the GNU coreutils reads the list and agrees."""
    if shutil.which("sha256sum") is None:
        pytest.skip("sha256sum is not on this machine")
    _keep(folder, {f"{PACKAGE}/a b.pdf": b"%PDF", f"{PACKAGE}/drawings/SB-110.pdf": b"%PDF 2"})
    place = folder / "requests/R1/sent/oakvane"
    words = ["sha256sum", "--check", "--strict", "R1_rev1_round1.sha256"]
    done = subprocess.run(words, cwd=place, capture_output=True, text=True, check=False)
    assert done.returncode == 0 and done.stdout.count(": OK") == 2


def _keep(folder: Path, files: dict[str, bytes]) -> None:
    with changes(folder, "sent") as change:
        for path, data in files.items():
            change.keep(path, data)


def test_any_flipped_bit_is_found(folder, records) -> None:
    manifest = {"files": [{"name": "request.pdf", "sha256": sha256_bytes(b"%PDF" * 50)}]}
    package = {
        "request.pdf": b"%PDF" * 50,
        "manifest.json": json.dumps(manifest).encode(),
        "all.zip": b"PK" * 99,
    }
    _keep(folder, {f"{PACKAGE}/{name}": data for name, data in package.items()})
    where = {
        name: f"files/{name}" for name in ("ack.pdf", "measured.xlsx", "drawing.pdf", "more.txt")
    }
    reply = "requests/R1/round-1/replies/oakvane-2026-07-24-a.xlsx"
    other = "requests/R1/round-1/replies/unknown-2026-07-24-b.xlsx"
    _keep(folder, {path: path.encode() * 9 for path in (*where.values(), reply, other)})

    def reference(path: str) -> FileRef:
        return FileRef(path=path, sha256=sha256_of(folder / path))

    project = load_project(folder).get()
    with changes(folder, "records", project=project) as change:
        change.put(records.quote(source=reference(reply)))
        change.put(Draft(file=reply, sha256=reference(reply).sha256), key="draft:R1/1/oakvane-1")
        change.put(Draft(file=other, sha256=reference(other).sha256), key="draft:R1/1/unknown-1")
        change.put(Order(id="O1", request="R1", award="A1", shop="oakvane", placed=DAY, lines=(),
                         acknowledgement=reference(where["ack.pdf"])))  # fmt: skip
        change.put(Order(id="O2", request="R1", award="A1", shop="oakvane", placed=DAY, lines=()))
        change.put(FirstArticle(id="F1", request="R1", part="SB-110", revision="B", received=DAY,
                                source=reference(where["measured.xlsx"])))  # fmt: skip
        change.put(FirstArticle(id="F2", request="R1", part="SB-110", revision="B", received=DAY))
        change.put(records.part(drawing=reference(where["drawing.pdf"]),
                                files=(reference(where["more.txt"]),)))  # fmt: skip
    project = load_project(folder).get()
    assert verify_all(folder, project) == ()
    paths = [reply, other, *where.values(), *(f"{PACKAGE}/{name}" for name in package)]
    for path in paths:
        data = (folder / path).read_bytes()
        for bit in (0, len(data) * 8 - 1):
            flipped = bytearray(data)
            flipped[bit // 8] ^= 1 << bit % 8
            (folder / path).write_bytes(flipped)
            found = {(one.code, one.place.file) for one in verify_all(folder, project)}
            assert ("S001", path) in found and len(found) <= 2
        (folder / path).unlink()
        (problem,) = verify_all(folder, project)
        assert problem.code == "S002"
        (folder / path).write_bytes(data)
    asked = [where["drawing.pdf"], where["more.txt"]]
    for path in asked:
        (folder / path).write_bytes(b"revised")
    assert {p.severity for p in verify_all(folder, project)} == {Severity.ASK}


# Format


def test_an_older_folder_is_upgraded_and_a_copy_kept(
    folder, project, monkeypatch: pytest.MonkeyPatch
) -> None:
    """There is one format so far; the step to a next one is tried with a made-up change."""

    def step(records: formats.Records) -> formats.Records:
        out = {path: text.replace('name = "Plate"', 'name = "PLATE"') for path, text in
               records.items() if path != "shops/oakvane.toml"}  # fmt: skip
        out["project.toml"] = out["project.toml"].replace("format = 1", "format = 2")
        return out

    before = {path: (folder / path).read_bytes() for path in project.files.values()}
    assert formats.upgrade(folder) is None
    monkeypatch.setattr(formats, "CURRENT", 2)
    monkeypatch.setattr(formats, "STEPS", {1: step})
    assert [p.code for p in load_project(folder).problems] == ["S012"]
    copy = formats.upgrade(folder)
    assert copy is not None
    with zipfile.ZipFile(copy) as archive:
        assert {name: archive.read(name) for name in archive.namelist()} == before
    after = load_project(folder).get()
    assert after.settings.format == 2
    assert after.parts["SB-110"].name == "PLATE"
    assert after.shops == {}
    undo.undo_last(folder)
    assert {path: (folder / path).read_bytes() for path in before} == before


def test_a_newer_folder_is_refused_in_words(folder) -> None:
    (folder / "project.toml").write_text('name = "x"\nformat = 9\n')
    (problem,) = load_project(folder).problems
    assert problem.message == (
        "this folder has format 9, this program reads up to 1; install a newer rfq."
    )
    (folder / "project.toml").write_text('name = "x"\nformat = "new"\n')
    assert [p.code for p in load_project(folder).problems] == ["P004"]
    (folder / "project.toml").write_text("name = \n")
    assert [p.code for p in load_project(folder).problems] == ["P001"]


# Exchange rates


@pytest.mark.parametrize(
    ("day", "currency", "rate"),
    [
        # ECB euro reference rates as published on those days (from memory of the series).
        (date(1999, 1, 4), "USD", "1.1789"),
        (date(2024, 1, 2), "USD", "1.0956"),
        (date(2024, 3, 28), "USD", "1.0811"),
        (date(2024, 3, 28), "GBP", "0.85510"),
        (date(2008, 7, 15), "USD", "1.5990"),
    ],
)
def test_rates_of_the_ecb_are_those_published(day: date, currency: str, rate: str) -> None:
    rates, problems = ecb.exchange_rates(day, [currency])
    assert problems == ()
    assert rates[currency].per_eur == Decimal(rate)
    assert (rates[currency].on, rates[currency].source) == (day, "ECB reference rate")


def test_a_day_without_a_rate_takes_the_last_before_and_says_so() -> None:
    easter = date(2024, 4, 1)  # Easter Monday: the ECB is closed, the last day was 28 March
    rates, (problem,) = ecb.exchange_rates(easter, ["USD", "EUR"])
    assert rates["USD"].per_eur == Decimal("1.0811")
    assert (problem.code, problem.severity) == ("S021", Severity.NOTE)
    assert problem.message.endswith("that of 2024-03-28 is taken.")
    assert rates["EUR"].per_eur == 1


def test_a_day_long_after_the_bundled_rates_asks() -> None:
    end = ecb.bundled_until()
    rates, (problem,) = ecb.exchange_rates(date(end.year + 2, 1, 1), ["USD"])
    assert rates["USD"].on == end
    assert (problem.code, problem.severity) == ("S022", Severity.ASK)


@pytest.mark.parametrize(("days", "code"), [(1, "S021"), (10, "S021"), (11, "S022")])
def test_ten_days_without_a_rate_are_noted_more_are_asked(days: int, code: str) -> None:
    day = ecb.bundled_until() + timedelta(days=days)
    assert [problem.code for problem in ecb.exchange_rates(day, ["USD"])[1]] == [code]


@pytest.mark.parametrize(
    ("day", "currency", "said"),
    [
        (DAY, "TWD", "publishes no rate for TWD"),
        (date(1998, 1, 1), "USD", "begin on 1999-01-04"),
    ],
)
def test_an_unknown_rate_is_never_guessed(day: date, currency: str, said: str) -> None:
    rates, (problem,) = ecb.exchange_rates(day, [currency])
    assert rates == {} and problem.code == "S020" and said in problem.message


def test_your_own_rates_win() -> None:
    own = tuple(
        ExchangeRate(currency="USD", per_eur=Decimal(rate), on=on)
        for rate, on in (("1.05", date(2026, 1, 1)), ("1.07", date(2026, 7, 1)),
                         ("1.20", date(2026, 9, 1)))
    )  # fmt: skip
    rates, problems = ecb.exchange_rates(DAY, ["USD"], own)
    assert rates["USD"].per_eur == Decimal("1.07") and problems == ()
    rates, (problem,) = ecb.exchange_rates(date(2025, 1, 1), ["USD"], own)
    assert rates["USD"].per_eur == Decimal("1.05") and problem.code == "S023"


# New projects


def test_an_empty_project_opens_without_a_word(tmp_path: Path) -> None:
    folder = tmp_path / "a" / "bench"
    written = new.create_project(folder, "Bench", currency="PLN", country="PL")
    assert {path.name for path in written} == {
        "project.toml", "rates.toml", ".gitignore", ".gitattributes"
    }  # fmt: skip
    reading = load_project(folder)
    assert reading.problems == ()
    assert reading.get().settings.currency == "PLN"
    assert "# Your own rates" in (folder / "rates.toml").read_text()
    with pytest.raises(NoProject, match="a project already"):
        new.create_project(folder, "Bench")
    (tmp_path / "file").write_text("")
    with pytest.raises(Unwritable):
        new.create_project(tmp_path / "file" / "x", "Bench")
    mine = tmp_path / "mine"
    mine.mkdir()
    (mine / ".gitignore").write_text("secret/\n")
    new.create_project(mine, "Mine")
    assert (mine / ".gitignore").read_text() == "secret/\n"


# Lines


def test_lines_of_hand_written_forms() -> None:
    text = (
        "# head\n'a b'.c = '''\nx\n'''\n\"q\\u0041\" = 1 # c\n[t . u]\nk = [ 1, # one\n 2,\n"
        '  { z = \'}\' , y = [] },\n]\n[[n]]\nm = 1\n[[n.o]]\np = """a\\"\n"""\n[[n]]\n'
        "[n.r]\ns = 2026-07-24 08:00:00Z\n"
    )
    lines = lines_of(text)
    assert lines[("a b", "c")] == 2
    assert lines[("qA",)] == 5
    assert lines[("t", "u", "k", 1)] == 8
    assert lines[("t", "u", "k", 2, "y")] == 9
    assert lines[("n", 0, "o", 0, "p")] == 14
    assert lines[("n", 1, "r", "s")] == 18
    assert line_of(text, ("n", 1, "absent")) == 16
    assert line_of(text, ("nothing",)) == 1
    with pytest.raises(ValueError, match="no key in line 1"):
        lines_of("= 1")
    assert sha256_bytes(b"") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"

"""The gallery of tasks: what stops one, or what it has to say, with code and words."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

from rfq.model import response as names
from rfq.model.award import Rules
from rfq.store.load import load_project
from rfq.store.save import changes
from rfq.tasks import order as orders
from rfq.tasks import questions, review, rounds
from rfq.tasks.award import choose_award, propose_awards
from rfq.tasks.award_rules import rules_from_words
from rfq.tasks.begin import copy_demo
from rfq.tasks.compare import compare_project
from rfq.tasks.cost import cost_project
from rfq.tasks.demo import run_demo
from rfq.tasks.done import Stopped
from rfq.tasks.edit import remove_record
from rfq.tasks.first_article import decide_first_article, make_form, take_first_article
from rfq.tasks.history import apply_rates, history
from rfq.tasks.new import new_project
from rfq.tasks.open import opened, request_of, today_of
from rfq.tasks.parts import take_parts
from rfq.tasks.request import make_packages
from rfq.tasks.take_quote import take_reply, unsure
from rfq.tasks.targets import target_letters

R = "2026-07"
DUE = datetime(2026, 8, 14, 12, tzinfo=UTC)
HEAD = "part,quantity,unit price EUR\n"


@pytest.fixture
def ran(ran_demo: tuple[Path, tuple[str, ...]], tmp_path: Path) -> Path:
    """A copy of the demo after its whole job: sent, replies accepted, round 1 open."""
    return Path(shutil.copytree(ran_demo[0], tmp_path / "ran"))


@pytest.fixture
def plain(demo_source: Path, tmp_path: Path) -> Path:
    """A copy of the demo before its job: nothing has gone out."""
    return Path(shutil.copytree(demo_source, tmp_path / "plain"))


def put(folder: Path, *records: Any) -> None:
    with changes(folder, "test", project=load_project(folder).get()) as change:
        for record in records:
            change.put(record)


def first_question(folder: Path, **more: str) -> str:
    return questions.ask(folder, "Which edge is meant?", **more).value.id  # type: ignore[arg-type]


STOPS: list[tuple[str, str, Callable[[Path], Any]]] = [
    ("P101", "there is no request 'R9'", lambda f: request_of(opened(f).project, "R9")),
    ("P102", "'soon' is no date; write it as", lambda f: today_of(opened(f).project, "soon")),
    ("P103", "holds a project already", lambda f: new_project(f)),
    ("P104", "'euro' is no currency code", lambda f: new_project(f / "new", currency="euro")),
    ("P106", "there is no part 'XX'", lambda f: cost_project(f, part="XX")),
    ("P106", "there is no part 'XX'", lambda f: make_form(f, "XX")),
    ("P110", "shop 'nobody' is not asked", lambda f: make_packages(f, shops=("nobody",))),
    ("P120", "is not empty; name a new folder", lambda f: copy_demo(f)),
    ("P120", "is not empty; name a new folder", lambda f: run_demo(f, say=str)),
    ("P140", "asks for SB-110; take it out there first",
     lambda f: remove_record(opened(f), "part:SB-110")),
    ("F110", "there is no single order 'o9'; orders: none yet",
     lambda f: orders.receive(f, "o9", "x")),
    ("F210", "there is no first article 'x'", lambda f: decide_first_article(f, "x", "accept", "")),
    ("F300", "there is no project (project.toml)", lambda f: history([f / "parts"])),
    ("A025", "the rules cannot be read", lambda f: rules_from_words(capacity=("wiklina",))),
    ("W112", "part 'XX' is not in request", lambda f: questions.ask(f, "Why?", part="XX")),
    ("W120", "there is no question", lambda f: questions.ask(f, "  ")),
    ("W120", "there is no answer", lambda f: questions.answer(f, first_question(f), " ")),
    ("W121", "goes to a shop or comes from one, not both",
     lambda f: questions.ask(f, "Why?", to_shop="wiklina", from_shop="oakvane")),
    ("W122", "there is no question 'q9'", lambda f: questions.answer(f, "q9", "yes")),
    ("W125", "has no answer yet, and no shop it is put to",
     lambda f: questions.send(f, first_question(f))),
    ("W126", "there is no exception 'e9'",
     lambda f: questions.decide_exception(f, "e9", accept=True, reason="yes")),
    ("W133", "wiklina has no 'nothing'", lambda f: target_letters(f, {"wiklina": ("nothing",)})),
]  # fmt: skip


@pytest.mark.parametrize(("code", "said", "task"), STOPS, ids=[one[0] for one in STOPS])
def test_a_task_stops_with_its_reason(
    code: str, said: str, task: Callable[[Path], Any], ran: Path
) -> None:
    with pytest.raises(Stopped) as stopped:
        task(ran)
    (problem,) = stopped.value.problems
    assert (problem.code, said in problem.message) == (code, True), problem


def test_a_new_project_says_what_is_yours_to_fill_in(tmp_path: Path) -> None:
    (note,) = new_project(tmp_path / "new").problems
    assert note.code == "P105" and "rfq check lists them" in note.message


def test_files_of_another_revision(plain: Path, tmp_path: Path, demo_source: Path) -> None:
    (tmp_path / "cad").mkdir()
    shutil.copy(demo_source / "drawings/SB-130_C.pdf", tmp_path / "cad" / "SB-130_D.pdf")
    found = take_parts(plain, tmp_path / "cad").problems
    assert any(p.code == "P131" and "SB-130 is at revision C" in p.message for p in found), found


def test_a_history_that_proposes_nothing(plain: Path) -> None:
    with pytest.raises(Stopped) as stopped:
        apply_rates(history([plain]).value, plain)
    (problem,) = stopped.value.problems
    assert problem.code == "F302" and "no rates are proposed" in problem.message


def test_a_request_not_yet_sent_needs_no_revision(plain: Path) -> None:
    with pytest.raises(Stopped) as stopped:
        rounds.revise(plain)
    assert [p.code for p in stopped.value.problems] == ["W108"]


def test_a_revision_without_a_change(ran: Path) -> None:
    done = rounds.revise(ran)
    assert any(p.code == "W109" and "nothing differs" in p.message for p in done.problems)


def test_what_was_sent_is_changed_afterwards(ran: Path) -> None:
    part = load_project(ran).get().parts["SB-130"]
    put(ran, part.model_copy(update={"name": "another name"}))
    assert "W110" in {p.code for p in rounds.rounds_state(ran).problems}
    with pytest.raises(Stopped) as stopped:
        make_packages(ran)
    assert [p.code for p in stopped.value.problems] == ["P111"]


def test_an_answer_that_changes_the_request(ran: Path) -> None:
    done = questions.answer(ran, first_question(ran), "M5", kind="changed requirement")
    assert any(p.code == "W124" and "revise it" in p.message for p in done.problems)


def test_a_closed_request_takes_no_more(ran: Path) -> None:
    request = load_project(ran).get().requests[R]
    put(ran, request.model_copy(update={"state": "closed"}))
    for task in (
        lambda: rounds.revise(ran),
        lambda: rounds.open_next_round(ran, DUE, argument="x"),
    ):
        with pytest.raises(Stopped) as stopped:
            task()
        assert [p.code for p in stopped.value.problems] == ["W107"]
    with pytest.raises(Stopped) as stopped:
        choose_award(ran, "cheapest", "because", seconds=5)
    assert [p.code for p in stopped.value.problems] == ["A022"]


def test_rules_that_cannot_all_hold(ran: Path) -> None:
    rules = Rules(most_shops=1, need_date=date(2026, 8, 1))
    done = propose_awards(ran, rules, seconds=5)
    assert any(p.code == "A010" and "no award keeps all rules" in p.message for p in done.problems)


def test_a_proposal_that_cannot_be_made_is_named(ran: Path) -> None:
    done = propose_awards(ran, Rules(forbidden=("kupfermond/SB-110",)), seconds=5)
    assert any(p.code == "A011" and "there is no proposal" in p.message for p in done.problems)


def test_orders_and_their_messages(ran: Path) -> None:
    choose_award(ran, "cheapest", "lowest of the sound prices", seconds=5)
    order = load_project(ran).get().orders[0]
    part, pieces = order.lines[0].part, order.lines[0].quantity
    stops: list[tuple[str, str, Callable[[], Any]]] = [
        ("F111", "has no part 'XX'", lambda: orders.receive(ran, order.id, "XX")),
        ("F112", "-1 pcs is no number of pieces",
         lambda: orders.receive(ran, order.id, part, good=-1)),
        ("F112", "is more than the", lambda: orders.receive(ran, order.id, part, good=pieces + 1)),
        ("F113", "is none; write its net total",
         lambda: orders.take_invoice(ran, order.id, Decimal(-1))),
    ]  # fmt: skip
    for code, said, task in stops:
        with pytest.raises(Stopped) as stopped:
            task()
        (problem,) = stopped.value.problems
        assert (problem.code, said in problem.message) == (code, True), problem
    late = orders.receive(ran, order.id, part, promised=date(2026, 7, 1))
    assert any(p.code == "F103" and "a day that has passed" in p.message for p in late.problems)


def test_a_first_article_and_its_messages(ran: Path, tmp_path: Path) -> None:
    parts = load_project(ran).get().parts
    number = next(n for n, one in parts.items() if one.loaded and one.callouts)
    file = tmp_path / "measured.csv"
    callouts = parts[number].callouts
    rows = [f"{callouts[0].number};999"]
    file.write_text("characteristic;measured\n" + "\n".join(rows), encoding="utf-8")
    done = take_first_article(ran, number, file)
    assert {"F201", "F203"} <= {p.code for p in done.problems}, done.problems
    made = load_project(ran).get().first_articles[0]
    with pytest.raises(Stopped) as stopped:
        decide_first_article(ran, made.id, "accept", " ")
    assert [p.code for p in stopped.value.problems] == ["F211"]
    with pytest.raises(Stopped) as stopped:
        decide_first_article(ran, made.id, "rework", "bore too wide", release=True)
    assert [p.code for p in stopped.value.problems] == ["F212"]
    decided = decide_first_article(ran, made.id, "concession", "still fits", by="Ana")
    assert [p.code for p in decided.problems] == ["F214"]


def fill(sheet: Path, to: Path, unit_price: str, version: int) -> Path:
    """Our own response sheet, its first price filled in as given."""
    book = load_workbook(sheet)
    page = book[names.QUOTE_SHEET]
    rows = list(page.iter_rows())
    head = next(row for row in rows if row[0].value == names.LINE)
    column = next(cell.column for cell in head if cell.value == names.UNIT_PRICE)
    page.cell(head[0].row + 1, column).value = unit_price
    mark = next(c for one in book for row in one.iter_rows() for c in row if c.value == names.MARK)
    mark.parent.cell(mark.row, mark.column + 1).value = version
    book.save(to)
    return to


def test_our_own_sheet_filled_in_wrongly(ran: Path, tmp_path: Path) -> None:
    sheet = next((ran / "requests" / R / "sent" / "wiklina").rglob("*response-sheet.xlsx"))
    newer = fill(sheet, tmp_path / "newer.xlsx", "12.50", names.VERSION + 1)
    (problem,) = take_reply(newer, project=ran).problems
    assert problem.code == "R048" and "was made by a newer version" in problem.message
    done = take_reply(fill(sheet, tmp_path / "words.xlsx", "cheap", names.VERSION), project=ran)
    found = {p.code: p.message for p in done.problems}
    assert "write it as a plain number" in found["R010"], found
    assert "Not ticked whether in the unit price" in found["R035"]


def test_what_a_comparison_asks(ran: Path) -> None:
    folder = ran / "requests" / R / "round-1" / "quotes"
    file = folder / "oakvane-1.toml"
    quote = next(q for q in load_project(ran).get().quotes if q.shop == "oakvane")
    bare = quote.model_copy(
        update={"scope": {}, "terms": quote.terms.model_copy(update={"lead": None})}
    )
    assert file.is_file()
    put(ran, bare)
    found = {p.code: p.message for p in compare_project(ran).problems if "Oakvane" in p.message}
    assert "doesn't say whether its prices contain" in found["N018"]
    assert "when the parts come" in found["N023"]


def test_replies_and_their_messages(ran: Path, plain: Path, tmp_path: Path) -> None:
    file = tmp_path / "prices.csv"
    file.write_text("part,quantity,unit price\nSB-110,25,200.00\n", encoding="utf-8")
    (problem,) = take_reply(file, project=plain, shop="nobody").problems
    assert problem.code == "R101" and "there is no shop 'nobody'" in problem.message
    taken = take_reply(file, project=plain, accept=True)
    assert any(p.code == "R103" and "say it with --shop" in p.message for p in taken.problems)
    again = take_reply(file, project=plain)
    assert any(p.code == "R102" and "is here already" in p.message for p in again.problems)
    here = opened(plain)
    draft = here.project.drafts[-1]
    assert [p.code for p in unsure(draft)] == ["R104"]
    price = draft.prices[0]
    stops: list[tuple[str, Callable[[], Any]]] = [
        ("R070", lambda: review.confirm_price(here, draft, price)),
        ("R071", lambda: review.set_currency(here, draft, price, "Euro", "one")),
        ("R101", lambda: review.assign_shop(here, draft, "nobody")),
    ]
    for code, task in stops:
        with pytest.raises(Stopped) as stopped:
            task()
        assert [p.code for p in stopped.value.problems] == [code]

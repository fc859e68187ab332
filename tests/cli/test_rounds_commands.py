"""The commands of the second half: what they say, as words and as JSON, and their exit codes."""

from __future__ import annotations

import json
import shutil
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from rfq.cli.main import main
from rfq.model.frozen import content_sha256
from rfq.model.part import FileRef
from rfq.model.quote import Instalment, LeadTime, Payment, Price, Quote, QuoteTerms, TakenException
from rfq.model.request import Round
from rfq.store.load import load_project
from rfq.store.names import frozen_key
from rfq.store.save import changes

R = "2026-07"
MOMENT = datetime(2026, 7, 20, 9, tzinfo=UTC)
PAYMENT = Payment(text="30 days net", instalments=(Instalment(share=Decimal(1), days=30),))


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo cut to two parts and two shops, sent and answered."""
    folder = tmp_path_factory.mktemp("cli") / "buoy"
    shutil.copytree(Path(__file__).resolve().parents[2] / "demo_project", folder)
    project = load_project(folder).get()
    request = project.requests[R]
    shops, parts = ("kupfermond", "wiklina"), ("SB-130", "SB-140")
    request = request.model_copy(
        update={
            "asked": tuple(one for one in request.asked if one.shop in shops),
            "lines": tuple(line for line in request.lines if line.part in parts),
            "state": "sent",
        }
    )
    request = request.model_copy(update={"content_sha256": content_sha256(request, project.parts)})
    with changes(folder, "packages made", project=project, by="Ana") as change:
        change.put(request)
        change.put(request, key=frozen_key(request))
        change.put(
            Round(request=R, number=1, request_sha256=request.content_sha256,
                  asked=request.asked, opened=MOMENT, cut_off=request.answer_by)
        )  # fmt: skip
        for shop, factor in (("kupfermond", Decimal("1.1")), ("wiklina", Decimal(1))):
            prices = tuple(
                Price(part=part, revision=project.parts[part].revision, quantity=quantity,
                      printed=each * factor, each=each * factor, currency="EUR", tax="excluded")
                for part, each in (("SB-130", Decimal(44)), ("SB-140", Decimal(52)))
                for quantity in (5, 25, 100)
            )  # fmt: skip
            change.put(
                Quote(
                    shop=shop, request=R, received=MOMENT, accepted_at=MOMENT, currency="EUR",
                    source=FileRef(path=f"{shop}.txt"), prices=prices,
                    exceptions=(TakenException(part="SB-140", text="M8 with 6G"),)
                    if shop == "wiklina" else (),
                    terms=QuoteTerms(
                        incoterm="DAP", place="Musterhafen", tax="excluded", payment=PAYMENT,
                        valid_until=date(2026, 10, 30),
                        lead=LeadTime(text="20 days", amount=20, unit="days", event="order"),
                    ),
                )
            )  # fmt: skip
    return folder


@pytest.fixture
def project(base: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.setenv("RFQ_USER", "Ana")
    folder = tmp_path / "buoy"
    shutil.copytree(base, folder)
    return str(folder)


class Run:
    """Runs a command and keeps what it said."""

    def __init__(self, capsys: pytest.CaptureFixture[str]) -> None:
        self._capsys = capsys
        self.err = ""

    def __call__(self, *words: str, code: int = 0) -> str:
        with pytest.raises(SystemExit) as stop:
            main([*words])
        said = self._capsys.readouterr()
        self.err = said.err
        assert "Traceback" not in said.out + said.err
        assert stop.value.code == code, said.err
        return said.out

    def json(self, *words: str, code: int = 0) -> Any:
        return json.loads(self(*words, "--json", code=code))


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    return Run(capsys)


def test_rounds_alone_shows_the_state(
    run: Run, project: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = run("rounds", project)
    assert "round 1" in out
    assert "next: 1 exception" in out
    assert run.json("rounds", project)["rounds"][0]["shops"][0]["answer"] == "answered"
    monkeypatch.chdir(project)
    assert run("rounds") == out
    assert run("rounds", "show") == out
    assert "Rounds of a request" in run("rounds", "--help")
    assert "argument" in run("rounds", "open", "--help")


def test_a_round_by_words(run: Run, project: str, tmp_path: Path) -> None:
    asked = run("rounds", project, "ask", "Burr inside allowed?", "--from", "kupfermond")
    assert asked == "question ana-1 is recorded\n"
    run("rounds", project, "answer", "ana-1", "No burr inside.")
    assert "letters to kupfermond, wiklina" in run("rounds", project, "send", "ana-1")
    run("rounds", project, "exception", "wiklina-1-1-1", "refuse", "--reason", "6H is the mate")
    assert "exception" not in run("rounds", project).split("next:")[1]
    assert "SB-140/call-off" not in run("rounds", project, "targets")
    assert "another_round" in run.json("rounds", project, "targets")
    assert "closed" in run("rounds", project, "close")
    until = ("--until", "2026-08-14T12:00+02:00")
    run("rounds", project, "open", *until, code=1)
    assert "W102" in run.err
    run("rounds", project, "open", *until, "--argument", "call-off", "--last")
    assert "reminder.txt" in run("rounds", project, "letters", "--remind")
    assert run.json("rounds", project, "movement", "1", "2")[0]["shop"] in ("kupfermond", "wiklina")
    pdf = tmp_path / "rounds.pdf"
    run("rounds", project, "show", "--pdf", str(pdf))
    assert pdf.read_bytes().startswith(b"%PDF-")
    assert "revision 2" in run("rounds", project, "revise", "--change", "lots of 50")


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("open", "--until", "2026-08-14"), 2, "no time zone"),
        (("open", "--until", "soon"), 2, "no moment"),
        (("open",), 2, "--until"),
        (("dance",), 2, "dance"),
        (("answer", "nobody-1", "x"), 1, "no question 'nobody-1'"),
        (("letters",), 1, "nothing is ticked"),
        (("letters", "--tick", "wiklina"), 2, "SHOP:KEY"),
        (("letters", "--tick", "wiklina:SB-999"), 1, "no 'SB-999'"),
        (("exception", "x-1-1-1", "accept", "--reason", "y"), 1, "no exception"),
    ],
)
def test_wrong_words_are_said(
    run: Run, project: str, words: tuple[str, ...], code: int, said: str
) -> None:
    run("rounds", project, *words, code=code)
    assert said in run.err


def test_award_order_first_article_and_history(run: Run, project: str, tmp_path: Path) -> None:
    left = run.json("award", project)["left_out"]
    assert [(one["part"], one["shop"]) for one in left] == [("SB-140", "wiklina")]
    run("rounds", project, "exception", "wiklina-1-1-1", "accept", "--reason", "6G fits")
    proposed = run.json("award", project, "--most-shops", "1")
    assert proposed["proposals"][0]["name"] == "cheapest"
    assert proposed["proposals"][0]["shops"] == ["wiklina"]
    assert "at most 1 shop" in proposed["proposals"][0]["rule_prices"]
    assert "wiklina" in run("award", project)
    run("award", project, "--choose", "cheapest", code=1)
    assert "A021" in run.err
    out = run("award", project, "--choose", "cheapest", "--reason", "lowest")
    assert "order award-1-wiklina: 2 lines" in out
    assert "caution: The should-cost is an estimate" in run.err
    run("award", project, "--choose", "cheapest", "--reason", "again", code=1)

    ack = tmp_path / "ack.csv"
    ack.write_text("Part,Rev,Qty,Unit price,Currency\nSB-130,C,25,44.00,EUR\n"
                   "SB-140,A,25,53.00,EUR\n")  # fmt: skip
    said = run("order", project, "--order", "wiklina", "--acknowledgement", str(ack))
    assert "changed in silence: SB-140: price: ordered 52, acknowledged 53.00" in said.replace(
        "52 EUR", "52"
    )
    run("order", project, "--order", "wiklina", "--part", "SB-140", "--good", "20", "--bad", "9",
        code=1)  # fmt: skip
    run("order", project, "--order", "wiklina", "--part", "SB-140", "--good", "25",
        "--received", "2026-08-20", "--promised", "2026-08-24")  # fmt: skip
    orders = run.json("order", project)["orders"]
    assert orders[0]["lines"][1]["good"] == 25
    run("order", project, "--part", "SB-140", code=2)
    run("order", project, "--order", "wiklina", "--invoice", "much", code=2)

    made = run("first-article", "SB-140", "--form", "--project", project)
    assert "first-article-form.xlsx" in made
    sheet = tmp_path / "measured.csv"
    sheet.write_text("Balloon,Measured,Instance,Uncertainty,State\n1,40.05,1,0.004,after\n"
                     "2,go,1,,\n2,go,2,,\n3,3.30,1,0.03,\n4,80.09,1,0.03,\n"
                     "5,2.1,1,,\n")  # fmt: skip
    judged = run.json("first-article", "SB-140", str(sheet), "--project", project)
    states = {one["callout"]: one["state"] for one in judged["characteristics"]}
    assert states == {"1": "passed", "2": "passed", "3": "failed", "4": "undecided", "5": "passed"}
    run("first-article", "SB-140", "--project", project, "--decide", "accept", "--reason", "x",
        code=1)  # fmt: skip
    out = run("first-article", "SB-140", "--project", project, "--decide", "concession",
              "--reason", "the slot is not used", "--release")  # fmt: skip
    assert "concession, lot released" in out
    run("first-article", "SB-140", "--project", project, code=2)
    run("first-article", "SB-999", "--form", "--project", project, code=1)

    parquet = tmp_path / "prices.parquet"
    learnt = run.json("history", project, "--to", str(parquet))
    assert learnt["prices"] == 12
    assert parquet.is_file()
    run("history", str(tmp_path / "nothing"), code=1)
    run("history", project, "--apply", code=2)
    assert "nothing to apply" in (
        run("history", project, "--apply", "--rates-of", project, "--yes") + run.err
    )

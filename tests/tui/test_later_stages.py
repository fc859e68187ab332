"""The later and the rarer tasks by keyboard alone, several in one walk."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

from rfq.model.award import Order, OrderLine
from rfq.store.load import load_project
from rfq.store.save import changes
from rfq.tui.app import RfqApp

_ACKNOWLEDGED = """Part,Rev,Qty,Unit price,Currency
A-1,B,25,67.30,EUR
A-2,A,25,5.10,EUR
"""
_MEASURED = """Balloon;Piece;Instance;Measured;Uncertainty;Gauge
1;1;1;42,04;0,002;bore gauge 7
2;1;1;GO;;plug gauge M6
"""


async def test_an_order_is_acknowledged_delivered_invoiced_and_its_first_article_decided(
    made: Any, shown: Any, keys: Any, typed: Any, tmp_path: Path
) -> None:
    app = made()
    _place_order(app.folder)
    (tmp_path / "ack.csv").write_text(_ACKNOWLEDGED, encoding="utf-8")
    (tmp_path / "measured.csv").write_text(_MEASURED, encoding="utf-8")
    async with app.run_test(size=(140, 44)) as pilot:
        await keys(app, pilot, "8")
        assert "1 order, 1 not acknowledged" in shown(app)
        # The acknowledgement asks 1.10 more a piece than was ordered.
        await keys(app, pilot, "a")
        app.screen.query_one("#ask").value = str(tmp_path / "ack.csv")
        await keys(app, pilot, "enter")
        text = shown(app)
        assert "67.30" in text and "66.20" in text and "+27.50 on the line" in text
        await keys(app, pilot, "escape")
        order = app.session.project.orders[0]
        assert [one.each for one in order.acknowledged] == [Decimal("67.30"), Decimal("5.10")]
        assert "1 difference" in shown(app) and "0 not acknowledged" in shown(app)
        # 24 good pieces and a bad one; not more than was ordered is taken.
        await keys(app, pilot, "down", "g", "ctrl+u")
        await typed(pilot, "24 x")
        await keys(app, pilot, "enter")
        assert "! pieces good, then bad" in shown(app)
        await keys(app, pilot, "backspace")
        await typed(pilot, "1")
        await keys(app, pilot, "enter")
        line = app.session.project.orders[0].lines[0]
        assert (line.good, line.bad, line.received) == (24, 1, date(2026, 7, 31))
        # Good pieces are due, and what has not come yet: 24 x 66.20 + 25 x 5.10 = 1716.30.
        await keys(app, pilot, "i")
        await typed(pilot, "1.810,00")
        await keys(app, pilot, "enter")
        assert app.session.project.orders[0].invoice_total == Decimal(1810)
        assert "+93.70" in app.last_words[0]
        # The report form; then the values that the shop measured, one outside its tolerance.
        await keys(app, pilot, "f")
        assert "report form of A-1" in app.last_words[0]
        await keys(app, pilot, "m")
        app.screen.query_one("#ask").value = str(tmp_path / "measured.csv")
        await keys(app, pilot, "enter")
        await keys(app, pilot, "escape", "end")
        assert "1 first article to decide" in shown(app)
        await keys(app, pilot, "d", "down", "down", "enter")
        await typed(pilot, "the bore is too wide")
        await keys(app, pilot, "enter")
        assert "letters as they read" in shown(app)
        article = app.session.project.first_articles[0]
        assert (article.disposition, article.released) == ("rework", False)


def _place_order(folder: Path) -> None:
    lines = tuple(
        OrderLine(part=part, revision=revision, quantity=25, each=Decimal(each), currency="EUR")
        for part, revision, each in (("A-1", "B", "66.20"), ("A-2", "A", "5.10"))
    )
    with changes(folder, "order placed", project=load_project(folder).get()) as change:
        change.put(
            Order(
                id="o-1", request="2026-07", award="a-1", shop="oakvane",
                placed=date(2026, 7, 20), lines=lines,
            )
        )  # fmt: skip


_REPLY = """Wiklina;;;;
Part;Rev;Quantity;Unit price EUR;Note
A-1;B;25;41.20;7.10
A-1;B;100;38.30;6.20
A-2;A;25;6.40;5.10
"""


async def test_a_column_and_a_price_base_are_said_in_the_review(
    made: Any, shown: Any, keys: Any, tmp_path: Path
) -> None:
    app = made()
    file = tmp_path / "wiklina-offer.csv"
    file.write_text(_REPLY, encoding="utf-8")
    async with app.run_test(size=(140, 40)) as pilot:
        await keys(app, pilot, "3", "n", "end", "enter")
        app.screen.query_one("#ask").value = str(file)
        await keys(app, pilot, "enter")
        draft = app.session.project.drafts[0]
        assert draft.shop == "wiklina"

        def prices() -> list[Any]:
            return [one.each for one in app.session.project.drafts[0].prices]

        assert prices() == [Decimal("41.20"), Decimal("38.30"), Decimal("6.40")]
        # The first price is for a hundred; then all of its column are.
        await keys(app, pilot, "e", "home", "s")
        await keys(app, pilot, "p", "p", "enter")
        await keys(app, pilot, "down", "down", "enter")
        await keys(app, pilot, "down", "enter")
        assert prices() == [Decimal("0.4120"), Decimal("0.3830"), Decimal("0.0640")]
        await keys(app, pilot, "u")
        assert prices() == [Decimal("41.20"), Decimal("38.30"), Decimal("6.40")]
        # Column E is the price in truth.
        await keys(app, pilot, "home", "tab", "right", "c")
        await keys(app, pilot, "u", "enter")
        assert prices() == [Decimal("7.10"), Decimal("6.20"), Decimal("5.10")]


async def test_a_shop_the_rates_and_the_project_are_edited(
    made: Any, shown: Any, keys: Any, typed: Any
) -> None:
    app = made()
    async with app.run_test(size=(140, 40)) as pilot:
        await keys(app, pilot, "ctrl+s", "down", "down", "enter")
        await keys(app, pilot, "down", "e", "ctrl+u")
        await typed(pilot, "Oakvane Works")
        await keys(app, pilot, "enter")
        assert app.session.project.shops["oakvane"].name == "Oakvane Works"
        await keys(app, pilot, "escape")
        assert "Oakvane Works" in shown(app)
        await keys(app, pilot, "n")
        await typed(pilot, "wiklina")
        await keys(app, pilot, "enter")
        assert "! there already" in shown(app)
        await typed(pilot, "-2")
        await keys(app, pilot, "enter")
        assert "wiklina-2" in app.session.project.shops
        await keys(app, pilot, "escape", "home", "down", "enter")
        await keys(app, pilot, "down", "n")
        await keys(app, pilot, "down", "e", "ctrl+u")
        await typed(pilot, "1,0850")
        await keys(app, pilot, "enter")
        rate = app.session.project.rates.exchange[0]
        assert (rate.currency, rate.per_eur) == ("USD", Decimal("1.0850"))
        await keys(app, pilot, "escape", "delete")
        assert app.session.project.rates.exchange == ()
        await keys(app, pilot, "escape", "up", "enter", "down", "down", "e")
        await typed(pilot, "Seaward")
        await keys(app, pilot, "enter")
        assert app.session.project.settings.company == "Seaward"


async def test_two_rounds_their_questions_letters_movement_and_export(
    answered: Path, shown: Any, keys: Any, typed: Any, rest: Any
) -> None:
    app = RfqApp(answered)
    async with app.run_test(size=(140, 44)) as pilot:
        await rest(app, pilot)
        await keys(app, pilot, "6", "m")
        assert "only one round has quotes yet" in shown(app)
        # A shop asks; the answer goes to all in the same words, without naming who asked.
        await keys(app, pilot, "down", "down", "k", "down", "enter")
        await typed(pilot, "May edges be 0.5?")
        await keys(app, pilot, "enter")
        asked = app.session.project.clarifications[0]
        assert (asked.raised_by, asked.state) == ("wiklina", "open")
        await keys(app, pilot, "end", "up", "a", "enter")
        await typed(pilot, "0.3 stays.")
        await keys(app, pilot, "enter")
        assert app.session.project.clarifications[0].answer == "0.3 stays."
        await keys(app, pilot, "s")
        assert "letters as they read" in shown(app)
        assert shown(app).count("0.3 stays.") >= 2
        sent = app.session.project.clarifications[0].sent_to
        assert sent == ("kupfermond", "wiklina")
        # The engineer accepts an exception.
        await keys(app, pilot, "escape", "end", "a", "enter")
        await typed(pilot, "a running fit will do")
        await keys(app, pilot, "enter")
        states = {one.state for quote in app.session.project.quotes for one in quote.exceptions}
        assert states == {"accepted"}
        # Two arguments are ticked for the letter to one shop, one of them unticked again.
        await keys(app, pilot, "home", "down", "tab", "space", "down", "space", "space", "l")
        assert "letters as they read" in shown(app)
        assert "1 letter written" in app.last_words[0]
        letters = answered / "requests" / "2026-07" / "round-1" / "letters" / "targets"
        said = (letters / "kupfermond" / "targets.txt").read_text(encoding="utf-8")
        assert "SB-110" in said and "SB-150" not in said
        # The next round needs a reason; the open one is closed first.
        await keys(app, pilot, "escape", "tab", "n", "y", "enter")
        assert "! name a reason" in shown(app)
        await typed(pilot, "run time")
        await keys(app, pilot, "enter", "enter")
        numbers = [(one.number, one.closed is None) for one in app.session.project.rounds]
        assert numbers == [(1, False), (2, True)]
        # The same shop answers at lower prices; what moved is shown, and either round compared.
        _answer_again(answered, "kupfermond")
        await keys(app, pilot, "ctrl+r", "m")
        assert "movement from round 1 to round 2" in shown(app)
        assert "concession -" in shown(app) and "unchanged" in shown(app)
        await keys(app, pilot, "escape", "c", "y")
        assert app.session.project.rounds[1].closed is not None
        await keys(app, pilot, "5")
        assert "round 2, EUR" in shown(app)
        await keys(app, pilot, "r", "enter")
        assert "round 1, EUR" in shown(app)
        await keys(app, pilot, "ctrl+e", "enter")
        written = {path.suffix for path in (answered / "export").iterdir()}
        assert written == {".csv", ".xlsx", ".parquet", ".json", ".pdf"}


def _answer_again(folder: Path, shop: str) -> None:
    project = load_project(folder).get()
    (first,) = (quote for quote in project.quotes if quote.shop == shop)
    prices = tuple(
        price.model_copy(
            update={"each": price.each and price.each * Decimal("0.9"),
                    "printed": price.printed and price.printed * Decimal("0.9")}
        )
        for price in first.prices
    )  # fmt: skip
    with changes(folder, "reply accepted", project=project) as change:
        change.put(first.model_copy(update={"round": 2, "prices": prices, "breakdowns": ()}))


async def test_a_package_is_looked_at_first_and_made_against_a_finding_with_a_reason(
    made: Any, shown: Any, keys: Any, typed: Any
) -> None:
    app = made()
    async with app.run_test(size=(140, 44)) as pilot:
        # What one shop would get lies apart from what counts as sent.
        await keys(app, pilot, "2", "tab", "down", "v")
        text = shown(app)
        assert "wiklina would get" in text and "mail draft" in text
        assert app.session.request.state == "open"
        assert not list(app.folder.glob("requests/2026-07/sent/*"))
        # A finding stops the request: a short word is no reason to go on.
        await keys(app, pilot, "escape", "m")
        assert "1 finding stops the request" in shown(app)
        await typed(pilot, "so")
        await keys(app, pilot, "enter")
        assert "! say why" in shown(app)
        await typed(pilot, " agreed by phone")
        await keys(app, pilot, "enter")
        assert "packages made" in shown(app) and "3 packages made" in app.last_words[0]
        assert app.session.request.state == "sent"
        assert len(list(app.folder.glob("requests/2026-07/sent/*/*/*.zip"))) == 3
        recorded = app.session.request.overrides
        assert {one.reason for one in recorded} == {"so agreed by phone"}

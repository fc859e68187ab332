"""What can be done with an order and a first article: each a task, asked for what it needs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from rfq.tui.cells import count
from rfq.tui.screens.cards import AskCard, ChoiceCard, YesCard
from rfq.tui.screens.letters import show_letters

if TYPE_CHECKING:
    from rfq.tui.screens.order import OrderStage

_DECISIONS: tuple[tuple[Any, str], ...] = (
    ("accept", "all characteristics conform"),
    ("concession", "accepted as it is, for this lot only"),
    ("rework", "rework and show it again"),
    ("replace", "make a new first article"),
)


def acknowledge(stage: OrderStage) -> None:
    """Read a shop's acknowledgement and compare it with the order."""
    from rfq.tasks.order import take_acknowledgement

    row = stage.here
    if row is None or row.order is None:
        stage.rfq.say("there is no order under the cursor", bad=True)
        return
    identity = row.order.id

    def answered(typed: str | None) -> None:
        if typed:
            file = Path(typed).expanduser()

            def taken(done: Any) -> None:
                said = count(len(done.value.differences), "difference")
                stage.rfq.said(done, f"{identity}: {said}")
                if done.problems:
                    stage.rfq.show_problems("acknowledgement", done.problems)

            stage.rfq.change(
                "reading", lambda here: take_acknowledgement(here.folder, identity, file), taken
            )

    stage.app.push_screen(
        AskCard(f"file of the acknowledgement of {identity}", check=_is_file), answered
    )


def receive_goods(stage: OrderStage) -> None:
    """Record good and bad pieces of the line under the cursor, received today."""
    from rfq.tasks.open import today_of
    from rfq.tasks.order import receive

    row = stage.here
    if row is None or row.order is None or row.line is None:
        stage.rfq.say("put the cursor on a line of an order", bad=True)
        return
    identity, part, quantity = row.order.id, row.line.part, row.line.quantity
    today = today_of(stage.session.project)

    def answered(typed: str | None) -> None:
        counts = _counts(typed or "")
        if counts is not None:
            good, bad = counts
            stage.rfq.change(
                "storing",
                lambda here: receive(
                    here.folder, identity, part, received=today, good=good, bad=bad
                ),
                lambda done: stage.rfq.said(done, f"{part}: {good} good, {bad} bad, {today}"),
            )

    def check(typed: str) -> tuple[bool, str]:
        counts = _counts(typed)
        if counts is None:
            return False, "pieces good, then bad, as 24 1"
        return True, f"{counts[0]} good, {counts[1]} bad of {quantity}, received {today}"

    stage.app.push_screen(
        AskCard(f"{part}: pieces good and bad", f"{quantity} 0", check=check), answered
    )


def record_invoice(stage: OrderStage) -> None:
    """Record the net total of an invoice and compare it."""
    from rfq.tasks.order import take_invoice
    from rfq.tasks.typed import number_typed

    row = stage.here
    if row is None or row.order is None:
        stage.rfq.say("there is no order under the cursor", bad=True)
        return
    identity = row.order.id

    def check(typed: str) -> tuple[bool, str]:
        number, said = number_typed(typed)
        return number is not None, said.words

    def answered(typed: str | None) -> None:
        total = number_typed(typed)[0] if typed else None
        if total is not None:
            stage.rfq.change(
                "storing",
                lambda here: take_invoice(here.folder, identity, total),
                lambda done: stage.rfq.said(done, f"invoice: {done.value.invoice:+} to the order"),
            )

    stage.app.push_screen(AskCard(f"{identity}: invoice, net total", check=check), answered)


def write_form(stage: OrderStage) -> None:
    """Write the report form of the part under the cursor."""
    from rfq.tasks.first_article import make_form

    part = stage.part
    if not part:
        stage.rfq.say("there is no part under the cursor", bad=True)
        return

    def written(done: Any) -> None:
        names = ", ".join(path.name for path in done.written or done.value)
        stage.rfq.say(f"report form of {part}: {names}")

    stage.rfq.change("writing the form", lambda here: make_form(here.folder, part), written)


def take_measured(stage: OrderStage) -> None:
    """Read measured values of the part under the cursor, or of one chosen."""
    part = stage.part
    if part:
        _measured_of(stage, part)
        return
    parts = list(stage.session.project.parts.values())

    def chosen(index: int | None) -> None:
        if index is not None:
            _measured_of(stage, parts[index].number)

    stage.app.push_screen(
        ChoiceCard("measured values of which part?", [(one.number, one.name) for one in parts]),
        chosen,
    )


def _measured_of(stage: OrderStage, part: str) -> None:
    from rfq.tasks.first_article import take_first_article

    def answered(typed: str | None) -> None:
        if typed:
            file = Path(typed).expanduser()

            def taken(done: Any) -> None:
                if done.value is not None:
                    stage.rfq.say(f"{part}: {done.value.verdict.advice}")
                if done.problems:
                    stage.rfq.show_problems(f"first article of {part}", done.problems)

            stage.rfq.change(
                "reading", lambda here: take_first_article(here.folder, part, file), taken
            )

    stage.app.push_screen(
        AskCard(f"file with the measured values of {part}", check=_is_file), answered
    )


def decide(stage: OrderStage) -> None:
    """Record the engineer's decision; the letter to the shop is shown as it reads."""
    row = stage.here
    if row is None or row.article is None:
        stage.rfq.say("put the cursor on a first article", bad=True)
        return
    article = row.article

    def chosen(index: int | None) -> None:
        if index is not None:
            stage.app.push_screen(
                AskCard(f"the engineer's reason ({_DECISIONS[index][0]})"),
                lambda reason: _release(stage, article, index, reason) if reason else None,
            )

    stage.app.push_screen(ChoiceCard("the responsible engineer decides", _DECISIONS), chosen)


def _release(stage: OrderStage, article: Any, index: int, reason: str) -> None:
    from rfq.tasks.first_article import decide_first_article

    decision = _DECISIONS[index][0]

    def store(release: bool) -> None:
        def stored(done: Any) -> None:
            letter = done.value[1]
            stage.rfq.said(done, f"{article.part}: {decision}{', released' if release else ''}")
            if letter is not None:
                show_letters(stage.rfq, (letter,), done.written)

        stage.rfq.change(
            "storing",
            lambda here: decide_first_article(
                here.folder, article.id, decision, reason, release=release
            ),
            stored,
        )

    if decision in ("accept", "concession"):
        stage.app.push_screen(
            YesCard("Release the lot?", ["The shop may make the rest from then on."]),
            lambda yes: store(bool(yes)),
        )
    else:
        store(False)


def _counts(typed: str) -> tuple[int, int] | None:
    words = typed.replace(",", " ").split()
    if not words or len(words) > 2 or not all(word.isdigit() for word in words):
        return None
    return int(words[0]), int(words[1]) if len(words) > 1 else 0


def _is_file(typed: str) -> tuple[bool, str]:
    path = Path(typed).expanduser()
    there = bool(typed) and path.is_file()
    return there, str(path.resolve()) if there else "no such file"

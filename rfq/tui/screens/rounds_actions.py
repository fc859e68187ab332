"""What can be done in a round: each a task, asked for what it needs, its letters shown."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

from rfq.tui.cells import bit, count, lines, money
from rfq.tui.screens.cards import AskCard, ChoiceCard, TextCard, YesCard
from rfq.tui.screens.letters import show_letters

if TYPE_CHECKING:
    from rfq.tui.screens.rounds import RoundsStage


def write_letters(stage: RoundsStage) -> None:
    """Write a letter to each shop with what is ticked for it."""
    from rfq.tasks.targets import target_letters

    ticks: dict[str, Sequence[str]] = {
        shop: tuple(found) for shop, found in stage.ticked.items() if found
    }
    if not ticks:
        stage.rfq.say("nothing is ticked: tab to the right side, space ticks", bad=True)
        return
    number = stage.session.round_

    def written(done: Any) -> None:
        stage.ticked.clear()
        words = count(len(done.value), "letter")
        stage.rfq.said(done, f"{words} written (u takes them back)")
        show_letters(stage.rfq, done.value, done.written)

    stage.rfq.change(
        "writing letters", lambda here: target_letters(here.folder, ticks, round_=number), written
    )


def remind(stage: RoundsStage) -> None:
    """Write reminders to the shops that have not answered."""
    from rfq.tasks.targets import reminder_letters

    stage.rfq.change(
        "writing reminders",
        lambda here: reminder_letters(here.folder),
        lambda done: show_letters(stage.rfq, done.value, done.written),
    )


def open_round(stage: RoundsStage) -> None:
    """Ask what the round is for and until when, then open it."""
    from rfq.tasks.open import moment_of
    from rfq.tasks.rounds import close_round, open_next_round

    moment = moment_of(stage.session.project)
    due = (moment + timedelta(days=7)).replace(hour=12, minute=0, second=0, microsecond=0)

    def with_argument(argument: str | None) -> None:
        if argument is None:
            return

        def with_day(typed: str | None) -> None:
            if typed:
                day = datetime.fromisoformat(typed)

                def opened(done: Any) -> None:
                    stage.rfq.said(
                        done, f"round {done.value.number} is open (u takes it back); "
                        "make its packages with 2, then m"
                    )  # fmt: skip

                stage.rfq.change(
                    "opening a round",
                    lambda here: open_next_round(here.folder, day, argument=argument),
                    opened,
                )

        stage.app.push_screen(
            AskCard("answers are due, one moment for all shops", due.isoformat(" ", "minutes"),
                    check=_moment),
            with_day,
        )  # fmt: skip

    request = stage.session.request
    rounds = stage.session.project.rounds_of(request.id) if request else ()
    open_now = next((one for one in rounds if one.closed is None), None)
    # A first round, or one on a new revision, speaks for itself.
    needed = bool(rounds and request and rounds[-1].revision == request.revision)

    def ask() -> None:
        stage.app.push_screen(
            AskCard("what the round is for (goes out)", check=_argument if needed else None),
            with_argument,
        )

    if open_now is None:
        ask()
        return

    def answered(yes: bool | None) -> None:
        if yes:
            stage.rfq.change(
                "closing the round", lambda here: close_round(here.folder), lambda _: ask()
            )

    stage.app.push_screen(
        YesCard(f"Round {open_now.number} is still open: close it, then open the next?",
                ["What comes for it later counts as late."]),
        answered,
    )  # fmt: skip


def _argument(typed: str) -> tuple[bool, str]:
    if typed.strip():
        return True, "the shops read this"
    return False, "name a reason the shops can act on: a part, a figure, a change"


def close_open_round(stage: RoundsStage) -> None:
    """Close the open round."""
    from rfq.tasks.rounds import close_round

    def answered(yes: bool | None) -> None:
        if yes:
            stage.rfq.change(
                "closing the round",
                lambda here: close_round(here.folder),
                lambda done: stage.rfq.said(done, f"round {done.value.number} is closed"),
            )

    stage.app.push_screen(
        YesCard("Close the open round?", ["What comes later counts as late."]), answered
    )


def revise_request(stage: RoundsStage) -> None:
    """Make a new revision; what changed is found and put in words."""
    from rfq.tasks.rounds import revise

    def answered(typed: str | None) -> None:
        if typed is not None:
            reasons = (typed.strip(),) if typed.strip() else ()

            def revised(done: Any) -> None:
                rows: list[object] = [(bit("what changed, as the shops read it", "strong"),)]
                rows += [f"  {one}" for one in done.value.changes]
                title = f"request {done.value.id}, revision {done.value.revision}"
                stage.app.push_screen(TextCard(title, lines(rows)))

            stage.rfq.change("revising", lambda here: revise(here.folder, reasons), revised)

    stage.app.push_screen(
        AskCard("change in your words (may stay empty: what changed is found)"), answered
    )


def put_question(stage: RoundsStage) -> None:
    """Record a question of ours to the shop under the cursor, or of the shop to us."""
    from rfq.tasks.questions import ask

    shop = stage.shop
    ways = [(f"to {shop}", "we ask"), (f"from {shop}", "the shop asked us")]

    def chosen(index: int | None) -> None:
        if index is None:
            return

        def answered(typed: str | None) -> None:
            if typed and typed.strip():
                way = {"to_shop": shop} if index == 0 else {"from_shop": shop}
                stage.rfq.change(
                    "storing",
                    lambda here: ask(here.folder, typed, **way),  # type: ignore[arg-type]
                    lambda done: stage.rfq.said(done, f"question {done.value.id} is on record"),
                )

        stage.app.push_screen(AskCard(f"question {ways[index][0]}"), answered)

    stage.app.push_screen(ChoiceCard("who asks?", ways), chosen)


def answer_or_decide(stage: RoundsStage) -> None:
    """Answer the question, or decide the exception, under the cursor."""
    row = stage.here
    if row is None or (row.question is None and row.exception is None):
        stage.rfq.say("there is no question or exception under the cursor")
    elif row.question is not None:
        _answer(stage, row.question)
    else:
        _decide(stage, row.exception)


def _answer(stage: RoundsStage, question: Any) -> None:
    from rfq.tasks.questions import answer

    kinds = (
        ("explanation", "goes to all asked shops in the same words"),
        ("changed requirement", "the request has to be revised for it"),
        ("own solution", "stays the shop's own unless it agrees in writing"),
        ("price", "about this shop's price; nobody else gets it"),
    )

    def chosen(index: int | None) -> None:
        if index is None:
            return

        def answered(typed: str | None) -> None:
            if typed and typed.strip():
                kind: Any = kinds[index][0]
                stage.rfq.change(
                    "storing",
                    lambda here: answer(here.folder, question.id, typed, kind=kind),
                    lambda done: stage.rfq.said(
                        done, f"{question.id} is answered; s writes the letters"
                    ),
                )

        stage.app.push_screen(AskCard(f"answer to: {question.question}"), answered)

    at = next((i for i, kind in enumerate(kinds) if kind[0] == question.kind), 0)
    stage.app.push_screen(ChoiceCard("what is the answer?", kinds, at=at), chosen)


def _decide(stage: RoundsStage, exception: Any) -> None:
    from rfq.tasks.questions import decide_exception

    taken = exception.taken
    title = f"{exception.quote.shop}, {taken.part} {taken.callout}: {taken.text}"

    def chosen(index: int | None) -> None:
        if index is None:
            return

        def answered(typed: str | None) -> None:
            if typed and typed.strip():
                stage.rfq.change(
                    "storing",
                    lambda here: decide_exception(here.folder, exception.key, index == 0, typed),
                    lambda done: stage.rfq.said(
                        done, f"exception {'accepted' if index == 0 else 'refused'}"
                    ),
                )

        word = "accept" if index == 0 else "refuse"
        stage.app.push_screen(AskCard(f"the engineer's reason to {word} it"), answered)

    rows = [("accept", "the engineer agrees"), ("refuse", "the request stands")]
    stage.app.push_screen(ChoiceCard(title, rows), chosen)


def send_question(stage: RoundsStage) -> None:
    """Write the letters of the question or answer under the cursor."""
    from rfq.tasks.questions import send

    row = stage.here
    if row is None or row.question is None:
        stage.rfq.say("there is no question under the cursor")
        return
    identity = row.question.id
    stage.rfq.change(
        "writing letters",
        lambda here: send(here.folder, identity),
        lambda done: show_letters(stage.rfq, done.value.letters, done.written),
    )


def show_movement(stage: RoundsStage) -> None:
    """Show what moved between the last two rounds that have quotes."""
    from rfq.tasks.rounds import movement_opened

    session = stage.session
    request = session.request
    numbers = sorted({quote.round for quote in session.project.quotes
                      if request is not None and quote.request == request.id})  # fmt: skip
    if len(numbers) < 2:
        stage.rfq.say("only one round has quotes yet: nothing has moved")
        return
    here = session.here

    def have(done: Any) -> None:
        rows: list[object] = []
        for one in done.value:
            rows.append(
                (bit(f"{one.shop:<14.14}{one.part:<10.10}{one.quantity:>5}  ", "strong"),
                 bit(f"{money(one.before):>10} to {money(one.after):>10}  {one.words}"))
            )  # fmt: skip
        title = f"movement from round {numbers[-2]} to round {numbers[-1]}"
        stage.app.push_screen(TextCard(title, lines(rows or ["nothing moved"])))

    stage.rfq.begin("movement", lambda _: movement_opened(here, numbers[-2], numbers[-1]), have)


def _moment(typed: str) -> tuple[bool, str]:
    try:
        moment = datetime.fromisoformat(typed)
    except ValueError:
        return False, "write it as 2026-08-07 12:00+02:00"
    if moment.tzinfo is None:
        return False, "with a time zone, as in 2026-08-07 12:00+02:00"
    return True, f"{moment:%A %Y-%m-%d %H:%M %Z}"

"""Steps of rfq rounds: ask, answer, send, exception."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

import click

from rfq.cli import options, say
from rfq.cli.params import Amount

KINDS = ("explanation", "changed requirement", "own solution", "price")


@click.command("ask")
@click.argument("question", default="")
@click.option("--to", "to_shop", default="", help="a shop we ask")
@click.option("--from", "from_shop", default="", help="the shop that asks")
@click.option("--part", default="")
@click.option("--callout", default="", help="balloon number or words")
@click.option("--kind", type=click.Choice(KINDS), default="explanation", show_default=True)
@options.round_option
@options.request_option
@click.pass_obj
def ask(
    project: Path,
    question: str,
    to_shop: str,
    from_shop: str,
    part: str,
    callout: str,
    kind: Any,
    round_: int | None,
    request_id: str,
) -> int:
    """Record a question; without one, list what the comparison's flags would have us ask."""
    from rfq.tasks.questions import ask as ask_one
    from rfq.tasks.questions import questions_proposed

    if not question:
        for one in questions_proposed(project, round_=round_, request_id=request_id).value:
            where = f", {one.part} at {one.quantity}" if one.part else ""
            say.data(f"{one.shop}{where}: {one.question}")
            say.data(f"    {one.why}")
        return say.DONE
    done = ask_one(
        project, question, to_shop=to_shop, from_shop=from_shop, part=part, callout=callout,
        kind=kind, round_=round_, request_id=request_id,
    )  # fmt: skip
    say.data(f"question {done.value.id} is recorded")
    return say.problems(done.problems)


@click.command("answer")
@click.argument("question_id", metavar="QUESTION")
@click.argument("text")
@click.option("--kind", type=click.Choice(KINDS), default=None)
@click.option("--consent", default="", help="written yes of the shop whose solution it is")
@click.option("--revision", type=int, default=None, help="of the request that the answer made")
@options.request_option
@click.pass_obj
def answer(
    project: Path,
    question_id: str,
    text: str,
    kind: Any,
    consent: str,
    revision: int | None,
    request_id: str,
) -> int:
    """Record the answer to a question, in the words that are sent."""
    from rfq.tasks.questions import answer as answer_one

    done = answer_one(
        project, question_id, text, kind=kind, consent=consent, revision=revision,
        request_id=request_id,
    )  # fmt: skip
    say.data(f"question {done.value.id} is {done.value.state}")
    return say.problems(done.problems)


@click.command("send")
@click.argument("question_id", metavar="QUESTION")
@click.option("--allow", multiple=True, metavar="FIGURE",
              help="a figure that only by accident equals another shop's price")  # fmt: skip
@options.request_option
@click.pass_obj
def send(project: Path, question_id: str, allow: tuple[str, ...], request_id: str) -> int:
    """Write the letters of a question or answer, in the same words to each it concerns."""
    from rfq.tasks.questions import send as send_one

    done = send_one(project, question_id, allow=allow, request_id=request_id)
    say.data(f"letters to {', '.join(done.value.clarification.sent_to)}")
    return written(done)


@click.command("exception")
@click.argument("key")
@click.argument("decision", type=click.Choice(["accept", "refuse"]))
@click.option("--reason", required=True, help="the engineer's")
@click.option("--by", default="", help="the engineer; default: you")
@click.option("--cost", "cost_each", type=Amount(), help="what it costs us a piece")
@options.request_option
@click.pass_obj
def exception(
    project: Path,
    key: str,
    decision: str,
    reason: str,
    by: str,
    cost_each: Decimal | None,
    request_id: str,
) -> int:
    """Accept or refuse a shop's exception; it then counts in the comparison."""
    from rfq.tasks.questions import decide_exception

    done = decide_exception(
        project, key, decision == "accept", reason, by=by, cost_each=cost_each,
        request_id=request_id,
    )  # fmt: skip
    say.data(f"exception {key}: {decision}{'ed' if decision == 'accept' else 'd'}")
    return say.problems(done.problems)


def written(done: Any) -> int:
    """Name the letters a task wrote; return the exit code its problems call for."""
    for path in done.written:
        if path.suffix in (".txt", ".eml"):
            say.data(str(path))
    return say.problems(done.problems)

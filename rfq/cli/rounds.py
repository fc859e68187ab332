"""rfq rounds [PROJECT] [show|open|close|revise|ask|answer|send|exception|targets|letters ..]."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from rfq.cli import options, say, tables
from rfq.cli.params import Amount, Moment
from rfq.cli.questions import answer, ask, exception, send, written

if TYPE_CHECKING:
    from rfq.engine.negotiate.state import RequestState


class _Rounds(click.Group):
    """A group whose first word may be the project; without a step it shows the state."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Put the present folder before a step that comes first, and `show` where none is named."""
        if not args or (args[0].startswith("-") and args[0] not in ("--help", "-h")):
            args = [".", "show", *args]
        elif args[0] in self.commands:
            args = [".", *args]
        elif len(args) == 1 or (args[1].startswith("-") and args[1] not in ("--help", "-h")):
            args = [args[0], "show", *args[1:]] if args[0] not in ("--help", "-h") else args
        return super().parse_args(ctx, args)


@click.group("rounds", cls=_Rounds, subcommand_metavar="[STEP] ..")
@click.argument("project", default=".", type=click.Path(path_type=Path))
@click.pass_context
def command(ctx: click.Context, project: Path) -> None:
    """Rounds of a request: where it stands, questions and answers, targets and letters."""
    ctx.obj = project


@command.command("show")
@options.request_option
@click.option("--pdf", type=click.Path(path_type=Path), help="write the timeline to this file")
@options.json_option
@click.pass_obj
def show(project: Path, request_id: str, pdf: Path | None, json_: bool) -> int:
    """Rounds, who answered, questions, exceptions, and what is next."""
    from rfq.tasks.rounds import rounds_state, state_json, write_timeline

    done = rounds_state(project, request_id)
    if pdf is not None:
        write_timeline(project, pdf, request_id=request_id)
        say.words(f"written {pdf}")
    if json_:
        say.as_json(state_json(done))
        return say.DONE
    _print(done.value)
    return say.problems(done.problems)


def _print(state: RequestState) -> None:
    request = state.request
    say.data(f"request {request.id}, revision {request.revision}, {request.state}: {request.title}")
    for change in request.changes:
        say.data(f"  changed: {change}")
    for one in state.rounds:
        this = one.round
        cut = f"cut-off {this.cut_off:%Y-%m-%d %H:%M %z}" if this.cut_off else "no cut-off"
        closed = f"closed {this.closed:%Y-%m-%d %H:%M}" if this.closed else "open"
        last = ", the last" if this.last else ""
        content = f", content {this.request_sha256[:8]}" if this.request_sha256 else ""
        say.data("")
        say.data(f"round {this.number}{last}, revision {this.revision}{content}: {cut}, {closed}")
        if this.argument:
            say.data(f"  for: {this.argument}")
        rows = [
            [shop.shop, shop.answer, f"{shop.priced} of {len(shop.asked)}",
             f"{shop.received:%Y-%m-%d %H:%M}" if shop.received else ""]
            for shop in one.shops
        ]  # fmt: skip
        for text in tables.table(["shop", "answer", "parts", "received"], rows, right=(2,)):
            say.data(f"  {text}")
    if state.questions:
        say.data("")
    for asked in state.questions:
        who = asked.raised_by or (f"to {asked.to_shop}" if asked.to_shop else "ours")
        say.data(f"question {asked.id} ({who}, {asked.kind}, {asked.state}): {asked.question}")
        if asked.answer:
            say.data(f"  answer: {asked.answer}")
    for wish in state.exceptions:
        taken = wish.taken
        loaded = ", carries load" if wish.loaded else ""
        where = " ".join(word for word in (taken.part, taken.callout) if word)
        say.data(f"exception {wish.key} ({where}{loaded}, {taken.state}): {taken.text}")
        if taken.reason:
            say.data(f"  {taken.by}: {taken.reason}")
    say.data("")
    say.data(f"next: {state.next_step}")


@command.command("open")
@click.option("--until", "cut_off", type=Moment(), required=True,
              help="when answers are due, with time zone")  # fmt: skip
@click.option("--argument", default="", help="what a further round is for")
@click.option("--last", is_flag=True, help="announce it as the last")
@click.option("--shop", "shops", multiple=True, help="who is still in; default: as before")
@click.option("--part", "parts", multiple=True, help="only these parts")
@click.option("--week", "cost_per_week", type=Amount(), help="what a week of delay costs")
@options.request_option
@click.pass_obj
def open_(
    project: Path,
    cut_off: datetime,
    argument: str,
    last: bool,
    shops: tuple[str, ...],
    parts: tuple[str, ...],
    cost_per_week: Decimal | None,
    request_id: str,
) -> int:
    """Open the next round; from the second on with its argument or a changed request."""
    from rfq.tasks.rounds import open_next_round

    done = open_next_round(
        project, cut_off, argument=argument, last=last, shops=shops, parts=parts,
        cost_per_week=cost_per_week, request_id=request_id,
    )  # fmt: skip
    say.data(f"round {done.value.number} is open until {done.value.cut_off}")
    return say.problems(done.problems)


@command.command("close")
@options.request_option
@click.pass_obj
def close(project: Path, request_id: str) -> int:
    """Close the open round; later replies are kept and marked late."""
    from rfq.tasks.rounds import close_round

    done = close_round(project, request_id=request_id)
    say.data(f"round {done.value.number} is closed")
    return say.problems(done.problems)


@command.command("revise")
@click.option("--change", "reasons", multiple=True, help="a change in your own words")
@options.request_option
@click.pass_obj
def revise(project: Path, reasons: tuple[str, ...], request_id: str) -> int:
    """Make the request's next revision; what changed is listed in words."""
    from rfq.tasks.rounds import revise as revise_request

    done = revise_request(project, reasons, request_id=request_id)
    say.data(f"request {done.value.id} is now revision {done.value.revision}, open")
    for change in done.value.changes:
        say.data(f"  {change}")
    return say.problems(done.problems)


@command.command("targets")
@click.option("--shop", default="", help="only this shop")
@options.round_option
@options.request_option
@options.json_option
@click.pass_obj
def targets(project: Path, shop: str, round_: int | None, request_id: str, json_: bool) -> int:
    """Targets, arguments by money, next best offers, and whether another round pays. Internal."""
    from rfq.tasks.targets import position

    where = position(project, round_=round_, request_id=request_id).value
    shops = [shop] if shop else list(where.arguments)
    if json_:
        say.as_json(
            {
                "targets": [_plain(one) for one in where.targets if one.shop in shops],
                "arguments": [_plain(a) for s in shops for a in where.arguments.get(s, ())],
                "another_round": _plain(where.another),
            }
        )
        return say.DONE
    currency = where.comparison.currency
    for name in shops:
        say.data(name)
        for aim in where.of(name):
            best = f"{aim.next_best[0]} {tables.money(aim.next_best[1])}" if aim.next_best else "–"
            if aim.target is None:
                continue
            say.data(
                f"  {aim.key}: {tables.money(aim.comparable)} to {tables.money(aim.target)} "
                f"{currency}, in its terms {aim.quoted} to {aim.quoted_target} {aim.currency}; "
                f"next best {best}; {aim.why}"
            )
        for one in where.arguments.get(name, ())[:8]:
            say.data(f"  {one.key} ({tables.money(one.money)} {currency}): {one.sentence}")
            say.data(f"      ours: {one.ours}{'; caution: ' + one.caution if one.caution else ''}")
    say.data(where.another.words)
    return say.DONE


@command.command("letters")
@click.option("--tick", "ticks", multiple=True, metavar="SHOP:KEY",
              help="an argument or target to say, as 'rfq rounds targets' names it")  # fmt: skip
@click.option("--say-should-cost", multiple=True, metavar="PART",
              help="tell our should-cost of this part")  # fmt: skip
@click.option("--remind", is_flag=True, help="reminders to who has not answered")
@click.option("--shop", "shops", multiple=True, help="only these (reminders)")
@options.round_option
@options.request_option
@click.pass_obj
def letters(
    project: Path,
    ticks: tuple[str, ...],
    say_should_cost: tuple[str, ...],
    remind: bool,
    shops: tuple[str, ...],
    round_: int | None,
    request_id: str,
) -> int:
    """Write letters: what was ticked to each shop, or reminders. Nothing is sent by us."""
    from rfq.tasks.targets import reminder_letters, target_letters

    if remind:
        return written(reminder_letters(project, shops=shops, request_id=request_id))
    chosen: dict[str, list[str]] = {}
    for tick in ticks:
        shop, found, key = tick.partition(":")
        if not found:
            raise click.UsageError(f"'{tick}' should read SHOP:KEY")
        chosen.setdefault(shop, []).append(key)
    done = target_letters(
        project,
        {shop: tuple(keys) for shop, keys in chosen.items()},
        say_should_cost=say_should_cost,
        round_=round_,
        request_id=request_id,
    )
    return written(done)


@command.command("movement")
@click.argument("first", type=click.IntRange(min=1), default=1)
@click.argument("second", type=click.IntRange(min=1), default=2)
@options.request_option
@options.json_option
@click.pass_obj
def movement(project: Path, first: int, second: int, request_id: str, json_: bool) -> int:
    """What moved between two rounds: concession, scope, terms, currency, quantity."""
    from rfq.tasks.rounds import movement_between

    done = movement_between(project, first, second, request_id=request_id)
    if json_:
        say.as_json([_plain(one) for one in done.value])
        return say.DONE
    rows = [
        [one.part, str(one.quantity), one.shop, tables.money(one.before), tables.money(one.after),
         one.words]
        for one in done.value
        if one.whole
    ]  # fmt: skip
    for text in tables.table(["part", "pcs", "shop", "before", "after", "moved by"], rows,
                             right=(1, 3, 4)):  # fmt: skip
        say.data(text)
    return say.DONE


def _plain(value: Any) -> dict[str, Any]:
    from dataclasses import asdict

    return asdict(value)


for _step in (ask, answer, send, exception):
    command.add_command(_step)

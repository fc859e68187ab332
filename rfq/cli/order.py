"""rfq order [PROJECT]: acknowledgement, promised and received, invoice."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import TYPE_CHECKING

import click

from rfq.cli import options, say, tables

if TYPE_CHECKING:
    from rfq.tasks.done import Done
    from rfq.tasks.order import OrderState

_DAY = click.DateTime(["%Y-%m-%d"])


@click.command("order")
@options.project_argument
@click.option("--order", "order_id", default="", help="an order's id, or its shop; default: all")
@click.option("--acknowledgement", type=click.Path(path_type=Path), help="a shop's, to compare")
@click.option("--part", default="", help="the part that the following is about")
@click.option("--promised", type=_DAY, help="day promised")
@click.option("--received", type=_DAY, help="day received")
@click.option("--good", type=int, help="good pieces")
@click.option("--bad", type=int, help="bad pieces")
@click.option("--disposition", default="", help="what becomes of the bad ones")
@click.option("--invoice", default="", help="the invoice's net total")
@options.json_option
def command(
    project: Path,
    order_id: str,
    acknowledgement: Path | None,
    part: str,
    promised: datetime | None,
    received: datetime | None,
    good: int | None,
    bad: int | None,
    disposition: str,
    invoice: str,
    json_: bool,
) -> int:
    """Orders: what was acknowledged otherwise, promised, received, invoiced."""
    from rfq.tasks.order import orders_json, orders_state, receive, take_acknowledgement
    from rfq.tasks.order import take_invoice as invoiced

    def day(moment: datetime | None):  # type: ignore[no-untyped-def]
        return moment.date() if moment is not None else None

    told: list[Done[OrderState]] = []
    changing = acknowledgement is not None or part or invoice
    if changing and not order_id:
        raise click.UsageError("say which order with --order")
    if acknowledgement is not None:
        told.append(take_acknowledgement(project, order_id, acknowledgement))
    if part:
        told.append(
            receive(
                project, order_id, part, received=day(received), good=good, bad=bad,
                disposition=disposition, promised=day(promised),
            )
        )  # fmt: skip
    if invoice:
        try:
            total = Decimal(invoice)
        except InvalidOperation:
            raise click.UsageError(f"'{invoice}' is no amount; write it as 1250.00") from None
        told.append(invoiced(project, order_id, total))
    done = orders_state(project, order_id)
    if json_:
        say.as_json(orders_json(done))
        return say.DATA if any(one.stops for one in told) else say.DONE
    for state in done.value:
        _print(state)
    if not done.value:
        say.words("no orders yet; rfq award --choose makes them")
    return say.problems(dict.fromkeys([*(p for one in told for p in one.problems), *done.problems]))


def _print(state: OrderState) -> None:
    order = state.order
    currency = order.lines[0].currency if order.lines else ""
    say.data(f"{order.id}: {order.shop}, placed {order.placed}, {tables.money(state.total)} "
             f"{currency}")  # fmt: skip
    rows = [
        [line.part, line.revision, str(line.quantity), str(line.each),
         line.promised.isoformat() if line.promised else "–",
         line.received.isoformat() if line.received else "–",
         "–" if line.good is None else str(line.good),
         "–" if line.bad is None else str(line.bad), line.disposition]
        for line in order.lines
    ]  # fmt: skip
    heads = ["part", "rev", "pcs", "each", "promised", "received", "good", "bad", ""]
    for text in tables.table(heads, rows, right=(2, 3, 6, 7)):
        say.data(f"  {text}")
    if order.acknowledgement is None:
        say.data("  not acknowledged yet")
    for one in state.differences:
        say.data(f"  changed in silence: {one.sentence}  {one.place}".rstrip())

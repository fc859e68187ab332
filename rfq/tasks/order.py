"""Orders: acknowledgement against order, promised and received, good and bad, invoice."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

from rfq.engine.award.acknowledgement import (
    Difference,
    differences,
    invoice_difference,
    order_total,
)
from rfq.intake.ack import read_acknowledgement
from rfq.model.award import Order, OrderLine
from rfq.model.part import FileRef
from rfq.model.project import Project
from rfq.problems import Problem, Severity, Unreadable
from rfq.store.files import read_bounded, sha256_bytes
from rfq.store.originals import safe_name
from rfq.store.save import changes
from rfq.tasks.done import Done
from rfq.tasks.letters import stop
from rfq.tasks.open import Opened, moment_of, opened

_MOST_BYTES = 100_000_000


@dataclass(frozen=True, slots=True)
class OrderState:
    """An order with what its acknowledgement changed and what is still awaited.

    Args:
        total: as ordered. differences: acknowledged otherwise.
        invoice: invoice minus what was ordered (and good), None without an invoice.
        late: parts promised for a day that has passed and not received.
    """

    order: Order
    total: Decimal
    differences: tuple[Difference, ...]
    invoice: Decimal | None
    late: tuple[str, ...]


def orders_state(path: Path, order_id: str = "") -> Done[tuple[OrderState, ...]]:
    """Return every order, or one, with its acknowledgement compared."""
    here = opened(path)
    chosen = [_order(here.project, order_id)] if order_id else list(here.project.orders)
    today = moment_of(here.project).date()
    states = tuple(order_state(order, today) for order in chosen)
    return Done(states, tuple(p for state in states for p in _problems(state)))


def order_state(order: Order, today: date) -> OrderState:
    """Return where an order stands on a day."""
    found = differences(order) if order.acknowledged else ()
    late = tuple(
        line.part
        for line in order.lines
        if line.promised is not None and line.received is None and line.promised < today
    )
    return OrderState(order, order_total(order), found, invoice_difference(order), late)


def take_acknowledgement(path: Path, order_id: str, file: Path) -> Done[OrderState]:
    """Read a shop's acknowledgement, keep it, and compare it with the order.

    Problems: F101 one thing it says otherwise (ask), each.
    Raises:
        Stopped: no such order, or the file cannot be read as an acknowledgement.
    """
    here = opened(path)
    order = _order(here.project, order_id)
    try:
        data = read_bounded(file, _MOST_BYTES)
    except OSError as error:
        raise Unreadable(f"{file} cannot be read: {error.strerror or error}.") from error
    reading = read_acknowledgement(file, order)
    if reading.value is None:
        return Done(order_state(order, moment_of(here.project).date()), reading.problems)
    kept = f"requests/{order.request}/orders/{order.id}/acknowledgement/{safe_name(file.name)}"
    digest = sha256_bytes(data)
    new = order.model_copy(
        update={
            "acknowledgement": FileRef(path=kept, sha256=digest),
            "acknowledged": reading.value.lines,
            "acknowledged_terms": dict(reading.value.terms),
        }
    )
    state = order_state(new, moment_of(here.project).date())
    said = "; ".join(one.sentence for one in state.differences) or "as ordered"
    written = _put(here, new, "acknowledgement read", said, {kept: data}, kept, digest)
    return Done(state, (*reading.problems, *_problems(state)), written)


def receive(
    path: Path,
    order_id: str,
    part: str,
    *,
    received: date | None = None,
    good: int | None = None,
    bad: int | None = None,
    disposition: str = "",
    promised: date | None = None,
) -> Done[OrderState]:
    """Record a promised date, what came, good and bad pieces, and what becomes of the bad ones.

    Raises:
        Stopped: no such order or part; more pieces than ordered.
    """
    here = opened(path)
    order = _order(here.project, order_id)
    line = next((one for one in order.lines if one.part == part), None)
    if line is None:
        known = ", ".join(one.part for one in order.lines)
        raise stop("F111", f"order {order.id} has no part '{part}'; it has {known}.")
    for count in (good, bad):
        if count is not None and count < 0:
            raise stop("F112", f"{count} pcs is no number of pieces; write 0 or more.")
    if (good or 0) + (bad or 0) > line.quantity:
        raise stop(
            "F112", f"{(good or 0) + (bad or 0)} pcs is more than the {line.quantity} ordered."
        )
    given = {
        "received": received, "good": good, "bad": bad, "promised": promised,
        "disposition": disposition or None,
    }  # fmt: skip
    fresh = {name: value for name, value in given.items() if value is not None}
    new = _with_line(order, part, lambda one: one.model_copy(update=fresh))
    said = f"{part}: " + ", ".join(f"{name} {value}" for name, value in fresh.items())
    written = _put(here, new, "order followed", said)
    state = order_state(new, moment_of(here.project).date())
    return Done(state, _problems(state), written)


def take_invoice(path: Path, order_id: str, total: Decimal) -> Done[OrderState]:
    """Record an invoice's total, net, in the order's currency, and compare it.

    Problems: F102 it differs from what was ordered and good (ask).
    """
    here = opened(path)
    order = _order(here.project, order_id)
    if total < 0:
        raise stop("F113", f"an invoice of {total} is none; write its net total.")
    new = order.model_copy(update={"invoice_total": total})
    written = _put(here, new, "invoice recorded", str(total))
    state = order_state(new, moment_of(here.project).date())
    return Done(state, _problems(state), written)


def _put(
    here: Opened,
    order: Order,
    what: str,
    detail: str,
    files: dict[str, bytes] | None = None,
    file: str = "",
    sha256: str = "",
) -> tuple[Path, ...]:
    with changes(
        here.folder, what, project=here.project, about=f"order:{order.request}/{order.id}",
        detail=detail, file=file, sha256=sha256, at=moment_of(here.project),
    ) as change:  # fmt: skip
        for path, data in (files or {}).items():
            change.keep(path, data)
        change.put(order)
    return change.written


def _with_line(order: Order, part: str, changed: Callable[[OrderLine], OrderLine]) -> Order:
    lines = tuple(changed(one) if one.part == part else one for one in order.lines)
    return order.model_copy(update={"lines": lines})


def _problems(state: OrderState) -> tuple[Problem, ...]:
    order = state.order
    found = [
        Problem(
            "F101",
            f"{order.id}: {one.sentence}; agree to it or object in writing, silence may bind.",
            severity=Severity.ASK,
            subject=one.part,
        )
        for one in state.differences
    ]
    if state.invoice:
        found.append(
            Problem(
                "F102",
                f"{order.id}: the invoice is {state.invoice:+f} against what was ordered and good.",
                severity=Severity.ASK,
                subject=order.shop,
            )
        )
    found += [
        Problem(
            "F103", f"{order.id}: {part} was promised for a day that has passed.",
            severity=Severity.ASK, subject=part,
        )
        for part in state.late
    ]  # fmt: skip
    return tuple(found)


def _order(project: Project, order_id: str) -> Order:
    found = [one for one in project.orders if one.id == order_id or one.shop == order_id]
    if len(found) != 1:
        known = ", ".join(one.id for one in project.orders) or "none yet"
        raise stop("F110", f"there is no single order '{order_id}'; orders: {known}.")
    return found[0]


def orders_json(done: Done[tuple[OrderState, ...]]) -> dict[str, Any]:
    """Return orders as plain values."""
    return {
        "orders": [
            {
                **state.order.model_dump(mode="json"),
                "total": str(state.total),
                "differences": [
                    {"part": d.part, "what": d.what, "ordered": d.ordered, "said": d.said,
                     "place": d.place, "against_us": d.against_us}
                    for d in state.differences
                ],
                "invoice_difference": None if state.invoice is None else str(state.invoice),
                "late": list(state.late),
            }
            for state in done.value
        ]
    }  # fmt: skip

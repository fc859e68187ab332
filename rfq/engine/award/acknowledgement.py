"""An acknowledgement against the order: what was changed in silence is named, line by line.

A shop's acknowledgement that differs from the order is, in many places, a new offer that binds
once nobody objects; which law holds is for someone qualified to say.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from rfq.model.award import Acknowledged, Order, OrderLine
from rfq.model.money import round_money


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing an acknowledgement says otherwise.

    Args:
        part: '' for the terms. what: price, quantity, revision, date, line, or the term's name.
        ordered, said: as text. place: where the shop says it.
        against_us: whether it costs us money, time or another revision.
    """

    part: str
    what: str
    ordered: str
    said: str
    place: str = ""
    against_us: bool = True

    @property
    def sentence(self) -> str:
        """The difference in one sentence."""
        where = f"{self.part}: " if self.part else ""
        return f"{where}{self.what}: ordered {self.ordered}, acknowledged {self.said}"


def differences(order: Order) -> tuple[Difference, ...]:
    """Return what an order's acknowledgement says otherwise; a part not named is one too."""
    found: list[Difference] = []
    said = {one.part: one for one in order.acknowledged}
    for line in order.lines:
        if line.part not in said:
            found.append(Difference(line.part, "line", f"{line.quantity} pcs", "not named"))
            continue
        found += _of_line(line, said[line.part])
    known = {line.part for line in order.lines}
    for one in order.acknowledged:
        if one.part not in known:
            found.append(
                Difference(one.part, "line", "not ordered", f"{one.quantity} pcs", one.place)
            )
    for name, text in order.acknowledged_terms.items():
        ordered = order.terms.get(name, "")
        if name == "incoterm" and order.terms.get("place"):
            ordered = f"{ordered} {order.terms['place']}".strip()
        if not _same_term(ordered, text):
            found.append(Difference("", name, ordered or "not said", text))
    return tuple(found)


def _of_line(line: OrderLine, said: Acknowledged) -> list[Difference]:
    found = []
    if said.quantity is not None and said.quantity != line.quantity:
        found.append(
            Difference(
                line.part, "quantity", f"{line.quantity} pcs", f"{said.quantity} pcs", said.place
            )
        )
    if said.each is not None and said.each != line.each:
        more = (said.each - line.each) * (said.quantity or line.quantity)
        found.append(
            Difference(
                line.part,
                "price",
                f"{line.each} {line.currency}",
                f"{said.each} {line.currency} ({more:+f} on the line)",
                said.place,
                more > 0,
            )
        )
    if said.revision and said.revision != line.revision:
        found.append(Difference(line.part, "revision", line.revision, said.revision, said.place))
    if said.date is not None and line.promised is not None and said.date != line.promised:
        late = (said.date - line.promised).days
        found.append(
            Difference(
                line.part,
                "date",
                line.promised.isoformat(),
                f"{said.date.isoformat()} ({late:+d} days)",
                said.place,
                late > 0,
            )
        )
    return found


def order_total(order: Order) -> Decimal:
    """Return what an order comes to in its own currency, one-offs in it."""
    currency = order.lines[0].currency if order.lines else "EUR"
    whole = sum((line.each * line.quantity + line.one_off for line in order.lines), Decimal(0))
    return round_money(whole, currency)


def invoice_difference(order: Order) -> Decimal | None:
    """Return invoice minus what was ordered (good pieces only, where they are known), or None."""
    if order.invoice_total is None:
        return None
    currency = order.lines[0].currency if order.lines else "EUR"
    whole = sum(
        (
            line.each * (line.good if line.good is not None else line.quantity) + line.one_off
            for line in order.lines
        ),
        Decimal(0),
    )
    return order.invoice_total - round_money(whole, currency)


def _same_term(ordered: str, said: str) -> bool:
    """Whether two terms say the same: '30 days net' and 'net 30 days' do.

    Terms with figures are the same where the figures are and a rule in capitals (DAP, EXW) is;
    others where their words are.
    """
    figures = [sorted(re.findall(r"\d+", text)) for text in (ordered, said)]
    rules = [set(re.findall(r"\b[A-Z]{3}\b", text)) for text in (ordered, said)]
    if any(figures):
        return figures[0] == figures[1] and rules[0] == rules[1]
    words = [set(re.findall(r"\w+", text.lower())) for text in (ordered, said)]
    return words[0] == words[1] or (bool(rules[0]) and words[1] < words[0] and rules[0] == rules[1])

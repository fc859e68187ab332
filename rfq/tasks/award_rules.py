"""Rules of an award as typed, and whether they name what is there."""

from __future__ import annotations

import re
from typing import Any

from rfq.model.award import Rules
from rfq.model.project import Project
from rfq.model.request import Request
from rfq.tasks.letters import stop


def check_rules(project: Project, request: Request, rules: Rules) -> None:
    """Raise ``Stopped`` where a rule names a shop or part that is not there (A024)."""
    parts = {line.part for line in request.lines}
    shops = {*rules.only, *rules.capacity, *rules.least_order_value, *rules.shop_fixed_cost}
    for name in rules.forbidden:
        shop, _, part = name.partition("/")
        shops.add(shop)
        if part and part not in parts:
            raise stop("A024", f"part '{part}' is not in request {request.id}.")
    for shop in sorted(shops):
        if shop not in project.shops:
            known = ", ".join(sorted(project.shops))
            raise stop("A024", f"there is no shop '{shop}'; shops: {known}.")
    for part in rules.quantities:
        if part not in parts:
            raise stop("A024", f"part '{part}' is not in request {request.id}.")


_PAIR = re.compile(r"(?P<name>[^=]+)=(?P<value>[^=]+)")


def rules_from_words(
    *, capacity: tuple[str, ...] = (), least: tuple[str, ...] = (), fixed: tuple[str, ...] = (),
    quantities: tuple[str, ...] = (), **plain: Any,
) -> Rules:  # fmt: skip
    """Return rules from words as typed ('wiklina=200').

    Raises:
        Stopped: a word is no 'name=number', or a number is out of its bounds.
    """
    try:
        return Rules(
            capacity=_pairs(capacity),
            least_order_value=_pairs(least),
            shop_fixed_cost=_pairs(fixed),
            quantities=_pairs(quantities),
            **{name: value for name, value in plain.items() if value is not None},
        )
    except ValueError as error:
        said = str(error).splitlines()[-2].strip() if "\n" in str(error) else str(error)
        raise stop("A025", f"the rules cannot be read: {said}.") from None


def _pairs(words: tuple[str, ...]) -> dict[str, Any]:
    found = {}
    for word in words:
        pair = _PAIR.fullmatch(word)
        if pair is None:
            raise ValueError(f"'{word}' should read name=number")
        found[pair["name"].strip()] = pair["value"].strip()
    return found

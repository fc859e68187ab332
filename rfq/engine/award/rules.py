"""The rules of an award one by one: their names, and the award without one of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from rfq.model.award import Rules


def active_rules(rules: Rules) -> tuple[str, ...]:
    """Return the rules that bind, each in words; the words are keys of ``without``.

    >>> active_rules(Rules(most_shops=2, without_odd=True))
    ('at most 2 shops', 'no odd price')
    """
    found = []
    if rules.most_shops is not None:
        found.append(f"at most {rules.most_shops} shop{'s' if rules.most_shops != 1 else ''}")
    if rules.two_shops_for_critical:
        found.append("critical parts from two shops")
    if rules.highest_share_percent is not None and rules.two_shops_for_critical:
        found.append(f"at most {rules.highest_share_percent} % of a critical part to one shop")
    if rules.without_odd:
        found.append("no odd price")
    if rules.need_date is not None:
        found.append(f"here by {rules.need_date.isoformat()}")
    found += [f"capacity of {shop}: {most} pcs" for shop, most in sorted(rules.capacity.items())]
    found += [
        f"least order of {shop}: {least:f}"
        for shop, least in sorted(rules.least_order_value.items())
    ]
    found += [f"cost of using {shop}: {cost:f}" for shop, cost in _costs(rules)]
    found += [f"nothing from {name}" for name in rules.forbidden]
    if rules.only:
        found.append(f"only from {', '.join(rules.only)}")
    return tuple(found)


def without(rules: Rules, name: str) -> Rules:
    """Return the rules less one, named as ``active_rules`` names it.

    Raises:
        KeyError: no such rule binds.
    """
    if name not in active_rules(rules):
        raise KeyError(f"the rule '{name}' does not bind")
    for begin, relaxed in _RELAX.items():
        if name.startswith(begin):
            return rules.model_copy(update=relaxed(rules, name.removeprefix(begin)))
    raise KeyError(name)


def _costs(rules: Rules) -> list[tuple[str, object]]:
    return sorted(rules.shop_fixed_cost.items())


def _less(field: str) -> Callable[[Rules, str], Mapping[str, object]]:
    def relaxed(rules: Rules, rest: str) -> Mapping[str, object]:
        shop = rest.partition(":")[0]
        return {field: {key: v for key, v in getattr(rules, field).items() if key != shop}}

    return relaxed


_RELAX: Final[dict[str, Callable[[Rules, str], Mapping[str, object]]]] = {
    "critical parts from two shops": lambda rules, rest: {"two_shops_for_critical": False},
    "no odd price": lambda rules, rest: {"without_odd": False},
    "here by ": lambda rules, rest: {"need_date": None},
    "capacity of ": _less("capacity"),
    "least order of ": _less("least_order_value"),
    "cost of using ": _less("shop_fixed_cost"),
    "nothing from ": lambda rules, rest: {
        "forbidden": tuple(name for name in rules.forbidden if name != rest)
    },
    "only from ": lambda rules, rest: {"only": ()},
    "at most ": lambda rules, rest: (
        {"highest_share_percent": None} if "%" in rest else {"most_shops": None}
    ),
}

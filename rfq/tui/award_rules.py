"""The rules of an award as they are shown, typed and switched off."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any, Literal

from rfq.model.award import Rules


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule: its field in the model, label, how it is typed, and what it does."""

    name: str
    label: str
    kind: Literal["flag", "whole", "day", "names", "pairs"]
    how: str
    about: str


RULES: tuple[Rule, ...] = (
    Rule("most_shops", "most shops", "whole", "a number, empty for off",
         "Award to at most so many shops."),
    Rule("without_odd", "without odd prices", "flag", "",
         "Leave out prices with the verdict query or likely error."),
    Rule("two_shops_for_critical", "two shops if critical", "flag", "",
         "A part marked critical goes to two shops."),
    Rule("split_lines", "split lines", "flag", "", "One line may be shared between shops."),
    Rule("highest_share_percent", "highest share", "whole", "percent, empty for off",
         "The highest share of a critical line that one shop may get."),
    Rule("need_date", "need date", "day", "2026-10-16, empty for off",
         "Only prices whose comparable date is in time."),
    Rule("only", "only these shops", "names", "shop shop, empty for all", "Choose from these."),
    Rule("forbidden", "not these", "names", "shop, or shop/part", "Leave these out."),
    Rule("capacity", "capacity", "pairs", "shop=pieces", "A shop can make no more than this."),
    Rule("least_order_value", "least order value", "pairs", "shop=money",
         "A shop takes no order below this."),
    Rule("shop_fixed_cost", "cost of a shop", "pairs", "shop=money",
         "What one more shop costs us: qualification, freight."),
    Rule("quantities", "quantities", "pairs", "part=pieces",
         "Order these instead of what is ordered first."),
)  # fmt: skip


def rule_words(rules: Rules, rule: Rule) -> str:
    """Return a rule's value as text, 'off' where it is off."""
    value: Any = getattr(rules, rule.name)
    if rule.kind == "flag":
        return "on" if value else "off"
    if value in (None, (), {}):
        return "off"
    if rule.kind == "pairs":
        return " ".join(f"{name}={number}" for name, number in value.items())
    if rule.kind == "names":
        return " ".join(value)
    return str(value)


def changed_rules(rules: Rules, rule: Rule, value: Any) -> Rules:
    """Return the rules with one changed."""
    return Rules.model_validate({**dict(rules), rule.name: value})


def typed_rule(rules: Rules, rule: Rule, typed: str) -> tuple[Rules | None, str]:
    """Return the rules with one as typed, or None; and what was understood or is wrong."""
    words = typed.split()
    value: Any
    try:
        if rule.kind == "whole":
            value = int(typed) if words else None
        elif rule.kind == "day":
            value = date.fromisoformat(typed.strip()) if words else None
        elif rule.kind == "names":
            value = tuple(words)
        else:
            value = dict(word.split("=", 1) for word in words)
        new = changed_rules(rules, rule, value)
    except ValueError:
        return None, f"write {rule.how}"
    return new, f"{rule.label}: {rule_words(new, rule)}"

"""The cheapest award of a plain table, for scripts; and a solution as a proposal."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Final

from rfq.engine.award.program import Option, Program, Solution, solve
from rfq.engine.award.rules import active_rules, without
from rfq.model.award import Proposal, Rules, ShareOf
from rfq.model.money import round_money

if TYPE_CHECKING:
    from pandas import DataFrame

COLUMNS: Final = ("line", "shop", "quantity", "each")
_SIX: Final = Decimal("0.000001")


class NoAward(ValueError):
    """No award keeps all rules; ``relax`` names the rules of which one would have to go."""

    def __init__(self, message: str, relax: tuple[str, ...] = ()) -> None:
        super().__init__(message)
        self.relax = relax


def cheapest_award(
    table: DataFrame, rules: Rules | Mapping[str, Any] | None = None, *, seconds: float = 30.0
) -> Proposal:
    """Return the cheapest award of a table of prices.

    Args:
        table: columns line, shop, quantity (the break, in pieces), each (price of one piece),
            once (paid once for that line and shop; optional), need (pieces wanted of the line;
            optional where a line has one quantity only, or ``rules.quantities`` says it).
        rules: see ``rfq.model.award.Rules``, or a mapping of its fields. ``need_date``,
            ``without_odd`` and what concerns critical parts need a comparison and are refused.
        seconds: time limit; a proposal that is not proven shows its ``gap``.

    Returns:
        Shares with the comparable price of one piece, total, shops, gap.

    Raises:
        NoAward: no award keeps all rules; says which to relax.
        ValueError: a column is missing, a quantity is not whole, or a need is not said.

    >>> import pandas as pd
    >>> table = pd.DataFrame({"line": ["a", "a"], "shop": ["x", "y"], "quantity": [1, 1],
    ...                       "each": [3.0, 2.0], "once": [0.0, 20.0], "need": [10, 10]})
    >>> award = cheapest_award(table, {})
    >>> award.shops, award.total
    (('x',), Decimal('30.00'))
    """
    rules = rules if isinstance(rules, Rules) else Rules(**(rules or {}))
    if rules.need_date is not None or rules.without_odd or rules.two_shops_for_critical:
        raise ValueError(
            "A table says nothing about dates, odd prices or critical parts; leave those rules out."
        )
    missing = [name for name in COLUMNS if name not in table.columns]
    if missing:
        raise ValueError(f"The table lacks the column {missing[0]}; it has {list(table.columns)}.")
    options = _options(table)
    need = _needs(table, rules)
    return _solved(need, options, rules, seconds)


def _options(table: DataFrame) -> list[Option]:
    once = table["once"] if "once" in table.columns else [0.0] * len(table)
    options = []
    for line, shop, quantity, each, paid_once in zip(
        table["line"], table["shop"], table["quantity"], table["each"], once, strict=True
    ):
        if not (quantity >= 0 and each >= 0 and paid_once >= 0):
            raise ValueError(
                f"{line} at {shop}: quantity {quantity}, each {each}, once {paid_once}; all three "
                "have to be numbers of 0 or more."
            )
        options.append(Option(str(line), str(shop), float(quantity), float(each), float(paid_once)))
    return options


def _needs(table: DataFrame, rules: Rules) -> dict[str, float]:
    need: dict[str, float] = {line: float(pieces) for line, pieces in rules.quantities.items()}
    column = "need" if "need" in table.columns else "quantity"
    for line, group in table.groupby("line", sort=False):
        name = str(line)
        if name in need:
            continue
        said = set(group[column])
        if len(said) != 1:
            raise ValueError(f"Line {name} has several quantities; say in a column need how many.")
        need[name] = float(said.pop())
    for line, pieces in need.items():
        if pieces <= 0 or pieces != int(pieces):
            raise ValueError(f"Line {line} needs {pieces} pieces; whole ones, more than none.")
    return {line: need[line] for line in dict.fromkeys(str(one) for one in table["line"])}


def _solved(
    need: Mapping[str, float], options: list[Option], rules: Rules, seconds: float
) -> Proposal:
    solution = solve(program_of(need, options, rules), seconds=seconds)
    if solution.status != "infeasible":
        return proposal_of("cheapest", solution, rules)
    unquoted = [line for line in need if line not in {option.line for option in options}]
    if unquoted:
        raise NoAward(f"Nobody has a price for {unquoted[0]}.")
    relax = tuple(
        name
        for name in active_rules(rules)
        if solve(program_of(need, options, without(rules, name)), seconds=seconds).status
        != "infeasible"
    )
    said = " or ".join(f"'{name}'" for name in relax) or "several rules at once"
    raise NoAward(f"No award keeps all rules; relax {said}.", relax)


def program_of(
    need: Mapping[str, float],
    options: list[Option],
    rules: Rules,
    critical: frozenset[str] = frozenset(),
) -> Program:
    """Return the program of an award under rules.

    Args:
        need: line -> pieces. options: prices that may be taken, before shops are left out.
        critical: lines that want two shops where the rules say so.
    """
    forbidden = set(rules.forbidden)
    allowed = [
        option
        for option in options
        if option.shop not in forbidden
        and f"{option.shop}/{option.line}" not in forbidden
        and (not rules.only or option.shop in rules.only)
    ]
    two = critical if rules.two_shops_for_critical else frozenset[str]()
    share = rules.highest_share_percent
    return Program(
        need=need,
        options=allowed,
        split=rules.split_lines,
        shop_cost={shop: float(cost) for shop, cost in rules.shop_fixed_cost.items()},
        capacity={shop: float(most) for shop, most in rules.capacity.items()},
        least_value={shop: float(least) for shop, least in rules.least_order_value.items()},
        most_shops=rules.most_shops,
        two_shops=two,
        most_share=share / 100 if share is not None else 1.0,
    )


def proposal_of(name: str, solution: Solution, rules: Rules, currency: str = "EUR") -> Proposal:
    """Return a solution as a proposal; its total is summed anew in decimals."""
    shares, total = [], Decimal(0)
    for (line, shop), pieces in solution.pieces.items():
        option = solution.price[line, shop]
        quantity = round(pieces)
        each, once = Decimal(repr(option.each)), Decimal(repr(option.once))
        total += each * quantity + once
        shares.append(
            ShareOf(
                part=line,
                shop=shop,
                quantity=quantity,
                comparable_each=(each + once / quantity).quantize(_SIX),
            )
        )
    shops = tuple(dict.fromkeys(share.shop for share in shares))
    total += sum((rules.shop_fixed_cost.get(shop, Decimal(0)) for shop in shops), Decimal(0))
    return Proposal(
        name=name,
        shares=tuple(shares),
        total=round_money(total, currency),
        shops=shops,
        gap=max(0.0, solution.gap),
    )

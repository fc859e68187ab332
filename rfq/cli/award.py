"""rfq award [PROJECT]: proposals under rules; --choose records one and writes the letters."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from rfq.cli import options, say, tables

if TYPE_CHECKING:
    from rfq.model.award import Rules
    from rfq.tasks.award import Chosen, Proposed

_DAY = click.DateTime(["%Y-%m-%d"])


@click.command("award")
@options.project_argument
@options.round_option
@options.request_option
@options.as_of_option
@click.option("--most-shops", type=click.IntRange(min=1), help="at most so many shops")
@click.option("--split", "split_lines", is_flag=True, help="a part may be shared between shops")
@click.option("--two-shops", "two_shops_for_critical", is_flag=True,
              help="critical parts from two shops")  # fmt: skip
@click.option("--most-share", "highest_share_percent", type=click.IntRange(1, 100),
              help="per cent of a critical part to one shop at most")  # fmt: skip
@click.option("--without-odd", is_flag=True, help="no price that is odd (query, likely error)")
@click.option("--need", "need_date", type=_DAY, help="only what is here by this day")
@click.option("--capacity", multiple=True, metavar="SHOP=PCS", help="most pieces of a shop")
@click.option("--least", multiple=True, metavar="SHOP=AMOUNT", help="least value of a shop's order")
@click.option("--fixed", multiple=True, metavar="SHOP=AMOUNT", help="what using a shop costs")
@click.option("--not", "forbidden", multiple=True, metavar="SHOP[/PART]", help="nothing from it")
@click.option("--only", multiple=True, metavar="SHOP", help="choose from these shops")
@click.option("--pieces", "quantities", multiple=True, metavar="PART=PCS",
              help="order so many instead of what is ordered first")  # fmt: skip
@click.option("--seconds", type=click.FloatRange(min=1), default=30.0, show_default=True,
              help="time limit of each solution")  # fmt: skip
@click.option("--choose", default="", metavar="PROPOSAL", help="record this proposal as the award")
@click.option("--reason", default="", help="why (with --choose)")
@click.option("--refused", default="", help="why the others were refused (with --choose)")
@options.json_option
def command(
    project: Path,
    round_: int | None,
    request_id: str,
    as_of: str,
    seconds: float,
    choose: str,
    reason: str,
    refused: str,
    json_: bool,
    **words: Any,
) -> int:
    """Who makes what: proposals side by side; nothing is stored without --choose."""
    from rfq.tasks.award import choose_award, proposals_json, propose_awards
    from rfq.tasks.award_rules import rules_from_words

    need: datetime | None = words.pop("need_date")
    words["least"], words["fixed"] = words.pop("least"), words.pop("fixed")
    rules = rules_from_words(need_date=need.date() if need else None, **words)
    progress = None if json_ else say.words
    if choose:
        done = choose_award(
            project, choose, reason, rules, round_=round_, request_id=request_id, as_of=as_of,
            refused_because=refused, seconds=seconds, progress=progress,
        )  # fmt: skip
        if json_:
            say.as_json(_chosen_json(done.value))
        elif done.value is not None:
            _chosen(done.value)
        return say.problems(done.problems)
    proposed = propose_awards(
        project, rules, round_=round_, request_id=request_id, as_of=as_of, seconds=seconds,
        progress=progress,
    )  # fmt: skip
    if json_:
        say.as_json(proposals_json(proposed))
        return say.DATA if proposed.stops else say.DONE
    _print(proposed.value, rules)
    return say.problems(proposed.problems)


def _print(proposed: Proposed, rules: Rules) -> None:
    currency = proposed.comparison.currency
    rows = [
        [
            one.name,
            tables.money(one.total),
            one.last_date.isoformat() if one.last_date else one.note or "–",
            tables.money(one.paid_before_delivery),
            "proven" if one.gap <= 0 else f"within {one.gap:.2%}",
            ", ".join(one.shops),
        ]
        for one in proposed.proposals
    ]
    heads = ["proposal", f"total {currency}", "last date", "before delivery", "", "shops"]
    for text in tables.table(heads, rows, right=(1, 3)):
        say.data(text)
    if not proposed.proposals:
        return
    best = proposed.proposals[0]
    for name, price in best.rule_prices.items():
        say.data(f"  the rule '{name}' costs {tables.money(price)} {currency}")
    say.data("")
    rows = [
        [share.part, share.revision, share.shop, str(share.quantity),
         tables.money(share.comparable_each), _quoted(share.quoted_each, share.currency),
         share.reason]
        for share in best.shares
    ]  # fmt: skip
    heads = ["part", "rev", "shop", "pcs", "comparable", "quoted", "why"]
    for text in tables.table(heads, rows, right=(3, 4, 5)):
        say.data(text)


def _quoted(each: Decimal | None, currency: str) -> str:
    if each is None:
        return "–"
    digits = max(2, -int(each.as_tuple().exponent))  # as quoted, two digits at least
    return f"{tables.money(each, digits)} {currency}"


def _chosen(chosen: Chosen) -> None:
    award = chosen.award
    say.data(f"{award.id}: {award.proposal.name}, {tables.money(award.proposal.total)}")
    say.data(f"decision record: {chosen.record}")
    for order in chosen.orders:
        say.data(f"order {order.id}: {len(order.lines)} lines, requests/{order.request}/orders")
    for letter in chosen.letters:
        say.data(f"letter to {letter.shop}: {letter.kind}")
    for caution in award.cautions:
        say.words(f"caution: {caution}")


def _chosen_json(chosen: Chosen | None) -> dict[str, Any] | None:
    if chosen is None:
        return None
    return {
        "award": chosen.award.model_dump(mode="json"),
        "orders": [order.model_dump(mode="json") for order in chosen.orders],
        "letters": [{"shop": one.shop, "kind": one.kind} for one in chosen.letters],
        "record": chosen.record,
    }

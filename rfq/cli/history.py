"""rfq history DIR..: what past quotes say about the should-cost and the shops."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from rfq.cli import options, say, tables

if TYPE_CHECKING:
    from rfq.tasks.history import History


@click.command("history")
@click.argument("folders", nargs=-1, required=True, metavar="DIR..",
                type=click.Path(path_type=Path))  # fmt: skip
@click.option("--to", type=click.Path(path_type=Path), help="write all prices to this Parquet file")
@click.option("--rates-of", type=click.Path(path_type=Path),
              help="the project whose rates are proposed anew")  # fmt: skip
@click.option("--apply", is_flag=True, help="put the proposed rates into that project")
@click.option("--yes", is_flag=True, help="do not ask before applying")
@options.json_option
def command(
    folders: tuple[Path, ...],
    to: Path | None,
    rates_of: Path | None,
    apply: bool,
    yes: bool,
    json_: bool,
) -> int:
    """What our own past quotes say about our should-cost and about the shops."""
    from rfq.tasks.history import (
        apply_rates,
        before_and_after,
        history,
        history_json,
        write_history,
    )

    if apply and rates_of is None:
        raise click.UsageError("say whose rates with --rates-of PROJECT")
    done = history(folders, apply_to=rates_of)
    value = done.value
    if to is not None:
        write_history(value, to)
        say.words(f"written {to}: {len(value.rows)} prices")
    if json_:
        say.as_json(history_json(value))
    else:
        _print(value)
    if rates_of is not None and (value.rates.factor is not None or value.spread.own):
        ratios = before_and_after(value, rates_of).value
        if ratios is not None:
            say.words(f"{rates_of}: market over should-cost {ratios[0]:.2f} before, "
                      f"{ratios[1]:.2f} after")  # fmt: skip
        if apply and (yes or click.confirm("Change the rates?", err=True)):
            applied = apply_rates(value, rates_of)
            for path in applied.written:
                say.words(f"written {path}")
    elif apply:
        say.words(f"nothing to apply: {value.rates.why}")
    return say.problems(done.problems)


def _print(value: History) -> None:
    odd = sum(row.odd for row in value.rows)
    say.data(f"{len(value.rows)} prices of {value.projects} projects, {odd} odd ones set aside")
    rows = [
        [group.by, group.name, str(group.parts), str(group.quotes), group.words]
        for group in value.groups
    ]
    for text in tables.table(["by", "", "parts", "quotes", "market"], rows, right=(2, 3)):
        say.data(text)
    say.data(f"the band (P10 to P90) held the market: {value.coverage.words}")
    for shop in value.shops:
        say.data(f"{shop.shop}: {shop.words}")
    spread = value.spread
    whose = "our own" if spread.own else "start values, not enough prices yet"
    say.data(
        f"spreads for odd prices ({whose}, {spread.prices} prices): price level "
        f"{spread.spread.level:.2f}, single price {spread.spread.single:.2f}"
    )
    say.data(f"rates: {value.rates.why}")
    for name, after in value.rates.after.items():
        before = value.rates.before[name]
        say.data(f"  {name}: {' / '.join(map(str, before))} to {' / '.join(map(str, after))} EUR/h")

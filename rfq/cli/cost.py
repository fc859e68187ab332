"""rfq cost [PROJECT]."""

from __future__ import annotations

from pathlib import Path

import click

from rfq.cli import options, say, tables


@click.command("cost")
@options.project_argument
@click.option("--part", default="", help="only this part, with its elements")
@click.option("--quantity", type=click.IntRange(min=1), default=None, help="only at this quantity")
@click.option("--explain", is_flag=True, help="from stock to price, each step with its source")
@options.json_option
def command(project: Path, part: str, quantity: int | None, explain: bool, json_: bool) -> int:
    """What each part should cost, as a band (10th, 50th, 90th percentile)."""
    from rfq.tasks.cost import cost_json, cost_project

    done = cost_project(project, part=part, quantity=quantity, whole=json_)
    if json_:
        say.as_json(cost_json(done))
        return say.DATA if done.stops else say.DONE
    rows = [
        [
            estimate.part,
            estimate.revision,
            str(estimate.quantity),
            tables.money(estimate.low),
            tables.money(estimate.middle),
            tables.money(estimate.high),
            estimate.currency,
            estimate.route + (" *" if estimate.marked else ""),
            estimate.basis,
        ]
        for estimate in done.value
    ]
    heads = ["part", "rev", "pcs", "low", "middle", "high", "", "route", "basis"]
    for line in tables.table(heads, rows, right=(2, 3, 4, 5)):
        say.data(line)
    if part:
        for estimate in done.value:
            _elements(estimate, explain)
    if done.value:
        say.words(
            "* rests on common practice. An estimate for talking about price; its times are not"
        )
        say.words("machine settings, which come from the shop, the machine and the cutter maker.")
    return say.problems(done.problems)


def _elements(estimate: object, explain: bool) -> None:
    from rfq.model.estimate import Estimate

    assert isinstance(estimate, Estimate)
    say.data("")
    say.data(
        f"{estimate.part}, {estimate.quantity} pcs, {estimate.route}: "
        "elements in the order of making"
    )
    top = max((element.middle for element in estimate.elements), default=1.0) or 1.0
    for element in estimate.elements:
        bar = "█" * round(24 * element.middle / top)
        minutes = estimate.minutes.get(element.name)
        rate = estimate.rates.get(element.name)
        how = f"{minutes:.1f} min" if minutes else ""
        how += f" at {rate:.0f} {estimate.currency}/h" if minutes and rate else ""
        say.data(
            f"  {element.name:<26}{tables.money(element.middle):>10}  {bar:<24}  {how}".rstrip()
        )
    if estimate.one_off:
        charges = ", ".join(
            f"{name} {tables.money(amount)}" for name, amount in estimate.one_off.items()
        )
        say.data(f"  one-offs, once: {charges}")
    for driver in estimate.drivers[:5]:
        say.data(
            f"  moves it: {driver.name}: {tables.money(driver.low)} to {tables.money(driver.high)}"
        )
    for caution in estimate.cautions:
        say.data(f"  caution: {caution}")
    if explain:
        for step in estimate.steps:
            say.data(
                f"  {step.name}: {step.value:.4g} {step.unit}  {step.formula}  [{step.source}]"
            )
        for assumed in estimate.assumptions:
            say.data(
                f"  assumed: {assumed.name} = {assumed.value} {assumed.unit}"
                f"  [{assumed.basis}{': ' + assumed.source if assumed.source else ''}]"
            )

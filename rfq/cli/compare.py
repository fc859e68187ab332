"""rfq compare [PROJECT]."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from rfq.cli import options, say, tables

if TYPE_CHECKING:
    from rfq.model.comparison import Comparison, PriceCell


@click.command("compare")
@options.project_argument
@options.round_option
@options.request_option
@options.as_of_option
@click.option("--bridge", is_flag=True, help="show every step from quoted to comparable price")
@options.json_option
def command(
    project: Path, round_: int | None, request_id: str, as_of: str, bridge: bool, json_: bool
) -> int:
    """Comparable prices per accepted part, landed; odd prices and the likeliest reason."""
    from rfq.tasks.compare import compare_project, comparison_json

    done = compare_project(project, round_=round_, request_id=request_id, as_of=as_of)
    if json_:
        say.as_json(comparison_json(done.value))
        return say.DATA if done.stops else say.DONE
    _print(done.value, bridge)
    return say.problems(done.problems)


def _print(comparison: Comparison, bridge: bool) -> None:
    say.data(
        f"{comparison.project}, request {comparison.request}, round {comparison.round}: comparable "
        f"{comparison.currency} per accepted piece, landed, as of {comparison.as_of}"
    )
    for rate in comparison.exchange:
        say.data(f"  {rate}")
    if not comparison.lines:
        say.data("")
        say.data("nothing to compare yet: the request has no lines (see rfq check)")
        return
    shops = [shop.shop for shop in comparison.shops]
    rows = []
    for line in comparison.lines:
        band = line.should_cost
        rows.append(
            [
                f"{line.part} {line.revision}",
                str(line.quantity),
                f"{tables.money(band.low)} [{tables.money(band.middle)}] {tables.money(band.high)}"
                if band
                else "none",
                *(_cell(next((c for c in line.prices if c.shop == shop), None)) for shop in shops),
            ]
        )
    heads = ["line", "pcs", "should-cost band", *shops]
    say.data("")
    for text in tables.table(heads, rows, right=(1, 2, *range(3, 3 + len(shops)))):
        say.data(text)
    _levels(comparison)
    _odd(comparison)
    if bridge:
        _bridges(comparison)


def _cell(cell: PriceCell | None) -> str:
    if cell is None:
        return ""
    if cell.comparable is None:
        return cell.state.value
    text = tables.money(cell.comparable)
    if cell.rank == 1:
        text = f"lowest {text}"
    if cell.verdict is not None and cell.verdict.value != "in line":
        text += f" {cell.verdict.value}"
    if cell.state.value != "quoted":
        text += f" {cell.state.value}"
    elif not cell.ranked:
        text += " not ranked"
    return text


def _levels(comparison: Comparison) -> None:
    say.data("")
    say.data(
        "price level against should-cost and the others (once single odd prices are set aside)"
    )
    for shop in comparison.shops:
        level = "no level" if shop.level is None else f"{shop.level:+.0%}"
        if shop.level_low is not None and shop.level_high is not None:
            level += f" ({shop.level_low:+.0%} to {shop.level_high:+.0%})"
        total = (
            f"total of like lines {tables.money(shop.total)}"
            if shop.total is not None
            else "no like total"
        )
        answered = f"{shop.lines_quoted} of {shop.lines_asked} lines"
        say.data(f"  {shop.shop:<14}{level:<26}{answered:<18}{total}")
        if shop.slip is not None:
            say.data(
                f"    whole reply: {shop.slip.name}, next {shop.slip.next_best or 'none'}; "
                f"{shop.slip.reason}"
            )
    for what_if in comparison.what_ifs:
        if what_if.changes:
            say.data(f"  {what_if.name}: {what_if.winner} would be lowest. {what_if.note}")


def _odd(comparison: Comparison) -> None:
    rows = [
        (line, cell)
        for line in comparison.lines
        for cell in line.prices
        if cell.verdict is not None and cell.verdict.value in ("query", "likely error")
    ]
    outside = sum(
        cell.verdict is not None and cell.verdict.value == "outside the band"
        for line in comparison.lines
        for cell in line.prices
    )
    say.data("")
    say.data(f"odd prices: {len(rows)}; outside the band: {outside}")
    for line, cell in rows:
        say.data(
            f"  {cell.shop}, {line.part}, {line.quantity} pcs: {tables.money(cell.comparable)}: "
            f"{cell.verdict.value if cell.verdict else ''}"
        )
        if cell.slip is not None:
            after = f"; next: {cell.slip.next_best}" if cell.slip.next_best else ""
            say.data(f"    may be  {cell.slip.name} ({cell.slip.fit:.0%} explained){after}")
        if cell.reason:
            say.data(f"    why     {cell.reason}")
        if cell.question:
            say.data(f"    ask     {cell.question}")
    unranked: dict[tuple[str, str], list[str]] = {}
    for line in comparison.lines:
        for cell in line.prices:
            if cell.comparable is not None and not cell.ranked:
                key = (cell.shop, cell.why_not_ranked)
                unranked.setdefault(key, []).append(f"{line.part} x {line.quantity}")
    for (shop, why), which in unranked.items():
        shown = ", ".join(which[:3]) + (f" and {len(which) - 3} more" if len(which) > 3 else "")
        say.data(f"  not ranked: {shop}: {why}: {shown}")


def _bridges(comparison: Comparison) -> None:
    for line in comparison.lines:
        for cell in line.prices:
            if cell.comparable is None:
                continue
            say.data("")
            say.data(f"bridge: {cell.shop}, {line.part}, {line.quantity} pcs")
            for step in cell.bridge:
                mark = " (our estimate)" if step.estimated else ""
                say.data(
                    f"  {step.step:<28}{step.amount:>14}  "
                    f"{step.reason}{mark}  {step.place}".rstrip()
                )
            say.data(f"  {'comparable price':<28}{cell.comparable:>14}")

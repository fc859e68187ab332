"""rfq routes P."""

from __future__ import annotations

from pathlib import Path

import click

from rfq.cli import options, say, tables


@click.command("routes")
@click.argument("part")
@options.project_option
@click.option(
    "--quantity", "quantities", multiple=True, type=click.IntRange(min=1), help="may be given again"
)
@options.json_option
def command(part: str, project: Path, quantities: tuple[int, ...], json_: bool) -> int:
    """Ways to make PART, each with its band, and where they cross."""
    from rfq.tasks.cost import routes_of

    done = routes_of(project, part, quantities)
    found = done.value
    if json_:
        say.as_json(found.model_dump(mode="json") if found else None)
        return say.DATA if done.stops else say.DONE
    if found is not None:
        rows = [
            [
                estimate.route,
                str(estimate.quantity),
                tables.money(estimate.low),
                tables.money(estimate.middle),
                tables.money(estimate.high),
                estimate.currency,
            ]
            for estimate in found.estimates
        ]
        for line in tables.table(
            ["route", "pcs", "low", "middle", "high", ""], rows, right=(1, 2, 3, 4)
        ):
            say.data(line)
        for sentence in found.sentences:
            say.data(sentence)
        for caution in found.cautions:
            say.data(f"caution: {caution}")
    return say.problems(done.problems)

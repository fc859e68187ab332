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
                f"{band.route} ({band.material})",
                str(band.quantity),
                tables.money(band.low),
                tables.money(band.middle),
                tables.money(band.high),
                found.currency,
            ]
            for band in found.bands
        ]
        for line in tables.table(
            ["route", "pcs", "low", "middle", "high", ""], rows, right=(1, 2, 3, 4)
        ):
            say.data(line)
        for crossing in found.crossings:
            say.data(crossing.sentence)
        for than in found.cheaper:
            say.data(
                f"at {than.quantity} pcs {than.first} is cheaper than {than.second} with "
                f"probability {than.probability:.0%}"
            )
        for caveat in found.caveats:
            say.data(f"caution: {caveat}")
        say.problems(found.problems)
    return say.problems(done.problems)

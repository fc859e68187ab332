"""rfq savings P."""

from __future__ import annotations

from pathlib import Path

import click

from rfq.cli import options, say


@click.command("savings")
@click.argument("part")
@options.project_option
@click.option(
    "--quantity", type=click.IntRange(min=1), default=None, help="default: what is ordered first"
)
@options.json_option
def command(part: str, project: Path, quantity: int | None, json_: bool) -> int:
    """What a change to the request of PART would save, largest first; below zero it saves."""
    from rfq.tasks.cost import savings_of

    done = savings_of(project, part, quantity)
    if json_:
        say.as_json({"part": part, "savings": [one.model_dump(mode="json") for one in done.value]})
        return say.DATA if done.stops else say.DONE
    for saving in done.value:
        say.data(
            f"{saving.low:>+10.2f} to {saving.high:>+9.2f} EUR a piece "
            f"({saving.share:+.0%})  {saving.name}"
        )
        say.data(f"    {saving.sentence}")
        if saving.caution:
            say.data(f"    caution: {saving.caution}")
    return say.problems(done.problems)

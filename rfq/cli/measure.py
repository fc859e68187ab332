"""rfq measure PART."""

from __future__ import annotations

from pathlib import Path

import click

from rfq.cli import options, say, tables


@click.command("measure")
@click.argument("part")
@options.project_option
@click.option("--accept", is_flag=True, help="take the measured figures into the part")
@options.json_option
def command(part: str, project: Path, accept: bool, json_: bool) -> int:
    """Measure PART's STEP model; show typed and measured figures side by side."""
    from rfq.tasks.measure import measure_part

    done = measure_part(project, part, accept=accept)
    if json_:
        say.as_json(done.value.as_json() if done.value else None)
        return say.DATA if done.stops else say.DONE
    if done.value is not None:
        heads = ["figure", "typed", "measured", ""]
        for line in tables.table(heads, [list(row) for row in done.value.rows], right=(1, 2)):
            say.data(line)
        for finding in done.value.findings:
            say.data(finding)
    for path in done.written:
        say.words(f"stored {path}")
    return say.problems(done.problems)

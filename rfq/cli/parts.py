"""rfq parts SOURCE..: take parts in."""

from __future__ import annotations

from pathlib import Path

import click

from rfq.cli import options, say


@click.command("parts")
@click.argument(
    "sources", nargs=-1, required=True, metavar="SOURCE..", type=click.Path(path_type=Path)
)
@options.project_option
@click.option("--replace", is_flag=True, help="overwrite parts that are there already")
def command(sources: tuple[Path, ...], project: Path, replace: bool) -> int:
    """Take parts in: a parts list (CSV, XLSX) or a folder of drawings and models.

    Drawings and models are paired by part number and revision in the file name, copied into the
    project and attached with their hash.
    """
    from rfq.tasks.parts import take_parts

    code = say.DONE
    for source in sources:
        done = take_parts(project, source, replace=replace)
        for path in done.written:
            say.data(str(path))
        code = max(code, say.problems(done.problems))
    return code

"""rfq export [PROJECT] [--to DIR]."""

from __future__ import annotations

from pathlib import Path

import click

from rfq.cli import options, say

KINDS = ("csv", "xlsx", "parquet", "json", "pdf")


@click.command("export")
@options.project_argument
@click.option(
    "--to",
    "folder",
    default=None,
    type=click.Path(path_type=Path),
    help="folder to write into; default: the project's folder export",
)
@click.option("--as", "kinds", multiple=True, type=click.Choice(KINDS), help="default: all")
@options.round_option
@options.request_option
@options.as_of_option
def command(
    project: Path,
    folder: Path | None,
    kinds: tuple[str, ...],
    round_: int | None,
    request_id: str,
    as_of: str,
) -> int:
    """Write the comparison as csv, xlsx, parquet, json and pdf. Internal: not for shops."""
    from rfq.tasks.export import export_project
    from rfq.tasks.open import find_folder

    folder = folder or find_folder(project) / "export"
    done = export_project(
        project, folder, kinds=kinds or KINDS, round_=round_, request_id=request_id, as_of=as_of
    )
    for path in done.written:
        say.data(str(path))
    return say.problems(done.problems)

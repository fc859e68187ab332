"""rfq parts SOURCE..: take parts in."""

from __future__ import annotations

from pathlib import Path

import click

from rfq.cli import options, say, tables


@click.command("parts")
@click.argument(
    "sources", nargs=-1, required=True, metavar="SOURCE..", type=click.Path(path_type=Path)
)
@options.project_option
@click.option("--replace", is_flag=True, help="overwrite parts that are there already")
@click.option("--list", "list_", is_flag=True, help="only list the bodies of a STEP file")
@click.option("--body", multiple=True, type=int, metavar="N", help="take this body of a STEP file")
def command(
    sources: tuple[Path, ...], project: Path, replace: bool, list_: bool, body: tuple[int, ...]
) -> int:
    """Take parts in: a parts list (CSV, XLSX), a STEP file or a folder of drawings and models.

    Drawings and models are paired by part number and revision in the file name, copied into the
    project and attached with their hash. Each body of a STEP file becomes a part with a model of
    its own and its measured figures.
    """
    from rfq.tasks.assembly import take_bodies
    from rfq.tasks.parts import take_parts

    if list_:
        return max(_listed(source) for source in sources)
    code = say.DONE
    for source in sources:
        if body:
            done = take_bodies(project, source, replace=replace, only=body)
        else:
            done = take_parts(project, source, replace=replace)
        for path in done.written:
            say.data(str(path))
        code = max(code, say.problems(done.problems))
    return code


def _listed(source: Path) -> int:
    """List a STEP file's bodies, to choose from."""
    from rfq.tasks.assembly import list_bodies

    done = list_bodies(source)
    rows = [
        [
            str(one.number),
            one.name,
            str(one.count),
            " x ".join(f"{size:g}" for size in one.box_mm),
            f"{one.volume_mm3 / 1000:.2f}",
        ]
        for one in done.value
    ]
    if rows:
        heads = ["body", "name", "count", "box in mm", "volume in cm³"]
        for line in tables.table(heads, rows, right=(0, 2, 4)):
            say.data(line)
    return say.problems(done.problems)

"""rfq package [PROJECT]."""

from __future__ import annotations

from pathlib import Path

import click

from rfq.cli import options, say


@click.command("package")
@options.project_argument
@click.option("--shop", "shops", multiple=True, help="only this shop (may be given again)")
@options.request_option
@click.option("--override", default="", help="reason to send in spite of findings; it is recorded")
@click.option("--freeze/--look", default=True, help="freeze as sent, or only look at it")
@options.json_option
def command(
    project: Path, shops: tuple[str, ...], request_id: str, override: str, freeze: bool, json_: bool
) -> int:
    """Make one package folder and zip for each shop. Nothing is sent by us."""
    from rfq.tasks.request import make_packages

    done = make_packages(
        project,
        shops=shops,
        request_id=request_id,
        override=override,
        freeze=freeze,
        progress=None if json_ else say.progress,
    )
    say.progress_done()
    code = say.problems(done.problems)
    if json_:
        say.as_json(
            {
                "packages": [
                    {
                        "shop": one.shop,
                        "folder": str(one.folder),
                        "zip": str(one.zip),
                        "files": one.files,
                    }
                    for one in done.value
                ],
                "problems": [say.problem_json(problem) for problem in done.problems],
            }
        )
        return code
    for one in done.value:
        say.data(f"{one.shop}: {one.folder} ({len(one.files)} files), {one.zip}")
    return code

"""rfq new DIR."""

from __future__ import annotations

from pathlib import Path

import click

from rfq.cli import say


@click.command("new")
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@click.option("--name", default="", help="the project's name; default: the folder's")
@click.option("--currency", default="EUR", show_default=True, help="the project's currency")
def command(folder: Path, name: str, currency: str) -> int:
    """Make an empty project in DIR."""
    from rfq.tasks.new import new_project

    done = new_project(folder, name=name, currency=currency)
    code = say.problems(done.problems)
    for path in done.written:
        say.data(str(path))
    if code == say.DONE:
        say.words(f"Next: rfq open {folder}, or add parts/<number>.toml by hand, then rfq check.")
    return code

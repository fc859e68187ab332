"""rfq demo [DIR]."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from rfq.cli import say


@click.command("demo")
@click.argument("folder", default="rfq-demo", metavar="[DIR]", type=click.Path(path_type=Path))
@click.option("--no-app", is_flag=True, help="do not open the app afterwards")
def command(folder: Path, no_app: bool) -> int:
    """Copy the demo project to DIR, run the whole job on it, say what was made; then the app."""
    from rfq.tasks.demo import run_demo

    done = run_demo(folder, say=say.data)
    code = say.problems(done.problems, notes=False)
    if code == say.DONE and not no_app and sys.stdin.isatty() and sys.stdout.isatty():
        from rfq.cli.app import open_app

        return open_app(folder)
    return code

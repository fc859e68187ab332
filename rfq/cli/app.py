"""rfq open [PROJECT]: the one door from the command line into the app."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from rfq.cli import options, say


@click.command("open")
@options.project_argument
def command(project: Path) -> int:
    """Open the app on PROJECT (default: this folder)."""
    return open_app(project)


def open_app(project: Path) -> int:
    """Run the app; refuse in words where there is no terminal to draw on."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        say.words("The app needs a terminal; the commands (rfq --help) work without one.")
        return say.USAGE
    from rfq.tui.app import run_app

    return run_app(project)

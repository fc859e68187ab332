"""rfq undo [PROJECT]."""

from __future__ import annotations

from pathlib import Path

import click

from rfq.cli import options, say


@click.command("undo")
@options.project_argument
def command(project: Path) -> int:
    """Take back the last change, if nobody changed the same files since."""
    from rfq.tasks.undo import undo_last_change

    done = undo_last_change(project)
    say.words(done.value)
    return say.problems(done.problems)

"""rfq join [PROJECT]."""

from __future__ import annotations

from pathlib import Path

import click

from rfq.cli import options, say


@click.command("join")
@options.project_argument
def command(project: Path) -> int:
    """Let git join two people's records fact by fact in this clone; say it once in each."""
    from rfq.tasks.join import join_by_fact

    done = join_by_fact(project)
    say.words(done.value)
    return say.problems(done.problems)

"""rfq check [PROJECT]."""

from __future__ import annotations

from pathlib import Path

import click

from rfq.cli import options, say


@click.command("check")
@options.project_argument
@options.request_option
@click.option("--fast", is_flag=True, help="leave out should-costs and models")
@options.json_option
def command(project: Path, request_id: str, fast: bool, json_: bool) -> int:
    """Find what is unclear, contradictory, missing, or expensive for no reason."""
    from rfq.tasks.check import check_project

    done = check_project(project, request_id=request_id, fast=fast)
    stops = sum(problem in done.stops for problem in done.problems)
    if json_:
        say.as_json({"findings": [say.problem_json(problem) for problem in done.problems]})
        return say.DATA if stops else say.DONE
    code = say.problems(done.problems)
    say.words(done.value)
    return code

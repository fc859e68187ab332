"""Arguments and options that several commands share, each said once."""

from __future__ import annotations

from pathlib import Path

import click

_FOLDER = click.Path(path_type=Path)

project_argument = click.argument("project", default=".", type=_FOLDER)
project_option = click.option("--project", default=".", type=_FOLDER, help="project folder")
request_option = click.option(
    "--request", "request_id", default="", help="a request's id; default: the newest"
)
round_option = click.option(
    "--round", "round_", type=click.IntRange(min=1), default=None, help="default: the newest"
)
as_of_option = click.option(
    "--as-of", "as_of", default="", help="the day it is seen from, as 2026-07-31; default: today"
)
json_option = click.option("--json", "json_", is_flag=True, help="as JSON on stdout")

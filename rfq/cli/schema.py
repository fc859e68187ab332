"""rfq schema RECORD: for editors that check TOML against a JSON Schema."""

from __future__ import annotations

import click

from rfq.cli import say

RECORDS = ("project", "part", "shop", "request", "rates", "quote", "award", "order")


@click.command("schema")
@click.argument("record", type=click.Choice(RECORDS))
def command(record: str) -> int:
    """Write the JSON Schema of RECORD to stdout."""
    from rfq.tasks.schema import record_schema

    say.as_json(record_schema(record))
    return say.DONE

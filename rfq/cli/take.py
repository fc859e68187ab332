"""rfq import FILE..: read replies."""

from __future__ import annotations

from pathlib import Path

import click

from rfq.cli import options, say, tables


@click.command("import")
@click.argument("files", nargs=-1, required=True, metavar="FILE..", type=click.Path(path_type=Path))
@click.option("--shop", default="", help="the shop it came from; default: read from the file")
@click.option("--round", "round_", type=int, default=None, help="default: the open round")
@options.request_option
@click.option("--received", default="", help="the day it came, as 2026-07-17; default: today")
@click.option("--accept", is_flag=True, help="store it as a quote; refused while a price is unsure")
@click.option(
    "--project", "project", default=None, type=click.Path(path_type=Path), help="project folder"
)
@options.json_option
def command(
    files: tuple[Path, ...],
    shop: str,
    round_: int | None,
    request_id: str,
    accept: bool,
    received: str,
    project: Path | None,
    json_: bool,
) -> int:
    """Read replies; without --accept only the file itself and the draft are stored."""
    from rfq.tasks.take_quote import draft_json, take_reply

    code = say.DONE
    results = []
    for file in files:
        done = take_reply(
            file,
            project=project,
            shop=shop,
            round_=round_,
            request_id=request_id,
            accept=accept,
            received=received,
        )
        if done.stops:
            code = say.DATA
        if json_:
            results.append(draft_json(file, done))
            continue
        draft = done.value
        if draft is not None:
            say.data(f"{file.name}: {draft.form or 'reply'}, shop {draft.shop or 'not known'}")
            rows = [
                [
                    price.part,
                    price.revision,
                    str(price.quantity),
                    str(price.each) if price.each is not None else "?",
                    price.currency or "?",
                    price.per,
                    str(price.one_off) if price.one_off is not None else "",
                    "sure" if price.sure else "ASK",
                    str(price.place),
                ]
                for price in draft.prices
            ]
            heads = ["part", "rev", "pcs", "each", "", "per", "one-off", "", "place"]
            for line in tables.table(heads, rows, right=(2, 3, 6)):
                say.data(line)
        say.problems(done.problems)
        if accept and done.stops and draft is not None:
            say.words(
                "settle these beside the reply's own cells: rfq, then 3 (replies), e; "
                "or ask the shop"
            )
        for path in done.written:
            say.words(f"stored {path}")
    if json_:
        say.as_json(results[0] if len(results) == 1 else results)
    return code

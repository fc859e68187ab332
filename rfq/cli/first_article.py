"""rfq first-article P [FILE]: the form, measured values against the callouts, the decision."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from rfq.cli import options, say, tables

if TYPE_CHECKING:
    from rfq.tasks.first_article import Judged


@click.command("first-article")
@click.argument("part")
@click.argument("file", required=False, type=click.Path(path_type=Path))
@options.project_option
@options.request_option
@click.option("--award", default="", help="an award's id; default: the newest with the part")
@click.option("--piece", type=click.IntRange(min=1), help="the file is of this piece")
@click.option("--form", is_flag=True, help="write the empty report form")
@click.option("--pieces", type=click.IntRange(1, 20), default=1, help="columns of the form")
@click.option("--look", is_flag=True, help="judge only, store nothing")
@click.option("--decide", type=click.Choice(["accept", "concession", "rework", "replace"]),
              help="the engineer's decision on the newest first article of the part")  # fmt: skip
@click.option("--reason", default="", help="the engineer's (with --decide)")
@click.option("--by", default="", help="the engineer; default: you")
@click.option("--release", is_flag=True, help="release the lot (with --decide)")
@options.json_option
def command(
    part: str,
    file: Path | None,
    project: Path,
    request_id: str,
    award: str,
    piece: int | None,
    form: bool,
    pieces: int,
    look: bool,
    decide: Any,
    reason: str,
    by: str,
    release: bool,
    json_: bool,
) -> int:
    """Measured values against the callouts: inside or outside, then what is proven."""
    from rfq.tasks.first_article import make_form, take_first_article, verdict_json

    if form:
        made = make_form(project, part, pieces=pieces, request_id=request_id)
        for path in made.value:
            say.data(str(path))
        return say.problems(made.problems)
    if file is not None:
        done = take_first_article(
            project, part, file, award=award, piece=piece, request_id=request_id, store=not look
        )
        if done.value is None:
            return say.problems(done.problems)
        if json_:
            say.as_json(verdict_json(done.value))
        else:
            _print(done.value)
            say.problems(done.problems)
        if not decide:
            return say.DONE
    if decide:
        return _decide(project, part, decide, reason, by, release)
    if file is None:
        raise click.UsageError("give the file with the measured values, --form, or --decide")
    return say.DONE


def _decide(project: Path, part: str, decide: Any, reason: str, by: str, release: bool) -> int:
    from rfq.tasks.first_article import decide_first_article
    from rfq.tasks.open import opened

    mine = [one for one in opened(project).project.first_articles if one.part == part]
    article = max(mine, key=lambda one: (len(one.id), one.id)).id if mine else part
    done = decide_first_article(project, article, decide, reason, by=by, release=release)
    judged, letter = done.value
    say.data(f"{judged.article.id}: {judged.article.disposition}"
             f"{', lot released' if judged.article.released else ''}")  # fmt: skip
    if letter is not None:
        say.data(f"letter to {letter.shop}")
    return say.problems(done.problems)


def _print(judged: Judged) -> None:
    verdict = judged.verdict
    say.data(f"{judged.article.id}, pieces {', '.join(map(str, verdict.pieces))}; {verdict.rule}")
    rows = []
    for one in verdict.callouts:
        callout = one.asked.callout
        for found in one.results:
            value = found.result.value
            rows.append(
                [callout.number, callout.text,
                 f"{found.result.piece}.{found.result.instance}" if one.asked.times > 1
                 else str(found.result.piece),
                 str(value) if value is not None else found.result.attribute,
                 found.plain, found.proof, found.to_do]
            )  # fmt: skip
        if one.missing:
            rows.append([callout.number, callout.text, "", "", "", "missing", one.missing])
    heads = ["no", "asked", "piece", "value", "plain", "proof", "to do"]
    for text in tables.table(heads, rows, right=(2, 3)):
        say.data(text)
    say.data(verdict.advice)

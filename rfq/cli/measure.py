"""rfq measure [PART]."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from rfq.cli import options, say, tables


def _numbers(_: Any, __: Any, given: tuple[str, ...]) -> tuple[int, ...]:
    """Read '1,3' and '4'."""
    words = [word.strip() for text in given for word in text.split(",")]
    if not all(word.isdigit() for word in words):
        raise click.BadParameter("numbers of the list, such as 1,3")
    return tuple(int(word) for word in words)


@click.command("measure")
@click.argument("part", required=False)
@options.project_option
@click.option("--accept", is_flag=True, help="take all measured figures into the part")
@click.option("--take", multiple=True, metavar="FIGURE", help="take one figure; may be repeated")
@click.option("--pmi", is_flag=True, help="list dimensions and tolerances written in the model")
@click.option(
    "--pmi-accept", multiple=True, metavar="N[,N]", callback=_numbers,
    help="take these of the list as callouts",
)  # fmt: skip
@click.option(
    "--pdf", type=click.Path(path_type=Path, dir_okay=False), metavar="FILE",
    help="write the internal sheet: views with the findings marked, figures",
)  # fmt: skip
@click.option(
    "--against", type=click.Path(path_type=Path, exists=True, dir_okay=False), metavar="OLD.step",
    help="say what changed since an earlier model",
)  # fmt: skip
@click.option(
    "--draw", type=click.Choice(["front", "top", "side", "isometric"]),
    help="draw a view in the terminal",
)  # fmt: skip
@options.json_option
def command(
    part: str | None,
    project: Path,
    accept: bool,
    take: tuple[str, ...],
    pmi: bool,
    pmi_accept: tuple[int, ...],
    pdf: Path | None,
    against: Path | None,
    draw: str | None,
    json_: bool,
) -> int:
    """Measure PART's STEP model; show typed and measured figures side by side.

    Nothing is taken over unless you ask for it. Without PART all models are measured and listed.
    """
    if part is None:
        if accept or take or pmi or pmi_accept or pdf or against or draw:
            raise click.UsageError("these options need a PART")
        return _all(project, json_)
    if against is not None:
        return _against(project, part, against, json_)
    if pmi or pmi_accept:
        return _pmi(project, part, pmi_accept, json_)
    if draw is not None:
        return _draw(project, part, draw)
    code = _figures(project, part, accept, take, json_)
    if pdf is not None and code == say.DONE:
        from rfq.tasks.shape_sheet import write_shape_sheet

        for path in write_shape_sheet(project, part, pdf).written:
            say.words(f"written {path}: internal, not for shops")
    return code


def _figures(project: Path, part: str, accept: bool, take: tuple[str, ...], json_: bool) -> int:
    from rfq.tasks.measure import measure_part

    done = measure_part(project, part, accept=accept, take=take)
    if json_:
        say.as_json(done.value.as_json() if done.value else None)
        return say.DATA if done.stops else say.DONE
    if done.value is not None:
        heads = ["figure", "typed", "measured", ""]
        for line in tables.table(heads, [list(row) for row in done.value.rows], right=(1, 2)):
            say.data(line)
        for finding in done.value.findings:
            say.data(finding)
        if not done.written and any(";" in row[3] for row in done.value.rows):
            say.words("nothing taken over: --accept takes all figures, --take FIGURE single ones")
    for path in done.written:
        say.words(f"stored {path}")
    return say.problems(done.problems)


def _pmi(project: Path, part: str, accept: tuple[int, ...], json_: bool) -> int:
    from rfq.tasks.pmi import pmi_of

    done = pmi_of(project, part, accept=accept)
    found = done.value
    if json_:
        say.as_json(found.as_json() if found else None)
        return say.DATA if done.stops else say.DONE
    if found is not None:
        rows = [
            [str(one.number), one.kind, one.text, str(one.faces), one.view, one.standing]
            for one in found.proposed
        ]
        if rows:
            heads = ["no.", "what", "short form", "faces", "view", ""]
            for line in tables.table(heads, rows, right=(0, 3)):
                say.data(line)
        say.data(found.counts)
        for missed in found.missed:
            say.data(f"not taken: {missed}")
        for callout in found.added:
            say.words(f"callout {callout.number}: {callout.what} {callout.text}")
    for path in done.written:
        say.words(f"stored {path}")
    return say.problems(done.problems)


def _against(project: Path, part: str, old: Path, json_: bool) -> int:
    from rfq.tasks.measure import compare_with

    done = compare_with(project, part, old)
    if json_:
        say.as_json({"changes": list(done.value)})
        return say.DATA if done.stops else say.DONE
    for line in done.value:
        say.data(line)
    if not done.value and not done.stops:
        say.words("nothing changed that is measured")
    return say.problems(done.problems)


def _draw(project: Path, part: str, view: str) -> int:
    import shutil

    from rfq.tasks.measure import drawing_of
    from rfq.tasks.open import opened

    room = shutil.get_terminal_size((80, 24))
    rows = drawing_of(opened(project), part, room.columns, max(8, room.lines - 2), view=view)
    for row in rows:
        say.data(row.rstrip())
    if not rows:
        say.words(f"{part} cannot be drawn: rfq measure {part} says why")
        return say.DATA
    return say.DONE


def _all(project: Path, json_: bool) -> int:
    from rfq.tasks.measure import measure_all

    done = measure_all(project)
    rows = [
        [
            number,
            " x ".join(f"{size:g}" for size in shape.oriented_box_mm),
            f"{shape.volume_mm3 / 1000:.2f}",
            f"{shape.box_to_part:.1f}",
            str(shape.access.setups),
            str(len(shape.pmi.candidates)),
            str(findings),
        ]
        for number, shape, findings in done.value
    ]
    if json_:
        keys = ("part", "box_mm", "volume_cm3", "box_to_part", "set_ups", "pmi", "findings")
        say.as_json({"models": [dict(zip(keys, row, strict=True)) for row in rows]})
        return say.DATA if done.stops else say.DONE
    heads = ["part", "box in mm", "volume in cm³", "box to part", "set-ups", "PMI", "findings"]
    for line in tables.table(heads, rows, right=(2, 3, 4, 5, 6)):
        say.data(line)
    return say.problems(done.problems)

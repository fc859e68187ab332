"""Copy the demo project and run the whole job on it."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

from rfq.problems import Place, Problem, Severity, Unwritable
from rfq.shipped import shipped
from rfq.tasks.check import check_project
from rfq.tasks.compare import compare_project
from rfq.tasks.cost import cost_project
from rfq.tasks.done import Done, Stopped
from rfq.tasks.export import export_project
from rfq.tasks.request import make_packages
from rfq.tasks.take_quote import take_reply

REPLIES = "incoming"  # folder of the demo with replies as they came by mail
PACKAGED, RECEIVED = "2026-07-03", "2026-07-17"  # days of the invented story


def run_demo(folder: Path, *, say: Callable[[str], object]) -> Done[Path]:
    """Copy the demo to a folder and walk through the job: check, package, replies, comparison.

    Args:
        folder: must not exist, or be empty.
        say: told what was made, a line each.
    Raises:
        Stopped: the folder holds something.
        Unwritable: it cannot be written.
    """
    if folder.exists() and any(folder.iterdir()):
        raise Stopped(
            (
                Problem(
                    "P120",
                    f"{folder} is not empty; name a new folder, as in: rfq demo my-demo.",
                    Place(),
                ),
            )
        )
    try:
        shutil.copytree(shipped("demo_project"), folder, dirs_exist_ok=True)
    except OSError as error:
        raise Unwritable(f"{folder} cannot be written: {error}.") from error
    problems: list[Problem] = []

    say(f"1 project    copied to {folder}: an invented maker of drifting buoys, twelve parts")
    checked = check_project(folder, as_of=PACKAGED)
    problems += checked.problems
    say(f"2 check      {checked.value}")
    packages = make_packages(folder, as_of=PACKAGED)
    for made in packages.value:
        say(f"3 package    {made.shop}: {len(made.files)} files in {made.folder}")
    for file in sorted((folder / REPLIES).iterdir()):
        shop = file.name.split("-", 1)[0]
        taken = take_reply(file, project=folder, shop=shop, accept=True, received=RECEIVED)
        draft = taken.value
        stops = [one for one in taken.problems if one.severity is Severity.STOP]
        problems += stops
        read = (
            f"{len(draft.prices)} prices, {len(draft.declined)} declined" if draft else "not read"
        )
        say(f"4 reply      {file.name}: {read}{', not accepted' if stops else ''}")
    costs = cost_project(folder)
    say(f"5 cost       {len(costs.value)} should-costs, each a band")
    compared = compare_project(folder)
    odd = [
        (line, cell)
        for line in compared.value.lines
        for cell in line.prices
        if cell.verdict is not None and cell.verdict.value in ("query", "likely error")
    ]
    say(f"6 compare    {len(compared.value.lines)} lines, {len(odd)} prices to ask about")
    for line, cell in odd:
        named = f": may be {cell.slip.name}" if cell.slip else ""
        verdict = cell.verdict.value if cell.verdict else ""
        say(f"             {cell.shop}, {line.part}, {line.quantity} pcs: {verdict}{named}")
    for summary in compared.value.shops:
        if summary.slip is not None:
            say(f"             {summary.shop}, whole reply: may be {summary.slip.name}")
    exported = export_project(folder, folder / "export")
    for path in exported.written:
        say(f"7 export     {path}")
    say(f"8 journal    {folder / 'journal'}")
    say(f"next: rfq open {folder}     or: rfq compare {folder} --bridge")
    return Done(folder, tuple(problems), exported.written)

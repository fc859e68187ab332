# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""A first article's measured values, from the sheet a shop or a measuring room fills in."""

from __future__ import annotations

import re
from decimal import Decimal
from pathlib import Path
from typing import Any

from rfq.intake.cells import amount
from rfq.intake.grid import Cell, Grid
from rfq.intake.kinds import Limits, shown_name, stop
from rfq.intake.lexicon import normal
from rfq.intake.numbers import Figure, Habit, habit
from rfq.intake.parts_list import _book
from rfq.model.award import Measured
from rfq.model.part import Part
from rfq.problems import Place, Problem, Reading, Severity, TooMuch

_HEADINGS = {
    "callout": ("balloon", "no", "nr", "callout", "char no", "char", "characteristic no", "balloon no", "pos", "item", "merkmal", "merkmal nr", "ballon", "characteristic", "feature no", "#"),
    "value": ("measured", "actual", "result", "measured value", "istmaß", "istmass", "ist", "messwert", "value", "mesuré", "valeur mesurée", "misurato", "medido", "zmierzone", "实测值", "reading", "actual value"),
    "piece": ("piece", "part", "sample", "teil", "stück", "serial", "serial no", "sample no", "muster", "pièce", "pezzo", "pieza", "sztuka", "piece no"),
    "instance": ("instance", "location", "hole", "position no", "of count"),
    "uncertainty": ("uncertainty", "u", "messunsicherheit", "u k 2", "expanded uncertainty", "incertitude"),
    "gauge": ("gauge", "instrument", "equipment", "measured with", "prüfmittel", "messmittel", "moyen", "strumento", "how measured"),
    "by": ("by", "inspector", "prüfer", "measured by", "operator"),
    "state": ("state", "coating", "zustand", "before after coating"),
}  # fmt: skip
_PASS = {"ok": "pass", "pass": "pass", "passed": "pass", "io": "pass", "i o": "pass", "yes": "pass", "go": "go", "gut": "go", "fail": "fail", "failed": "fail", "nok": "fail", "nio": "fail", "n i o": "fail", "no": "fail", "no go": "no-go", "nogo": "no-go", "ausschuss": "no-go"}  # fmt: skip


def read_measured(
    path: Path, part: Part, limits: Limits | None = None
) -> Reading[tuple[Measured, ...]]:
    """Return the measured values of one part's callouts.

    Args:
        path: CSV or workbook: a row a callout; values in one column, or a column a piece.
        part: its balloon numbers are known; a row with another number is said.
    Problems: R080 no such table; R081 a value that cannot be read; R082 an unknown balloon number;
        R083 a callout without a value.
    """
    limits = limits or Limits()
    name = shown_name(path)
    try:
        book, problem = _book(path, limits)
    except TooMuch as error:
        return Reading(None, (Problem("R007", str(error), Place(name)),))
    if book is None or problem is not None:
        return Reading(None, (problem or stop("R003", f"{name} cannot be read.", name),))
    known = {callout.number.casefold(): callout.number for callout in part.callouts}
    out: list[Measured] = []
    problems: list[Problem] = []
    stops: list[Problem] = []
    for grid in book.grids:
        if grid.hidden:
            continue
        head, columns, pieces = _head(grid)
        if not head:
            continue
        style = habit(
            f for r in grid.rows if r > head for c in [columns.get("value", 0), *pieces]
            for f in [amount(grid.cell(r, c)).figure] if f is not None
        )  # fmt: skip
        for r in sorted(n for n in grid.rows if n > head and n not in grid.hidden_rows):
            balloon = re.sub(r"\.0$", "", grid.text(r, columns["callout"]).strip())
            if not balloon:
                continue
            number = known.get(balloon.casefold())
            place_cell = grid.cell(r, columns["callout"])
            assert place_cell is not None
            if number is None:
                if any(grid.text(r, c) for c in [columns.get("value", 0), *pieces]):
                    problems.append(
                        Problem(
                            "R082",
                            f"'{balloon[:30]}' is no balloon number of {part.number}; its value was not taken.",
                            grid.place(name, place_cell),
                            Severity.ASK,
                            subject=part.number,
                        )
                    )
                continue
            targets = (
                [(columns["value"], None)]
                if "value" in columns
                else [(c, piece) for c, piece in pieces.items()]
            )
            for column, piece in targets:
                made = _one(grid, r, column, piece, columns, number, name, style, stops)
                if made is not None:
                    out.append(made)
    if stops:
        return Reading(None, (*stops, *problems))
    if not out:
        return Reading(
            None,
            (
                stop(
                    "R080", f"{name} holds no table of balloon numbers with measured values.", name
                ),
                *problems,
            ),
        )
    have = {m.callout for m in out}
    for number in known.values():
        if number not in have:
            problems.append(
                Problem(
                    "R083",
                    f"Balloon {number} of {part.number} has no measured value.",
                    Place(name),
                    Severity.ASK,
                    subject=part.number,
                )
            )
    return Reading(tuple(out), tuple(problems))


def _head(grid: Grid) -> tuple[int, dict[str, int], dict[int, int]]:
    best: tuple[int, dict[str, int], dict[int, int]] = (0, {}, {})
    for r in sorted(grid.rows)[:80]:
        columns: dict[str, int] = {}
        pieces: dict[int, int] = {}
        for c, cell in sorted(grid.rows[r].items()):
            text = normal(cell.text)
            piece = re.fullmatch(
                r"(?:piece|part|sample|teil|stück|muster|pièce|pezzo|pieza|sztuka|measured|actual|ist)\s*(?:no )?(\d{1,3})",
                text,
            )
            if piece:
                pieces[c] = int(piece[1])
                continue
            for meaning, words in _HEADINGS.items():
                if text in {normal(w) for w in words} and meaning not in columns:
                    columns[meaning] = c
                    break
        if (
            "callout" in columns
            and ("value" in columns or pieces)
            and len(columns) + len(pieces) > len(best[1]) + len(best[2])
        ):
            best = (r, columns, pieces)
    return best


def _one(
    grid: Grid, r: int, column: int, piece: int | None, columns: dict[str, int], number: str, file: str,
    style: Habit, stops: list[Problem],
) -> Measured | None:  # fmt: skip
    cell: Cell | None = grid.cell(r, column)
    if cell is None or not cell.text.strip():
        return None
    place = grid.place(file, cell)
    given: dict[str, Any] = {"callout": number, "place": str(place)}
    word = normal(cell.text)
    read = amount(cell)
    values = read.values
    if read.figure is not None and len(values) == 2:
        values = style.settle(
            Figure(read.figure.text, read.figure.values, read.figure.decimal)
        ).values
    if word in _PASS:
        given["attribute"] = _PASS[word]
    elif (
        len(values) == 1
        and not read.percent
        and read.state == ""
        and re.fullmatch(r"(?:mm|µm|um|°|deg|hrc|hv|ra)?", read.words.lower())
    ):
        given["value"] = values[0]
    else:
        why = (
            f"can be read as {' or '.join(map(str, values))}"
            if len(values) > 1
            else "is no measured value"
        )
        stops.append(
            Problem(
                "R081",
                f"Balloon {number}: '{cell.text[:40]}' {why}; write it as 42.013, or 'pass' or 'fail'.",
                place,
            )
        )
        return None
    given["piece"] = piece or _whole(grid, r, columns.get("piece")) or 1
    given["instance"] = _whole(grid, r, columns.get("instance")) or 1
    for name in ("gauge", "by"):
        given[name] = grid.text(r, columns.get(name, 0))
    state = grid.text(r, columns.get("state", 0)).lower()
    given["state"] = (
        "before"
        if re.search("before|vor|avant|prima|antes|przed", state)
        else "after"
        if state
        else ""
    )
    unsure = amount(grid.cell(r, columns.get("uncertainty", 0))).values
    if len(unsure) == 1 and unsure[0] >= 0:
        given["uncertainty"] = Decimal(unsure[0])
    return Measured(**given)


def _whole(grid: Grid, r: int, column: int | None) -> int | None:
    found = re.search(r"\d+", grid.text(r, column)) if column else None
    return int(found[0]) if found and 0 < int(found[0]) < 10_000 else None

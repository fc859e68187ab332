# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""Parts from a list (CSV, workbook) or from a folder of drawings and models."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from rfq.intake.cells import amount
from rfq.intake.grid import Book, Cell, Grid
from rfq.intake.kinds import Limits, file_kind, shown_name, stop
from rfq.intake.lexicon import lexicon
from rfq.intake.matching import split_revision
from rfq.model.part import FileRef, Finish, Part
from rfq.problems import Place, Problem, Reading, Severity, TooMuch

_DRAWINGS = (".pdf", ".dxf", ".dwg", ".tif", ".tiff", ".png", ".jpg", ".svg")
_MODELS = (".step", ".stp", ".stl", ".igs", ".iges", ".x_t", ".3mf", ".sat")
_USED = (
    "part",
    "shop part",
    "revision",
    "name",
    "material",
    "finish",
    "note",
    "quantity",
    "drawing",
)
#: Headings of columns that describe the part's shape.
_SIZE = re.compile(
    r"(?i)\b(length|width|height|thickness|diameter|mass|weight|area|volume|länge|breite|höhe|dicke"
    r"|durchmesser|masse|gewicht|longueur|largeur|hauteur|diamètre|poids)\b"
)


@dataclass(frozen=True, slots=True)
class Pair:
    """Drawing and model of one part number and revision."""

    number: str
    revision: str
    drawing: Path | None = None
    model: Path | None = None


def _book(path: Path, limits: Limits) -> tuple[Book | None, Problem | None]:
    kind, refused = file_kind(path, limits)
    if refused is not None:
        return None, refused
    if kind == "text":
        from rfq.intake.csv_file import read_csv

        return read_csv(path, limits), None
    if kind in ("xlsx", "xls", "ods", "xlsb", "html"):
        from rfq.intake.guard import book_of, run_child

        answer, problem = run_child(kind, path, limits)
        return (None, problem) if problem is not None else (book_of(answer), None)
    return None, stop(
        "R002",
        f"{shown_name(path)} is no parts list; a parts list is a CSV or a workbook.",
        shown_name(path),
    )


@dataclass(frozen=True, slots=True)
class ListedPart:
    """A part as a list names it, with the quantities that stand beside it (rising, each once)."""

    part: Part
    quantities: tuple[int, ...] = ()


def read_parts_list(path: Path, limits: Limits | None = None) -> Reading[tuple[ListedPart, ...]]:
    """Return the parts of a list; what it does not say is left for the user to fill in.

    Columns are found by their headings: part number, revision, name, material, temper, finish,
    quantity ('25' or '5 / 25 / 100'), note. A part without a revision gets 'A', one without a material 'to be said'; both are said.

    Problems: R090 no heading row; R091 a row that is no part; R092 a part twice; R096 columns
    with sizes, masses or the like, which a list does not bring in.
    """
    limits = limits or Limits()
    name = shown_name(path)
    try:
        book, problem = _book(path, limits)
    except TooMuch as error:
        return Reading(None, (Problem("R007", str(error), Place(name)),))
    if book is None or problem is not None:
        return Reading(None, (problem or stop("R003", f"{name} cannot be read.", name),))
    parts: dict[str, ListedPart] = {}
    problems: list[Problem] = []
    found = False
    for grid in book.grids:
        if grid.hidden:
            continue
        head, columns = _head(grid)
        if not head:
            continue
        found = True
        left = [
            cell.text.strip()[:30]
            for c, cell in sorted(grid.rows[head].items())
            if c not in columns.values() and _SIZE.search(cell.text)
        ]
        if left:
            problems.append(
                Problem(
                    "R096",
                    f"columns {', '.join(left)} were not taken; type sizes and mass in the part's "
                    "form, or measure its model.",
                    Place(name),
                    Severity.NOTE,
                )
            )
        for r in sorted(n for n in grid.rows if n > head and n not in grid.hidden_rows):
            _take(grid, r, columns, name, parts, problems)
    if not found:
        return Reading(
            None,
            (
                stop(
                    "R090",
                    f"{name} has no heading row with a part number; name the columns Part, Rev, Name, Material.",
                    name,
                ),
            ),
        )
    if not parts:
        return Reading(
            None, (*problems, stop("R090", f"{name} holds no part below its headings.", name))
        )
    return Reading(tuple(parts.values()), tuple(problems))


def _head(grid: Grid) -> tuple[int, dict[str, int]]:
    words = lexicon()
    best = 0
    best_columns: dict[str, int] = {}
    for r in sorted(grid.rows)[:60]:
        columns: dict[str, int] = {}
        for c, cell in sorted(grid.rows[r].items()):
            if cell.kind != "s" or len(cell.text) > 50:
                continue
            meaning = words.read(cell.text).meaning
            if re.fullmatch(r"(?i)temper|zustand|condition|état|stato|stan", cell.text.strip()):
                meaning = "temper"
            if meaning in (*_USED, "temper"):
                columns.setdefault(meaning, c)
        if "part" not in columns and "shop part" in columns:
            columns["part"] = columns.pop("shop part")
        if "part" in columns and len(columns) > len(best_columns):
            best, best_columns = r, columns
    return best, best_columns


def _take(
    grid: Grid,
    r: int,
    columns: dict[str, int],
    file: str,
    parts: dict[str, ListedPart],
    problems: list[Problem],
) -> None:
    def text(meaning: str) -> str:
        return re.sub(r"\s+", " ", grid.text(r, columns.get(meaning, 0))).strip()

    cell: Cell = grid.cell(r, columns["part"]) or next(iter(grid.rows[r].values()))
    place = grid.place(file, cell)
    number, revision = text("part"), text("revision")
    if not number:
        if text("name"):
            problems.append(
                Problem(
                    "R091",
                    f"Row {r} ('{text('name')[:40]}') has no part number and was left out.",
                    place,
                    Severity.NOTE,
                )
            )
        return
    if not revision:
        number, revision = split_revision(number)
    given: dict[str, Any] = {
        "number": number, "revision": revision or "A", "name": text("name") or number,
        "material": text("material") or "to be said", "temper": text("temper"), "shop_note": text("note"),
    }  # fmt: skip
    if text("finish") and amount(grid.cell(r, columns["finish"])).state not in ("dash", "declined"):
        given["finishes"] = (Finish(name=text("finish")),)
    try:
        part = Part(**given)
    except ValidationError as error:
        first = error.errors()[0]
        problems.append(
            Problem(
                "R091",
                f"Row {r} was left out: {first['loc'][0] if first['loc'] else 'part'} '{str(first.get('input', ''))[:40]}' will not do.",
                place,
                Severity.ASK,
            )
        )
        return
    if part.number in parts:
        problems.append(
            Problem(
                "R092",
                f"{part.number} stands twice; the first row was taken.",
                place,
                Severity.ASK,
                subject=part.number,
            )
        )
        return
    lacking = [
        what
        for what, there in (("a revision (A is taken)", revision), ("a material", text("material")))
        if not there
    ]
    if lacking:
        problems.append(
            Problem(
                "R091",
                f"{part.number} has no {' and no '.join(lacking).replace('no a ', 'no ')}.".replace(
                    "no a ", "no "
                ),
                place,
                Severity.NOTE,
                subject=part.number,
            )
        )
    parts[part.number] = ListedPart(part, quantities_in(text("quantity")))


def quantities_in(text: str) -> tuple[int, ...]:
    """Return the whole numbers above zero in a quantity cell, rising, each once.

    >>> quantities_in("25"), quantities_in("100 / 5 / 25"), quantities_in("tbd")
    ((25,), (5, 25, 100), ())
    """
    found = {int(digits) for digits in re.findall(r"(?<![\d.,])\d{1,6}(?![\d.,]*\d)", text)}
    return tuple(sorted(found - {0}))


def file_part(name: str) -> tuple[str, str]:
    """Return (part number, revision) that a file's name says.

    >>> file_part("BR-1041_B.pdf"), file_part("BR-1041 Rev C.step"), file_part("BR-1041.stp")
    (('BR-1041', 'B'), ('BR-1041', 'C'), ('BR-1041', ''))
    """
    stem = re.sub(
        r"(?i)(?:[-_ ](?:drawing|drw|dwg|zeichnung|model|3d|2d|asm|part|final|copy))+$",
        "",
        Path(name).stem,
    )
    number, revision = split_revision(stem)
    return number.strip(" _-"), revision


def pair_files(folder: Path) -> Reading[tuple[Pair, ...]]:
    """Return drawings and models paired by part number and revision.

    Problems: R093 nothing to pair; R094 drawing and model of one part differ in revision, or two
    files claim the same place; R095 a file whose name says no part.
    """
    if not folder.is_dir():
        return Reading(
            None, (stop("R093", f"{shown_name(folder)} is not a folder.", shown_name(folder)),)
        )
    drawings: dict[tuple[str, str], Path] = {}
    models: dict[tuple[str, str], Path] = {}
    problems: list[Problem] = []
    for path in sorted(folder.iterdir()):
        kind = (
            drawings
            if path.suffix.lower() in _DRAWINGS
            else models
            if path.suffix.lower() in _MODELS
            else None
        )
        if kind is None or not path.is_file() or path.name.startswith("."):
            continue
        number, revision = file_part(path.name)
        if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9._+ \-]{0,59}", number) or not re.search(
            r"\d", number
        ):
            problems.append(
                Problem(
                    "R095",
                    f"{shown_name(path)}: the name says no part number; name it as BR-1041_B.pdf.",
                    Place(path.name),
                    Severity.ASK,
                )
            )
            continue
        if (number, revision) in kind:
            problems.append(
                Problem(
                    "R094",
                    f"{shown_name(path)} and {shown_name(kind[(number, revision)])} are both for {number} {revision}; the first was taken.",
                    Place(path.name),
                    Severity.ASK,
                    subject=number,
                )
            )
            continue
        kind[(number, revision)] = path
    pairs: list[Pair] = []
    for key in sorted(drawings.keys() | models.keys()):
        pairs.append(Pair(*key, drawings.get(key), models.get(key)))
    by_number: dict[str, list[Pair]] = {}
    for pair in pairs:
        by_number.setdefault(pair.number, []).append(pair)
    out: list[Pair] = []
    for number, found in by_number.items():
        newest = max(found, key=lambda p: (len(p.revision), p.revision))
        bare = next((p for p in found if not p.revision), None)
        if bare is not None and newest is not bare:
            # a model without a revision in its name belongs to the part's only revision
            newest = Pair(
                number, newest.revision, newest.drawing or bare.drawing, newest.model or bare.model
            )
            found = [p for p in found if p is not bare]
            problems.append(
                Problem(
                    "R094",
                    f"{number}: a file without a revision in its name was paired with revision {newest.revision}; look whether it fits.",
                    Place(shown_name(folder)),
                    Severity.ASK,
                    subject=number,
                )
            )
        if len(found) > 1:
            listed = ", ".join(p.revision for p in found)
            problems.append(
                Problem(
                    "R094",
                    f"{number} lies there in revisions {listed}; {newest.revision} was taken.",
                    Place(shown_name(folder)),
                    Severity.ASK,
                    subject=number,
                )
            )
        out.append(newest)
    if not out:
        return Reading(
            None,
            (
                *problems,
                stop(
                    "R093",
                    f"{shown_name(folder)} holds no drawing or model whose name says a part number.",
                    shown_name(folder),
                ),
            ),
        )
    return Reading(tuple(out), tuple(problems))


def reference(path: Path, folder: Path, sha256: str = "") -> FileRef:
    """Return a file reference relative to a folder."""
    return FileRef(
        path=path.relative_to(folder).as_posix(), sha256=sha256, revision=file_part(path.name)[1]
    )

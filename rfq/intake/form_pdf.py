# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""Our fillable PDF form read back: its fields stand for the cells of the response sheet."""

from __future__ import annotations

from dataclasses import dataclass, field

from rfq.intake.grid import Book, Cell, Grid
from rfq.intake.matching import Known
from rfq.intake.response_sheet import read_response_sheet
from rfq.model import response as names
from rfq.model.codes import Scope
from rfq.model.draft import Draft
from rfq.problems import Place, Reading


@dataclass(slots=True)
class FormGrid(Grid):
    """A grid whose places are form fields."""

    fields: dict[tuple[int, int], str] = field(default_factory=dict)

    def place(self, file: str, cell: Cell) -> Place:
        """Return the field a cell stands for."""
        return Place(file, path=self.fields.get((cell.row, cell.column), ""))


def is_our_form(fields: dict[str, str]) -> bool:
    """Whether a PDF's fields are those of our form."""
    return names.MARK in fields


def read_form(
    fields: dict[str, str], file: str, sha256: str, known: Known, request: object = None
) -> Reading[Draft]:
    """Return the draft of a filled form; see ``response_sheet.read_response_sheet``."""
    grid = FormGrid("form")
    row = 0
    for label in (
        names.MARK,
        *names.HEAD_LABELS,
        *names.TERMS,
        *(names.SCOPE_LABEL + s.value for s in Scope),
    ):
        row += 1
        grid.put(Cell(row, 1, "s", label))
        text = fields.get(label, "").strip()
        if text:
            grid.put(Cell(row, 2, "s", text))
        grid.fields[(row, 2)] = label
    row += 1
    for column, heading in enumerate(names.COLUMNS, 1):
        grid.put(Cell(row, column, "s", heading))
    numbers = sorted(
        {int(end) for name in fields for end in [name.rpartition("/")[2]] if end.isdigit() and "/" in name}
    )  # fmt: skip
    for number in numbers[:5000]:
        row += 1
        for column, heading in enumerate(names.COLUMNS, 1):
            name = names.FORM_FIELD.format(heading=heading, row=number)
            grid.fields[(row, column)] = name
            text = fields.get(name, "").strip()
            if text:
                grid.put(Cell(row, column, "s", text))
    reading = read_response_sheet(Book("form", [grid]), file, sha256, request, known)
    if reading.value is None:
        return reading
    return Reading(reading.value.model_copy(update={"form": "response sheet"}), reading.problems)

# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""Workbooks to grids; runs in the child process only.

openpyxl for .xlsx (number formats carry the currency, comments the scope), xlrd for .xls,
defusedxml for .ods, calamine for .xlsb and for what the others cannot open.
"""

from __future__ import annotations

import re
import zipfile
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from typing import Any

from rfq.intake.grid import Book, Cell, Grid
from rfq.intake.kinds import Limits
from rfq.intake.numbers import from_float


class Refused(Exception):
    """The file cannot be read; the message is a problem code and a sentence."""

    def __init__(self, code: str, sentence: str) -> None:
        super().__init__(sentence)
        self.code, self.sentence = code, sentence


_NO_RESULT = re.compile(
    rb"<c\s[^>]*?\br=\"([A-Z]+\d+)\"([^>]*)>\s*<f\b(?:[^>]*/>|[^>]*>[^<]*</f>)\s*(<v\s*/>|<v>\s*</v>)?\s*</c>"
)


_BIG_SHEET = 400_000  # bytes of a sheet's XML
# What calamine would lose: hidden rows and sheets, comments, merges, crossed-out text, currency in
# number formats (own ones, and the built-in 5 to 8 and 37 to 44).
_NOT_PLAIN = re.compile(
    rb"hidden=\"(?:1|true)\"|state=\"(?:hidden|veryHidden)\"|<mergeCell|<strike|<numFmt\s|numFmtId=\"(?:[5-8]|3[7-9]|4[0-4])\"|<f[ >/]|<\w+:row"
)


def _scan_package(path: Path) -> tuple[set[str], bool, bool]:
    """Return (cells with a formula but no result, whether prefixes hide that, big and plain).

    Raises:
        Refused: a part of the package declares a DTD or entities.
    """
    hits: set[str] = set()
    prefixed = False
    big, plain = False, True
    with zipfile.ZipFile(path) as archive:
        for entry in archive.infolist():
            if not entry.filename.lower().endswith((".xml", ".rels", ".vml")):
                continue
            data = archive.read(entry)
            if b"\0" in data[:64]:
                data = data.decode("utf-16", "replace").encode()
            if b"<!DOCTYPE" in data or b"<!ENTITY" in data:
                if entry.filename.lower().endswith(".vml") and b"<!ENTITY" not in data:
                    continue
                raise Refused("R006", "it declares XML entities, which no honest workbook does")
            lowered = entry.filename.lower()
            if "comment" in lowered or (
                plain and _NOT_PLAIN.search(data) and "theme" not in lowered
            ):
                plain = False
            if "worksheets/" in lowered:
                big = big or len(data) > _BIG_SHEET
                if b"<f" not in data and b":f" not in data:
                    continue
                for match in _NO_RESULT.finditer(data):
                    if (
                        match[3]
                        and b't="str"' in match[0][: match.start(2) - match.start() + len(match[2])]
                    ):
                        continue  # a formula whose result is an empty text
                    hits.add(match[1].decode())
                prefixed = prefixed or re.search(rb"<\w+:f[ >/]", data) is not None
    return hits, prefixed, big and plain


def read_xlsx(path: Path, limits: Limits) -> Book:
    """Return all sheets of a .xlsx or .xlsm with formats, comments, merges and what is hidden."""
    hits, prefixed, big_and_plain = _scan_package(path)
    if big_and_plain:
        book = read_calamine(path, limits)
        book.kind = "xlsx"
        return book
    from openpyxl import load_workbook
    from openpyxl.utils import column_index_from_string

    book = Book("xlsx")
    # From memory: on a damaged file the library leaves the file it opened itself unclosed.
    data = path.read_bytes()
    workbook = load_workbook(BytesIO(data), data_only=True, keep_links=False)
    unsolved: dict[str, set[tuple[int, int]]] = {}
    if hits or prefixed:
        formulas = load_workbook(BytesIO(data), data_only=False, keep_links=False)
        for sheet in formulas.worksheets:
            unsolved[sheet.title] = {
                (int(cell.row or 0), int(cell.column or 0))
                for row in sheet.iter_rows()
                for cell in row
                if cell.data_type == "f" and (prefixed or cell.coordinate in hits)
            }
    struck = {i for i, font in enumerate(workbook._fonts) if font.strike}  # type: ignore[attr-defined]
    formats: dict[int, str] = {}
    count = 0
    for sheet in workbook.worksheets:
        grid = Grid(sheet.title, hidden=sheet.sheet_state != "visible")
        grid.merges = [
            (m.min_row, m.min_col, m.max_row, m.max_col) for m in sheet.merged_cells.ranges
        ]
        grid.hidden_rows = {r for r, d in sheet.row_dimensions.items() if d.hidden}
        for letter, dimension in sheet.column_dimensions.items():
            if dimension.hidden:
                first = dimension.min or column_index_from_string(letter)
                last = min(dimension.max or first, first + 200)
                grid.hidden_columns.update(range(first, last + 1))
        missing = unsolved.get(sheet.title, set())
        # The stored cells only: iterating rows would make every blank cell of a claimed range.
        for (r, c), cell in sorted(sheet._cells.items()):
            value = cell.value
            comment = cell.comment.text if cell.comment else ""
            if value is None:
                if (r, c) in missing:
                    grid.put(Cell(r, c, "f", "", comment=comment))
                elif comment:
                    grid.put(Cell(r, c, "s", "", comment=comment))
                continue
            count += 1
            if count > limits.cells:
                raise Refused("R007", f"it holds more than {limits.cells:,} cells")
            style: Any = cell._style  # type: ignore[union-attr] # a merged cell has no value
            code = ""
            if not isinstance(value, str):
                key = style.numFmtId
                known = formats.get(key)
                if known is None:
                    known = formats[key] = cell.number_format
                code = known
            kind, text = _value(value, cell.data_type)
            if not text and not comment:
                continue
            if len(text) > limits.cell_characters:
                raise Refused("R007", f"it holds a cell of {len(text):,} characters")
            if struck and style.fontId in struck:
                comment = (comment + "\n" if comment else "") + "[struck out]"
            grid.put(Cell(r, c, kind, text, "" if code == "General" else code, comment))
        if grid.rows or not grid.hidden:
            book.grids.append(grid)
    try:
        for item in workbook.custom_doc_props.props:  # type: ignore[attr-defined] # not in the stubs
            book.properties[str(item.name)] = str(item.value)
    except AttributeError:
        pass
    return book


def _value(value: Any, data_type: str = "") -> tuple[Any, str]:
    if isinstance(value, bool):
        return "b", "true" if value else "false"
    if isinstance(value, int):
        return "n", str(value)
    if isinstance(value, float):
        return ("n", str(from_float(value))) if value == value and abs(value) < 1e30 else ("e", "")
    if isinstance(value, Decimal):
        return "n", str(value)
    if isinstance(value, datetime):
        return "d", value.date().isoformat()
    if isinstance(value, date):
        return "d", value.isoformat()
    if isinstance(value, (time, timedelta)):
        return "d", str(value)
    text = str(value).strip()
    return ("e" if data_type == "e" else "s"), text


def read_xls(path: Path, limits: Limits) -> Book:
    """Return all sheets of an old binary workbook."""
    import xlrd

    try:
        workbook = xlrd.open_workbook(str(path), formatting_info=True, on_demand=False)
    except NotImplementedError:
        workbook = xlrd.open_workbook(str(path))
    book = Book("xls")
    for sheet in workbook.sheets():
        grid = Grid(sheet.name, hidden=sheet.visibility != 0)
        grid.merges = [
            (r1 + 1, c1 + 1, r2, c2) for r1, r2, c1, c2 in getattr(sheet, "merged_cells", [])
        ]
        grid.hidden_rows = {
            r + 1 for r, info in getattr(sheet, "rowinfo_map", {}).items() if info.hidden
        }
        grid.hidden_columns = {
            c + 1 for c, info in getattr(sheet, "colinfo_map", {}).items() if info.hidden
        }
        notes = {k: v.text for k, v in getattr(sheet, "cell_note_map", {}).items()}
        if sheet.nrows * max(sheet.ncols, 1) > limits.cells * 4:
            raise Refused("R007", f"it holds more than {limits.cells:,} cells")
        for r in range(sheet.nrows):
            for c in range(sheet.row_len(r)):
                cell = sheet.cell(r, c)
                comment = notes.get((r, c), "")
                if cell.ctype in (xlrd.XL_CELL_EMPTY, xlrd.XL_CELL_BLANK):
                    continue
                code = ""
                if workbook.formatting_info and cell.xf_index is not None:
                    style = workbook.xf_list[cell.xf_index]
                    code = workbook.format_map[style.format_key].format_str
                    if workbook.font_list[style.font_index].struck_out:
                        comment = (comment + "\n" if comment else "") + "[struck out]"
                if cell.ctype == xlrd.XL_CELL_DATE:
                    try:
                        moment = xlrd.xldate_as_datetime(cell.value, workbook.datemode)
                        kind, text = "d", moment.date().isoformat()
                    except (ValueError, OverflowError):
                        kind, text = "e", ""
                elif cell.ctype == xlrd.XL_CELL_ERROR:
                    kind, text = "e", xlrd.error_text_from_code.get(cell.value, "#ERROR")
                elif cell.ctype == xlrd.XL_CELL_BOOLEAN:
                    kind, text = "b", "true" if cell.value else "false"
                else:
                    kind, text = _value(cell.value)
                if len(text) > limits.cell_characters:
                    raise Refused("R007", f"it holds a cell of {len(text):,} characters")
                if text or comment:
                    grid.put(
                        Cell(r + 1, c + 1, kind, text, "" if code == "General" else code, comment)  # type: ignore[arg-type]
                    )
        book.grids.append(grid)
    return book


_O = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
_T = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
_X = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"
_S = "{urn:oasis:names:tc:opendocument:xmlns:style:1.0}"


def read_ods(path: Path, limits: Limits) -> Book:
    """Return all sheets of an OpenDocument spreadsheet (ODF 1.2, part 1, section 9)."""
    from defusedxml.ElementTree import fromstring

    with zipfile.ZipFile(path) as archive:
        data = archive.read("content.xml")
    root = fromstring(data, forbid_dtd=True)
    book = Book("ods")
    unseen = {
        style.get(f"{_S}name")
        for style in root.iter(f"{_S}style")
        for properties in style.iter(f"{_S}table-properties")
        if properties.get(f"{_T}display") == "false"
    }
    struck = {
        style.get(f"{_S}name")
        for style in root.iter(f"{_S}style")
        for properties in style.iter(f"{_S}text-properties")
        if properties.get(f"{_S}text-line-through-style", "none") != "none"
        or properties.get(f"{_S}text-line-through-type", "none") != "none"
    }
    count = 0
    for table in root.iter(f"{_T}table"):
        grid = Grid(table.get(f"{_T}name", ""), hidden=table.get(f"{_T}style-name") in unseen)
        column = 1
        for node in table.iter(f"{_T}table-column"):
            times = min(int(node.get(f"{_T}number-columns-repeated", "1")), 20_000)
            if node.get(f"{_T}visibility") in ("collapse", "filter") and times < 500:
                grid.hidden_columns.update(range(column, column + times))
            column += times
        row = 1
        for node in table.iter(f"{_T}table-row"):
            times = int(node.get(f"{_T}number-rows-repeated", "1"))
            filled = _ods_row(node, row, grid, limits, struck)
            if filled and times > 1:
                for extra in range(1, min(times, 2000)):
                    _ods_row(node, row + extra, grid, limits, struck)
            if node.get(f"{_T}visibility") in ("collapse", "filter") and times < 100_000:
                grid.hidden_rows.update(range(row, row + times))
            count += filled * min(times, 2000)
            if count > limits.cells:
                raise Refused("R007", f"it holds more than {limits.cells:,} cells")
            row += times
        book.grids.append(grid)
    return book


def _dressing(printed: str, figure: str) -> str:
    """What a number's format prints beside the figure: a currency sign, a base such as '/100'."""
    digits = figure.lstrip("-0.").partition(".")[0].rstrip("0")
    found = list(re.finditer(r"-?\d+(?:[.,'’]\d+|[\s\u00a0\u202f]\d{3}(?!\d))*", printed))
    own = next((m for m in found if re.sub(r"\D", "", m[0]).lstrip("0").startswith(digits)), None)
    if own is not None:
        printed = printed[: own.start()] + printed[own.end() :]
    printed = re.sub(r"[\s\u00a0\u202f-]", "", printed)
    return f'"{printed}"' if printed else ""


def _ods_row(node: Any, row: int, grid: Grid, limits: Limits, struck: set[str | None]) -> int:
    column, filled = 1, 0
    for cell in node:
        if cell.tag not in (f"{_T}table-cell", f"{_T}covered-table-cell"):
            continue
        times = int(cell.get(f"{_T}number-columns-repeated", "1"))
        wide = int(cell.get(f"{_T}number-columns-spanned", "1"))
        high = int(cell.get(f"{_T}number-rows-spanned", "1"))
        if wide > 1 or high > 1:
            grid.merges.append((row, column, row + high - 1, column + wide - 1))
        paragraphs = ["".join(p.itertext()) for p in cell.findall(f"{_X}p")]
        comment = "\n".join(
            "".join(p.itertext()) for a in cell.findall(f"{_O}annotation") for p in a.iter(f"{_X}p")
        )
        printed = "\n".join(paragraphs).strip()
        kind: Any = "s"
        text, code = printed, ""
        what = cell.get(f"{_O}value-type", "")
        if what in ("float", "currency", "percentage"):
            stored = cell.get(f"{_O}value", "")
            kind, text = _value(float(stored))
            code = "0%" if what == "percentage" else _dressing(printed, text)
            if what == "currency" and not code.strip('"').endswith(tuple("0123456789")):
                code = cell.get(f"{_O}currency", "") or code
        elif what == "date":
            kind, text = "d", cell.get(f"{_O}date-value", "")[:10]
        elif what == "boolean":
            kind, text = "b", cell.get(f"{_O}boolean-value", "")
        elif cell.get(f"{_T}formula") and not printed:
            kind = "f"
        if cell.get(f"{_T}style-name") in struck and text:
            comment = (comment + "\n" if comment else "") + "[struck out]"
        if len(text) > limits.cell_characters:
            raise Refused("R007", f"it holds a cell of {len(text):,} characters")
        if text or comment or kind == "f":
            for extra in range(min(times, 500)):
                grid.put(Cell(row, column + extra, kind, text, code, comment))
                filled += 1
        column += times
    return filled


def read_calamine(path: Path, limits: Limits) -> Book:
    """Return the sheets of any workbook calamine opens; formats and comments are not known."""
    from python_calamine import CalamineWorkbook

    workbook = CalamineWorkbook.from_path(str(path))
    book = Book("workbook")
    for meta in workbook.sheets_metadata:
        grid = Grid(meta.name, hidden=str(meta.visible).rsplit(".", 1)[-1].lower() != "visible")
        try:
            # without this the block that starts at C5 would come back as starting at A1
            rows = workbook.get_sheet_by_name(meta.name).to_python(skip_empty_area=False)
        except Exception as error:
            book.notes.append(
                ("R008", f"sheet {meta.name} cannot be read ({type(error).__name__})")
            )
            continue
        for r, row in enumerate(rows, 1):
            for c, value in enumerate(row, 1):
                if value == "" or value is None:
                    continue
                kind, text = _value(value)
                if not text:
                    continue
                if len(text) > limits.cell_characters:
                    raise Refused("R007", f"it holds a cell of {len(text):,} characters")
                grid.put(Cell(r, c, kind, text))
        book.grids.append(grid)
    return book

"""One reader for all records: TOML bytes to a whole value, or the located problems."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import is_dataclass
from datetime import datetime, time
from decimal import Decimal, InvalidOperation
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from rfq.model.base import Value
from rfq.problems import Place, Problem, Reading
from rfq.store import words
from rfq.store.locate import line_of, lines_of
from rfq.store.write import fits_digits

V = TypeVar("V", bound=Value)

MOST_BYTES = 12_000_000  # of one record; 5,000 lines of a workbook understood take about 8 MB
MOST_PROBLEMS = 20  # of one file; the rest says itself once these are mended
MOST_WHOLE = 10**18  # beyond it an integer is a mistake or an attack

_MERGE = re.compile(rb"^(<{7}|={7}|>{7}) ?", re.MULTILINE)
# Dotted keys of dozens of steps cost the reader the square of their number: an attack.
_STEP = r"""(?:[\w-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+"""
_STAIRS = re.compile(rf"(?<![\w-])(?:{_STEP}){{32}}")
_COMMA = re.compile(r"= *(-?\d+),(\d+) *(?:#.*)?$")
_AT = re.compile(r" \(at (?:line (\d+), column \d+|end of document)\)$")

_SYNTAX = (
    ("Cannot overwrite", "this key stands twice; keep one of them"),
    ("Cannot declare", "this heading stands twice; keep one of them"),
    ("Duplicate inline table key", "a key stands twice inside { }; keep one of them"),
    ("Unclosed array", "a list is not closed; the ] is missing"),
    ("Unclosed inline table", "a table is not closed; the } is missing"),
    ("Expected ']'", "a heading is not closed; the ] is missing"),
    ("Unterminated string", "a text is not closed; the quote at its end is missing"),
    ('Expected "\'"', "a text is not closed; the quote at its end is missing"),
    ("Expected \"'''\"", "a text is not closed; the quotes at its end are missing"),
    ("Expected ']]'", "a heading is not closed; the ]] is missing"),
    ("Invalid hex value", "a \\u in a text wants four digits 0-9 and a-f behind it"),
    ("Escaped character is not", "a \\u in a text names no character"),
    ("Illegal character '\\n'", "a text is not closed; the quote at its end is missing"),
    ("Illegal character", "a sign that cannot be seen stands here; delete it"),
    ("Found invalid character", "a sign that cannot be seen stands here; delete it"),
    (
        "Unescaped '\\'",
        "a backslash in a text is written twice, or put the text in ' instead of \"",
    ),
    ("Invalid date", "there is no such day; a date is written 2026-07-24"),
    ("Expected '='", "this line wants the form key = value"),
    ("Invalid statement", "this line wants the form key = value"),
    ("Invalid initial character for a key part", "this line wants the form key = value"),
    (
        "Invalid value",
        "the value cannot be read; text stands in quotes, numbers have a decimal point",
    ),
    (
        "Expected newline or end of document",
        "the value cannot be read; text stands in quotes, numbers have a decimal point",
    ),
)


class _Oversize(ValueError):
    """A number that is none of anything a shop could quote."""


def read_record(data: bytes, model: type[V], file: str, *, subject: str = "") -> Reading[V]:
    """Return a record read from TOML bytes, whole, or what is wrong with it and in which line.

    Args:
        data: the file's bytes.
        model: the record's type.
        file: named in the places.
        subject: the record's key, carried by the problems.
    """
    table, problem = read_table(data, file)
    if table is None:
        return Reading(None, (problem,) if problem else ())
    text = data.decode("utf-8-sig")
    wrong: dict[tuple[str | int, ...], tuple[str, str]] = {}
    value: V | None = None
    try:
        value = model.model_validate(table)
    except ValidationError as error:
        for detail in error.errors(include_url=False):
            path = _path_in(table, detail["loc"], detail["type"])
            wrong.setdefault(path, words.sentence(detail, path, model))
        # A misspelt key is one mistake, not an unknown key and a missing one.
        for path in [path for path, (code, _) in wrong.items() if code == "P002"]:
            meant = words.nearest(str(path[-1]), words.keys_at(model, path[:-1]))
            if wrong.get((*path[:-1], meant), ("",))[0] == "P003":
                del wrong[*path[:-1], meant]
    if value is not None:
        for path, code, said in _bent(table, value, ()):
            wrong.setdefault(path, (code, said))
    if not wrong and value is not None:
        return Reading(value)
    lines = lines_of(text)
    found = sorted(
        (
            Problem(code, said, Place(file, line=line_of(text, path, lines)), subject=subject)
            for path, (code, said) in wrong.items()
        ),
        key=lambda one: one.place.line,
    )
    return Reading(None, tuple(found[:MOST_PROBLEMS]))


def read_table(data: bytes, file: str) -> tuple[dict[str, Any] | None, Problem | None]:
    """Return TOML bytes as plain tables, numbers as Decimal; or the one problem in the way."""
    if len(data) > MOST_BYTES:
        return None, Problem(
            "P011",
            f"the file has {len(data) / 1e6:.0f} MB; a record has at most {MOST_BYTES / 1e6:.0f}.",
            Place(file),
        )
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        return None, _not_text(data, error, file)
    if _STAIRS.search(text):
        return None, _too_deep(file)
    try:
        return tomllib.loads(text, parse_float=_decimal), None
    except RecursionError:
        return None, _too_deep(file)
    except _Oversize as error:
        return None, Problem("P016", f"{error}.", Place(file, line=_line_with(text, error)))
    except tomllib.TOMLDecodeError as error:
        return None, _syntax(data, text, str(error), file)
    except ValueError:  # an integer of thousands of digits: Python's own bound
        digits = re.search(r"\d{1000}", text)
        line = text.count("\n", 0, digits.start()) + 1 if digits else 0
        return None, Problem(
            "P016",
            "a number has thousands of digits; no record holds such a one.",
            Place(file, line=line),
        )


def _decimal(text: str) -> Decimal:
    try:
        value = Decimal(text)
    except InvalidOperation:
        raise _Oversize(f"the number {text[:30]} is beyond every bound") from None
    if not value.is_finite() or not fits_digits(value):
        raise _Oversize(f"the number {text[:30]} is no finite number of at most 40 digits")
    return value


def _line_with(text: str, error: _Oversize) -> int:
    number = str(error).split()[2]
    return text.count("\n", 0, max(text.find(number), 0)) + 1


def _syntax(data: bytes, text: str, message: str, file: str) -> Problem:
    merge = _MERGE.search(data)
    if merge:
        line = data.count(b"\n", 0, merge.start()) + 1
        return Problem(
            "P014",
            "two versions stand here unmerged (<<<<<<<, =======, >>>>>>>); "
            "keep the right lines and delete the marks.",
            Place(file, line=line),
        )
    at = _AT.search(message)
    line = int(at[1]) if at and at[1] else max(text.rstrip("\n").count("\n") + 1, 1)
    comma = _COMMA.search(text.split("\n")[line - 1])
    if comma:
        said = f"a number has a decimal point, not a comma; write {comma[1]}.{comma[2]}"
        return Problem("P001", f"{said}.", Place(file, line=line))
    said = next((ours for theirs, ours in _SYNTAX if message.startswith(theirs)), "")
    return Problem("P001", f"{said or 'this line cannot be read as TOML'}.", Place(file, line=line))


def _not_text(data: bytes, error: UnicodeDecodeError, file: str) -> Problem:
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return Problem("P010", "the file is UTF-16 text; save it as UTF-8.", Place(file))
    line = data.count(b"\n", 0, error.start) + 1
    return Problem(
        "P010",
        f"byte {data[error.start]:02x} is not UTF-8 text; save the file as UTF-8.",
        Place(file, line=line),
    )


def _too_deep(file: str) -> Problem:
    return Problem("P012", "tables are nested deeper than any record needs.", Place(file))


def _path_in(table: Any, loc: Sequence[str | int], kind: str) -> tuple[str | int, ...]:
    """pydantic's location without the names of union branches, which stand in no file."""
    path: list[str | int] = []
    here = table
    for step in loc:
        if isinstance(here, Mapping) and step in here:
            here = here[str(step)]
        elif isinstance(here, list) and isinstance(step, int) and step < len(here):
            here = here[step]
        elif kind in ("missing", "missing_argument") and step == loc[-1]:
            pass
        else:
            continue
        path.append(step)
    return tuple(path)


def _bent(
    raw: Any, value: Any, path: tuple[str | int, ...]
) -> Iterator[tuple[tuple[str | int, ...], str, str]]:
    """Where pydantic took one kind of value for another: quiet help that hides slips.

    A date written as 20260724 would be a moment of 1970; "100" and true would be numbers.
    """
    if isinstance(raw, Mapping):
        for key, item in raw.items():
            yield from _bent(item, _at(value, key), (*path, key))
    elif isinstance(raw, list):
        for index, (item, got) in enumerate(zip(raw, value, strict=False)):
            yield from _bent(item, got, (*path, index))
    elif type(raw) is not type(value):
        if isinstance(value, bool) or isinstance(raw, bool):
            wanted = "true or false" if isinstance(value, bool) else "a number"
            yield path, "P004", _wants(path, raw, wanted)
        elif isinstance(value, int | float | Decimal) and isinstance(raw, str):
            yield path, "P004", _wants(path, raw, "a number without quotes")
        elif not isinstance(value, int | float | Decimal) and isinstance(raw, int | Decimal):
            wanted = "a date such as 2026-07-24"
            yield path, "P004", _wants(path, raw, wanted)
        elif isinstance(value, datetime) and value.tzinfo is None:
            yield path, "P015", _zone(path, value)
        elif isinstance(raw, time):  # pragma: no cover - pydantic refuses it before
            yield path, "P004", _wants(path, raw, "a moment with its day")
    elif isinstance(raw, datetime) and raw.tzinfo is None:
        yield path, "P015", _zone(path, raw)
    if isinstance(raw, int) and abs(raw) > MOST_WHOLE:
        yield path, "P016", f"{words.name_of(path)} has more than 18 digits."


def _zone(path: tuple[str | int, ...], moment: datetime) -> str:
    return (
        f"{words.name_of(path)} is {moment.isoformat()} without a time zone; "
        f"write it as {moment.isoformat()}+02:00."
    )


def _wants(path: tuple[str | int, ...], raw: Any, wanted: str) -> str:
    return f"{words.name_of(path)} is {words.shown(raw)}; it wants {wanted}."


def _at(value: Any, key: str) -> Any:
    if isinstance(value, BaseModel) or is_dataclass(value):
        return getattr(value, key)
    if isinstance(value, Mapping):
        # Keys may have become words of a closed list, which equal their text.
        return value[key]
    return value  # pragma: no cover - a table becomes one of the above

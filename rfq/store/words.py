"""Schema errors in our words: what was found, what would be right.

pydantic's own sentences speak of validators and types; the person at the file wants to hear
which key is wrong and what to write instead.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from decimal import Decimal
from types import UnionType
from typing import Any, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic_core import ErrorDetails
from rapidfuzz import fuzz, process

MOST_SHOWN = 40  # characters of a wrong value
MOST_LISTED = 12  # keys named where none is like the wrong one

_PATTERNS = {
    "^[A-Z]{3}$": "a currency of three capital letters such as EUR",
    "^[A-Z]{2}$": "a country of two capital letters such as DE",
    "^[0-9a-f]{64}$": "a SHA-256 of 64 digits 0-9 and a-f",
    "^[a-z0-9][a-z0-9-]{0,39}$": "small letters, digits and hyphens, at most 40",
}
_NAME = (
    "a name of letters, digits, points, hyphens and underscores that starts with a letter or digit"
)

_KINDS = {
    "string_type": "text in quotes",
    "int_type": "a whole number",
    "int_parsing": "a whole number",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "float_parsing": "a number",
    "decimal_type": "a number",
    "decimal_parsing": "a number with a decimal point and without quotes",
    "bool_type": "true or false",
    "bool_parsing": "true or false",
    "date_type": "a date such as 2026-07-24",
    "date_parsing": "a date such as 2026-07-24",
    "date_from_datetime_parsing": "a date such as 2026-07-24",
    "date_from_datetime_inexact": "a date such as 2026-07-24",
    "datetime_type": "a moment such as 2026-07-24T12:00:00+02:00",
    "datetime_parsing": "a moment such as 2026-07-24T12:00:00+02:00",
    "datetime_from_date_parsing": "a moment such as 2026-07-24T12:00:00+02:00",
    "tuple_type": "a list in [ ]",
    "list_type": "a list in [ ]",
    "dict_type": "a table of keys and values",
    "finite_number": "a finite number",
}


def shown(value: Any) -> str:
    """Return a wrong value as it stands in the file, shortened, on one line.

    >>> shown("12,50"), shown(True), shown([1, 2])
    ("'12,50'", 'true', 'a list')
    """
    match value:
        case bool():
            return "true" if value else "false"
        case str():
            clean = "".join(c if c.isprintable() else "?" for c in value[: MOST_SHOWN + 1])
            return f"'{clean[:MOST_SHOWN]}…'" if len(clean) > MOST_SHOWN else f"'{clean}'"
        case list() | tuple():
            return "a list"
        case Mapping():
            return "a table"
        case datetime() | date():
            return value.isoformat()
        case int() | Decimal() | float():
            return str(value)[:MOST_SHOWN]
    return "something else"


def nearest(word: str, words: tuple[str, ...]) -> str:
    """Return the word meant by a misspelt one, or ''.

    >>> nearest("materal", ("material", "number"))
    'material'
    """
    found = process.extractOne(word[:100].lower(), words, scorer=fuzz.ratio, score_cutoff=65)
    return str(found[0]) if found else ""


def sentence(error: ErrorDetails, path: tuple[str | int, ...], model: type[Any]) -> tuple[str, str]:
    """Return code and sentence for one pydantic error.

    Args:
        error: as pydantic reports it.
        path: the key path in the file (pydantic's own may name branches of a union).
        model: the record's type, whose keys are proposed for a misspelt one.
    """
    kind, found = error["type"], error.get("input")
    context = error.get("ctx", {})
    key = name_of(path)
    if kind in ("extra_forbidden", "unexpected_keyword_argument"):
        known = keys_at(model, path[:-1])
        meant = nearest(str(path[-1]), known)
        hint = f"did you mean '{meant}'?" if meant else f"known here: {_listed(known)}."
        return "P002", f"'{_clean(str(path[-1]))}' is no key of this record; {hint}"
    if kind in ("missing", "missing_argument"):
        return "P003", f"{key} is missing; write it in."
    if kind in ("literal_error", "enum"):
        words = _choices(str(context.get("expected", "")))
        meant = nearest(found, words) if isinstance(found, str) else ""
        hint = f" (did you mean '{meant}'?)" if meant else ""
        listed = ", ".join(f"'{word}'" if word else "empty" for word in words)
        return "P005", f"{key} is {shown(found)}; it can be {listed}{hint}."
    if kind in ("model_type", "dataclass_type"):
        first = next(iter(keys_at(model, path)), "key")
        return "P004", f"{key} is {shown(found)}; it wants a table such as {{ {first} = … }}."
    if kind in _KINDS:
        return "P004", f"{key} is {shown(found)}; it wants {_KINDS[kind]}."
    if kind in ("greater_than", "greater_than_equal", "less_than", "less_than_equal"):
        limit = next(iter(context.values()))
        words_of = {
            "greater_than": "above",
            "greater_than_equal": "at least",
            "less_than": "below",
            "less_than_equal": "at most",
        }
        return "P006", f"{key} is {shown(found)}; it must be {words_of[kind]} {limit}."
    if kind == "string_pattern_mismatch":
        wanted = _PATTERNS.get(str(context.get("pattern", "")), _NAME)
        return "P007", f"{key} is {shown(found)}; it wants {wanted}."
    if kind in ("too_short", "too_long"):
        return "P006", f"{key} has too {'few' if kind == 'too_short' else 'many'} entries."
    if kind == "value_error":
        said = str(context.get("error", "")) or "it contradicts itself"
        where = f"{key}: " if path else ""
        return "P008", f"{where}{said.rstrip('.')}."
    return "P004", f"{key} is {shown(found)}, which cannot stand there."


def _listed(known: tuple[str, ...]) -> str:
    more = ", …" if len(known) > MOST_LISTED else ""
    return ", ".join(known[:MOST_LISTED]) + more or "nothing"


def name_of(path: tuple[str | int, ...]) -> str:
    """Return a key path in words, entries counted from 1.

    >>> name_of(("prices", 2, "printed"))
    "'printed' of prices entry 3"
    """
    if not path:
        return "the record"
    keys = list(path)
    own = keys.pop()
    text = f"entry {own + 1}" if isinstance(own, int) else f"'{_clean(own)}'"
    above = ""
    for key in keys:
        above += f" entry {key + 1}" if isinstance(key, int) else f" {_clean(key)}"
    return f"{text} of{above}" if above else text


def keys_at(model: type[Any], path: tuple[str | int, ...]) -> tuple[str, ...]:
    """Return the keys a model knows at a path inside it."""
    here: Any = model
    for key in path:
        here = _inside(here, key)
    for table in _tables(here):
        return _fields(table)
    return ()


def _inside(annotation: Any, key: str | int) -> Any:
    """The type of what stands under a key or index of a type."""
    if isinstance(key, int):
        for part in _spread(annotation):
            if get_origin(part) in (tuple, list):
                return get_args(part)[0]
        return None
    for table in _tables(annotation):
        if issubclass(table, BaseModel) and key in table.model_fields:
            return table.model_fields[key].annotation
    for part in _spread(annotation):
        if get_origin(part) is dict:
            return get_args(part)[1]
    return None


def _tables(annotation: Any) -> list[type[Any]]:
    return [
        part
        for part in _spread(annotation)
        if isinstance(part, type) and (issubclass(part, BaseModel) or is_dataclass(part))
    ]


def _spread(annotation: Any) -> tuple[Any, ...]:
    """A union's members, each without its Annotated."""
    if get_origin(annotation) in (Union, UnionType):
        return tuple(part for member in get_args(annotation) for part in _spread(member))
    if hasattr(annotation, "__metadata__"):
        return _spread(annotation.__origin__)
    return (annotation,)


def _fields(table: type[Any]) -> tuple[str, ...]:
    if issubclass(table, BaseModel):
        return tuple(table.model_fields)
    return tuple(entry.name for entry in fields(table))


def _choices(expected: str) -> tuple[str, ...]:
    """The words of pydantic's "'a', 'b' or 'c'"."""
    quoted = re.findall(r"'([^']*)'|\"([^\"]*)\"", expected)
    if quoted:
        return tuple(one or two for one, two in quoted)
    return tuple(re.findall(r"[^\s,]+", expected.replace(" or ", " ")))


def _clean(text: str) -> str:
    return "".join(c if c.isprintable() else "?" for c in text[:60])

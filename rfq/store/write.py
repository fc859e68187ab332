"""One writer for all records: TOML in fixed key order, as a person would set it.

Keys come in the order of the model's fields, defaults are left out, a short value stands on one
line and so does each price. A Decimal is written with exactly the digits it has.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import MISSING, fields, is_dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from enum import Enum
from functools import cache
from typing import Any, get_args

from pydantic import BaseModel

from rfq.model.base import Value
from rfq.model.project import Settings

MOST_DIGITS = 40  # of a number, before and behind the point; more is no price of anything
WIDE = 100  # an array of words longer than this gets a line a word

_BARE = re.compile(r"[A-Za-z0-9_-]+")
# Control characters, what changes the direction of text, and separators that look like nothing.
_ESCAPED = re.compile(
    '["\\\\\x00-\x1f\x7f-\x9f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff\ufff9-\ufffb]'
)
_SHORT = {'"': '\\"', "\\": "\\\\", "\t": "\\t", "\n": "\\n", "\r": "\\r"}
_ALWAYS = {(Settings, "format")}  # written though it is the default: what 1 means must not move

Path = tuple[str | int, ...]


class Unwritten(ValueError):
    """A value that no record can hold, such as an endless number."""


def render(record: Value) -> str:
    """Return a record as TOML text.

    Raises:
        Unwritten: it holds a number that is not finite or has more than 40 digits.
    """
    return "".join(f"{line}\n" for _, line in rendered_lines(record))


def rendered_lines(record: Value) -> list[tuple[Path, str]]:
    """Return the lines of the TOML text, each with the key path that starts on it or ``()``."""
    lines: list[tuple[Path, str]] = []
    _table(list(_pairs(record)), (), "", lines)
    return lines


def _table(
    pairs: list[tuple[str, Any]], path: Path, header: str, lines: list[tuple[Path, str]]
) -> None:
    plain = [(key, value) for key, value in pairs if _stands_inline(value)]
    tables = [(key, value) for key, value in pairs if not _stands_inline(value)]
    for key, value in plain:
        _entry(key, value, (*path, key), lines)
    for key, value in tables:
        inner = f"{header}.{_key(key)}" if header else _key(key)
        below = (*path, key)
        if isinstance(value, tuple | list):
            for index, item in enumerate(value):
                _head(f"[[{inner}]]", (*below, index), lines)
                _table(list(_pairs(item)), (*below, index), inner, lines)
            continue
        contents = list(_pairs(value))
        # A header that only leads to deeper tables says nothing.
        if not contents or any(_stands_inline(item) for _, item in contents):
            _head(f"[{inner}]", below, lines)
        _table(contents, below, inner, lines)


def _head(text: str, path: Path, lines: list[tuple[Path, str]]) -> None:
    if lines:
        lines.append(((), ""))
    lines.append((path, text))


def _entry(key: str, value: Any, path: Path, lines: list[tuple[Path, str]]) -> None:
    start = f"{_key(key)} = "
    if isinstance(value, tuple | list) and value:
        items = [_inline(item) for item in value]
        flat = f"{start}[{', '.join(items)}]"
        if items[0].startswith("{") or len(flat) > WIDE:
            lines.append((path, f"{start}["))
            lines.extend(((*path, index), f"  {item},") for index, item in enumerate(items))
            lines.append(((), "]"))
        else:
            lines.append((path, flat))
    elif isinstance(value, str) and not isinstance(value, Enum) and "\n" in value:
        first, *rest = f'{start}"""\n{_escape(value, lines=True)}"""'.split("\n")
        lines.append((path, first))
        lines.extend(((), line) for line in rest)
    else:
        lines.append((path, start + _inline(value)))


def _pairs(value: Any) -> Iterator[tuple[str, Any]]:
    """Keys and values in order, without defaults."""
    if isinstance(value, BaseModel):
        for name, field in type(value).model_fields.items():
            item = getattr(value, name)
            if item is None:
                continue
            default = field.get_default(call_default_factory=True)
            if not _same(item, default) or (type(value), name) in _ALWAYS:
                yield name, item
    elif is_dataclass(value):
        for entry in fields(value):
            item = getattr(value, entry.name)
            if item is not None and (entry.default is MISSING or not _same(item, entry.default)):
                yield entry.name, item
    else:
        for key, item in value.items():
            yield str(key.value if isinstance(key, Enum) else key), item


def _same(item: Any, default: Any) -> bool:
    """Equal to the digit: 8.00 is not the default 8, so that nothing the user typed is lost."""
    if isinstance(item, Decimal) and isinstance(default, Decimal):
        return item.as_tuple() == default.as_tuple()
    return type(item) is type(default) and bool(item == default)


def _stands_inline(value: Any) -> bool:
    if isinstance(value, BaseModel):
        return _is_flat(type(value)) and len(type(value).model_fields) <= 4
    if isinstance(value, Mapping):
        return False
    if isinstance(value, tuple | list):
        return all(not isinstance(item, BaseModel) or _is_flat(type(item)) for item in value)
    return True


@cache
def _is_flat(model: type[BaseModel]) -> bool:
    """Whether no field of a model can hold a table, but for places and file references."""
    return not any(_holds_table(field.annotation) for field in model.model_fields.values())


def _holds_table(annotation: Any) -> bool:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return not (_is_flat(annotation) and len(annotation.model_fields) <= 4)
    if annotation is dict:
        return True
    if getattr(annotation, "__origin__", None) is dict:
        # A few words or figures by name stand well in a line; anything deeper does not.
        return any(_is_deep(part) for part in get_args(annotation))
    return any(_holds_table(part) for part in get_args(annotation))


def _is_deep(annotation: Any) -> bool:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel | dict | list | tuple):
        return True
    origin = getattr(annotation, "__origin__", None)
    return origin in (dict, list, tuple) or any(_is_deep(part) for part in get_args(annotation))


def _inline(value: Any) -> str:
    match value:
        case Enum():
            return _quoted(str(value.value))
        case bool():
            return "true" if value else "false"
        case str():
            return _quoted(value)
        case int():
            return str(value)
        case Decimal():
            return _decimal(value)
        case float():
            return _decimal(Decimal(repr(value)), repr(value))
        case datetime():
            return _moment(value)
        case date():
            return value.isoformat()
        case tuple() | list():
            return f"[{', '.join(map(_inline, value))}]"
    inner = ", ".join(f"{_key(key)} = {_inline(item)}" for key, item in _pairs(value))
    return f"{{ {inner} }}" if inner else "{}"


def _decimal(value: Decimal, text: str = "") -> str:
    if not value.is_finite() or not fits_digits(value):
        raise Unwritten(f"{str(value)[:20]} is no number a record can hold")
    text = text or str(value)
    # A whole number is read as an integer, which has no minus zero.
    return f"{text}e0" if text.startswith("-0") and value == 0 and "." not in text else text


def fits_digits(value: Decimal) -> bool:
    """Return whether a finite number keeps to 40 digits before and behind the point."""
    exponent = value.as_tuple().exponent
    return (
        isinstance(exponent, int)
        and -MOST_DIGITS <= exponent <= MOST_DIGITS
        and abs(value.adjusted()) <= MOST_DIGITS
    )


def _moment(value: datetime) -> str:
    offset = value.utcoffset()
    if offset is None:
        raise Unwritten(f"{value.isoformat()} has no time zone")
    if offset.total_seconds() % 60:  # TOML knows no seconds in an offset
        value = value.astimezone(UTC)
    return value.isoformat()


def _key(key: str) -> str:
    return key if _BARE.fullmatch(key) else _quoted(key)


def _quoted(text: str) -> str:
    return f'"{_escape(text)}"'


def _escape(text: str, *, lines: bool = False) -> str:
    return _ESCAPED.sub(
        lambda found: (
            "\n"
            if lines and found.group() == "\n"
            else _SHORT.get(found.group(), f"\\u{ord(found.group()):04x}")
        ),
        text,
    )

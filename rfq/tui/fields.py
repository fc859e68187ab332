"""The fields of a record, from its model: label, kind, choices; and values as shown in a row."""

from __future__ import annotations

import types
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum
from functools import cache
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from rfq.model.award import OrderLine
from rfq.model.base import Value
from rfq.model.callout import Callout
from rfq.model.part import FileRef, Finish, Hole, OwnShouldCost, Part
from rfq.model.rates import Duty, ExchangeRate, Freight
from rfq.model.request import Asked, Request, RequestLine
from rfq.model.shop import Shutdown

Kind = Literal[
    "text", "number", "whole", "flag", "choice", "day", "moment", "words", "record", "records",
    "other",
]  # fmt: skip

_UNITS = {"mm": "mm", "um": "µm", "kg": "kg", "dm2": "dm²", "m": "m", "percent": "%", "days": "d"}


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a record.

    Args:
        name: in the model. label: as shown. kind: how it is edited.
        choices: of a choice; '' is among them where it may be left open.
        optional: None is allowed. item: the record type of a 'record' or 'records'.
    """

    name: str
    label: str
    kind: Kind
    choices: tuple[str, ...] = ()
    optional: bool = False
    item: type[Value] | None = None


@cache
def fields_of(model: type[Value]) -> tuple[Field, ...]:
    """Return the fields of a record type in the order of its model."""
    return tuple(
        _field(name, info.annotation)
        for name, info in model.model_fields.items()
        if name not in ("content_sha256", "sent_at", "format", "sha256")
    )


def label_of(name: str) -> str:
    """Return a field's name in words, its unit behind a comma.

    >>> label_of("inner_radius_depth_mm")
    'inner radius depth, mm'
    """
    words = name.split("_")
    if len(words) > 1 and words[-1] in _UNITS:
        return f"{' '.join(words[:-1])}, {_UNITS[words[-1]]}"
    return " ".join(words)


def _field(name: str, annotation: Any) -> Field:
    options = _flat(annotation)
    optional = type(None) in options
    options = [one for one in options if one is not type(None)]
    label = label_of(name)
    literals = [value for one in options if get_origin(one) is Literal for value in get_args(one)]
    rest = [one for one in options if get_origin(one) is not Literal]
    if literals and not any(one is str for one in rest):
        return Field(name, label, "choice", tuple(str(value) for value in literals), optional)
    kind = rest[0] if rest else str
    origin = get_origin(kind)
    if isinstance(kind, type) and issubclass(kind, StrEnum):
        return Field(name, label, "choice", tuple(one.value for one in kind), optional)
    if isinstance(kind, type) and issubclass(kind, Value):
        return Field(name, label, "record", optional=optional, item=kind)
    if origin is tuple:
        inner = _flat(get_args(kind)[0])[0]
        if isinstance(inner, type) and issubclass(inner, Value):
            return Field(name, label, "records", item=inner)
        return Field(name, label, "words", optional=optional)
    simple: dict[Any, Kind] = {
        bool: "flag", int: "whole", Decimal: "number", date: "day", datetime: "moment", str: "text",
    }  # fmt: skip
    return Field(name, label, simple.get(kind, "other"), optional=optional)


def _flat(annotation: Any) -> list[Any]:
    origin = get_origin(annotation)
    if origin is Annotated:
        return _flat(get_args(annotation)[0])
    if origin in (Union, types.UnionType):
        return [one for part in get_args(annotation) for one in _flat(part)]
    return [annotation]


def shown(field: Field, value: Any) -> str:
    """Return a field's value as text in a row."""
    if value is None or value == "" or value == ():
        return "–"
    if field.kind == "flag":
        return "yes" if value else "no"
    if field.kind == "moment":
        return str(value.strftime("%Y-%m-%d %H:%M %z"))
    if field.kind == "words":
        return " · ".join(str(one) for one in value)
    if field.kind == "record":
        return summary(value)
    if field.kind == "records":
        return f"{len(value)}"
    if field.kind == "other":
        return f"{len(value)} entries" if hasattr(value, "__len__") else str(value)
    return str(value)


def summary(value: Value) -> str:
    """Return a nested record on one line."""
    match value:
        case Callout():
            flags = "".join(word for word, on in ((" critical", value.critical),) if on)
            return f"{value.text:<22} {value.what}  ({value.state}{flags})"
        case Finish():
            return " ".join(filter(None, (value.name, value.standard, value.grade, value.colour)))
        case RequestLine():
            return f"{value.part}  x {', '.join(str(q) for q in value.quantities)}"
        case Asked():
            return f"{value.shop}  {', '.join(value.parts) or 'all parts'}"
        case FileRef():
            return value.path
        case _:
            said = [
                f"{label_of(name)} {getattr(value, name)}"
                for name in type(value).model_fields
                if getattr(value, name) not in (None, "", (), {}, False)
            ]
            return ", ".join(said[:5])


def _next_number(parent: Value) -> str:
    used = [one.number for one in getattr(parent, "callouts", ())]
    whole = [int(number) for number in used if number.isdigit()]
    return str(max(whole, default=0) + 1)


_FIRST_DAY = date(2026, 1, 1)

# What a new entry of a list begins as; the user changes it before it is saved.
BLANK: dict[type[Value], Callable[[Value], Value]] = {
    Callout: lambda parent: Callout(number=_next_number(parent)),
    Finish: lambda parent: Finish(name="anodise"),
    Hole: lambda parent: Hole(diameter_mm=Decimal(5), depth_mm=Decimal(10)),
    OwnShouldCost: lambda parent: OwnShouldCost(
        low=Decimal(1), middle=Decimal(1), high=Decimal(1), source="say where it comes from"
    ),
    FileRef: lambda parent: FileRef(path="files/name.pdf"),
    RequestLine: lambda parent: RequestLine(part="part", quantities=(5, 25, 100)),
    Asked: lambda parent: Asked(shop="shop"),
    Shutdown: lambda parent: Shutdown(first=_FIRST_DAY, last=_FIRST_DAY),
    ExchangeRate: lambda parent: ExchangeRate(currency="USD", per_eur=Decimal(1), on=_FIRST_DAY),
    Freight: lambda parent: Freight(),
    Duty: lambda parent: Duty(origin="US", percent=Decimal(0)),
    OrderLine: lambda parent: OrderLine(
        part="part", revision="A", quantity=1, each=Decimal(0), currency="EUR"
    ),
}


def blank(item: type[Value], parent: Value) -> Value | None:
    """Return what a new entry begins as, or None where none can be added."""
    made = BLANK.get(item)
    if made is not None:
        return made(parent)
    try:
        return item()
    except ValueError:
        return None


def blank_part(number: str) -> Part:
    """Return a part to begin with."""
    return Part(number=number, revision="A", name="", material="EN AW-6082", temper="T651")


def blank_request(identity: str) -> Request:
    """Return a request to begin with."""
    return Request(id=identity, title="")

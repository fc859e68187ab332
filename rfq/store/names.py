"""Which record lies where: record and key to the file's relative path, and back.

A key is ``kind:identity`` ('part:SB-110', 'quote:2026-07/1/oakvane-1'); a path is relative to
the project folder with forward slashes. The three are one to one, so the id in a file's name
and the id inside it can be compared.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from rfq.model.award import Award, FirstArticle, Order
from rfq.model.base import Value
from rfq.model.draft import Draft
from rfq.model.event import Clarification
from rfq.model.part import Part
from rfq.model.project import ColumnMemory, Settings
from rfq.model.quote import Quote
from rfq.model.rates import Rates
from rfq.model.request import Request, Round
from rfq.model.shop import Shop

UNKNOWN = "unknown"  # stands for the shop of a reply whose sender nobody knows yet


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of record: its model and where its files lie.

    Args:
        name: first part of a key, and the word in messages.
        model: the record's type.
        form: path with {blanks}; the key's identity is the blanks joined by '/'.
    """

    name: str
    model: type[Value]
    form: str

    @property
    def blanks(self) -> tuple[str, ...]:
        """Names of the blanks in order."""
        return tuple(re.findall(r"{(\w+)}", self.form))


KINDS: tuple[Kind, ...] = (
    Kind("project", Settings, "project.toml"),
    Kind("rates", Rates, "rates.toml"),
    Kind("part", Part, "parts/{number}.toml"),
    Kind("shop", Shop, "shops/{id}.toml"),
    Kind("columns", ColumnMemory, "columns/{shop}.toml"),
    Kind("request", Request, "requests/{id}/request.toml"),
    Kind("revision", Request, "requests/{id}/revisions/request-{revision}.toml"),
    Kind("round", Round, "requests/{request}/round-{number}/round.toml"),
    Kind("draft", Draft, "requests/{request}/round-{round}/drafts/{name}.toml"),
    Kind("quote", Quote, "requests/{request}/round-{round}/quotes/{name}.toml"),
    Kind("question", Clarification, "requests/{request}/questions/{id}.toml"),
    Kind("award", Award, "requests/{request}/awards/{id}.toml"),
    Kind("order", Order, "requests/{request}/orders/{id}.toml"),
    Kind("first-article", FirstArticle, "requests/{request}/first-articles/{id}.toml"),
)
_BY_NAME = {kind.name: kind for kind in KINDS}
_FORMS = tuple(
    (kind, re.compile(re.sub(r"\\{\w+\\}", r"([^/]+)", re.escape(kind.form)))) for kind in KINDS
)
_SAFE = re.compile(r"[A-Za-z0-9][A-Za-z0-9._+ \-]{0,99}")

# Files that are no records but belong into a project; all else is noted as unknown.
_BELONGS = re.compile(
    r"(drawings|models|files|templates|incoming|export)/.+"
    r"|requests/[^/]+/sent/.+"
    r"|requests/[^/]+/round-[1-9]\d*/replies/[^/]+"
    r"|requests/[^/]+/round-[1-9]\d*/(letters|comparison)/.+"
    r"|requests/[^/]+/(awards|orders|first-articles|questions)/[^/]+/.+"
    r"|requests/.+\.sha256"
    r"|journal/[^/]+\.jsonl"
    r"|(README|LICENSE|NOTES)(\.\w+)?"
)
FileClass = Literal["record", "belongs", "unknown"]


def kind_of(key: str) -> Kind:
    """Return the kind a key starts with.

    Raises:
        KeyError: no such kind.
    """
    return _BY_NAME[key.partition(":")[0]]


def path_of(key: str) -> str:
    """Return the relative path of a key.

    >>> path_of("quote:2026-07/1/oakvane-1")
    'requests/2026-07/round-1/quotes/oakvane-1.toml'

    Raises:
        ValueError: the key's identity could not be a file name, or does not fit its kind.
    """
    kind = kind_of(key)
    identity = key.partition(":")[2]
    parts = identity.split("/") if identity else []
    if len(parts) != len(kind.blanks) or not all(map(_SAFE.fullmatch, parts)):
        raise ValueError(f"'{key}' is no key of a {kind.name}")
    return kind.form.format(**dict(zip(kind.blanks, parts, strict=True)))


def key_at(path: str) -> str:
    """Return the key of a relative path, or '' where no record lies there.

    >>> key_at("parts/SB-110.toml"), key_at("parts/SB-110.bak")
    ('part:SB-110', '')
    """
    for kind, form in _FORMS:
        found = form.fullmatch(path)
        if found and all(map(_SAFE.fullmatch, found.groups())):
            return ":".join(part for part in (kind.name, "/".join(found.groups())) if part)
    return ""


def key_of(record: Value, *, number: int = 1) -> str:
    """Return the key a record names itself.

    Args:
        record: any stored value.
        number: of a draft among its shop's, as a draft does not know it.
    Raises:
        TypeError: the value is not stored on its own.
    """
    match record:
        case Settings():
            return "project"
        case Rates():
            return "rates"
        case Part():
            return f"part:{record.number}"
        case Shop():
            return f"shop:{record.id}"
        case ColumnMemory():
            return f"columns:{record.shop}"
        case Request():
            return f"request:{record.id}"
        case Round():
            return f"round:{record.request}/{record.number}"
        case Draft():
            shop = record.shop or UNKNOWN
            return f"draft:{record.request}/{record.round}/{shop}-{number}"
        case Quote():
            return f"quote:{record.request}/{record.round}/{record.shop}-{record.number}"
        case Clarification():
            return f"question:{record.request}/{record.id}"
        case Award():
            return f"award:{record.request}/{record.id}"
        case Order():
            return f"order:{record.request}/{record.id}"
        case FirstArticle():
            return f"first-article:{record.request}/{record.id}"
    raise TypeError(f"a {type(record).__name__} is not stored on its own")


def fits(key: str, record: Value) -> bool:
    """Return whether a record may lie under a key: ids in name and content are equal."""
    kind = kind_of(key)
    if type(record) is not kind.model:
        return False
    if isinstance(record, Draft):
        # A draft may not know yet whom it came from or which request it answers.
        request, round_, name = key.partition(":")[2].split("/")
        stem, _, number = name.rpartition("-")
        return (
            record.request in ("", request)
            and record.round in (0, _int(round_))
            and record.shop in ("", stem)
            and _int(number) >= 1
        )
    if kind.name == "revision" and isinstance(record, Request):
        return key == f"revision:{record.id}/{record.revision}"
    return key == key_of(record)


def class_of(path: str) -> FileClass:
    """Return whether a path is a record, belongs into a project otherwise, or is unknown."""
    if key_at(path):
        return "record"
    return "belongs" if _BELONGS.fullmatch(path) else "unknown"


def frozen_key(request: Request) -> str:
    """Return the key of the frozen copy of a request at its revision."""
    return f"revision:{request.id}/{request.revision}"


def _int(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() else -1

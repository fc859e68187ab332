"""Any record written reads back equal, to the digit, and its lines are where locate says."""

from __future__ import annotations

import types
from dataclasses import MISSING, fields, is_dataclass
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from enum import Enum
from functools import cache
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

import annotated_types
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from rfq.store.locate import lines_of
from rfq.store.names import KINDS
from rfq.store.read import read_record
from rfq.store.write import render, rendered_lines

MODELS = sorted({kind.model for kind in KINDS}, key=lambda model: model.__name__)
TEXT = st.one_of(
    st.sampled_from(
        ["", "SB-110", 'a "b" \\c', "two\nlines\n", "# no comment", "'''", '"""', "ü±Ø"]
    ),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=12),
)
PATTERNS = {
    "^[A-Z]{3}$": st.sampled_from(["EUR", "USD", "JPY"]),
    "^[A-Z]{2}$": st.sampled_from(["DE", "PL"]),
    "^[0-9a-f]{64}$": st.just("0123456789abcdef" * 4),
    "^[a-z0-9][a-z0-9-]{0,39}$": st.sampled_from(["oakvane", "a-1"]),
}
NAME = st.sampled_from(["SB-110", "A.1", "2026-07"])
ZONES = st.sampled_from([UTC, timezone(timedelta(hours=2)), timezone(timedelta(seconds=3208))])
FROM, TO = datetime(1990, 1, 1), datetime(2100, 1, 1)  # noqa: DTZ001 - hypothesis adds zones
MOMENTS = st.datetimes(FROM, TO, timezones=ZONES)


def of(annotation: Any, limits: tuple[Any, ...] = ()) -> st.SearchStrategy[Any]:
    """Values of a field's type within its limits."""
    origin = get_origin(annotation)
    if hasattr(annotation, "__metadata__"):
        return of(annotation.__origin__, (*limits, *annotation.__metadata__))
    if origin is Literal:
        return st.sampled_from(get_args(annotation))
    if origin in (Union, types.UnionType):
        return st.one_of(*(of(member, limits) for member in get_args(annotation)))
    if origin is tuple:
        members = get_args(annotation)
        if len(members) > 1 and members[1] is not Ellipsis:
            return st.tuples(*map(of, members))
        least = 1 if any(isinstance(m, annotated_types.MinLen) for m in flat(limits)) else 0
        return st.lists(of(members[0]), min_size=least, max_size=3).map(tuple)
    if origin is dict:
        key, item = get_args(annotation)
        return st.dictionaries(of(key), of(item), max_size=3)
    if annotation is type(None):
        return st.none()
    return plain(annotation, flat(limits))


def flat(limits: tuple[Any, ...]) -> tuple[Any, ...]:
    """Limits with those inside pydantic's own holders laid open."""
    found: list[Any] = []
    for limit in limits:
        if isinstance(limit, FieldInfo):
            found.extend(flat(tuple(limit.metadata)))
        else:
            found.append(limit)
    return tuple(found)


def bounds(limits: tuple[Any, ...]) -> tuple[Decimal, Decimal]:
    low, high = Decimal(-100_000), Decimal(100_000)
    for limit in limits:
        for name in ("gt", "ge"):
            if getattr(limit, name, None) is not None:
                low = max(low, Decimal(str(getattr(limit, name))) + (name == "gt"))
        for name in ("lt", "le"):
            if getattr(limit, name, None) is not None:
                high = min(high, Decimal(str(getattr(limit, name))))
    return low, high


def plain(kind: Any, limits: tuple[Any, ...]) -> st.SearchStrategy[Any]:
    low, high = bounds(limits)
    if kind is str:
        for limit in limits:
            if getattr(limit, "pattern", None):
                return PATTERNS.get(limit.pattern, NAME)
        most = min((limit.max_length for limit in limits if getattr(limit, "max_length", None)),
                   default=99)  # fmt: skip
        least = any(getattr(limit, "min_length", None) for limit in limits)
        return TEXT.map(lambda text: text[:most] or ("1" if least else ""))
    if kind is bool:
        return st.booleans()
    if kind is int:
        return st.integers(int(low), int(high))
    if kind is Decimal:
        digits = st.integers(0, 6).flatmap(
            lambda places: st.decimals(low, high, places=places, allow_nan=False)
        )
        return st.one_of(digits, digits.map(lambda value: value.normalize()))
    if kind is float:
        return st.floats(-1e12, 1e12).map(lambda value: 0.0 if abs(value) < 1e-20 else value)
    if kind is datetime:
        return MOMENTS
    if kind is date:
        return st.dates(date(1990, 1, 1), date(2100, 1, 1))
    if issubclass(kind, Enum):
        return st.sampled_from(list(kind))
    return values(kind)


@cache
def values(kind: type[Any]) -> st.SearchStrategy[Any]:
    """Whole values of a model or of a dataclass inside one; about half the defaults stay."""
    if is_dataclass(kind):
        hints = get_type_hints(kind)
        return st.fixed_dictionaries(
            {e.name: of(hints[e.name]) for e in fields(kind) if e.default is MISSING},
            optional={e.name: of(hints[e.name]) for e in fields(kind) if e.default is not MISSING},
        ).map(lambda given: kind(**given))
    assert issubclass(kind, BaseModel)
    needed, free = {}, {}
    for name, field in kind.model_fields.items():
        made = of(field.annotation, tuple(field.metadata))
        (needed if field.is_required() else free)[name] = made
    return (
        st.fixed_dictionaries(needed, optional=free)
        .map(lambda given: whole(kind, mended(kind, given)))
        .filter(lambda value: value is not None)
    )


def whole(kind: type[BaseModel], given: dict[str, Any]) -> BaseModel | None:
    try:
        return kind(**given)
    except ValidationError:
        return None


def mended(kind: type[BaseModel], given: dict[str, Any]) -> dict[str, Any]:
    """Values that belong together brought in line with the record's own rules."""
    for names in (("low", "typical", "high"), ("low", "middle", "high")):
        if set(names) <= set(kind.model_fields) and set(names) <= set(given):
            given.update(zip(names, sorted(given[name] for name in names), strict=True))
    if kind.__name__ == "RequestLine":
        given["quantities"] = tuple(sorted(set(given["quantities"])))
    if kind.__name__ == "Request":
        for name, inner in (("lines", "part"), ("asked", "shop")):
            once = {getattr(item, inner): item for item in given.get(name, ())}
            if name in given:
                given[name] = tuple(once.values())
    if kind.__name__ == "Part" and "callouts" in given:
        given["callouts"] = tuple({c.number: c for c in given["callouts"]}.values())
    if kind.__name__ == "Shape":
        if given.get("kind", "prismatic") == "turned":
            given["diameter_mm"] = given.get("diameter_mm") or Decimal("12.50")
        if len(given.get("stock_mm", ())) == 1:
            given["stock_mm"] *= 2
    if kind.__name__ == "Quote":
        given["prices"] = tuple(
            price
            for price in given.get("prices", ())
            if price.each is not None and price.sure and price.currency
        )
    return given


def digits(value: Any) -> Any:
    """A value with its Decimals as digit tuples, so that 10.00 and 10 differ."""
    if isinstance(value, Decimal):
        return value.as_tuple()
    if isinstance(value, BaseModel):
        return [digits(getattr(value, name)) for name in type(value).model_fields]
    if isinstance(value, dict):
        return {key: digits(item) for key, item in value.items()}
    return [digits(item) for item in value] if isinstance(value, tuple) else value


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)
def test_any_record_reads_back_equal(model: type[BaseModel]) -> None:
    @settings(
        max_examples=25,
        deadline=None,
        derandomize=True,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much,
                               HealthCheck.data_too_large, HealthCheck.large_base_example],
        database=None,
    )  # fmt: skip
    @given(values(model))
    def holds(record: Any) -> None:
        text = render(record)
        reading = read_record(text.encode(), model, "x.toml")
        assert reading.value == record, reading.problems
        assert digits(reading.value) == digits(record)
        assert render(reading.value) == text
        found = lines_of(text)
        for number, (path, _) in enumerate(rendered_lines(record), start=1):
            assert not path or found[path] == number

    holds()

"""What a new revision of a request changed, in words, part by part.

The words go on the cover and into the mail; the fields are marked with a bar on the data sheet.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from rfq.model.callout import Callout
from rfq.model.part import FileRef, Finish, Part
from rfq.model.quote import Quote
from rfq.model.request import Request, RequestLine
from rfq.model.spec import number

_PART_FIELDS: Final = {
    "revision": "revision",
    "name": "name",
    "material": "material",
    "temper": "temper",
    "form": "form of stock",
    "material_standard": "material standard",
    "material_note": "note on the material",
    "certificate": "certificate",
    "general_tolerance": "general tolerance",
    "general_roughness": "general roughness",
    "edges": "edges",
    "texture_edition": "edition of surface texture",
    "cosmetic": "visible faces",
    "marking": "marking",
    "customer_supplied": "what we supply",
    "assembly": "assembly steps",
    "need_date": "date wanted",
    "shop_note": "note",
}
MOST_OF_A_SHAPE: Final = 8
"""Measured differences named on a cover and in a mail; beyond it they are counted."""

_REQUEST_FIELDS: Final = {
    "title": "title",
    "answer_by": "answer by",
    "need_date": "date wanted",
    "rule_set": "rules of reading",
    "general_tolerance": "general tolerance",
    "general_roughness": "general roughness",
    "texture_edition": "edition of surface texture",
    "datum_system": "datum system",
    "edges": "edges",
}
# What bears on every price; a title or a date to answer by does not.
_FOR_ALL: Final = tuple(
    name for name in _REQUEST_FIELDS if name not in ("title", "answer_by", "need_date")
)


@dataclass(frozen=True, slots=True)
class Changes:
    """What changed.

    Args:
        words: one sentence a change, in the request's order.
        parts: part number -> field or 'callout 3' -> words.
        for_all: something changed that bears on every price, such as terms or tolerances.
    """

    words: tuple[str, ...] = ()
    parts: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    for_all: bool = False

    def of(self, part: str) -> Mapping[str, str]:
        """Return what changed of a part."""
        return self.parts.get(part, {})

    @property
    def prices_touched(self) -> frozenset[str]:
        """Parts whose old quotes no longer answer the request."""
        return frozenset(number for number, fields in self.parts.items() if fields)

    def still_answered(self, quote: Quote) -> tuple[str, ...]:
        """Return the parts whose prices in an older quote still answer the request."""
        if self.for_all:
            return ()
        quoted = dict.fromkeys(price.part for price in quote.prices)
        return tuple(part for part in quoted if part not in self.prices_touched)


def changes_between(
    old: Request,
    new: Request,
    old_parts: Mapping[str, Part],
    new_parts: Mapping[str, Part],
    only: Iterable[str] | None = None,
    *,
    shapes: Mapping[str, Sequence[str]] | None = None,
) -> Changes:
    """Return what changed from one revision to the next.

    Args:
        old, new: the request before and after. old_parts, new_parts: parts by number.
        only: part numbers a shop may hear of; None: all of the new request.
        shapes: what was measured to differ between the old and the new model, by part number; said
            where the model's file changed.
    """
    wanted = set(only) if only is not None else {line.part for line in (*old.lines, *new.lines)}
    words: list[str] = []
    parts: dict[str, dict[str, str]] = {}
    for name, shown in _REQUEST_FIELDS.items():
        if name in _FOR_ALL:
            continue
        words += _field(shown, getattr(old, name), getattr(new, name))
    so_far = len(words)
    for name in _FOR_ALL:
        words += _field(_REQUEST_FIELDS[name], getattr(old, name), getattr(new, name))
    for name in type(new.terms).model_fields:
        words += _field(name.replace("_", " "), getattr(old.terms, name), getattr(new.terms, name))
    for_all = len(words) > so_far
    numbers = [line.part for line in new.lines]
    numbers += [line.part for line in old.lines if line.part not in numbers]
    for one in numbers:
        if one not in wanted:
            continue
        before, after = old.line(one), new.line(one)
        found = _line(before, after)
        if one in old_parts and one in new_parts and before is not None and after is not None:
            found |= _part(old_parts[one], new_parts[one], (shapes or {}).get(one, ()))
        if found:
            parts[one] = found
            words += [f"{one}: {text}" for text in dict.fromkeys(found.values())]
    return Changes(tuple(words), parts, for_all)


def _field(shown: str, before: object, after: object) -> list[str]:
    if before == after:
        return []
    return [f"{shown}: {_said(before)} is now {_said(after)}"]


def _said(value: object) -> str:
    if value in (None, "", ()):
        return "nothing"
    if isinstance(value, tuple):
        return ", ".join(str(one) for one in value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)


def _line(before: RequestLine | None, after: RequestLine | None) -> dict[str, str]:
    if before is None and after is None:
        return {}
    if before is None:
        return {"line": "new in this request"}
    if after is None:
        return {"line": "no longer asked"}
    found = {}
    for name, shown in (
        ("quantities", "quantities"),
        ("order_first", "ordered first"),
        ("yearly", "yearly need"),
        ("need_date", "date wanted"),
    ):
        for text in _field(shown, getattr(before, name), getattr(after, name)):
            found[name] = text
    return found


def _part(old: Part, new: Part, shape: Sequence[str]) -> dict[str, str]:
    found: dict[str, str] = {}
    for name, shown in _PART_FIELDS.items():
        for text in _field(shown, getattr(old, name), getattr(new, name)):
            found[name] = text
    for name, shown in (("drawing", "drawing"), ("model", "model")):
        before, after = getattr(old, name), getattr(new, name)
        if _content(before) != _content(after):
            found[name] = f"{shown}: another file ({_file(after)})"
            if name == "model" and after is not None and shape:
                found[name] += "; measured: " + ", ".join(shape[:MOST_OF_A_SHAPE])
                if len(shape) > MOST_OF_A_SHAPE:
                    found[name] += f" and {len(shape) - MOST_OF_A_SHAPE} more"
    if old.finishes != new.finishes:
        found["finishes"] = f"finish: {_finishes(old.finishes)} is now {_finishes(new.finishes)}"
    for name, shown in (
        ("free", "what is free"),
        ("other_materials", "materials allowed besides"),
        ("other_routes", "ways of making allowed besides"),
    ):
        for text in _field(shown, getattr(old, name), getattr(new, name)):
            found[name] = text
    return found | _callouts(old.callouts, new.callouts)


def _content(ref: FileRef | None) -> str:
    return "" if ref is None else ref.sha256 or ref.path


def _file(ref: FileRef | None) -> str:
    return "none" if ref is None else ref.path.replace("\\", "/").rsplit("/", 1)[-1]


def _finishes(finishes: tuple[Finish, ...]) -> str:
    words = []
    for finish in finishes:
        text = " ".join(w for w in (finish.name, finish.grade, finish.colour) if w)
        if finish.thickness_um is not None:
            text += f" {number(finish.thickness_um)} µm"
        if finish.masks:
            text += f", {finish.masks} masked"
        words.append(text)
    return ", ".join(words) or "none"


def _callouts(old: tuple[Callout, ...], new: tuple[Callout, ...]) -> dict[str, str]:
    before = {callout.number: callout for callout in old}
    after = {callout.number: callout for callout in new}
    found = {}
    for key, callout in after.items():
        was = before.get(key)
        if was is None:
            found[f"callout {key}"] = f"no. {key} is new: {_callout(callout)}"
        elif _public(was) != _public(callout):
            text = f"no. {key}: {_callout(was)} is now {_callout(callout)}"
            if _callout(was) == _callout(callout):
                text = f"no. {key}: {_details(was, callout)}"
            found[f"callout {key}"] = text
    for key in before:
        if key not in after:
            found[f"callout {key}"] = f"no. {key} is dropped: {_callout(before[key])}"
    return found


def _public(callout: Callout) -> Callout:
    return callout.model_copy(update={"internal_note": "", "position": None, "view": "front"})


def _callout(callout: Callout) -> str:
    return " ".join(word for word in (callout.what, callout.text) if word) or "as drawn"


def _details(before: Callout, after: Callout) -> str:
    found = []
    for name in type(after).model_fields:
        if name in ("internal_note", "position", "view"):
            continue
        found += _field(name.replace("_", " "), getattr(before, name), getattr(after, name))
    return ", ".join(found)

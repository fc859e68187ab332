"""What changed between two models of a part, for the revision list of a request."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Literal

from rfq.geometry.shape import MeasuredShape

Subject = Literal["volume", "area", "box", "bore", "inner radius", "wall", "set-ups", "pmi"]

SAME = 1e-4
"""Relative difference that still counts as the same figure."""


@dataclass(frozen=True, slots=True)
class Change:
    """One difference in one sentence, with both figures where it is one figure."""

    subject: Subject
    message: str
    before: float | None = None
    after: float | None = None


def compare_shapes(before: MeasuredShape, after: MeasuredShape) -> tuple[Change, ...]:
    """Differences of two shapes, the large ones first; none when the file is the same.

    Args:
        before: the model as last sent.
        after: the model as it is now.
    """
    if before.sha256 == after.sha256 and before.body == after.body:
        return ()
    changes: list[Change] = []
    changes += _figure("volume", "volume", before.volume_mm3, after.volume_mm3, "mm³")
    for axis, old, new in zip("xyz", before.box_mm, after.box_mm, strict=True):
        changes += _figure("box", f"overall size in {axis}", old, new, "mm")
    changes += _bores(before, after)
    changes += _radii(before, after)
    walls = (before.thinnest_wall, after.thinnest_wall)
    if walls[0] and walls[1]:
        changes += _figure(
            "wall", "thinnest wall", walls[0].thickness_mm, walls[1].thickness_mm, "mm"
        )
    changes += _figure(
        "set-ups", "directions to cut from", before.access.setups, after.access.setups, ""
    )
    changes += _figure("area", "surface", before.area_mm2, after.area_mm2, "mm²")
    changes += _pmi(before, after)
    return tuple(changes)


def _figure(subject: Subject, name: str, old: float, new: float, unit: str) -> list[Change]:
    if abs(new - old) <= SAME * max(abs(old), abs(new)):
        return []
    share = f" ({100 * (new - old) / old:+.1f} %)" if old and unit in ("mm³", "mm²") else ""
    text = f"{name} {_number(old)} -> {_number(new)} {unit}".rstrip()
    return [Change(subject, text + share, old, new)]


def _number(value: float) -> str:
    return f"{value:,.0f}" if abs(value) >= 10_000 else f"{value:.4g}"


_Places = dict[tuple[float, float, bool], Counter[tuple[float, ...]]]


def _bore_places(shape: MeasuredShape) -> _Places:
    places: _Places = {}
    for bore in shape.bores:
        key = (round(bore.diameter_mm, 3), round(bore.depth_mm, 2), bore.through)
        spots = Counter(tuple(round(c, 1) for c in p) for p in bore.positions)
        places.setdefault(key, Counter()).update(spots)
    return places


def _bores(before: MeasuredShape, after: MeasuredShape) -> list[Change]:
    old, new = _bore_places(before), _bore_places(after)
    changes = []
    for key in sorted(old.keys() | new.keys()):
        diameter, depth, through = key
        reach = "through" if through else f"{depth:g} deep"
        name = f"bores Ø{diameter:g} {reach}"
        was, is_ = old.get(key, Counter()), new.get(key, Counter())
        if was.total() != is_.total():
            text = f"{name}: {was.total()} -> {is_.total()}"
            changes.append(Change("bore", text, was.total(), is_.total()))
        elif was != is_:
            moved = (was - is_).total()
            changes.append(Change("bore", f"{name}: {moved} of {was.total()} moved"))
    return changes


def _radii(before: MeasuredShape, after: MeasuredShape) -> list[Change]:
    def histogram(shape: MeasuredShape) -> dict[tuple[str, float], tuple[int, float]]:
        return {(r.kind, r.radius_mm): (r.count, r.depth_mm) for r in shape.inner_radii}

    old, new = histogram(before), histogram(after)
    changes = []
    for key in sorted(old.keys() | new.keys()):
        kind, radius = key
        was, is_ = old.get(key, (0, 0.0)), new.get(key, (0, 0.0))
        name = f"inner radii R{radius:g} ({kind})"
        if was[0] != is_[0]:
            changes.append(
                Change("inner radius", f"{name}: {was[0]} -> {is_[0]}", *_pair(was, is_))
            )
        elif abs(was[1] - is_[1]) > 1e-2:
            text = f"{name}: depth {was[1]:g} -> {is_[1]:g} mm"
            changes.append(Change("inner radius", text, was[1], is_[1]))
    return changes


def _pair(was: tuple[int, float], is_: tuple[int, float]) -> tuple[float, float]:
    return float(was[0]), float(is_[0])


def _pmi(before: MeasuredShape, after: MeasuredShape) -> list[Change]:
    def written(shape: MeasuredShape) -> Counter[str]:
        texts = []
        for c in shape.pmi.candidates:
            limits = [c.plus, c.minus, c.lower, c.upper]
            figures = " ".join(f"{x:+.4g}" for x in limits if x is not None)
            texts.append(" ".join(x for x in (f"{c.kind} {c.value:g}", figures, *c.datums) if x))
        return Counter(texts)

    old, new = written(before), written(after)
    gone, come = sorted((old - new).elements()), sorted((new - old).elements())
    changes = [Change("pmi", f"no longer in the model: {text}") for text in gone]
    return changes + [Change("pmi", f"new in the model: {text}") for text in come]

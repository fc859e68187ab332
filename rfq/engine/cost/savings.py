"""What a change to the request would save, with the sentence to say and the caution.

Every change is priced on the same draws as the part itself, so that the change's band carries
only what the change does. Only what the user left open is offered.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from rfq.engine.cost.changes import (
    Looser,
    looser,
    next_cutter_radius,
    three,
    with_feature,
)
from rfq.engine.cost.entry import Entry, FinishWork
from rfq.engine.cost.finish_prices import family_of
from rfq.engine.cost.routes import ways_of
from rfq.engine.cost.run import MACHINED, Run, check_draws, check_quantity, prepare
from rfq.engine.cost.stock import Stock
from rfq.engine.standards import stock_sizes
from rfq.engine.standards.limits import NotDefined
from rfq.model.estimate import Saving
from rfq.model.part import Part
from rfq.model.rates import Rates
from rfq.model.request import Request

#: A cheaper class of finish, where the finish is open: (from, to, caution).
CHEAPER_FINISH = {
    "hard anodise": ("anodise", "less wear resistance"),
    "chromic anodise": ("anodise", "thicker layer: sizes of fits change"),
    "electroless nickel": ("bead blast", "no protection against corrosion or wear"),
    "PVD": ("bead blast", "no protection against wear"),
    "electropolish": ("passivate", "rougher edges and surface"),
    "powder coat": ("anodise", "another look and protection; aluminium only"),
}
_STRENGTH = "strength and fatigue: the responsible engineer releases it first"
_FUNCTION = "check the function before it is requested"


def savings(
    part: Part,
    quantity: int,
    rates: Rates | None = None,
    draws: int = 4096,
    seed: int = 0,
    *,
    request: Request | None = None,
    own_history: bool = False,
) -> tuple[Saving, ...]:
    """Changes of price, EUR a piece, the largest saving first; dearer changes come last.

    Open callouts by one grade, open textures by one step, the inner radius to the next cutter,
    parallel clamping faces, the next smaller stock, one mask less, no certificate, another
    finish, the next quantity break, a repeat order, other routes and materials where allowed.

    Raises:
        EstimateError: the part cannot be estimated.
    """
    pieces = check_quantity(quantity)
    check_draws(draws, seed)
    run = prepare(part, rates, request=request, own_history=own_history)
    price = run.draw([pieces], draws, seed).price[0]
    middle = float(np.median(price))

    def change(other: Run, at: int = pieces) -> tuple[float, float, float]:
        return three(other.draw([at], draws, seed).price[0] - price)

    found = []
    for saving, other, at in _changes(part, run, pieces, rates, request, own_history):
        low, mid, high = change(other, at)
        found.append(
            saving.model_copy(
                update={"low": low, "middle": mid, "high": high, "share": mid / middle}
            )
        )
    found.sort(key=lambda saving: (saving.middle, saving.name))
    return tuple(found)


_Change = tuple[Saving, Run, int]


def _changes(
    part: Part,
    run: Run,
    quantity: int,
    rates: Rates | None,
    request: Request | None,
    own_history: bool,
) -> Iterator[_Change]:
    """Every change as (saving without figures, changed run, quantity)."""
    for name, other in _callouts(part, run):
        yield name, other, quantity
    for name, other in _shape(part, run):
        yield name, other, quantity
    for name, other in _extras(part, run):
        yield name, other, quantity
    more = _next_quantity(part, quantity, request)
    yield (
        _saving(
            f"order {more} instead of {quantity}", "quantity", was=f"{quantity} pcs",
            becomes=f"{more} pcs", to="shop",
            sentence=f"What would {more} pieces cost each, in one lot?",
        ),
        run,
        more,
    )  # fmt: skip
    again = replace(run, entry=replace(run.entry, repeat=True))
    yield (
        _saving(
            "repeat order", "repeat", was="first order", becomes="repeat order", to="shop",
            sentence="What does the same lot cost again within twelve months, without programming, "
            "fixture and first article?",
        ),
        again,
        quantity,
    )  # fmt: skip
    ways, _ = ways_of(part, rates, request=request, own_history=own_history)
    for way in ways[1:]:
        same = way.route == run.route
        kind = "material" if same else "route"
        yield (
            _saving(
                way.name, kind, was=f"{run.route}, {run.entry.material.designation}",
                becomes=f"{way.route}, {way.material}",
                sentence=f"Could the part be {_verb(way.route)} in {way.material}?",
                caution=f"Another {kind if same else 'process and alloy'} changes {_STRENGTH}.",
            ),
            way.run,
            quantity,
        )  # fmt: skip


def _saving(
    name: str,
    kind: str,
    *,
    subject: str = "",
    was: str = "",
    becomes: str = "",
    sentence: str = "",
    to: str = "designer",
    caution: str = "",
) -> Saving:
    """A saving whose figures are still to come."""
    return Saving(
        name=name, kind=kind, low=0.0, middle=0.0, high=0.0, subject=subject, was=was,
        becomes=becomes, sentence=sentence, to="shop" if to == "shop" else "designer",
        caution=caution,
    )  # fmt: skip


def _verb(route: str) -> str:
    return route.split(",", maxsplit=1)[0]


def relaxed(part: Part, run: Run, *, only_open: bool = True) -> Iterator[tuple[str, Looser, Run]]:
    """Each callout with a looser neighbour: (balloon number, neighbour, changed run)."""
    features = {feature.number: feature for feature in run.entry.features if feature.number}
    for callout in part.callouts:
        if only_open and callout.state != "open":
            continue
        feature = features.get(callout.number)
        found = looser(callout, feature) if feature is not None else None
        if found is not None:
            yield callout.number, found, with_feature(run, callout.number, found.feature)


def _callouts(part: Part, run: Run) -> Iterator[tuple[Saving, Run]]:
    named = {callout.number: callout for callout in part.callouts}
    for balloon, found, other in relaxed(part, run):
        what = named[balloon].what or "this feature"
        caution = (
            f"A looser tolerance on a loaded part: {_FUNCTION}."
            if part.loaded
            else (
                f"A seal, a running or a cosmetic face may need it: {_FUNCTION}."
                if found.kind == "texture"
                else f"A fit or an assembly may need it: {_FUNCTION}."
            )
        )
        yield (
            _saving(
                f"callout {balloon} to {found.becomes}", found.kind, subject=balloon,
                was=found.was, becomes=found.becomes,
                sentence=f"Does {what} (balloon {balloon}) need {found.was}, or would "
                f"{found.becomes} do?",
                caution=caution,
            ),
            other,
        )  # fmt: skip


def _shape(part: Part, run: Run) -> Iterator[tuple[Saving, Run]]:
    entry = run.entry
    if run.route not in MACHINED:
        return
    radius = entry.corner_radius_mm
    wider = next_cutter_radius(radius) if radius else None
    if wider is not None and radius is not None and entry.corners != 0 and not entry.turned:
        was = "a sharp corner" if entry.sharp_corner else f"R{radius:g}"
        other = replace(entry, corner_radius_mm=wider, sharp_corner=False)
        yield (
            _saving(
                f"inner radii to R{wider:g}", "radius", subject="smallest_inner_radius_mm",
                was=was, becomes=f"R{wider:g}",
                sentence=f"May the inner corners have R{wider:g} instead of {was}, so that the "
                "next larger cutter goes down there?",
                caution="The mating part must clear the larger radius.",
            ),
            replace(run, entry=other),
        )  # fmt: skip
    if entry.parallel_faces is not True and not entry.turned:
        other = replace(entry, parallel_faces=True)
        yield (
            _saving(
                "two parallel clamping faces", "clamping", subject="parallel_clamping_faces",
                was="no clamping faces" if entry.parallel_faces is False else "not said",
                becomes="two parallel faces, 15 mm high",
                sentence="Could the part get two parallel flat faces, about 15 mm high, to be "
                "clamped by?",
                caution=_heavier(part),
            ),
            replace(run, entry=other),
        )  # fmt: skip
    smaller = _smaller_stock(entry)
    if smaller is not None:
        size, stock, limit = smaller
        volume = entry.finished_mm3
        if volume is not None:
            volume = min(volume, stock.volume_mm3)
        other = replace(entry, stock=stock, finished_mm3=volume)
        what = "diameter" if entry.turned else "height"
        size_now = entry.stock.sizes_mm[0] if entry.turned else entry.stock.sizes_mm[2]
        yield (
            _saving(
                f"stock of {size:g} mm", "stock", subject="stock_mm", was=f"{size_now:g} mm",
                becomes=f"{size:g} mm",
                sentence=f"With a {what} of {limit:g} mm or less the part comes out of {size:g} mm "
                f"stock instead of {size_now:g} mm.",
                caution=f"The size changes: {_FUNCTION}.",
            ),
            replace(run, entry=other),
        )  # fmt: skip


def _heavier(part: Part) -> str:
    return f"Faces added to a loaded part: {_FUNCTION}." if part.loaded else ""


def _smaller_stock(entry: Entry) -> tuple[float, Stock, float] | None:
    """The next smaller stock, where giving up at most 15 % of the size gets there."""
    if not entry.stock.standard or (len(entry.stock.sizes_mm) == 2 and not entry.turned):
        return None
    form = "round bar" if entry.turned else "plate"
    family = entry.material.record.family
    try:
        sizes = stock_sizes.sizes_mm(family, form)
    except NotDefined:
        return None
    now = entry.stock.sizes_mm[0] if entry.turned else entry.stock.sizes_mm[2]
    size = stock_sizes.next_smaller_mm(now, sizes)
    needed = entry.diameter_mm if entry.turned else entry.height_mm
    if size is None:
        return None
    limit = size - (1.5 if entry.turned else 1.0)
    if limit < 0.85 * needed or limit >= needed:
        return None
    scale = (size / now) ** (2 if entry.turned else 1)
    old = entry.stock
    changed = (size, *old.sizes_mm[1:]) if entry.turned else (*old.sizes_mm[:2], size)
    stock = replace(
        old, sizes_mm=changed, volume_mm3=old.volume_mm3 * scale, cut_mm2=old.cut_mm2 * scale
    )
    return size, stock, limit


def _extras(part: Part, run: Run) -> Iterator[tuple[Saving, Run]]:
    entry = run.entry
    for i, (finish, work) in enumerate(zip(part.finishes, entry.finishes, strict=True)):
        if work.masks > 0:
            rest = replace(work, masks=work.masks - 1)
            yield (
                _saving(
                    f"one mask less ({finish.name})", "mask", subject=finish.name,
                    was=f"{work.masks} masks", becomes=f"{work.masks - 1} masks",
                    sentence=f"Can one of the {work.masks} masked faces of the {finish.name} take "
                    "the finish?",
                    caution="A coated fit or thread changes its size; an insulated face its earth.",
                ),
                _finished(run, i, rest),
            )  # fmt: skip
        cheaper = CHEAPER_FINISH.get(work.family)
        if cheaper is not None and finish.state == "open" and run.route in MACHINED:
            name, loss = cheaper
            other = replace(work, family=family_of(name), name=name)
            yield (
                _saving(
                    f"{name} instead of {finish.name}", "finish", subject=finish.name,
                    was=finish.name, becomes=name,
                    sentence=f"Would {name} do instead of {finish.name}?",
                    caution=f"It means {loss}: {_FUNCTION}.",
                ),
                _finished(run, i, other),
            )  # fmt: skip
    if entry.certificate:
        yield (
            _saving(
                f"no certificate {entry.certificate}", "certificate", subject="certificate",
                was=entry.certificate, becomes="none",
                sentence=f"Is the certificate {entry.certificate} to EN 10204 needed for this "
                "part?",
                caution="Without it the material is not proven; loaded parts keep it.",
            ),
            replace(run, entry=replace(entry, certificate="")),
        )  # fmt: skip


def _finished(run: Run, place: int, work: FinishWork) -> Run:
    finishes = list(run.entry.finishes)
    finishes[place] = work
    return replace(run, entry=replace(run.entry, finishes=tuple(finishes)))


def _next_quantity(part: Part, quantity: int, request: Request | None) -> int:
    """The next quantity asked for, else the next of 1, 2, 5, 10, ..."""
    line = request.line(part.number) if request is not None else None
    larger = [each for each in line.quantities if each > quantity] if line is not None else []
    if larger:
        return min(larger)
    step = 1
    while step <= quantity:
        for factor in (1, 2, 5):
            if step * factor > quantity:
                return step * factor
        step *= 10
    return step

"""From draws to a band with elements: percentiles, mean shares, cautions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from rfq.engine.cost import other_routes
from rfq.engine.cost.arrays import Array
from rfq.engine.cost.price import Priced
from rfq.engine.cost.run import MACHINED, Run
from rfq.model.codes import ELEMENTS, Basis
from rfq.model.estimate import Element, Estimate

#: The band is never narrower than the middle over and times this; common practice.
LEAST_FACTOR = {"typed": 1.57, "from model": 1.35, "with own history": 1.22}
#: What each fact that is left open adds to it, as a share of its logarithm; common practice.
PER_GAP = 0.12

_CAUTION = (
    "An estimate for talking about price; its speeds, feeds and times are not machine settings."
)
_FIRE = (
    "Chips and powder of {name} can burn: the shop works to its local codes (flood cooling, "
    "separate bins, a class D extinguisher)."
)


def band(values: Array, basis: str, gaps: int = 0) -> tuple[Array, Array, Array]:
    """P10, P50 and P90 along the draws, no narrower than the basis and what is open allow.

    Args:
        values: prices, shape (quantities, draws).
        basis: a key of ``LEAST_FACTOR``.
        gaps: number of facts that the entry leaves open.
    """
    low, middle, high = np.percentile(values, (10.0, 50.0, 90.0), axis=-1)
    factor = LEAST_FACTOR[basis] ** (1.0 + PER_GAP * gaps)
    return np.minimum(low, middle / factor), middle, np.maximum(high, middle * factor)


def gaps_of(run: Run) -> tuple[str, ...]:
    """What a run's entry leaves open, in words."""
    return run.entry.gaps(run.route.startswith("printed"))


def summarise(run: Run, result: Priced, quantities: Sequence[int]) -> list[Estimate]:
    """Bands and elements, one estimate a quantity, without the explanation."""
    low, middle, high = band(result.price, run.basis, len(gaps_of(run)))
    means = {name: _rows(values, len(quantities)) for name, values in result.elements.items()}
    cautions = cautions_of(run)
    marked = any(each.basis is Basis.PRACTICE for each in run.parameters.used.values())
    once = {name: _medians(value, len(quantities)) for name, value in result.once.items()}
    price_mean = result.price.mean(axis=-1)
    found = []
    for i, quantity in enumerate(quantities):
        scale = float(middle[i] / price_mean[i])
        elements = tuple(
            Element(name=name, low=row[0], middle=row[1], high=row[2])
            for name in ELEMENTS
            if name in means and (row := _share(means[name], i, scale))[1] > 0.0
        )
        found.append(
            Estimate(
                part=run.entry.part,
                revision=run.entry.revision,
                quantity=quantity,
                route=run.route,
                basis=run.basis,
                low=float(low[i]),
                middle=float(middle[i]),
                high=float(high[i]),
                elements=elements,
                one_off={name: values[i] for name, values in once.items()},
                cautions=cautions,
                marked=marked,
            )
        )
    return found


def _medians(values: Any, count: int) -> list[float]:
    """Median of a one-off by quantity."""
    array = np.atleast_2d(np.asarray(values, dtype=float))
    found = [float(value) for value in np.median(array, axis=-1)]
    return found if len(found) == count else found * count


def _rows(values: Any, count: int) -> tuple[Array, Array, Array]:
    """(P10, mean, P90) of an element by quantity; one that is a plain number stays one."""
    array = np.asarray(values, dtype=float)
    if array.ndim == 0:
        filled = np.full(count, float(array))
        return filled, filled, filled
    if array.ndim == 1:
        array = array[None, :]
    low, high = np.percentile(array, (10.0, 90.0), axis=-1)
    mean = array.mean(axis=-1)
    if array.shape[0] == 1 and count > 1:
        return np.repeat(low, count), np.repeat(mean, count), np.repeat(high, count)
    return low, mean, high


def _share(rows: tuple[Array, Array, Array], i: int, scale: float) -> tuple[float, float, float]:
    low, mean, high = float(rows[0][i]), float(rows[1][i]) * scale, float(rows[2][i])
    return min(low, mean), mean, max(high, mean)


def cautions_of(run: Run) -> tuple[str, ...]:
    """Cautions that belong on every print of the estimate."""
    found = [_CAUTION, *run.entry.cautions]
    material = run.entry.material
    if material.family in ("titanium", "magnesium") or run.route.startswith("printed"):
        found.append(_FIRE.format(name=material.designation.removesuffix(" powder")))
    if run.route == other_routes.CAST:
        found.append("Casting costs rest on common practice throughout.")
    if run.route not in MACHINED:
        found.append(
            "Another process changes the alloy, its fatigue strength and its surface: the "
            "responsible engineer releases it first."
        )
    open_facts = gaps_of(run)
    if open_facts:
        found.append(f"Not stated, so the band is wider: {', '.join(open_facts)}.")
    if run.entry.unread:
        numbers = ", ".join(run.entry.unread)
        found.append(f"Callouts not understood are costed as one check by hand each: {numbers}.")
    return tuple(found)

"""Every way to make a part that the part allows, each with its band, and where they cross."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from rfq.engine.cost import other_routes
from rfq.engine.cost.arrays import Array
from rfq.engine.cost.errors import EstimateError
from rfq.engine.cost.run import Run, check_draws, check_quantity, default_route, prepare
from rfq.engine.cost.summary import band, cautions_of, gaps_of
from rfq.model.estimate import CheaperThan, Crossing, RouteBand, RouteComparison
from rfq.model.part import Part
from rfq.model.rates import Rates
from rfq.model.request import Request
from rfq.problems import Problem

_CURVE_DRAWS = 1024
_CAVEAT = (
    "Another alloy or process has other strength, above all in fatigue, another surface and "
    "another certificate: the responsible engineer releases it before it is requested."
)
_CAST = (
    "Casting rests on common practice throughout and takes a casting alloy near the part's own; "
    "ask a foundry before leaning on it."
)
_RANDOM = "Probabilities compare the same draws: shared rates and prices cancel out."


@dataclass(frozen=True, slots=True)
class Way:
    """One route in one material.

    Args:
        name: as printed: 'milled', or 'milled, Ti-6Al-4V' for another material than the part's.
        route: the route.
        material: designation of the alloy it is made in.
        run: ready to be priced.
    """

    name: str
    route: str
    material: str
    run: Run


def ways_of(
    part: Part,
    rates: Rates | None = None,
    *,
    request: Request | None = None,
    own_history: bool = False,
) -> tuple[tuple[Way, ...], tuple[Problem, ...]]:
    """All ways a part allows, its own first, and why others cannot be estimated.

    The part's own route always; printing (shared plate, plate of its own) and casting where the
    part allows them; each in the part's material and in the others it allows.

    Raises:
        EstimateError: the part's own route cannot be estimated.
    """
    own = default_route(part)
    names = [own]
    if "printed" in part.other_routes or own.startswith("printed"):
        names += [other_routes.PRINTED_SHARED, other_routes.PRINTED_ALONE]
    if "cast" in part.other_routes:
        names.append(other_routes.CAST)
    found: dict[tuple[str, str], Way] = {}
    problems: list[Problem] = []
    for material in (None, *part.other_materials):
        for route in dict.fromkeys(names):
            if route == other_routes.CAST and material is not None:
                continue  # casting alloys stand near the part's own; others are guesswork
            try:
                run = prepare(
                    part, rates, route=route, request=request, material=material,
                    own_history=own_history,
                )  # fmt: skip
            except EstimateError as error:
                if material is None and route == own:
                    raise
                problems.append(error.problem)
                continue
            designation = run.entry.material.designation.removesuffix(" powder")
            foreign = material is not None or route.startswith("printed")
            name = f"{run.route}, {designation}" if foreign else run.route
            found.setdefault((run.route, designation), Way(name, run.route, designation, run))
    return tuple(found.values()), tuple(problems)


def routes(
    part: Part,
    quantities: Iterable[int],
    rates: Rates | None = None,
    draws: int = 4096,
    seed: int = 0,
    *,
    request: Request | None = None,
    own_history: bool = False,
) -> RouteComparison:
    """Bands of every route at each quantity, crossings, and which is likely cheaper.

    Args:
        quantities: whole numbers; each gets a band.
        draws, seed: the same draws serve all routes (common random numbers).

    Raises:
        EstimateError: the part's own route cannot be estimated, or a quantity is out of range.
    """
    wanted = sorted({check_quantity(quantity) for quantity in quantities})
    check_draws(draws, seed)
    if not wanted:
        raise EstimateError("quantities", "at least one quantity is needed", code="E001")
    ways, problems = ways_of(part, rates, request=request, own_history=own_history)
    prices = {way.name: way.run.draw(wanted, draws, seed).price for way in ways}
    bands = [each for way in ways for each in _bands(way, wanted, prices[way.name])]
    cheaper = [
        CheaperThan(
            first=a.name, second=b.name, quantity=quantity,
            probability=float(np.mean(prices[a.name][i] < prices[b.name][i])),
        )
        for a, b in combinations(ways, 2)
        for i, quantity in enumerate(wanted)
    ]  # fmt: skip
    grid = _grid(wanted)
    few = min(draws, _CURVE_DRAWS)
    curves = {way.name: way.run.draw(grid, few, seed).price for way in ways}
    crossings = [
        _crossing(a.name, b.name, curves[a.name], curves[b.name], grid)
        for a, b in combinations(ways, 2)
    ]
    return RouteComparison(
        part=part.number,
        revision=part.revision,
        quantities=tuple(wanted),
        routes=tuple(way.name for way in ways),
        bands=tuple(bands),
        crossings=tuple(crossings),
        cheaper=tuple(cheaper),
        curve_quantities=tuple(grid),
        curves={
            name: tuple(float(x) for x in np.median(values, axis=-1))
            for name, values in curves.items()
        },
        caveats=_caveats(part, ways),
        problems=problems,
    )


def _bands(way: Way, quantities: Sequence[int], price: Array) -> list[RouteBand]:
    low, middle, high = band(price, way.run.basis, len(gaps_of(way.run)))
    return [
        RouteBand(
            route=way.name, material=way.material, quantity=quantity, low=float(low[i]),
            middle=float(middle[i]), high=float(high[i]), basis=way.run.basis,
        )
        for i, quantity in enumerate(quantities)
    ]  # fmt: skip


def _grid(wanted: Sequence[int]) -> list[int]:
    """Quantities for crossings and plots: 1 to ten times the largest asked, evenly in the log."""
    top = min(max(10 * wanted[-1], 1000), 100_000)
    spread = np.geomspace(1.0, float(top), 33)
    return sorted({*(round(float(x)) for x in spread), *wanted})


def _crossing(first: str, second: str, a: Array, b: Array, grid: Sequence[int]) -> Crossing:
    """Where the middle of the difference changes sign for good, between two grid quantities."""
    gap = np.median(a - b, axis=-1)  # below zero: the first is cheaper
    # a difference below 0.2 % is a tie (a least order hides the material's price, for one)
    signs = np.where(np.abs(gap) > 0.002 * np.median(b, axis=-1), np.sign(gap), 0.0)
    last = signs[-1] if signs[-1] else np.sign(gap[-1])
    ahead, behind = (first, second) if last < 0 else (second, first)
    against = np.nonzero(signs == -last)[0]
    if against.size == 0 or last == 0:
        sentence = f"{ahead} stays cheaper than {behind} from 1 to {grid[-1]} pcs."
        if last == 0:
            sentence = f"{first} and {second} cost the same."
        return Crossing(
            first=first, second=second, quantity=None, below=ahead, above=ahead, sentence=sentence
        )  # fmt: skip
    i = int(against[-1])
    # the difference is near affine in 1/N between two grid points
    low, high = 1.0 / grid[i], 1.0 / grid[i + 1]
    apart = gap[i] * gap[i + 1] < 0  # else the next point is a tie, and the crossing lies there
    share = float(gap[i] / (gap[i] - gap[i + 1])) if apart else 1.0
    quantity = min(grid[i + 1], max(grid[i] + 1, int(np.ceil(1.0 / (low + (high - low) * share)))))
    return Crossing(
        first=first, second=second, quantity=quantity, below=behind, above=ahead,
        sentence=f"From about {quantity} pcs on {ahead} is cheaper than {behind}.",
    )  # fmt: skip


def _caveats(part: Part, ways: Sequence[Way]) -> tuple[str, ...]:
    found = []
    if len(ways) > 1:
        found += [_CAVEAT, _RANDOM]
    if any(way.route == other_routes.CAST for way in ways):
        found.append(_CAST)
    for way in ways:
        found += [text for text in cautions_of(way.run) if text not in found]
    if part.loaded and len(ways) > 1:
        found.append("This part carries load, pressure or people.")
    return tuple(dict.fromkeys(found))

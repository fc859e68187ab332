"""The should-cost of one part: band, elements, drivers, assumptions, explanation."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np

from rfq.engine.cost import other_routes
from rfq.engine.cost.arrays import Array
from rfq.engine.cost.errors import EstimateError
from rfq.engine.cost.graph import Inputs, at_medians, drawn
from rfq.engine.cost.inputs import Entry, entry_of
from rfq.engine.cost.parameters import Parameters
from rfq.engine.cost.price import Priced, check_quantity, priced
from rfq.engine.cost.spread import ranks, sample, scaled_ranks
from rfq.engine.cost.work import Work, machined
from rfq.model.codes import ELEMENTS, Basis
from rfq.model.estimate import Assumption, Driver, Element, Estimate
from rfq.model.part import OwnShouldCost, Part
from rfq.model.rates import Rates
from rfq.model.request import Request

#: The band is never narrower than the middle over and times this; common practice.
LEAST_FACTOR = {"typed": 1.57, "from model": 1.35, "with own history": 1.22}

MACHINED = ("milled", "turned")
DRIVERS_SHOWN = 10
_SWING_DRAWS = 512

_CAUTION = (
    "An estimate for talking about price; its speeds, feeds and times are not machine settings."
)
_FIRE = (
    "Chips and powder of {name} can burn: the shop works to its local codes (flood cooling, "
    "separate bins, a class D extinguisher)."
)


@dataclass(frozen=True, slots=True)
class Run:
    """One part by one route, ready to be priced at quantities.

    Args:
        entry, parameters, route: what is priced.
        basis: typed, from model or with own history.
    """

    entry: Entry
    parameters: Parameters
    route: str
    basis: str

    def price(self, p: Inputs, quantities: Any) -> Priced:
        """Evaluate the graph."""
        return priced(p, self.entry, work_of(p, self.entry, self.route, quantities), quantities)

    def draw(self, quantities: Sequence[int], draws: int, seed: int) -> Priced:
        """Price all quantities, shape (quantities, draws)."""
        column = np.array(quantities, dtype=float)[:, None]
        return self.price(drawn(self.parameters, draws, seed), column)


def work_of(p: Inputs, entry: Entry, route: str, quantities: Any) -> Work:
    """The work of a route."""
    if route in MACHINED:
        return machined(p, entry)
    if route == other_routes.PRINTED_SHARED:
        return other_routes.printed(p, entry, quantities, shared=True)
    if route == other_routes.PRINTED_ALONE:
        return other_routes.printed(p, entry, quantities, shared=False)
    if route == other_routes.CAST:
        return other_routes.cast(p, entry)
    raise EstimateError(
        "route",
        f"no route is called '{route}'; routes are milled, turned, "
        f"'{other_routes.PRINTED_SHARED}', '{other_routes.PRINTED_ALONE}' and "
        f"'{other_routes.CAST}'",
        code="E003",
    )


def default_route(part: Part) -> str:
    """The route a part's own material and form ask for."""
    forms = {part.form, part.shape.stock_form if part.shape is not None else ""}
    if "powder" in forms:
        return other_routes.PRINTED_SHARED
    if "casting" in forms:
        return other_routes.CAST
    turned = part.shape is not None and part.shape.kind in ("turned", "mill-turn")
    return "turned" if turned else "milled"


def prepare(
    part: Part,
    rates: Rates | None = None,
    *,
    route: str | None = None,
    request: Request | None = None,
    material: str | None = None,
    own_history: bool = False,
    repeat: bool = False,
) -> Run:
    """A part made ready: entry, parameters and basis.

    Args:
        route: None for the part's own; 'printed' stands for the shared plate, 'cast' for casting.
        material: another designation than the part's (savings and routes).
        own_history: the user's own quotes have confirmed the model.
        repeat: a repeat order (programming, fixture and tooling are there).

    Raises:
        EstimateError: see ``inputs.entry_of``.
    """
    from rfq.engine.cost.material_data import cost_material

    chosen = {"printed": other_routes.PRINTED_SHARED, "cast": other_routes.CAST}.get(
        route or "", route or default_route(part)
    )
    found = cost_material(material, part.number) if material else None
    if chosen.startswith("printed"):
        base = found or cost_material(part.material, part.number)
        base.print_row()
        found = base.printed
    entry = entry_of(part, request, found)
    if chosen == "turned" and not entry.turned:
        raise EstimateError(
            "route",
            f"part {part.number} has no diameter_mm and cannot be turned",
            subject=part.number,
        )
    if chosen == "milled" and entry.turned:
        chosen = "turned"
    if repeat:
        entry = replace(entry, repeat=True)
    basis = "with own history" if own_history else entry.source
    return Run(entry, Parameters(entry.material, rates), chosen, basis)


def band(values: Array, basis: str) -> tuple[Array, Array, Array]:
    """P10, P50 and P90 along the draws, no narrower than the basis allows."""
    low, middle, high = np.percentile(values, (10.0, 50.0, 90.0), axis=-1)
    factor = LEAST_FACTOR[basis]
    return np.minimum(low, middle / factor), middle, np.maximum(high, middle * factor)


def should_cost(
    part: Part,
    quantity: int,
    rates: Rates | None = None,
    draws: int = 4096,
    seed: int = 0,
    *,
    route: str | None = None,
    request: Request | None = None,
    own_history: bool = False,
) -> Estimate:
    """The should-cost of one piece at a quantity, with everything that explains it.

    Args:
        part: with its typed entry (``shape``); its own should-cost at that quantity goes first.
        quantity: pieces of the lot.
        rates: the user's; None takes the shipped ones for DE.
        draws: number of draws, 16 to 1 000 000.
        seed: same seed, same band.
        route: None for the part's own route.
        request: gives general tolerance, roughness, first article.
        own_history: the user's own quotes have confirmed the model.

    Returns:
        An ``Estimate`` in EUR a piece.

    Raises:
        EstimateError: the entry is missing, contradicts itself, or names an unknown material.
    """
    pieces = check_quantity(quantity)
    check_draws(draws, seed)
    own = own_of(part, pieces) if route is None else None
    if own is not None:
        return _own_estimate(part, pieces, own)
    run = prepare(part, rates, route=route, request=request, own_history=own_history)
    result = run.draw([pieces], draws, seed)
    at = at_medians(run.parameters)
    medians = run.price(at, float(pieces))
    estimate = summarise(run, result, [pieces])[0]
    minutes, hourly = _minutes(run, medians, at, pieces)
    return estimate.model_copy(
        update={
            "minutes": minutes,
            "rates": hourly,
            "drivers": _drivers(run, result.price[0], pieces, draws, seed),
            "assumptions": _assumptions(run),
            "steps": tuple(at.steps or ()),
        }
    )


def check_draws(draws: int, seed: int) -> None:
    """Raise ``EstimateError`` for a number of draws or a seed out of range."""
    if isinstance(draws, bool) or not isinstance(draws, int) or not 16 <= draws <= 1_000_000:
        raise EstimateError("draws", f"draws is {draws!r}; it goes from 16 to 1 000 000")
    if isinstance(seed, bool) or not isinstance(seed, int) or seed < 0:
        raise EstimateError("seed", f"seed is {seed!r}; it is a whole number from 0 up")


def own_of(part: Part, quantity: int) -> OwnShouldCost | None:
    """The user's own should-cost at a quantity: the one given for it, else one for all."""
    exact = next((own for own in part.should_cost if own.quantity == quantity), None)
    return exact or next((own for own in part.should_cost if own.quantity is None), None)


def _own_estimate(part: Part, quantity: int, own: OwnShouldCost) -> Estimate:
    return Estimate(
        part=part.number,
        revision=part.revision,
        quantity=quantity,
        route="the user's own",
        basis="the user's own",
        currency=own.currency,
        low=float(own.low),
        middle=float(own.middle),
        high=float(own.high),
        assumptions=(
            Assumption(
                name="should-cost",
                value=str(own.middle),
                unit=own.currency,
                basis=Basis.USER,
                source=own.source,
            ),
        ),
        marked=False,
    )


def summarise(run: Run, result: Priced, quantities: Sequence[int]) -> list[Estimate]:
    """Bands and elements, one estimate a quantity, without the explanation."""
    low, middle, high = band(result.price, run.basis)
    means = {name: _rows(values, len(quantities)) for name, values in result.elements.items()}
    cautions = cautions_of(run)
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
                marked=True,
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
        found.append(_FIRE.format(name=material.designation))
    if run.route == other_routes.CAST:
        found.append("Casting costs rest on common practice throughout.")
    if run.route != "milled" and run.route != "turned":
        found.append(
            "Another process changes the alloy, its fatigue strength and its surface: the "
            "responsible engineer releases it first."
        )
    if run.entry.unread:
        numbers = ", ".join(run.entry.unread)
        found.append(f"Callouts not understood are costed as one check by hand each: {numbers}.")
    return tuple(found)


def _assumptions(run: Run) -> tuple[Assumption, ...]:
    entry, found = run.entry, []
    stock = " x ".join(f"{size:g}" for size in entry.stock.sizes_mm)
    found.append(
        Assumption(
            name="stock",
            value=f"{entry.stock.form} {stock}",
            unit="mm",
            basis=Basis.MEMORY if entry.stock.standard else Basis.USER,
            source="next standard size, from memory" if entry.stock.standard else "the entry",
        )
    )
    if entry.setups is not None:
        found.append(
            Assumption(
                name="set-ups", value=str(entry.setups), basis=Basis.USER, source="the entry"
            )
        )
    for name in sorted(run.parameters.used):
        parameter = run.parameters.used[name]
        value = f"{parameter.low:.4g} / {parameter.typical:.4g} / {parameter.high:.4g}"
        found.append(
            Assumption(
                name=name.replace("_", " "),
                value=value,
                unit=parameter.unit,
                basis=parameter.basis,
                source=parameter.source,
            )
        )
    return tuple(found)


def _drivers(run: Run, price: Array, quantity: int, draws: int, seed: int) -> tuple[Driver, ...]:
    """Rank correlations of all inputs, and swings of those that matter most."""
    order = scaled_ranks(price)
    strength = []
    for name, parameter in run.parameters.used.items():
        if parameter.low < parameter.high:
            strength.append((float(order @ ranks(parameter, seed, draws)), name))
    strength.sort(key=lambda pair: (-abs(pair[0]), pair[1]))
    few = min(draws, _SWING_DRAWS)
    swings = []
    for rank, name in strength[:DRIVERS_SHOWN]:
        parameter = run.parameters[name]
        ends = []
        for end in (parameter.low, parameter.high):
            p = Inputs(
                run.parameters,
                lambda each: sample(each, seed, draws)[:few],
                fixed={name: end},
            )
            ends.append(float(np.median(run.price(p, float(quantity)).price)))
        swings.append(
            Driver(name=name.replace("_", " "), low=ends[0], high=ends[1], rank=round(rank, 4))
        )
    swings.sort(key=lambda driver: -abs(driver.high - driver.low))
    return tuple(swings)


def _minutes(
    run: Run, medians: Priced, at: Inputs, quantity: int
) -> tuple[dict[str, float], dict[str, float]]:
    """Minutes a piece and EUR/h by element, at the medians of the inputs."""
    plain = Inputs(run.parameters, lambda parameter: parameter.median)
    work = work_of(plain, run.entry, run.route, float(quantity))
    rates = {name: float(value) for name, value in medians.rates.items()}
    minutes = {
        "set-ups": float(work.setup_h) * 60.0 / quantity,
        "run": float(work.run_min) + float(work.grind_min),
        "holes and threads": float(work.hole_min),
        "deburring": float(work.deburr_min),
    }
    inspected = medians.elements["inspection"]
    minutes["inspection"] = float(np.asarray(inspected).reshape(-1)[0]) / rates["inspection"] * 60.0
    hourly = {
        "set-ups": rates["machine"],
        "run": rates["machine"],
        "holes and threads": rates["machine"],
        "deburring": rates["bench"],
        "inspection": rates["inspection"],
    }
    if run.route.startswith("printed"):
        step = {each.name: each.value for each in at.steps or ()}
        minutes["build"] = 60.0 * step["printer time"]
        hourly["build"] = step["printer rate"]
    minutes = {name: value for name, value in minutes.items() if value > 0}
    return minutes, {name: hourly[name] for name in minutes}


@lru_cache(maxsize=1)
def _labour_elements() -> frozenset[str]:
    return frozenset(
        {"set-ups", "run", "holes and threads", "deburring", "inspection", "build", "one-offs"}
    )


def labour_machine_share(estimate: Estimate) -> float:
    """Share of a price that goes with a region's rates, 0 to 1.

    Set-ups, run, holes and threads, deburring, inspection, build and one-offs, of the price
    without overhead and margin (which follows in proportion). 0.6 where no elements are known
    (common practice for machined parts).
    """
    named = {element.name: element.middle for element in estimate.elements}
    cost = sum(value for name, value in named.items() if name != "overhead and margin")
    if cost <= 0:
        return 0.6
    return sum(value for name, value in named.items() if name in _labour_elements()) / cost

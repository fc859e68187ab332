"""The should-cost of one part: band, elements, drivers, assumptions, explanation."""

from __future__ import annotations

import numpy as np

from rfq.engine.cost.arrays import Array
from rfq.engine.cost.graph import Inputs, at_medians
from rfq.engine.cost.price import Priced
from rfq.engine.cost.run import Run, check_draws, check_quantity, prepare, work_of
from rfq.engine.cost.spread import ranks, sample, scaled_ranks
from rfq.engine.cost.summary import summarise
from rfq.model.codes import Basis
from rfq.model.estimate import Assumption, Driver, Estimate
from rfq.model.part import OwnShouldCost, Part
from rfq.model.rates import Rates
from rfq.model.request import Request

DRIVERS_SHOWN = 10
_SWING_DRAWS = 512

#: Elements whose cost goes with a region's rates.
LABOUR_ELEMENTS = frozenset(
    {"set-ups", "run", "holes and threads", "deburring", "inspection", "build", "one-offs"}
)


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
        return own_estimate(part, pieces, own)
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


def own_of(part: Part, quantity: int) -> OwnShouldCost | None:
    """The user's own should-cost at a quantity: the one given for it, else one for all."""
    exact = next((own for own in part.should_cost if own.quantity == quantity), None)
    return exact or next((own for own in part.should_cost if own.quantity is None), None)


def own_estimate(part: Part, quantity: int, own: OwnShouldCost) -> Estimate:
    """The user's own should-cost as an estimate."""
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


def words_of(name: str) -> str:
    """A parameter's name in words.

    >>> words_of("rate_3_axis"), words_of("area_price.hard anodise")
    ('rate 3 axis', 'area price of hard anodise')
    """
    return name.replace(".", " of ").replace("_", " ")


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
                name=words_of(name),
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
        swings.append(Driver(name=words_of(name), low=ends[0], high=ends[1], rank=round(rank, 4)))
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
    return sum(value for name, value in named.items() if name in LABOUR_ELEMENTS) / cost

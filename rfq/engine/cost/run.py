"""A part by one route, made ready to be priced at any quantities."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from rfq.engine.cost import other_routes
from rfq.engine.cost.entry import Entry
from rfq.engine.cost.errors import EstimateError
from rfq.engine.cost.graph import Inputs, drawn
from rfq.engine.cost.inputs import entry_of
from rfq.engine.cost.material_data import cost_material
from rfq.engine.cost.parameters import Parameters
from rfq.engine.cost.price import Priced, priced
from rfq.engine.cost.work import Work, machined
from rfq.model.part import Part
from rfq.model.rates import Rates
from rfq.model.request import Request

MACHINED = ("milled", "turned")


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


def check_quantity(quantity: Any) -> int:
    """The quantity as a whole number, or an ``EstimateError``."""
    bad = isinstance(quantity, bool) or not isinstance(quantity, (int, float, np.integer))
    if bad or not math.isfinite(quantity) or quantity != int(quantity):
        raise EstimateError("quantity", f"a quantity is a whole number of pieces, not {quantity!r}")
    if not 1 <= quantity <= 10_000_000:
        raise EstimateError(
            "quantity",
            f"a quantity of {int(quantity)} is out of range; it goes from 1 to 10 000 000",
        )
    return int(quantity)


def check_draws(draws: int, seed: int) -> None:
    """Raise ``EstimateError`` for a number of draws or a seed out of range."""
    if isinstance(draws, bool) or not isinstance(draws, int) or not 16 <= draws <= 1_000_000:
        raise EstimateError("draws", f"draws is {draws!r}; it goes from 16 to 1 000 000")
    if isinstance(seed, bool) or not isinstance(seed, int) or seed < 0:
        raise EstimateError("seed", f"seed is {seed!r}; it is a whole number from 0 up")

"""The parameters of one estimate: the shipped table, a material's and a region's, the user's own.

Promises: a name that nobody knows is an error, not a silent default; every parameter says what
it rests on.
"""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from functools import cache
from typing import Literal

from rfq.engine.cost.errors import EstimateError
from rfq.engine.cost.finish_prices import prices_of
from rfq.engine.cost.material_data import CostMaterial
from rfq.engine.cost.parameter_table import ROWS
from rfq.engine.cost.rate import RATES_BY_REGION, region_of
from rfq.engine.cost.spread import Parameter
from rfq.model.codes import Basis
from rfq.model.rates import Rate, Rates
from rfq.problems import Place

_BASIS = {"s": Basis.SOURCE, "m": Basis.MEMORY, "c": Basis.PRACTICE}
_KIND: dict[str, Literal["PERT", "lognormal"]] = {"p": "PERT", "l": "lognormal"}

#: Parameters that a material brings.
MATERIAL_NAMES = (
    "cutting_speed",
    "feed_per_tooth",
    "finish_speed",
    "unit_force",
    "material_price",
    "scrap_return",
    "powder_price",
    "build_rate",
    "layer",
)
#: Parameters that a region brings.
REGION_NAMES = ("rate_3_axis", "rate_5_axis")
#: Parameters that a finish brings, as 'lot_minimum.anodise'.
FINISH_FIELDS = ("lot_minimum", "area_price", "rack", "mask")


@cache
def shipped() -> Mapping[str, Parameter]:
    """The shipped parameters by name, as one table."""
    found: dict[str, Parameter] = {}
    for line in ROWS.strip().splitlines():
        if line.startswith("#"):
            continue
        name, numbers, unit, kind, group, basis, source = (cell.strip() for cell in line.split("|"))
        low, typical, high = (float(number) for number in numbers.split())
        marked = _BASIS[basis]
        if marked is not Basis.SOURCE:
            source = f"{marked}: {source}"
        found[name] = Parameter(name, low, typical, high, unit, _KIND[kind], group, marked, source)
    return found


@cache
def finish_parameters(family: str) -> Mapping[str, Parameter]:
    """The price parameters of a finish family; all common practice."""
    row = prices_of(family)
    if row is None:
        raise EstimateError("finish", f"no finish is called '{family}'", code="E003")
    units = {"lot_minimum": "EUR/lot", "area_price": "EUR/dm2", "rack": "EUR", "mask": "EUR/mask"}
    found = {}
    for field in FINISH_FIELDS:
        low, typical, high = row[field]
        name = f"{field}.{family}"
        kind: Literal["PERT", "lognormal"] = "lognormal" if low > 0 else "PERT"
        found[field] = Parameter(
            name,
            low,
            typical,
            high,
            units[field],
            kind,
            "",
            Basis.PRACTICE,
            f"common practice: price of {family}",
        )
    return found


class Parameters:
    """The parameters in force: shipped, of a material and region, the user's own on top.

    Args:
        material: data of the material, or None for the pieces that need none.
        rates: the user's rates; their region and overrides.
    """

    def __init__(self, material: CostMaterial, rates: Rates | None = None) -> None:
        own = rates.parameters if rates is not None else {}
        region = region_of(rates.region if rates is not None else "DE")
        if region is None:
            known = ", ".join(RATES_BY_REGION)
            given = rates.region if rates is not None else ""
            raise EstimateError(
                "region",
                f"region '{given}' has no machine rates; use one of {known}, or a country of these",
                code="E003",
                place=Place("rates.toml", path="region"),
            )
        check_names(own)
        self._own = own
        self._material = material
        self._region = region
        self._found: dict[str, Parameter] = {}

    def __getitem__(self, name: str) -> Parameter:
        """The parameter in force under a name."""
        found = self._found.get(name)
        if found is None:
            found = self._found[name] = self._look_up(name)
        return found

    @property
    def used(self) -> Mapping[str, Parameter]:
        """The parameters asked for so far, by name."""
        return self._found

    def _look_up(self, name: str) -> Parameter:
        if name in MATERIAL_NAMES:
            base = self._material.parameter(name)
        elif name in REGION_NAMES:
            row = RATES_BY_REGION[self._region][REGION_NAMES.index(name)]
            base = Parameter(
                name,
                *row,
                "EUR/h",
                "lognormal",
                "rates",
                Basis.PRACTICE,
                f"common practice: selling rates in {self._region} and like countries",
            )
        elif "." in name:
            field, _, family = name.partition(".")
            base = finish_parameters(family)[field]
        else:
            base = shipped()[name]
        for key in (f"{name}.{self._material.designation}", name):
            if key in self._own:
                return _overridden(base, self._own[key], key)
        return base


def check_names(own: Mapping[str, Rate]) -> None:
    """Raise ``EstimateError`` for an override whose name no parameter bears."""
    for name in own:
        head = name.partition(".")[0]
        if head in MATERIAL_NAMES or name in REGION_NAMES or name in shipped():
            continue
        if head in FINISH_FIELDS and prices_of(name.partition(".")[2]) is not None:
            continue
        known = [*shipped(), *MATERIAL_NAMES, *REGION_NAMES]
        near = difflib.get_close_matches(name, known, n=1)
        hint = f"; did you mean '{near[0]}'?" if near else ""
        raise EstimateError(
            f"parameters.{name}",
            f"no parameter is called '{name}'{hint}",
            code="E003",
            place=Place("rates.toml", path=f"parameters.{name}"),
        )


def _overridden(base: Parameter, rate: Rate, key: str) -> Parameter:
    place = Place("rates.toml", path=f"parameters.{key}")
    if rate.unit and base.unit and rate.unit != base.unit:
        raise EstimateError(
            f"parameters.{key}",
            f"'{key}' is given in {rate.unit}; this parameter is in {base.unit}",
            place=place,
        )
    low, typical, high = float(rate.low), float(rate.typical), float(rate.high)
    least = 1e-9 if base.kind == "lognormal" or base.low > 0 else 0.0
    if low < least:
        raise EstimateError(
            f"parameters.{key}",
            f"'{key}' has a low value of {low:g}; it must be above zero"
            if least
            else f"'{key}' has a low value of {low:g}; it cannot be below zero",
            place=place,
        )
    dated = f", {rate.on.isoformat()}" if rate.on else ""
    return Parameter(
        base.name,
        low,
        typical,
        high,
        base.unit,
        base.kind,
        base.group,
        rate.basis,
        (rate.source or "the user's own") + dated,
    )

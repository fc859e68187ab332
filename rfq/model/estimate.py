"""A should-cost as shown and stored: a band, its elements, and what it rests on."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from rfq.model.base import Value
from rfq.model.codes import Basis
from rfq.problems import Problem


class Element(Value):
    """A mean share of the price, scaled to the middle; low and high of the share itself."""

    name: str
    low: float
    middle: float
    high: float


class Driver(Value):
    """What the price becomes with one input at its low and high end (others as drawn)."""

    name: str
    low: float
    high: float
    rank: float = 0.0  # rank correlation with the price


class Assumption(Value):
    """A figure the estimate rests on."""

    name: str
    value: str
    unit: str = ""
    basis: Basis = Basis.PRACTICE
    source: str = ""


class Step(Value):
    """One step of the explanation: from what, by which formula, to what."""

    name: str
    value: float
    unit: str
    formula: str = ""
    source: str = ""
    element: str = ""


class Estimate(Value):
    """The should-cost of one part at one quantity by one route; EUR a piece."""

    part: str
    revision: str = ""
    quantity: int
    route: str
    basis: str  # typed, from model, with own history, the user's own
    currency: str = "EUR"
    low: float
    middle: float
    high: float
    elements: tuple[Element, ...] = ()
    one_off: dict[str, float] = Field(default_factory=dict)  # once, not a piece
    minutes: dict[str, float] = Field(default_factory=dict)  # a piece, at the draw medians
    rates: dict[str, float] = Field(default_factory=dict)  # EUR/h by element
    drivers: tuple[Driver, ...] = ()
    assumptions: tuple[Assumption, ...] = ()
    steps: tuple[Step, ...] = ()
    cautions: tuple[str, ...] = ()
    marked: bool = True  # rests on common practice somewhere


class CalloutShare(Value):
    """What one callout adds to the price of a piece, and what its cheaper neighbour would save."""

    callout: str  # balloon number
    what: str
    text: str
    low: float  # EUR a piece
    middle: float
    high: float
    neighbour: str = ""  # the next looser text, such as '42 H8'
    saving: float = 0.0  # EUR a piece at the neighbour
    state: str = "open"
    share: float = 0.0  # middle over the price of the piece
    saving_low: float = 0.0
    saving_high: float = 0.0


class Saving(Value):
    """A change to the request and what it does to the price, EUR a piece; below zero it saves.

    Attributes:
        name: what is changed, short ('callout 3 to H8').
        kind: callout, texture, radius, clamping, stock, mask, certificate, finish, quantity,
            repeat, route or material.
        low, middle, high: change of the price by common random numbers.
        subject: balloon number, finish or field it is about; '' for the whole part.
        was, becomes: in words.
        sentence: what to say, ready to be used.
        to: whom to say it to.
        caution: where it touches strength or function; '' where it doesn't.
        share: middle over the price; below zero it saves.
    """

    name: str
    kind: str
    low: float
    middle: float
    high: float
    subject: str = ""
    was: str = ""
    becomes: str = ""
    sentence: str = ""
    to: Literal["shop", "designer"] = "designer"
    caution: str = ""
    share: float = 0.0


class RouteBand(Value):
    """One route at one quantity."""

    route: str
    material: str
    quantity: int
    low: float
    middle: float
    high: float
    basis: str = ""


class Crossing(Value):
    """Where two routes cost the same by the middle of their difference."""

    first: str
    second: str
    quantity: int | None  # from here on ``above`` is cheaper; None: no crossing in the range
    below: str = ""  # cheaper below it (or everywhere, where there is no crossing)
    above: str = ""
    sentence: str = ""


class CheaperThan(Value):
    """Probability that the first route is cheaper than the second, by common random numbers."""

    first: str
    second: str
    quantity: int
    probability: float


class RouteComparison(Value):
    """Every route a part allows: bands, crossings, probabilities, and what to mind."""

    part: str
    revision: str = ""
    currency: str = "EUR"
    quantities: tuple[int, ...] = ()
    routes: tuple[str, ...] = ()
    bands: tuple[RouteBand, ...] = ()
    crossings: tuple[Crossing, ...] = ()
    cheaper: tuple[CheaperThan, ...] = ()
    curve_quantities: tuple[int, ...] = ()  # for a plot
    curves: dict[str, tuple[float, ...]] = Field(default_factory=dict)  # middles by route
    caveats: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()  # routes that could not be estimated

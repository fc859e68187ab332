"""A should-cost as shown and stored: a band, its elements, and what it rests on."""

from __future__ import annotations

from pydantic import Field

from rfq.model.base import Value
from rfq.model.codes import Basis


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

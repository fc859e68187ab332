"""Terms while a reply is read, and the lines they are read from."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from rfq.model.quote import Charge, QuoteTerms
from rfq.problems import Place


@dataclass(frozen=True, slots=True)
class Said:
    """A piece of running text and where it stands."""

    text: str
    place: Place


@dataclass(slots=True)
class Terms:
    """What the sentences of a reply say."""

    values: dict[str, Any] = field(default_factory=dict)  # fields of QuoteTerms
    places: dict[str, Place] = field(default_factory=dict)
    charges: list[Charge] = field(default_factory=list)
    currencies: list[tuple[tuple[str, ...], Place, str]] = field(default_factory=list)
    base: str = ""
    base_place: Place = Place()  # noqa: RUF009 - frozen
    exceptions: list[Said] = field(default_factory=list)
    issued: date | None = None
    doubts: list[tuple[str, str, Place]] = field(default_factory=list)
    used: dict[Place, str] = field(default_factory=dict)  # place -> what was understood

    def terms(self) -> QuoteTerms:
        """Return the terms as a model value."""
        return QuoteTerms(**self.values, places=self.places)

    def put(self, name: str, value: Any, place: Place, shown: str) -> None:
        """Keep a term; the first statement stands."""
        if name not in self.values:
            self.values[name] = value
            self.places[name] = place
        self.used[place] = f"{self.used[place]}; {shown}" if place in self.used else shown

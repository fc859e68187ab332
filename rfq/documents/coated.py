"""How a coating changes a size: thickness and growth reckoned with, and what is masked."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Final

from rfq.engine.standards import finishes
from rfq.engine.standards.limits import Limits
from rfq.model.callout import Callout
from rfq.model.part import Finish

SPREAD: Final = 0.2  # of a stated thickness, up and down; common practice, no source


@dataclass(frozen=True, slots=True)
class Growth:
    """What a coating may add.

    Args:
        thickness_um: least and greatest thickness. share: least and greatest share of it that
            grows outwards. words: the same, to print.
    """

    thickness_um: tuple[float, float]
    share: tuple[float, float]
    words: str

    def after(self, before: Limits, feature: finishes.Feature) -> Limits:
        """Return the limits a coated feature ends up in."""
        changes = sorted(
            finishes.size_change_um(feature, thickness, share)
            for thickness, share in zip(self.thickness_um, self.share, strict=True)
        )
        low, high = (Decimal(repr(round(change, 1))) / 1000 for change in changes)
        return Limits(
            before.lower_mm + low, before.upper_mm + high, before.basis, before.nominal_mm
        )


def growth_of(coating: Finish) -> Growth | None:
    """Return how a part's finish builds up, None where it does not or is unknown.

    A stated thickness is reckoned with a fifth up and down; without one the finish's usual range.
    """
    thickness = float(coating.thickness_um) if coating.thickness_um is not None else None
    return _growth(coating.name, thickness)


@lru_cache(maxsize=512)
def _growth(name: str, thickness: float | None) -> Growth | None:
    finish = finishes.find(name).value
    if finish is None or not finish.builds_up:
        return None
    low, high = finish.thickness_um[0], finish.thickness_um[2]
    if thickness is not None:
        low, high = thickness * (1 - SPREAD), thickness * (1 + SPREAD)
    share = (finish.growth[0], finish.growth[2])
    grows = f"{share[0] * 100:.0f}"
    if share[1] != share[0]:
        grows += f" to {share[1] * 100:.0f}"
    return Growth(
        (low, high), share, f"{low:g} to {high:g} µm of {finish.name}, {grows} % of it outward"
    )


def masks(coating: Finish, callout: Callout) -> bool:
    """Return whether the finish's words on masks name the callout's feature."""
    what = callout.what.strip().lower()
    return bool(what) and what in coating.masked.lower()

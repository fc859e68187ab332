"""The typed entry as the graph takes it: every fact once, sizes in mm.

``inputs.entry_of`` makes it from a part and its request.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from rfq.engine.cost.features import Feature
from rfq.engine.cost.material_data import CostMaterial
from rfq.engine.cost.stock import Stock


@dataclass(frozen=True, slots=True)
class FinishWork:
    """One finish as priced: family, share of the surface, masks."""

    family: str
    name: str
    area_share: float
    masks: int


@dataclass(frozen=True, slots=True)
class Entry:
    """Everything the graph needs of one part; sizes in mm, volumes in mm3, areas in mm2.

    ``None`` means 'unsure': the graph takes a wide parameter instead.
    """

    part: str
    revision: str
    material: CostMaterial
    turned: bool
    mill_turn: bool
    sizes_mm: tuple[float, float, float]  # sorted, largest first; turned: length, diameter twice
    diameter_mm: float
    length_mm: float
    stock: Stock
    finished_mm3: float | None
    surface_mm2: float | None
    setups: int | None
    axes: int
    corner_radius_mm: float | None
    corner_depth_mm: float | None
    corners: int | None
    sharp_corner: bool
    free_form_share: float
    wall_ratio: float
    pocket_depth_mm: float
    pocket_width_mm: float
    edge_m: float | None
    parallel_faces: bool | None
    features: tuple[Feature, ...]
    general_ra_um: float
    general_grade_factor: float
    finishes: tuple[FinishWork, ...]
    certificate: str
    marking: bool
    first_article: bool
    loaded: bool
    source: str
    cautions: tuple[str, ...] = ()
    repeat: bool = False
    unread: tuple[str, ...] = field(default=())

    def gaps(self, printed: bool) -> tuple[str, ...]:
        """What the entry leaves open and the price depends on, in words.

        Args:
            printed: the route prints the part, where only its mass matters.
        """
        found = []
        if self.finished_mm3 is None:
            found.append("finished mass")
        if not printed:
            if self.surface_mm2 is None:
                found.append("surface area")
            if self.setups is None and not self.turned:
                found.append("set-ups")
        return tuple(found)

    @property
    def envelope_mm3(self) -> float:
        """Volume of the envelope."""
        if self.turned:
            return math.pi / 4.0 * self.diameter_mm**2 * self.length_mm
        return math.prod(self.sizes_mm)

    @property
    def envelope_mm2(self) -> float:
        """Surface of the envelope."""
        if self.turned:
            d = self.diameter_mm
            return math.pi * d * self.length_mm + math.pi / 2.0 * d * d
        a, b, c = self.sizes_mm
        return 2.0 * (a * b + b * c + a * c)

    @property
    def height_mm(self) -> float:
        """Smallest size of the envelope."""
        return self.sizes_mm[2]

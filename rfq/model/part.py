"""A part as the design lead states it: material, callouts, finish, files, typed entry."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Annotated, Literal

from pydantic import Field, model_validator

from rfq.model.base import (
    CurrencyCode,
    NotNegative,
    PartNumber,
    Pieces,
    Positive,
    Revision,
    Sha256,
    Value,
)
from rfq.model.callout import Callout
from rfq.model.codes import Certificate, PartKind, StockForm

Share = Annotated[Decimal, Field(ge=0, le=1, allow_inf_nan=False)]


class FileRef(Value):
    """A file of the project with the hash it had when it was attached."""

    path: str  # relative to the project folder, forward slashes
    sha256: Sha256 | Literal[""] = ""
    revision: str = ""  # as read from the file's name, where it says one


class Hole(Value):
    """A plain hole that no callout gives (those with a callout are read from it)."""

    diameter_mm: Positive
    depth_mm: Positive
    count: Pieces = 1
    through: bool = False


class Shape(Value):
    """The typed entry of a should-cost; what callouts say is not repeated here.

    A finished mass above the stock's is refused where the estimate is made, as it needs the
    material's density.
    """

    kind: PartKind = "prismatic"
    length_mm: Positive | None = None
    width_mm: Positive | None = None
    height_mm: Positive | None = None
    diameter_mm: Positive | None = None  # turned parts: largest diameter
    finished_mass_kg: Positive | None = None
    surface_area_dm2: Positive | None = None
    stock_form: StockForm | None = None
    stock_mm: tuple[Positive, ...] = ()  # own stock: l, w, h or d, l; empty: proposed
    setups: Annotated[int, Field(ge=1, le=12)] | None = None  # None: unsure
    axes: Literal[3, 5] | None = None  # None: what the set-ups ask for
    smallest_inner_radius_mm: NotNegative | None = None
    inner_radius_depth_mm: Positive | None = None
    inner_corners: Annotated[int, Field(ge=0, le=1000)] | None = None
    free_form_share: Share = Decimal(0)
    thinnest_wall_mm: Positive | None = None
    wall_height_mm: Positive | None = None
    pocket_depth_mm: Positive | None = None
    pocket_width_mm: Positive | None = None
    edge_length_m: Positive | None = None
    parallel_clamping_faces: bool | None = None
    holes: tuple[Hole, ...] = ()
    source: Literal["typed", "from model"] = "typed"
    model_sha256: Sha256 | Literal[""] = ""
    measured: tuple[str, ...] = ()  # figures taken from the model; () with 'from model': all

    @model_validator(mode="after")
    def _sizes_fit_the_kind(self) -> Shape:
        if self.kind == "turned" and self.diameter_mm is None:
            raise ValueError("a turned part needs diameter_mm")
        if len(self.stock_mm) not in (0, 2, 3):
            raise ValueError("stock_mm is length, width, height or diameter, length")
        return self


class Finish(Value):
    """A finish callout."""

    name: str  # a finish of engine/standards/finishes
    standard: str = ""
    grade: str = ""  # class within the standard, such as AA15 or SC3
    thickness_um: Positive | None = None
    colour: str = ""
    masks: Annotated[int, Field(ge=0, le=1000)] = 0  # plugs and masked faces
    masked: str = ""  # which faces, in words
    state: Literal["fixed", "open"] = "fixed"
    area_share: Share = Decimal(1)
    note: str = ""


class OwnShouldCost(Value):
    """The user's own should-cost; it stands in place of the model's at that quantity."""

    quantity: Pieces | None = None  # None: at every quantity
    low: Positive
    middle: Positive
    high: Positive
    currency: CurrencyCode = "EUR"
    source: str

    @model_validator(mode="after")
    def _ordered(self) -> OwnShouldCost:
        if not self.low <= self.middle <= self.high:
            raise ValueError("low, middle and high must stand in that order")
        return self


class Part(Value):
    """One part number at one revision."""

    number: PartNumber
    revision: Revision
    name: str
    material: str  # designation such as 'EN AW-6082'
    temper: str = ""
    form: StockForm | Literal[""] = ""
    material_standard: str = ""
    material_note: str = ""
    certificate: Certificate = ""
    callouts: tuple[Callout, ...] = ()
    finishes: tuple[Finish, ...] = ()
    general_tolerance: str = ""  # overrides the request's; 'ISO 2768-mK:1989'
    general_roughness: str = ""  # 'Ra 3.2'
    edges: str = ""  # 'ISO 13715: outside -0.3, inside +0.3'
    texture_edition: Literal["ISO 1302", "ISO 21920-1", ""] = ""
    drawing: FileRef | None = None
    model: FileRef | None = None
    files: tuple[FileRef, ...] = ()
    shape: Shape | None = None
    free: tuple[str, ...] = ()  # what the shop may choose or propose
    other_materials: tuple[str, ...] = ()  # allowed instead, by designation
    other_routes: tuple[Literal["printed", "cast"], ...] = ()  # allowed besides machining
    loaded: bool = False  # carries load, pressure or people
    critical: bool = False  # wants two shops at an award
    cosmetic: str = ""
    marking: str = ""
    customer_supplied: str = ""
    assembly: str = ""
    tariff_code: str = ""
    export_control: Literal["none", "controlled", "unsettled"] = "unsettled"
    need_date: date | None = None
    shop_note: str = ""  # goes out
    internal_note: str = ""  # never leaves
    responsible: str = ""  # engineer; never leaves
    inch: bool = False  # show limits in inch as well
    should_cost: tuple[OwnShouldCost, ...] = ()

    @model_validator(mode="after")
    def _balloons_unique(self) -> Part:
        numbers = [callout.number for callout in self.callouts]
        twice = sorted({number for number in numbers if numbers.count(number) > 1})
        if twice:
            raise ValueError(f"balloon number {twice[0]} stands twice")
        return self

"""From a part and its request to the typed entry of the model: every fact once, with its basis.

What the entry leaves open becomes a parameter with a wide range; what contradicts itself is an
``EstimateError`` that names the field.
"""

from __future__ import annotations

import math
from decimal import Decimal

from rfq.engine.cost.entry import Entry, FinishWork
from rfq.engine.cost.errors import EstimateError
from rfq.engine.cost.features import Feature, feature_of
from rfq.engine.cost.finish_prices import family_of
from rfq.engine.cost.material_data import CostMaterial, cost_material
from rfq.engine.cost.stock import Stock, own_stock, proposed_stock
from rfq.model.callout import parse_callout
from rfq.model.part import Part, Shape
from rfq.model.request import Request
from rfq.model.spec import Texture
from rfq.problems import Place

LARGEST_MM = 5000.0
SMALLEST_MM = 0.2


def entry_of(
    part: Part, request: Request | None = None, material: CostMaterial | None = None
) -> Entry:
    """The entry of a part.

    Args:
        part: the part; its shape gives sizes and mass, its callouts the features.
        request: general tolerance, general roughness and first article, where it is known.
        material: another material than the part's own (routes and savings).

    Raises:
        EstimateError: E001 a field is missing, E002 out of sense, E003 material unknown.
    """
    shape = part.shape
    if shape is None:
        raise _missing(
            part, "shape", "has no typed entry; give its sizes, finished mass and surface area"
        )
    found = material or cost_material(part.material, part.number)
    turned = shape.kind in ("turned", "mill-turn") and shape.diameter_mm is not None
    sizes, diameter, length = _sizes(part, shape, turned)
    volume = _finished_mm3(part, shape)
    stock = _stock(part, shape, found, turned, sizes, diameter, length)
    envelope = math.pi / 4 * diameter**2 * length if turned else math.prod(sizes)
    _check_volume(part, volume, stock, envelope, found)
    surface = _surface(part, shape, volume, envelope, sizes)
    features, unread = _features(part, shape, turned, sizes[2])
    cautions, radius, sharp = _cautions(part, shape, stock, volume)
    setups = shape.setups
    free = float(shape.free_form_share)
    axes = shape.axes or (5 if (setups or 1) > 4 or free >= 0.3 else 3)
    depth = _f(shape.inner_radius_depth_mm) or _f(shape.pocket_depth_mm)
    return Entry(
        part=part.number,
        revision=part.revision,
        material=found,
        turned=turned,
        mill_turn=shape.kind == "mill-turn",
        sizes_mm=sizes,
        diameter_mm=diameter,
        length_mm=length,
        stock=stock,
        finished_mm3=volume,
        surface_mm2=surface,
        setups=setups,
        axes=axes,
        corner_radius_mm=radius,
        corner_depth_mm=min(depth, sizes[0]) if depth else None,
        corners=shape.inner_corners,
        sharp_corner=sharp,
        free_form_share=free,
        wall_ratio=_wall(shape),
        pocket_depth_mm=_f(shape.pocket_depth_mm) or 0.0,
        pocket_width_mm=_f(shape.pocket_width_mm) or 0.0,
        edge_m=_f(shape.edge_length_m),
        parallel_faces=True if turned else shape.parallel_clamping_faces,
        features=features,
        general_ra_um=_general_ra(part, request),
        general_grade_factor=_general_factor(part, request),
        finishes=tuple(
            FinishWork(family_of(finish.name), finish.name, float(finish.area_share), finish.masks)
            for finish in part.finishes
        ),
        certificate=part.certificate,
        marking=bool(part.marking),
        first_article=request.terms.first_article if request is not None else True,
        loaded=part.loaded,
        source=shape.source,
        cautions=cautions,
        unread=unread,
    )


def _missing(part: Part, field_name: str, message: str) -> EstimateError:
    return EstimateError(
        field_name,
        f"part {part.number} {message}",
        code="E001",
        subject=part.number,
        place=Place(path=f"shape.{field_name}" if field_name != "shape" else "shape"),
    )


def _wrong(part: Part, field_name: str, message: str) -> EstimateError:
    return EstimateError(
        field_name,
        f"part {part.number}: {message}",
        subject=part.number,
        place=Place(path=f"shape.{field_name}"),
    )


def _f(value: Decimal | None) -> float | None:
    return float(value) if value is not None else None


def _sizes(
    part: Part, shape: Shape, turned: bool
) -> tuple[tuple[float, float, float], float, float]:
    named = {
        name: _f(getattr(shape, name))
        for name in ("length_mm", "width_mm", "height_mm", "diameter_mm")
    }
    for name, value in named.items():
        if value is not None and not SMALLEST_MM <= value <= LARGEST_MM:
            raise _wrong(
                part,
                name,
                f"{name} is {value:g}; the model is good for {SMALLEST_MM:g} to "
                f"{LARGEST_MM:g} mm, so check the unit",
            )
    if turned:
        diameter = named["diameter_mm"] or 0.0
        length = named["length_mm"]
        if length is None:
            raise _missing(part, "length_mm", "is turned and needs length_mm beside diameter_mm")
        return (max(length, diameter), diameter, min(length, diameter)), diameter, length
    own = [float(size) for size in shape.stock_mm]
    sizes = []
    for name in ("length_mm", "width_mm", "height_mm"):
        value = named[name]
        if value is None:
            if len(own) == 3:
                return _sorted(own), 0.0, max(own)
            raise _missing(part, name, f"needs {name} (or its stock's three sizes)")
        sizes.append(value)
    return _sorted(sizes), 0.0, max(sizes)


def _sorted(sizes: list[float]) -> tuple[float, float, float]:
    a, b, c = sorted(sizes, reverse=True)
    return a, b, c


def _finished_mm3(part: Part, shape: Shape) -> float | None:
    """Finished volume from the mass, which is that of the part's own material on any route."""
    mass = _f(shape.finished_mass_kg)
    if mass is None:
        return None
    density = cost_material(part.material, part.number).density_kg_per_m3
    return mass * 1e9 / density


def _stock(
    part: Part,
    shape: Shape,
    material: CostMaterial,
    turned: bool,
    sizes: tuple[float, float, float],
    diameter: float,
    length: float,
) -> Stock:
    if shape.stock_mm:
        stock = own_stock(tuple(float(size) for size in shape.stock_mm), turned)
        have = list(stock.sizes_mm)
        if len(have) == 2 and not turned:
            fits = have[0] >= math.hypot(sizes[1], sizes[2]) - 1e-6 and have[1] >= sizes[0] - 1e-6
        elif len(have) == 2:
            fits = have[0] >= diameter - 1e-6 and have[1] >= length - 1e-6
        else:
            need = sorted((length, diameter, diameter) if turned else sizes)
            fits = all(want <= got + 1e-6 for want, got in zip(need, sorted(have), strict=True))
        if not fits:
            raise _wrong(
                part,
                "stock_mm",
                "the part's envelope does not fit into its stock_mm; check both sizes",
            )
        return stock
    form = shape.stock_form or part.form or None
    return proposed_stock(sizes, diameter, length, turned, material.record.family, form)


def _check_volume(
    part: Part, volume: float | None, stock: Stock, envelope: float, material: CostMaterial
) -> None:
    if volume is None:
        return
    mass = volume * material.density_kg_per_m3 / 1e9
    if volume > stock.volume_mm3 * (1.0 + 1e-9):
        raise _wrong(
            part,
            "finished_mass_kg",
            f"a finished mass of {mass:.3g} kg is more than its stock weighs "
            f"({stock.volume_mm3 * material.density_kg_per_m3 / 1e9:.3g} kg of "
            f"{material.designation}); check the mass, the sizes or the material",
        )
    if volume > envelope * 1.001:
        raise _wrong(
            part,
            "finished_mass_kg",
            f"a finished mass of {mass:.3g} kg does not fit into the envelope given; check the "
            "mass, the sizes or the material",
        )
    if volume < envelope * 5e-4:
        raise _wrong(
            part,
            "finished_mass_kg",
            f"a finished mass of {mass:.3g} kg fills less than 0.05 % of the envelope; check "
            "the unit (kg)",
        )


def _surface(
    part: Part,
    shape: Shape,
    volume: float | None,
    envelope: float,
    sizes: tuple[float, float, float],
) -> float | None:
    area = _f(shape.surface_area_dm2)
    if area is None:
        return None
    area *= 1e4
    least = math.pi ** (1 / 3) * (6.0 * (volume or 0.0)) ** (2 / 3)
    most = 100.0 * 2.0 * (sizes[0] * sizes[1] + sizes[1] * sizes[2] + sizes[0] * sizes[2])
    if area < 0.98 * least or area > most:
        raise _wrong(
            part,
            "surface_area_dm2",
            f"a surface of {area / 1e4:g} dm2 is out of sense for a part of this size; check the "
            "unit (1 dm2 = 10 000 mm2)",
        )
    return area


def _features(
    part: Part, shape: Shape, turned: bool, smallest: float
) -> tuple[tuple[Feature, ...], tuple[str, ...]]:
    features = [feature_of(callout, turned, smallest) for callout in part.callouts]
    unread = tuple(c.number for c in part.callouts if c.text and c.spec.value is None)
    for hole in shape.holes:
        features.append(
            Feature(
                "",
                "hole",
                hole.count,
                float(hole.diameter_mm),
                float(hole.depth_mm),
                hole.through,
                gauge="none",
            )
        )
    return tuple(features), unread


def _wall(shape: Shape) -> float:
    thin, height = _f(shape.thinnest_wall_mm), _f(shape.wall_height_mm)
    if thin is None:
        return 0.0
    return (height or _f(shape.pocket_depth_mm) or 0.0) / thin


def _cautions(
    part: Part, shape: Shape, stock: Stock, volume: float | None
) -> tuple[tuple[str, ...], float | None, bool]:
    found = []
    radius = _f(shape.smallest_inner_radius_mm)
    sharp = radius == 0.0
    if sharp:
        radius = 0.5
        found.append(
            "A sharp inner corner cannot be milled: costed as radius 0.5 mm; ask the designer for "
            "a radius or a relief."
        )
    wall = _wall(shape)
    if wall > 30:
        found.append(
            f"A wall {wall:.0f} times as high as thick may need another process; ask the shop."
        )
    depth = _f(shape.inner_radius_depth_mm) or _f(shape.pocket_depth_mm) or 0.0
    if radius and depth / (2.0 * radius) > 10:
        found.append(
            f"An inner corner of radius {radius:g} mm, {depth:g} mm deep, is beyond 10 cutter "
            "diameters: spark erosion or a split part would be asked of the shop."
        )
    if volume is not None and stock.volume_mm3 / volume > 40:
        found.append(
            f"Only 1 part in {stock.volume_mm3 / volume:.0f} of the stock stays; check mass and "
            "sizes."
        )
    if part.loaded:
        found.append(
            "The part carries load, pressure or people: a change of material, temper, finish, "
            "process or tolerance goes to the responsible engineer first."
        )
    return tuple(found), radius, sharp


def _general_ra(part: Part, request: Request | None) -> float:
    text = part.general_roughness or (request.general_roughness if request is not None else "")
    if text:
        spec = parse_callout(text).value
        if isinstance(spec, Texture):
            ra = float(spec.value_um)
            return ra / 4.0 if spec.parameter.lower().startswith("rz") else ra
    return 3.2


def _general_factor(part: Part, request: Request | None) -> float:
    """Extra work on all faces of a fine general tolerance (ISO 2768-f lies near IT11)."""
    text = part.general_tolerance or (request.general_tolerance if request is not None else "")
    _, _, tail = text.partition("2768")
    letters = tail.strip(" -:").lower()
    return 1.1 if letters.startswith("f") else 1.0

"""Shapes built here with known answers: volumes by elementary geometry, counts by construction."""

from __future__ import annotations

import itertools
from math import pi
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

MODEST = settings(
    max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


def length(low: float, high: float) -> st.SearchStrategy[float]:
    """Sizes a drawing would carry: half millimetres."""
    return st.integers(round(low * 2), round(high * 2)).map(lambda n: n / 2)


@MODEST
@given(size=st.tuples(length(5, 200), length(5, 200), length(5, 200)))
def test_a_block(size: tuple[float, float, float], measured: Any) -> None:
    from shapes_made import box

    x, y, z = size
    shape = measured(box((3.0, -7.0, 2.0), size))
    assert shape.volume_mm3 == pytest.approx(x * y * z, rel=1e-9)
    assert shape.area_mm2 == pytest.approx(2 * (x * y + y * z + z * x), rel=1e-9)
    assert shape.box_mm == pytest.approx(size, abs=1e-3)
    assert shape.convex_edge_mm == pytest.approx(4 * (x + y + z), abs=1e-2)
    assert (shape.faces("plane"), shape.holes, shape.inner_radii, shape.pockets) == (6, 0, (), ())
    assert {p.distance_mm for p in shape.flat_pairs} == {round(s, 3) for s in size}
    assert all(p.outermost for p in shape.flat_pairs)
    assert shape.thinnest_wall.thickness_mm == pytest.approx(min(size), abs=1e-3)
    assert shape.access.setups == 2
    assert not shape.turned


@MODEST
@given(
    count=st.integers(1, 5),
    diameter=length(2, 10),
    thickness=length(3, 20),
    blind=st.booleans(),
)
def test_a_plate_with_holes(
    count: int, diameter: float, thickness: float, blind: bool, measured: Any
) -> None:
    from shapes_made import box, cut, cylinder

    depth = thickness / 2 if blind else thickness
    plate = box((0, 0, 0), (count * 20.0, 20.0, thickness))
    tools = [
        cylinder((10.0 + 20 * k, 10.0, thickness - depth), (0, 0, 1), diameter / 2, depth + 1)
        for k in range(count)
    ]
    shape = measured(cut(plate, *tools))
    (bore,) = shape.bores
    assert (bore.count, bore.diameter_mm, bore.depth_mm) == (count, diameter, depth)
    assert bore.through is not blind
    if blind:
        assert bore.opens == (0.0, 0.0, 1.0)
    assert shape.volume_mm3 == pytest.approx(
        count * (400 * thickness - pi * diameter**2 / 4 * depth), rel=1e-6
    )
    assert shape.faces("plane") == 6 + (count if blind else 0)
    # bore to edge, between bores, under the blind ones, through the plate, or the plate's own way
    walls = [10 - diameter / 2, thickness, thickness - depth if blind else thickness]
    if count > 1:
        walls.append(20 - diameter)
    assert shape.thinnest_wall.thickness_mm == pytest.approx(min(walls), abs=2e-3)


@MODEST
@given(radius=length(1, 8), depth=length(4, 30), width=length(18, 40))
def test_a_pocket_with_corner_radii(
    radius: float, depth: float, width: float, measured: Any
) -> None:
    from shapes_made import box, cut, fillet, upright

    block = box((0, 0, 0), (100.0, 60.0, 40.0))
    tool = fillet(box((10, 10, 40 - depth), (60.0, width, depth + 1)), radius, upright)
    shape = measured(cut(block, tool))
    (corner,) = shape.inner_radii
    assert (corner.kind, corner.radius_mm, corner.count) == ("corner", radius, 4)
    assert corner.depth_mm == pytest.approx(depth, abs=1e-3)
    (pocket,) = shape.pockets
    assert pocket.depth_mm == pytest.approx(depth, abs=1e-2)
    assert pocket.width_mm == pytest.approx(width, abs=1e-2)
    assert pocket.opens == (0.0, 0.0, 1.0)
    section = 60 * width - (4 - pi) * radius**2
    assert shape.volume_mm3 == pytest.approx(100 * 60 * 40 - section * depth, rel=1e-6)
    assert shape.access.setups == 2


@pytest.mark.parametrize("radius", [1.0, 2.5])
def test_a_pocket_floor_fillet_is_not_a_corner(radius: float, measured: Any) -> None:
    from shapes_made import box, cut, fillet, upright

    tool = fillet(
        fillet(box((20, 20, 25), (50.0, 20.0, 16.0)), 5.0, upright),
        radius,
        lambda a, b: abs(a[2] - 25) < 1e-6 and abs(b[2] - 25) < 1e-6,
    )
    shape = measured(cut(box((0, 0, 0), (90.0, 60.0, 40.0)), tool))
    kinds = {(r.kind, r.radius_mm): r.count for r in shape.inner_radii}
    assert kinds[("floor", radius)] == 4
    assert ("corner", radius) not in kinds
    assert kinds[("corner", 5.0)] == 4
    assert kinds[("blend", radius)] == 4  # where the floor's fillet turns the corner


@MODEST
@given(steps=st.lists(st.tuples(length(5, 40), length(3, 50)), min_size=1, max_size=4))
def test_a_turned_shaft(steps: list[tuple[float, float]], measured: Any) -> None:
    from shapes_made import cylinder, fuse

    at, parts = 0.0, []
    for diameter, long in steps:
        parts.append(cylinder((0, 0, at), (0, 0, 1), diameter / 2, long))
        at += long
    shape = measured(fuse(parts[0], *parts[1:]))
    assert shape.turned
    assert shape.turning.share == pytest.approx(1.0)
    assert shape.turning.diameter_mm == pytest.approx(max(d for d, _ in steps), abs=1e-3)
    assert shape.turning.length_mm == pytest.approx(at, abs=1e-3)
    assert shape.volume_mm3 == pytest.approx(sum(pi * d**2 / 4 * long for d, long in steps))
    assert shape.holes == 0
    assert (shape.access.lathe_setups, shape.access.directions) == (2, ())


@MODEST
@given(wall=st.integers(4, 60).map(lambda n: n / 10), height=length(10, 60))
def test_a_thin_wall(wall: float, height: float, measured: Any) -> None:
    from shapes_made import box, cut

    block = box((0, 0, 0), (80.0, 50.0, height + 10))
    left = box((-1, -1, 10), (41.0 - wall / 2, 52.0, height + 1))
    right = box((40 + wall / 2, -1, 10), (60.0, 52.0, height + 1))
    shape = measured(cut(block, left, right))
    assert shape.thinnest_wall.thickness_mm == pytest.approx(wall, abs=2e-3)
    assert abs(shape.thinnest_wall.normal[0]) == pytest.approx(1.0)


@MODEST
@given(gap=length(3, 30), depth=length(5, 35))
def test_an_open_slot_is_a_pocket_of_its_depth_and_width(
    gap: float, depth: float, measured: Any
) -> None:
    from shapes_made import box, cut

    slot = box((20, -1, 40 - depth), (gap, 52.0, depth + 1))
    shape = measured(cut(box((0, 0, 0), (80.0, 50.0, 40.0)), slot))
    (pocket,) = shape.pockets
    assert (pocket.depth_mm, pocket.width_mm) == pytest.approx((depth, gap), abs=1e-2)


def test_a_counterbored_hole_is_a_through_bore_and_a_seat(measured: Any) -> None:
    from shapes_made import box, cut, cylinder

    shape = measured(
        cut(
            box((0, 0, 0), (40.0, 40.0, 20.0)),
            cylinder((20, 20, -1), (0, 0, 1), 3.0, 22),
            cylinder((20, 20, 14), (0, 0, 1), 5.5, 7),
        )
    )
    assert [(b.diameter_mm, b.depth_mm, b.through) for b in shape.bores] == [
        (6.0, 14.0, True),
        (11.0, 6.0, False),
    ]
    assert shape.bores[1].opens == (0.0, 0.0, 1.0)


def test_a_drill_point_closes_and_a_countersink_opens(measured: Any) -> None:
    from shapes_made import box, cone, cut, cylinder

    up, down = (0, 0, 1), (0, 0, -1)
    shape = measured(
        cut(
            box((0, 0, 0), (60.0, 40.0, 20.0)),
            cylinder((15, 20, 8), up, 3.0, 13),
            cone((15, 20, 8), down, 3.0, 0.0, 1.8),
            cylinder((45, 20, -1), up, 3.0, 22),
            cone((45, 20, 20), down, 5.0, 3.0, 2.0),
        )
    )
    assert {(b.depth_mm, b.through) for b in shape.bores} == {(12.0, False), (18.0, True)}


def test_bores_in_two_arms_on_one_axis_are_two(measured: Any) -> None:
    from shapes_made import box, cut, cylinder

    fork = cut(box((0, 0, 0), (60.0, 30.0, 40.0)), box((10, -1, 10), (40.0, 32.0, 31.0)))
    shape = measured(cut(fork, cylinder((-1, 15, 28), (1, 0, 0), 4.0, 62)))
    (bore,) = shape.bores
    assert (bore.count, bore.depth_mm, bore.through) == (2, 10.0, True)


def test_a_side_hole_and_an_undercut_need_more_sides(measured: Any) -> None:
    from shapes_made import box, cut, cylinder

    block = box((0, 0, 0), (60.0, 40.0, 30.0))
    blind = [
        cylinder((-1, 20, 15), (1, 0, 0), 4.0, 20),
        cylinder((30, 41, 15), (0, -1, 0), 4.0, 15),
        cylinder((45, 20, 31), (0, 0, -1), 4.0, 10),
    ]
    assert [measured(cut(block, *blind[:n])).access.setups for n in (1, 2, 3)] == [2, 2, 3]
    cave = cut(block, box((20, 10, 20), (10.0, 20.0, 11.0)), box((15, 10, 12), (20.0, 20.0, 8.0)))
    assert measured(cave).access.unreached > 0


def test_a_wedge_gives_a_vice_no_hold(measured: Any) -> None:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon
    from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
    from OCP.gp import gp_Pnt, gp_Vec

    from rfq.geometry.savings import shape_savings

    outline = BRepBuilderAPI_MakePolygon()
    for x, y in ((0, 0), (10, 0), (4, 9)):
        outline.Add(gp_Pnt(x, y, 0))
    outline.Close()
    prism = BRepPrimAPI_MakePrism(BRepBuilderAPI_MakeFace(outline.Wire()).Face(), gp_Vec(0, 0, 60))
    shape = measured(prism.Shape())
    assert shape.volume_mm3 == pytest.approx(45 * 60)
    assert "no clamping faces" in {s.kind for s in shape_savings(shape)}


def test_views_show_hidden_lines_apart_and_points_project_onto_them(measured: Any) -> None:
    from shapes_made import box, cut, cylinder

    shape = measured(
        cut(box((0, 0, 0), (60.0, 40.0, 20.0)), cylinder((15, 10, 5), (0, 0, 1), 4.0, 20)),
        views=True,
    )
    views = {view.name: view for view in shape.views}
    assert set(views) == {"top", "front", "side", "isometric"}
    assert views["top"].size_mm == pytest.approx((60, 40), abs=1e-2)
    assert views["front"].size_mm == pytest.approx((60, 20), abs=1e-2)
    assert views["side"].size_mm == pytest.approx((40, 20), abs=1e-2)
    # from the top the bore is a circle of its radius about where its middle projects
    x, y = views["top"].project(shape.bores[0].positions[0])
    assert (x, y) == pytest.approx((15, 10))
    assert views["top"].share(shape.bores[0].positions[0]) == pytest.approx((0.25, 0.25))
    rims = [
        line
        for line in views["top"].visible
        if all(
            ((p[0] - x) ** 2 + (p[1] - y) ** 2) ** 0.5 == pytest.approx(4, abs=0.02) for p in line
        )
    ]
    assert rims

    # from the front the blind bore is hidden: its floor is a hidden line 5 above the bottom
    def level(lines: Any) -> list[Any]:
        steps = [pair for line in lines for pair in itertools.pairwise(line)]
        return [pair for pair in steps if all(p[1] == pytest.approx(5) for p in pair)]

    (floor,) = level(views["front"].hidden)
    assert sorted(p[0] for p in floor) == pytest.approx([11, 19])
    assert level(views["front"].visible) == []

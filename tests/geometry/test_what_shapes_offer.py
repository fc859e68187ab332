"""Typed figures, likely threads, savings and revisions, and the demo's own models."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from rfq.geometry.revisions import compare_shapes
from rfq.geometry.savings import cutter_for, next_corner, shape_savings
from rfq.geometry.shape import MeasuredShape
from rfq.geometry.threads import likely_threads
from rfq.geometry.typed import accept, beside, typed_figures
from rfq.model.part import Shape
from rfq.problems import Severity

STEMS = ["SB-110_B", "SB-120_A", "SB-130_C"]


class Demo(dict[str, MeasuredShape]):
    """The demo's models by stem, each measured when first asked for."""

    def __init__(self, folder: Path, measure: Callable[..., MeasuredShape]) -> None:
        self.folder, self.measure = folder, measure

    def __missing__(self, stem: str) -> MeasuredShape:
        self[stem] = shape = self.measure(self.folder / f"{stem}.step")
        return shape


@pytest.fixture(scope="module")
def demo(demo_source: Path, measure_here: Callable[..., MeasuredShape]) -> Demo:
    return Demo(demo_source / "models", measure_here)


@pytest.mark.parametrize("stem", STEMS)
def test_without_kernel_demo_models_name_nobody(stem: str, demo_source: Path) -> None:
    text = (demo_source / "models" / f"{stem}.step").read_text(encoding="ascii")
    head = text[: text.index("ENDSEC;")]
    assert "'2026-01-05T08:00:00',(''),('')" in head.replace("\n", "")
    assert "/" not in head.replace("/*", "")
    assert len(text) < 200_000


def test_the_script_builds_the_models_that_are_shipped(demo_source: Path, tmp_path: Path) -> None:
    from build_demo_models import build

    from rfq.geometry.kernel_main import measured

    for path in build(tmp_path):
        shipped = demo_source / "models" / path.name
        if path.read_bytes() != shipped.read_bytes():  # another version of the kernel
            made, kept = measured(path, 0), measured(shipped, 0)
            assert made["volume_mm3"] == pytest.approx(kept["volume_mm3"], rel=1e-9)
            assert made["surfaces"] == kept["surfaces"]


def test_the_end_cap_is_turned_with_drilled_holes(demo: dict[str, MeasuredShape]) -> None:
    cap = demo["SB-110_B"]
    assert cap.turned
    assert cap.box_mm == pytest.approx((120, 120, 32), abs=1e-3)
    sizes = {(b.diameter_mm, b.count): b for b in cap.bores}
    assert set(sizes) == {(3.3, 4), (5.5, 6), (25.0, 1), (42.0, 1), (80.0, 1)}
    assert sizes[5.5, 6].through
    assert (sizes[42.0, 1].depth_mm, sizes[42.0, 1].through) == (14.0, False)
    typed = typed_figures(cap, density_kg_per_m3=2700)
    assert (typed.kind, typed.diameter_mm, typed.length_mm) == ("mill-turn", 120, 32)
    assert float(typed.finished_mass_kg or 0) == pytest.approx(cap.volume_mm3 * 2.7e-6, rel=1e-4)
    assert [(h.diameter_mm, h.count) for h in typed.holes] == [
        (Decimal("3.3"), 4),
        (Decimal("5.5"), 6),
    ]
    assert (typed.source, typed.model_sha256) == ("from model", cap.sha256)
    (thread,) = likely_threads(cap)
    assert "M4" in thread.question
    assert thread.question.endswith("threaded, or plain?")


def test_the_yoke_is_mostly_cut_away(demo: dict[str, MeasuredShape]) -> None:
    yoke = demo["SB-120_A"]
    assert yoke.box_mm == pytest.approx((140, 90, 70), abs=1e-3)
    assert yoke.box_to_part == pytest.approx(140 * 90 * 70 / yoke.volume_mm3, rel=1e-4)
    assert yoke.box_to_part > 3
    assert not yoke.turned
    inner = {(r.kind, r.radius_mm): r for r in yoke.inner_radii}
    assert inner["step", 5.0].count == 2
    assert (inner["corner", 4.0].count, inner["corner", 4.0].depth_mm) == (8, 10.0)
    (pivot,) = [b for b in yoke.bores if b.diameter_mm == 16]
    assert (pivot.count, pivot.through, pivot.depth_mm) == (2, True, 14.0)
    assert yoke.pockets[0].depth_mm == pytest.approx(54)
    assert yoke.pockets[0].width_mm == pytest.approx(112, abs=0.01)
    assert likely_threads(yoke) == ()  # 6.6 is the clearance hole of M6, not the core of M8
    typed = typed_figures(yoke)
    assert typed.finished_mass_kg is None
    assert (typed.smallest_inner_radius_mm, typed.inner_radius_depth_mm) == (4, 10)
    assert typed.parallel_clamping_faces is True
    assert yoke.access.setups == 3
    assert {s.kind for s in shape_savings(yoke)} == {"set-ups"}


def test_overall_dimensions_of_views_are_the_parts_not_their_chords(demo: Demo) -> None:
    sizes = {view.name: view.size_mm for view in demo["SB-110_B"].views}
    assert sizes["top"] == pytest.approx((120, 120), abs=1e-3)
    assert sizes["front"] == pytest.approx((120, 32), abs=1e-3)
    assert sizes["side"] == pytest.approx((120, 32), abs=1e-3)


def test_the_pin_is_turned_only(demo: dict[str, MeasuredShape]) -> None:
    pin = demo["SB-130_C"]
    assert pin.turned
    assert (pin.turning.diameter_mm, pin.turning.length_mm) == (12, 68)  # type: ignore[union-attr]
    # cylinder less the groove and two chamfers, by elementary geometry
    from math import pi

    groove = pi / 4 * (12**2 - 10.5**2) * 1.1
    chamfer = pi * 6**2 * 1 - pi / 3 * (6**2 + 6 * 5 + 5**2)
    assert pin.volume_mm3 == pytest.approx(pi * 36 * 68 - groove - 2 * chamfer, rel=1e-6)
    typed = typed_figures(pin)
    assert (typed.kind, typed.setups, typed.holes) == ("turned", 2, ())
    assert typed.thinnest_wall_mm is None  # solid


def test_measured_figures_stand_beside_the_typed_and_are_taken_one_by_one(
    demo: dict[str, MeasuredShape],
) -> None:
    own = Shape(length_mm=Decimal(140), width_mm=Decimal(95), setups=5, axes=3)
    measured = typed_figures(demo["SB-120_A"], 2700)
    rows = {row.field: row for row in beside(own, measured)}
    assert not rows["length_mm"].differs
    assert (rows["width_mm"].typed, rows["width_mm"].measured) == (95, 90)
    assert rows["width_mm"].differs
    assert rows["height_mm"].typed is None
    assert "axes" not in rows
    some = accept(own, measured, ("width_mm", "height_mm"))
    assert (some.width_mm, some.height_mm, some.setups, some.axes) == (90, 70, 5, 3)
    assert some.source == "typed"  # a typed 5 set-ups stands against the model's 3
    assert some.measured == ("width_mm", "height_mm")
    assert some.model_sha256 == demo["SB-120_A"].sha256
    more = accept(some, measured, ("setups",))
    assert more.measured == ("width_mm", "height_mm", "setups")
    all_ = accept(some, measured)
    assert (all_.source, all_.measured, all_.axes) == ("from model", (), 3)
    assert accept(own, measured, ()) == own
    assert accept(None, measured) == measured


def test_corner_savings_name_the_place_and_the_next_cutter(measured: Any) -> None:
    from shapes_made import box, cut, fillet, upright

    tool = fillet(box((10, 10, 5), (60.0, 40.0, 36.0)), 3.0, upright)
    shape = measured(cut(box((0, 0, 0), (100.0, 60.0, 40.0)), tool))
    corner = shape_savings(shape)[0]
    assert (corner.kind, corner.present_mm, corner.proposed_mm) == ("corner radius", 3.0, 3.5)
    assert corner.count == 4
    assert corner.ratio == pytest.approx((6 / 5) ** 2, abs=1e-3)
    assert "7.0 times its diameter" in corner.message
    x, y, _ = corner.position
    # on the wall of one of the four corners
    assert min(abs(x - 10), abs(x - 70)) < 3.01
    assert min(abs(y - 10), abs(y - 50)) < 3.01
    problem = corner.as_problem("P-1", "p.step")
    assert (problem.severity, problem.subject) == (Severity.NOTE, "P-1")
    assert "responsible engineer" in problem.why
    assert "x " in problem.place.path


def test_a_larger_corner_is_never_proposed_smaller() -> None:
    for tenth in range(5, 160):
        radius = tenth / 10
        better = next_corner(radius)
        assert cutter_for(radius) < 2 * radius
        if better is not None:
            cutter, wanted = better
            assert wanted > radius - 1e-9 or cutter / 2 < radius
            assert cutter < 2 * wanted


def test_a_deep_narrow_slot_and_stock_just_above_a_size(measured: Any) -> None:
    from shapes_made import box, cut

    slot = box((48, -1, 6.3), (5.0, 62.0, 40.0))
    shape = measured(cut(box((0, 0, 0), (100.0, 60.0, 36.3)), slot))
    found = {s.kind: s for s in shape_savings(shape, (20, 25, 30, 40, 50))}
    assert found["deep pocket"].present_mm == pytest.approx(5)
    assert found["deep pocket"].proposed_mm == pytest.approx(10)
    stock = found["stock size"]
    assert (stock.present_mm, stock.proposed_mm) == pytest.approx((36.3, 36.0))
    assert stock.ratio == pytest.approx(50 / 40)
    assert "stock size" not in {s.kind for s in shape_savings(shape, (20, 45))}
    assert "stock size" not in {s.kind for s in shape_savings(shape)}


def test_revisions_tell_what_changed_and_nothing_else(measured: Any) -> None:
    from shapes_made import box, cut, cylinder

    def plate(width: float, diameter: float, x: float) -> MeasuredShape:
        holes = [cylinder((at, 15, -1), (0, 0, 1), diameter / 2, 20) for at in (10.0, x)]
        shape = measured(cut(box((0, 0, 0), (80.0, width, 10.0)), *holes))
        return replace(shape, sha256=f"{width}{diameter}{x}".encode().hex().ljust(64, "0"))

    first = plate(40, 5, 60)
    assert compare_shapes(first, first) == ()
    wider = compare_shapes(first, plate(42, 5, 60))
    assert [c.subject for c in wider] == ["volume", "box", "area"]
    assert (wider[1].before, wider[1].after) == (40, 42)
    assert wider[1].message == "overall size in y 40 -> 42 mm"
    (moved,) = [c for c in compare_shapes(first, plate(40, 5, 64)) if c.subject == "bore"]
    assert moved.message == "bores Ø5 through: 1 of 2 moved"
    drilled = [c.message for c in compare_shapes(first, plate(40, 6, 60)) if c.subject == "bore"]
    assert drilled == ["bores Ø5 through: 2 -> 0", "bores Ø6 through: 0 -> 2"]

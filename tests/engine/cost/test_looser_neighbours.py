"""The next looser neighbour of a callout: always wider, one step, and none where nothing is won."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from math import pi

import pytest

from rfq.engine.cost.changes import CUTTERS_MM, looser, next_cutter_radius
from rfq.engine.cost.errors import EstimateError
from rfq.engine.cost.features import Feature
from rfq.engine.cost.finish_prices import family_of, finish_cost, prices_of
from rfq.engine.cost.turning import facing_min, pass_min
from rfq.engine.standards import iso286
from rfq.model.callout import Callout, parse_callout

D = Decimal
BORE = Feature("1", "bore", size_mm=25.0, grade=7, tolerance_um=21.0, reference_um=210.0, ra_um=0.8)


def neighbour(text: str, feature: Feature = BORE):  # type: ignore[no-untyped-def]
    return looser(Callout(number="1", what="x", text=text), feature)


def test_a_fit_goes_to_the_next_grade_and_its_table_width() -> None:
    found = neighbour("25 H7 (+0.021/0)")
    assert (found.was, found.becomes, found.kind) == ("25 H7 (+0.021/0)", "25 H8", "callout")
    assert found.feature.tolerance_um == float(iso286.tolerance_um(25, 8)) == 33.0
    assert (found.feature.grade, found.feature.gauge) == (8, "hand")
    fine = neighbour("25 H6", replace(BORE, grade=6))
    assert (fine.becomes, fine.feature.grade, fine.feature.gauge) == ("25 H7", 7, "machine")
    assert neighbour("25 H12", replace(BORE, grade=12)) is None
    assert neighbour("25 H18", replace(BORE, grade=11)) is None  # no grade beyond 18
    assert neighbour("20 t7", BORE) is None  # t begins above 24 mm (ISO 286-1)


def test_a_size_goes_one_grade_wider_by_the_ratio_of_the_grades() -> None:
    """Standard tolerances grow by 10^(1/5) = 1.6 from grade to grade (ISO 286-1)."""
    feature = replace(BORE, grade=9, tolerance_um=200.0)
    found = neighbour("25 ±0.1", feature)
    assert parse_callout(found.becomes).get().upper == D("0.16")  # type: ignore[union-attr]
    assert found.feature.tolerance_um == pytest.approx(320.0)
    assert (found.feature.grade, found.feature.gauge) == (10, "hand")
    assert neighbour("25 ±0.1", replace(feature, grade=6)).feature.gauge == "machine"
    assert neighbour("25 ±0.1", replace(feature, grade=14)) is None
    assert neighbour("25 ±0.1", replace(feature, tolerance_um=320.0)) is None  # no wider
    assert neighbour("25 ±0.1", replace(feature, tolerance_um=None)) is None
    assert neighbour("25", feature) is None


def test_a_texture_goes_to_the_next_step() -> None:
    found = neighbour("Ra 0.8")
    assert (found.becomes, found.kind) == ("Ra 1.6", "texture")
    assert found.feature.ra_um == pytest.approx(1.6)
    doubled = neighbour("Rz 6.3", replace(BORE, ra_um=1.6))
    assert doubled.becomes == "Rz 13" and doubled.feature.ra_um == pytest.approx(1.6 * 13 / 6.3)
    assert neighbour("Ra 6.3", replace(BORE, ra_um=6.3)) is None
    assert neighbour("Ra 50", replace(BORE, ra_um=5.0)) is None  # the series ends
    assert neighbour("Ra 0.8", replace(BORE, ra_um=None)) is None


def test_a_geometric_tolerance_widens_up_to_where_it_costs_nothing() -> None:
    found = neighbour("flatness 0.05", replace(BORE, tolerance_um=50.0))
    assert found.becomes == "flatness 0.08"
    assert found.feature.tolerance_um == pytest.approx(80.0)
    assert neighbour("flatness 0.05", replace(BORE, tolerance_um=210.0)) is None
    assert neighbour("flatness 0.05", replace(BORE, tolerance_um=None)) is None


def test_what_has_no_looser_neighbour() -> None:
    for text in ("M6-6H", "datum A", "no such callout 7 7"):
        assert neighbour(text) is None


def test_the_next_cutter_leaves_a_larger_radius() -> None:
    for radius in (0.5, 1.0, 2.0, 3.3, 5.0, 8.0):
        found = next_cutter_radius(radius)
        assert found is not None and found > radius
        assert found * 2 == int(found * 2)  # half millimetres
        assert any(cutter / 2 < found for cutter in CUTTERS_MM)
    assert next_cutter_radius(25.0) is None


def test_facing_is_the_area_over_the_area_cut_a_minute() -> None:
    """A ring of area A takes A / (1000 vc f) minutes at constant speed (geometry)."""
    area = pi / 4 * (100.0**2 - 20.0**2)
    assert facing_min(100.0, 20.0, 200.0, 0.2) == pytest.approx(area / (1000 * 200.0 * 0.2))
    # a spindle held at its highest speed the whole way: radius over feed and speed
    held = facing_min(40.0, 0.0, 1e9, 0.2, 1000.0)
    assert held == pytest.approx(20.0 / (0.2 * 1000.0))
    # a limit that is not reached changes nothing; one in between lies between
    plain = facing_min(100.0, 20.0, 200.0, 0.2)
    assert facing_min(100.0, 20.0, 200.0, 0.2, 1e6) == pytest.approx(plain)
    assert plain < facing_min(100.0, 20.0, 200.0, 0.2, 1500.0)
    with pytest.raises(EstimateError):
        facing_min(20.0, 20.0, 200.0, 0.2)
    assert pass_min(50.0, 120.0, 200.0, 0.25) == pytest.approx(pi * 50 * 120 / (1000 * 200 * 0.25))


def test_a_finish_nobody_knows_is_priced_wider_than_any_other() -> None:
    other = prices_of(family_of("gilding"))
    assert other is not None
    assert prices_of("gilding") is None and prices_of("Hard Anodise") is None
    for name in ("anodise", "zinc"):
        known = prices_of(name)
        assert known is not None and set(known) == set(other)
    for low, typical, high in other.values():
        assert low < typical < high
    assert finish_cost(1, 1.0, 2.0, 3.0, 2, 4.0, 50.0) == 50.0
    assert finish_cost(100, 1.0, 2.0, 3.0, 2, 4.0, 50.0) == 13.0

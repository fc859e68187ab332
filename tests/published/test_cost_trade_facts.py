"""Facts of the trade that whole estimates must agree with; shipped parameters, untouched.

Common practice, no source, but for the last one: a block of 4.8 kg became a part of 377 g; the
part was quoted at about 500 EUR printed in titanium and 350 EUR printed in aluminium, and for
more than one-offs milling from aluminium billet was plainly cheaper.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from rfq.engine.cost import milling
from rfq.engine.cost.estimate import should_cost
from rfq.engine.cost.inputs import entry_of
from rfq.engine.cost.other_routes import PRINTED_ALONE, PRINTED_SHARED
from rfq.engine.cost.routes import routes
from rfq.engine.cost.savings import savings
from rfq.model.estimate import Saving
from rfq.model.part import Part, Shape

SIZES = {"length_mm": Decimal(150), "width_mm": Decimal(110), "height_mm": Decimal(100)}
# 4.8 kg of aluminium at 2700 kg/m3 are 1777.8 cm3
STOCK = (Decimal(155), Decimal(112), Decimal("102.41"))


def shape(**changes: object) -> Shape:
    return Shape.model_validate(
        {
            **SIZES,
            "stock_mm": STOCK,
            "finished_mass_kg": Decimal("0.377"),
            "surface_area_dm2": Decimal(12),
            "setups": 2,
            "parallel_clamping_faces": False,
            **changes,
        }
    )


def part(material: str = "EN AW-6082", **changes: object) -> Part:
    return Part(
        number="TF-1", revision="A", name="bracket", material=material, shape=shape(**changes)
    )


def in_titanium() -> Part:
    """The same volume in titanium."""
    return part("Ti-6Al-4V", finished_mass_kg=Decimal("0.377") * 4430 / 2700)


def test_a_block_of_4_8_kg_becomes_377_g() -> None:
    entry = entry_of(part())
    stock = entry.stock.volume_mm3 * entry.material.density_kg_per_m3 / 1e9
    assert stock == pytest.approx(4.8, abs=0.005)
    assert 0.377 / stock == pytest.approx(0.0785, abs=0.0001)
    assert stock / 0.377 == pytest.approx(12.7, abs=0.05)


def test_roughing_with_a_16_mm_cutter() -> None:
    """16 mm, 10 mm deep, 85 % side step, vc 400, fz 0.10, z 3: common practice, no source."""
    n = milling.spindle_speed_per_min(400.0, 16.0)
    feed = milling.table_feed_mm_per_min(n, 3, 0.10)
    removal = milling.removal_rate_mm3_per_min(10.0, 13.6, feed)
    assert removal / 1000 == pytest.approx(324.68, abs=0.005)
    chip = milling.mean_chip_mm(0.10, 13.6, 16.0)
    for unit_force, power in ((700.0, 7.30), (800.0, 8.34)):
        force = milling.specific_force_n_per_mm2(unit_force, 0.25, chip)
        assert milling.cutting_power_kw(removal, force) == pytest.approx(power, abs=0.005)


@pytest.mark.parametrize("quantity", [2, 5, 10, 25, 100])
@pytest.mark.parametrize(
    ("made", "quoted"),
    [
        (part(), 350.0),
        (in_titanium(), 500.0),
        (part("Ti-6Al-4V"), 500.0),  # the 377 g read as the titanium part's own mass
    ],
    ids=["aluminium", "titanium, same volume", "titanium, same mass"],
)
def test_shared_plate_contains_the_quoted_price(made: Part, quoted: float, quantity: int) -> None:
    found = should_cost(made, quantity, route="printed")
    assert found.route == PRINTED_SHARED
    assert found.low <= quoted <= found.high
    assert found.high / found.low <= 2.5


@pytest.mark.parametrize("made", [part(), in_titanium()], ids=["aluminium", "titanium"])
def test_a_lone_part_on_a_plate_is_clearly_dearer(made: Part) -> None:
    shared = should_cost(made, 1, route=PRINTED_SHARED)
    alone = should_cost(made, 1, route=PRINTED_ALONE)
    assert alone.middle > 1.3 * shared.middle


def test_milling_is_plainly_cheaper_for_more_than_one_offs() -> None:
    made = part().model_copy(update={"other_routes": ("printed",)})
    found = routes(made, (1, 5, 25))
    likely = {
        each.quantity: each.probability
        for each in found.cheaper
        if each.first == "milled" and each.second.startswith(PRINTED_SHARED)
    }
    assert likely[5] > 0.9
    assert likely[25] > 0.99
    assert likely[1] < likely[5]
    bands = {(each.route, each.quantity): each for each in found.bands}
    printed = next(name for name in found.routes if name.startswith(PRINTED_SHARED))
    assert bands["milled", 25].high < bands[printed, 25].middle


def saving_of(found: tuple[Saving, ...], kind: str) -> Saving:
    return next(saving for saving in found if saving.kind == kind)


def test_bigger_radii_and_parallel_faces_make_it_cheaper() -> None:
    made = part(
        smallest_inner_radius_mm=Decimal(2), inner_radius_depth_mm=Decimal(40), inner_corners=8
    )
    found = savings(made, 25)
    radius, faces = saving_of(found, "radius"), saving_of(found, "clamping")
    assert radius.high < 0.0
    assert faces.high < 0.0
    assert radius.middle < -0.03 * should_cost(made, 25).middle
    assert faces.middle < -0.05 * should_cost(made, 25).middle
    assert "R2.5 instead of R2" in radius.sentence
    assert "parallel flat faces" in faces.sentence


def test_printing_titanium_pays_at_a_buy_to_fly_of_twelve() -> None:
    """J. Allen (Rolls-Royce), Comparative Costs of AM against machining from solid: viable at
    about 12 to 1 (abstract seen). Row BTF-allen of cost_checks.csv."""
    made = in_titanium().model_copy(update={"other_routes": ("printed",)})
    found = routes(made, (10,))
    likely = next(each for each in found.cheaper if each.second.startswith(PRINTED_SHARED))
    assert likely.first == "milled"
    assert likely.probability < 0.1

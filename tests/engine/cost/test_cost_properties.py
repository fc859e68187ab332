"""Properties of the cost model, by hypothesis: monotone, scaled, convex, never NaN."""

from __future__ import annotations

import itertools
import math
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from rfq.engine.cost import batch, finishing, learning, milling, printing, stock
from rfq.engine.cost.errors import EstimateError
from rfq.engine.cost.estimate import should_cost
from rfq.engine.cost.many import should_costs
from rfq.engine.cost.parameters import shipped
from rfq.engine.cost.spread import Parameter, lognormal_mu_sigma, pert_mean_sd, sample
from rfq.engine.standards import materials
from rfq.model.callout import Callout
from rfq.model.codes import Basis
from rfq.model.part import Finish, Hole, Part, Shape
from rfq.model.rates import Rate, Rates

few = settings(max_examples=40, deadline=None)
size = st.decimals(min_value=15, max_value=400, places=1)
share = st.floats(0.15, 0.85)
DRAWS = 256


@st.composite
def parts(draw: st.DrawFn) -> Part:
    kind = draw(st.sampled_from(["prismatic", "turned", "mill-turn"]))
    sizes = [draw(size) for _ in range(3)]
    material = draw(st.sampled_from(sorted(materials.MATERIALS)))
    assume("powder" not in material)
    density = materials.MATERIALS[material].density_kg_m3
    envelope = float(math.prod(sizes))
    if kind != "prismatic":
        envelope = math.pi / 4 * float(sizes[1]) ** 2 * float(sizes[0])
    mass = Decimal(str(round(envelope * draw(share) * density / 1e9, 5)))
    entry = Shape(
        kind=kind,
        length_mm=sizes[0],
        width_mm=sizes[1] if kind == "prismatic" else None,
        height_mm=sizes[2] if kind == "prismatic" else None,
        diameter_mm=None if kind == "prismatic" else sizes[1],
        finished_mass_kg=draw(st.one_of(st.none(), st.just(mass))),
        setups=draw(st.one_of(st.none(), st.integers(1, 6))),
        axes=draw(st.sampled_from([None, 3, 5])),
        free_form_share=Decimal(str(draw(st.sampled_from([0, 0.2, 0.6])))),
        smallest_inner_radius_mm=draw(st.sampled_from([None, Decimal(0), Decimal(1), Decimal(5)])),
        parallel_clamping_faces=draw(st.sampled_from([None, True, False])),
        holes=(Hole(diameter_mm=Decimal(6), depth_mm=Decimal(12), count=3),),
    )
    texts = draw(
        st.lists(
            st.sampled_from(
                ["Ø12 H7", "20 ±0.02", "M5", "M24x2", "Ra 0.8", "Ra 0.2", "position 0.05 A",
                 "Ø10 g5", "R2", "45°", "datum A", "G1/4", "nonsense"]
            ),
            max_size=6,
        )
    )  # fmt: skip
    return Part(
        number="P-1", revision="A", name="p", material=material, shape=entry,
        callouts=tuple(Callout(number=str(i), text=text) for i, text in enumerate(texts)),
        finishes=draw(st.sampled_from([(), (Finish(name="bead blast"),)])),
        loaded=draw(st.booleans()),
    )  # fmt: skip


@few
@given(parts(), st.integers(1, 2000))
def test_any_whole_entry_gives_a_finite_ordered_band(part: Part, quantity: int) -> None:
    found = should_cost(part, quantity, draws=DRAWS)
    figures = [
        found.low, found.middle, found.high,
        *(x for e in found.elements for x in (e.low, e.middle, e.high)),
        *found.one_off.values(), *found.minutes.values(), *found.rates.values(),
        *(x for d in found.drivers for x in (d.low, d.high, d.rank)),
        *(step.value for step in found.steps),
    ]  # fmt: skip
    assert all(math.isfinite(x) for x in figures)
    assert 0 < found.low < found.middle < found.high
    assert sum(e.middle for e in found.elements) == pytest.approx(found.middle)
    assert all(e.low <= e.middle <= e.high for e in found.elements)


@few
@given(parts())
def test_price_falls_with_quantity_and_total_rises(part: Part) -> None:
    quantities = (1, 2, 3, 4, 5, 10, 50, 500)
    found = should_costs([(part, quantities)], draws=DRAWS).found
    middles = [found["P-1", q].middle for q in quantities]
    assert all(a >= b - 1e-9 for a, b in itertools.pairwise(middles))
    # a lot of four has no spare blank, one of three has: only from there on must totals rise
    totals = [q * m for q, m in zip(quantities, middles, strict=True) if q > 3]
    assert all(a <= b + 1e-6 for a, b in itertools.pairwise(totals))


def changed(part: Part, **changes: object) -> Part:
    shape = part.shape.model_copy(update=changes)
    return part.model_copy(update={"shape": shape})


@few
@given(parts(), st.integers(1, 5))
def test_more_set_ups_never_cost_less(part: Part, setups: int) -> None:
    axes = part.shape.axes or 3  # else more set-ups may choose another machine
    fewer = should_cost(changed(part, setups=setups, axes=axes), 10, draws=DRAWS)
    more = should_cost(changed(part, setups=setups + 1, axes=axes), 10, draws=DRAWS)
    assert more.middle >= fewer.middle - 1e-9


@few
@given(st.integers(5, 12), st.sampled_from(["H", "h"]), st.sampled_from([3, 8, 12, 30, 60, 120]))
def test_a_tighter_grade_never_costs_less(grade: int, zone: str, nominal: int) -> None:
    shape = Shape(
        length_mm=Decimal(200), width_mm=Decimal(150), height_mm=Decimal(60),
        finished_mass_kg=Decimal(2), setups=2,
    )  # fmt: skip
    prices = []
    for each in (grade, grade + 1):
        callout = Callout(number="1", text=f"Ø{nominal} {zone}{each}", depth_mm=Decimal(40))
        for material in ("EN AW-6082", "Ti-6Al-4V"):
            part = Part(
                number="P", revision="A", name="p", material=material, shape=shape,
                callouts=(callout,),
            )  # fmt: skip
            prices.append(should_cost(part, 10, draws=DRAWS).middle)
    assert prices[0] >= prices[2] - 1e-9
    assert prices[1] >= prices[3] - 1e-9


@few
@given(st.sampled_from([0.1, 0.2, 0.4, 0.8, 1.6, 3.2]), st.integers(1, 9))
def test_a_finer_texture_and_a_narrower_size_never_cost_less(ra: float, hundredths: int) -> None:
    shape = Shape(
        length_mm=Decimal(90), width_mm=Decimal(60), height_mm=Decimal(30),
        finished_mass_kg=Decimal("0.2"), setups=2,
    )  # fmt: skip

    def price(text: str) -> float:
        part = Part(
            number="P", revision="A", name="p", material="1.4301", shape=shape,
            callouts=(Callout(number="1", text=text),),
        )  # fmt: skip
        return should_cost(part, 10, draws=DRAWS).middle

    assert price(f"Ra {ra}") >= price(f"Ra {2 * ra}") - 1e-9
    assert price(f"25 ±0.0{hundredths}") >= price(f"25 ±0.{hundredths}") - 1e-9


@few
@given(parts(), st.floats(1.0, 6.0))
def test_more_finish_area_never_costs_less(part: Part, factor: float) -> None:
    a, b, c = sorted(
        (float(x) for x in (part.shape.length_mm, part.shape.width_mm or part.shape.diameter_mm,
                            part.shape.height_mm or part.shape.diameter_mm)), reverse=True
    )  # fmt: skip
    area = 2 * (a * b + b * c + a * c) / 1e4
    prices = [
        should_cost(
            changed(part, surface_area_dm2=Decimal(str(round(x, 3)))).model_copy(
                update={"finishes": (Finish(name="bead blast"),)}
            ),
            10, draws=DRAWS,
        ).middle
        for x in (area, area * factor)
    ]  # fmt: skip
    assert prices[1] >= prices[0] - 1e-9


@few
@given(parts(), st.floats(1.1, 4.0))
def test_dearer_rates_and_material_never_cost_less_and_faster_cutting_never_more(
    part: Part, factor: float
) -> None:
    def at(name: str, low: float, typical: float, high: float) -> float:
        rate = Rate(
            low=Decimal(repr(low)), typical=Decimal(repr(typical)), high=Decimal(repr(high))
        )
        return should_cost(part, 10, Rates(parameters={name: rate}), draws=DRAWS).middle

    for name, sign in (("rate_3_axis", 1), ("material_price", 1), ("cutting_speed", -1)):
        slow = at(name, 40.0, 50.0, 60.0)
        fast = at(name, 40.0 * factor, 50.0 * factor, 60.0 * factor)
        assert sign * (fast - slow) >= -1e-9


def scaled(parameter: Parameter, factor: int) -> Rate:
    three = (
        factor * Decimal(repr(float(x))) for x in (parameter.low, parameter.typical, parameter.high)
    )
    low, typical, high = three
    return Rate(low=low, typical=typical, high=high)


@settings(max_examples=15, deadline=None)
@given(parts(), st.integers(1, 200))
def test_doubling_all_money_doubles_the_price(part: Part, quantity: int) -> None:
    once = should_cost(part, quantity, draws=DRAWS)
    from rfq.engine.cost.run import prepare

    run = prepare(part)
    run.draw([quantity], DRAWS, 0)
    own = {
        name: scaled(parameter, 2)
        for name, parameter in run.parameters.used.items()
        if parameter.unit.startswith("EUR")
    }
    twice = should_cost(part, quantity, Rates(parameters=own), draws=DRAWS)
    assert twice.middle == pytest.approx(2 * once.middle, rel=1e-9)
    assert twice.low == pytest.approx(2 * once.low, rel=1e-9)


@few
@given(st.floats(0.01, 0.5), st.floats(0.02, 1.0), st.floats(1.0, 50.0))
def test_mean_chip_is_the_integral_over_the_arc(feed: float, ratio: float, cutter: float) -> None:
    phi = milling.engagement_rad(ratio * cutter, cutter)
    nodes, weights = np.polynomial.legendre.leggauss(40)
    angle = (nodes + 1) / 2 * phi
    mean = float(np.sum(weights * feed * np.sin(angle)) / 2)
    found = float(milling.mean_chip_mm(feed, ratio * cutter, cutter))
    assert found == pytest.approx(mean, rel=1e-9)


@few
@given(st.floats(1.0, 500.0), st.floats(100.0, 20_000.0), st.floats(300.0, 8000.0))
def test_power_does_not_depend_on_the_unit_of_volume(q: float, n: float, kc: float) -> None:
    power = float(milling.cutting_power_kw(q * 1000.0, kc))
    assert power == pytest.approx(q * kc / 60_000.0)
    torque = float(milling.torque_nm(power, n))
    assert torque * n / 9550.0 == pytest.approx(power, rel=1e-4)


@few
@given(st.floats(0.5, 20.0), st.floats(0.001, 0.99))
def test_scallop_and_step_over_are_inverse(radius: float, part_of: float) -> None:
    scallop = radius * part_of
    step = finishing.step_over_mm(radius, scallop)
    assert float(finishing.scallop_mm(radius, step)) == pytest.approx(scallop, rel=1e-6)


@few
@given(st.floats(0.0, 5000.0), st.floats(0.1, 500.0), st.integers(1, 5000))
def test_unit_cost_is_exact_falling_and_convex(once: float, each: float, n: int) -> None:
    assert float(batch.unit_cost(once, each, 1)) == once + each
    a, b, c = (float(batch.unit_cost(once, each, n + i)) for i in range(3))
    assert a >= b >= c
    assert a - b >= b - c - 1e-9
    assert float(batch.unit_cost(once, each, 10**9)) == pytest.approx(each, abs=1e-5)


@few
@given(st.floats(0, 900), st.floats(1, 90), st.floats(0, 900), st.floats(1, 90))
def test_crossing_is_symmetric(f1: float, v1: float, f2: float, v2: float) -> None:
    forth, back = batch.crossing(f1, v1, f2, v2), batch.crossing(f2, v2, f1, v1)
    assert (forth is None) == (back is None)
    if forth is not None:
        assert forth == pytest.approx(back)
        assert f1 / forth + v1 == pytest.approx(f2 / forth + v2, rel=1e-6)


@few
@given(st.floats(0.7, 1.0), st.integers(1, 400))
def test_learning(rate: float, n: int) -> None:
    assert float(learning.average_factor(1.0, n)) == pytest.approx(1.0)
    assert learning.unit_total(100.0, rate, 1) == pytest.approx(100.0)
    assert learning.cumulative_average(100.0, rate, 1) == pytest.approx(100.0)
    mean = learning.unit_total(100.0, rate, n) / n
    assert mean >= float(learning.unit_time(100.0, rate, float(n))) - 1e-9
    assume(rate >= 0.8)
    assert 100 * float(learning.average_factor(rate, float(n))) == pytest.approx(mean, rel=0.03)


@few
@given(st.floats(0.1, 9.0), st.floats(0.0, 1.0), st.floats(0.5, 90.0), st.floats(0.0, 0.9))
def test_scrap_never_brings_more_than_the_stock_cost(
    stock_kg: float, part_of: float, price: float, scrap: float
) -> None:
    cost = float(stock.net_cost(stock_kg, stock_kg * part_of, price, scrap))
    assert 0 <= cost <= stock_kg * price + 1e-9


@few
@given(st.floats(1, 900), st.floats(1, 60), st.integers(1, 6000), st.integers(1, 40))
def test_hours_of_a_plate_are_those_of_its_parts(v: float, r: float, layers: int, n: int) -> None:
    each = float(printing.build_h(v, r, float(layers), 9.0, float(n)))
    assert n * each == pytest.approx(n * v / r + layers * 9.0 / 3600.0)
    alone = float(printing.build_h(v, r, float(layers), 9.0, 1.0))
    assert alone == pytest.approx(v / r + layers * 9.0 / 3600.0)


@pytest.mark.parametrize("three", [(35.0, 60.0, 110.0), (45.0, 60.0, 80.0), (1.0, 1.0, 2.5)])
def test_pert_sample_has_its_mean(three: tuple[float, float, float]) -> None:
    mean, sd = pert_mean_sd(*three)
    found = sample(Parameter("check", *three), 0, 200_000)
    assert abs(found.mean() - mean) < 4 * sd / math.sqrt(200_000)
    assert found.std() == pytest.approx(sd, rel=0.01)
    assert found.min() >= three[0]
    assert found.max() <= three[2]


def test_pert_quantiles_agree_with_scipy() -> None:
    beta = pytest.importorskip("scipy.stats").beta
    parameter = Parameter("check", 35.0, 60.0, 110.0)
    law = beta(1 + 4 * 25 / 75, 1 + 4 * 50 / 75, loc=35.0, scale=75.0)
    for p, z in ((0.1, -1.2815515655446004), (0.5, 0.0), (0.9, 1.2815515655446004)):
        assert parameter.at(z) == pytest.approx(float(law.ppf(p)), rel=2e-5)


def test_lognormal_has_its_percentiles_and_a_constant_stays_one() -> None:
    found = sample(Parameter("price", 35.0, 60.0, 110.0, kind="lognormal"), 0, 100_000)
    assert np.percentile(found, (10, 90)) == pytest.approx((35.0, 110.0), rel=0.02)
    assert math.exp(lognormal_mu_sigma(35.0, 110.0)[0]) == pytest.approx(np.median(found), rel=0.02)
    assert np.all(sample(Parameter("fixed", 7.0, 7.0, 7.0), 0, 64) == 7.0)


@pytest.mark.parametrize(("group", "rho"), [("cutting", 0.3), ("rates", 0.8), ("complexity", 0.5)])
def test_groups_correlate(group: str, rho: float) -> None:
    a = sample(Parameter("a", 1.0, 2.0, 4.0, kind="lognormal", group=group), 0, 50_000)
    b = sample(Parameter("b", 1.0, 2.0, 4.0, kind="lognormal", group=group), 0, 50_000)
    c = sample(Parameter("c", 1.0, 2.0, 4.0, kind="lognormal"), 0, 50_000)
    assert np.corrcoef(np.log(a), np.log(b))[0, 1] == pytest.approx(rho, abs=0.02)
    assert abs(np.corrcoef(np.log(a), np.log(c))[0, 1]) < 0.02


def test_draws_do_not_depend_on_what_else_is_drawn() -> None:
    first = sample(Parameter("tool_change", 0.08, 0.12, 0.25), 0, 64)
    for name in sorted(shipped()):
        sample(shipped()[name], 0, 64)
    again = sample(Parameter("tool_change", 0.08, 0.12, 0.25, basis=Basis.USER), 0, 64)
    np.testing.assert_array_equal(first, again)
    assert not first.flags.writeable


@pytest.mark.parametrize(
    "call",
    [
        lambda: milling.mean_chip_mm(0.1, 13.0, 12.0),  # ae > D
        lambda: milling.mean_chip_mm(0.1, 0.0, 12.0),
        lambda: milling.spindle_speed_per_min(100.0, 0.0),
        lambda: finishing.step_over_mm(2.0, 3.0),  # h > R
        lambda: batch.unit_cost(1.0, 1.0, 0),
        lambda: batch.good_part_cost(1.0, 0.0),
        lambda: stock.net_cost(1.0, 2.0, 3.0, 0.1),
        lambda: stock.net_cost(1.0, math.nan, 3.0, 0.1),
        lambda: learning.exponent(0.0),
        lambda: Parameter("x", 2.0, 1.0, 3.0),
        lambda: Parameter("x", 0.0, 1.0, 3.0, kind="lognormal"),
        lambda: Parameter("x", math.nan, 1.0, 3.0),
    ],
)
def test_formulas_refuse_what_makes_no_sense(call) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(EstimateError) as caught:
        call()
    assert caught.value.field

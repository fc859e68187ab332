"""What the tables find: alloy against temper and form, finish, certificate, edge, gauge, term."""

from __future__ import annotations

from decimal import Decimal
from math import erf, sqrt

import pytest

from rfq.engine.standards import certificates, edges, finishes, gauges, incoterms, materials
from rfq.engine.standards import stock_sizes as stock
from rfq.engine.standards.callout_limits import limits_of
from rfq.engine.standards.conformance import acceptance_zone, guard_band_mm, judge
from rfq.engine.standards.limits import Limits, NotInTable
from rfq.engine.standards.material_tables import ALIASES, NOTES
from rfq.engine.standards.threads import thread_limits
from rfq.model.callout import parse_callout

D = Decimal


@pytest.mark.parametrize(
    "typed,designation",
    [
        ("6082", "EN AW-6082"),
        ("AW-6082", "EN AW-6082"),
        ("EN AW-6082-T651", "EN AW-6082"),
        ("3.2315", "EN AW-6082"),
        ("AlMgSi1", "EN AW-6082"),
        ("316L", "1.4404"),
        ("AISI 316L", "1.4404"),
        ("1.4301 (304)", "1.4301"),
        ("Ti-6Al-4V", "Ti-6Al-4V"),
        ("titanium grade 5", "Ti-6Al-4V"),
        ("Grade 2", "Ti grade 2"),
        ("acetal", "POM-C"),
        ("pom c", "POM-C"),
        ("C45 / C45E", "C45E"),
        ("42CrMo4+QT", "42CrMo4"),
    ],
)
def test_a_material_is_found_by_any_of_its_names(typed: str, designation: str) -> None:
    assert materials.find(typed).get().designation == designation


@pytest.mark.parametrize(
    "text,alloy,temper",
    [
        ("EN AW-6082-T651", "EN AW-6082", "T651"),
        ("EN AW-6082 T6/T651", "EN AW-6082", "T6/T651"),
        ("7075 T7351", "7075", "T7351"),
        ("42CrMo4 +QT", "42CrMo4", "+QT"),
        ("C45+C", "C45", "+C"),
        ("1.4542 H1025", "1.4542", "H1025"),
        ("17-4PH", "17-4PH", ""),
        ("Ti-6Al-4V", "Ti-6Al-4V", ""),
        ("POM-C", "POM-C", ""),
        ("316L", "316L", ""),
    ],
)
def test_alloy_and_temper_are_taken_apart(text: str, alloy: str, temper: str) -> None:
    assert materials.split_designation(text) == (alloy, temper)


def test_no_name_means_two_materials() -> None:
    seen: dict[str, str] = {}
    for material in materials.MATERIALS.values():
        for name in (material.designation, *material.aliases):
            assert seen.setdefault(name.casefold(), material.designation) == material.designation
            assert materials.find(name).get() is material
    assert set(ALIASES) == set(NOTES) == set(materials.MATERIALS)


def test_two_materials_in_one_name_are_refused() -> None:
    assert not materials.find("6082 / 7075").ok


def test_ranges_are_ordered() -> None:
    for m in materials.MATERIALS.values():
        assert m.vc_rough_lo < m.vc_rough_typ < m.vc_rough_hi
        assert m.fz_lo < m.fz_typ < m.fz_hi
        assert m.price_eur_kg_lo < m.price_eur_kg_typ < m.price_eur_kg_hi
        assert m.scrap_range[0] <= m.scrap_return_fraction <= m.scrap_range[1] < 1
        assert m.kc11_range[0] < m.kc11_N_mm2 < m.kc11_range[1]
        assert m.forms


@pytest.mark.parametrize(
    "name,temper,form,thickness,codes",
    [
        ("6082", "T651", "plate", 40, []),
        ("6082", "T6", "round bar", 40, []),
        ("6082", "T7351", "plate", 40, ["T011"]),
        ("7075", "T7351", "plate", 40, []),
        ("2024", "T351", "plate", 40, []),
        ("2024", "T651", "plate", 40, ["T011"]),
        ("6082", "T651", "round bar", 40, ["T012"]),
        ("6082", "", "plate", 40, ["T016"]),
        ("6082", "T651", "plate", 400, ["T014"]),
        ("42CrMo4", "+QT", "round bar", 60, []),
        ("42CrMo4", "QT", "round bar", 60, []),
        ("POM", "", "plate", 30, []),
        ("POM", "T6", "plate", 30, ["T015"]),
        ("CuZn39Pb3", "R430", "plate", 10, ["T013"]),
        ("1.4542", "H1025", "round bar", 30, []),
    ],
)
def test_alloy_temper_form_and_thickness(
    name: str, temper: str, form: str, thickness: float, codes: list[str]
) -> None:
    found = materials.check_stock(materials.find(name).get(), temper, form, thickness)
    assert [problem.code for problem in found] == codes


def test_burning_chips_and_lead_are_named() -> None:
    assert any("burn" in text for text in materials.find("Grade 5").get().cautions)
    assert any("RoHS" in text for text in materials.find("CW614N").get().cautions)


def test_stock_steps() -> None:
    plate = stock.sizes_mm("aluminium wrought", "plate")
    assert stock.next_size_mm(25.1, plate) == 30
    assert stock.next_size_mm(201, plate) is None
    assert stock.next_smaller_mm(6, plate) is None
    with pytest.raises(NotInTable):
        stock.sizes_mm("aluminium printed", "powder")
    for family in {m.family for m in materials.MATERIALS.values()}:
        if not family.endswith(("printed", "cast")):
            sizes = stock.sizes_mm(family, "plate")
            assert list(sizes) == sorted(set(sizes))


@pytest.mark.parametrize(
    "finish,material,temper,codes",
    [
        ("hard anodise", "6082", "T651", []),
        ("hard anodise", "2024", "T351", ["T064"]),
        ("hard anodise", "48000", "T6", ["T064"]),
        ("anodise", "42CrMo4", "+QT", ["T063"]),
        ("zinc", "42CrMo4", "+QT", ["T065"]),
        ("zinc", "S355J2", "+N", []),
        ("passivate", "1.4305", "", ["T067"]),
        ("powder coat", "POM", "", ["T063"]),
    ],
)
def test_finish_on_material(finish: str, material: str, temper: str, codes: list[str]) -> None:
    found = finishes.check_finish(
        finishes.find(finish).get(), materials.find(material).get(), temper=temper
    )
    assert [problem.code for problem in found] == codes


def test_hard_anodising_a_loaded_part_goes_to_the_engineer() -> None:
    hard, al = finishes.find("hardcoat").get(), materials.find("6082").get()
    (problem,) = finishes.check_finish(hard, al, loaded=True)
    assert "responsible engineer" in problem.message


def test_nickel_eats_the_tolerance_of_m3() -> None:
    """25 um of full build-up takes all 100 um of M3-6H (geometry; the 100 um is seen in print)."""
    nut = thread_limits(D(3), D("0.5"), "6H")
    pitch = Limits(nut.pitch_min_mm, nut.pitch_max_mm, nut.basis, D(3))
    nickel = finishes.find("electroless nickel").get()
    assert finishes.before_coating(pitch, "internal thread", (20, 25), (1, 1)) is not None
    assert [p.code for p in finishes.check_build_up(pitch, "internal thread", nickel, 25)] == [
        "T061"
    ]


def test_machining_limits_bring_every_coating_into_the_bore() -> None:
    after = limits_of(parse_callout("42 H7").get()).get()
    before = finishes.before_coating(after, "bore", (8, 12), (0.4, 0.5))
    assert before is not None
    for size in (before.lower_mm, before.upper_mm):
        for thickness, growth in ((8, 0.4), (12, 0.5)):
            change = D(str(finishes.size_change_um("bore", thickness, growth))) / 1000
            assert after.lower_mm <= size + change <= after.upper_mm


@pytest.mark.parametrize(
    "certificate,material,codes",
    [
        ("3.1", "6082", []),
        ("2.2", "1.4404", []),
        ("3.1", "POM", ["T030"]),
        ("3.1B", "6082", ["T031"]),
        ("3.2", "6082", ["T032"]),
        ("", "POM", []),
    ],
)
def test_certificates(certificate: str, material: str, codes: list[str]) -> None:
    found = certificates.check_certificate(certificate, materials.find(material).get())
    assert [problem.code for problem in found] == codes


def test_edge_statements() -> None:
    both = edges.read_statement("ISO 13715: outside -0,3, inside +0,3").get()
    assert both.outside is not None
    assert both.inside is not None
    assert (both.outside.lower_mm, both.inside.upper_mm) == (D("-0.3"), D("0.3"))
    broken = edges.read_statement("break sharp edges 0.1-0.4").get()
    assert broken.inside is None
    assert edges.read_statement("as usual").problems[0].code == "T050"
    assert edges.read_statement("").problems[0].code == "T050"


@pytest.mark.parametrize(
    "text,rule,place,codes",
    [
        ("FCA Gdansk", "FCA", "Gdansk", []),
        ("DAP Kiel, Incoterms 2020", "DAP", "Kiel", []),
        ("delivered at place Kiel", "DAP", "Kiel", []),
        ("ex works", "EXW", "", ["T073"]),
        ("FOB Shenzhen port", "FOB", "Shenzhen port", []),
        ("FOB Munich by courier", "FOB", "Munich", ["T074"]),
    ],
)
def test_delivery_terms(text: str, rule: str, place: str, codes: list[str]) -> None:
    reading = incoterms.read_term(text)
    assert reading.get() == incoterms.DeliveryTerm(rule, place)  # type: ignore[arg-type]
    assert [problem.code for problem in reading.problems] == codes


@pytest.mark.parametrize(
    "text,code",
    [("FOB origin", "T070"), ("F.O.B. destination, freight prepaid", "T070"), ("DDU Kiel", "T072"),
     ("free shipping", "T071")],
)  # fmt: skip
def test_delivery_terms_that_are_none(text: str, code: str) -> None:
    assert incoterms.read_term(text).problems[0].code == code


@pytest.mark.parametrize(
    "text,width,name",
    [
        ("42 H7", "0.025", "three-point bore gauge"),
        ("42 h6", "0.016", "comparator with gauge blocks"),
        ("30 ±0.2", "0.4", "caliper"),
        ("30 ±0.02", "0.04", "micrometer"),
        ("M6-6H", None, "thread gauge go/no-go"),
        ("Ra 0.8", None, "stylus instrument"),
        ("position Ø0.1 A", None, "coordinate measuring machine"),
        ("run-out 0.02 A", None, "dial gauge on centres or plate"),
        ("roundness 0.003", None, "form tester"),
        ("visual: no scratches", None, "visual"),
    ],
)
def test_usual_means(text: str, width: str | None, name: str) -> None:
    means = gauges.usual_means(parse_callout(text).get(), None if width is None else D(width))
    assert means.name == name


def test_a_fifth_is_the_edge() -> None:
    assert gauges.check_means(gauges.MICROMETER, D("0.020")) == ()
    (problem,) = gauges.check_means(gauges.MICROMETER, D("0.0199"))
    assert problem.code == "T090"


def test_stated_deviations_are_compared_with_the_table() -> None:
    assert limits_of(parse_callout("42 H7 (+0.025/0)").get()).ok
    wrong = limits_of(parse_callout("42 H7 (+0.021/0)").get())
    assert wrong.problems[0].code == "T005"
    assert "+0.025" in wrong.problems[0].message


@pytest.mark.parametrize(
    "text,code",
    [("20 t6", "T002"), ("600 H7", "T003"), ("30", "T004"), ("Ra 0.8", "T006"), ("M6-6H", "T006")],
)
def test_callouts_without_limits_say_why(text: str, code: str) -> None:
    assert limits_of(parse_callout(text).get()).problems[0].code == code


def test_one_sided_limits() -> None:
    assert limits_of(parse_callout("R0.5 max").get()).get().upper_mm == D("0.5")
    assert limits_of(parse_callout("min 3").get()).get().upper_mm == D("Infinity")
    assert limits_of(parse_callout("flatness 0.02").get()).get().upper_mm == D("0.02")


# --- ISO 14253-1 ----------------------------------------------------------------------------------

BORE = Limits(D(25), D("25.021"), "25 H7", D(25))


def test_guard_band_at_the_edge_is_95_percent() -> None:
    """At y = limit - 1.65 u the probability of conformance is Φ(1.65) = 0.9505 (normal tables)."""
    edge = D("25.021") - guard_band_mm(D("0.004"))
    found = judge(edge, BORE, D("0.004"))
    assert found.decision == "conforms"
    assert found.probability == pytest.approx(0.5 * (1 + erf(1.65 / sqrt(2))), abs=1e-6)
    assert found.probability >= 0.95
    assert judge(edge + D("0.00001"), BORE, D("0.004")).decision == "neither"


def test_older_editions_are_stricter() -> None:
    assert judge(D("25.0175"), BORE, D("0.004"), "2017").decision == "conforms"
    assert judge(D("25.0175"), BORE, D("0.004"), "2013").decision == "neither"
    assert "1998" in judge(D("25.0175"), BORE, D("0.004"), "1998").rule


def test_too_much_uncertainty_proves_nothing() -> None:
    assert acceptance_zone(BORE, D("0.03")) is None
    assert judge(D("25.01"), BORE, D("0.03")).decision == "neither"
    assert judge(D("25.01"), BORE, 0).decision == "conforms"
    with pytest.raises(ValueError, match="negative"):
        judge(D("25.01"), BORE, D("-0.001"))

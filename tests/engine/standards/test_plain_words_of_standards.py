"""Sentences for data sheets, and the findings beside them: edges, samples, gauges, textures."""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise

import pytest

from rfq.engine.standards import (
    certificates,
    edges,
    finishes,
    gauges,
    materials,
    roughness,
    sampling,
)
from rfq.engine.standards.conformance import acceptance_zone, guard_band_mm, judge
from rfq.engine.standards.finish_tables import RANGES_UM
from rfq.engine.standards.limits import Limits
from rfq.model.callout import parse_callout
from rfq.model.spec import Edge
from rfq.problems import Severity

D = Decimal


# --- edges: minus takes away, plus leaves some (ISO 13715) ----------------------------------------


@pytest.mark.parametrize(
    "edge,words",
    [
        (Edge(D("-0.1"), D("-0.3"), "outside"), "outside edges: material removed, 0.1 to 0.3 mm"),
        (Edge(D(0), D("-0.5"), ""), "edges: material removed, 0 to 0.5 mm"),
        (Edge(D("0.3"), D("0.1"), "inside"), "inside edges: passing left, 0.1 to 0.3 mm"),
        (Edge(D("0.3"), D(0), "outside"), "outside edges: burr left, 0 to 0.3 mm"),
        (Edge(D("0.3"), D(0), ""), "edges: burr or passing left, 0 to 0.3 mm"),
        (Edge(D("0.2"), D("-0.3"), ""), "edges: from 0.3 mm removed to 0.2 mm left"),
    ],
)
def test_an_edge_in_words(edge: Edge, words: str) -> None:
    assert edges.means(edge) == words


def test_one_statement_is_for_all_edges() -> None:
    found = edges.read_statement("ISO 13715: -0.3").get()
    assert found.outside == found.inside
    assert found.outside is not None and found.outside.lower_mm == D("-0.3")
    only = edges.read_statement("outer -0.3").get()
    assert only.inside is None and only.outside is not None
    turned = edges.read_statement("internal +0.3; external -0.2").get()
    assert turned.inside is not None and turned.inside.upper_mm == D("0.3")
    assert turned.outside is not None and turned.outside.lower_mm == D("-0.2")


@pytest.mark.parametrize("text", ["", "ISO 13715:", " ; ", "ISO 13715: M6", "outside nice"])
def test_what_states_no_edge(text: str) -> None:
    reading = edges.read_statement(text)
    assert reading.value is None
    assert [problem.code for problem in reading.problems] == ["T050"]


def test_an_unusual_step_is_named_with_its_sign() -> None:
    (note,) = edges.check_edge(Edge(D("0.3"), D("-0.27")))
    assert note.severity is Severity.NOTE
    assert "-0.27" in note.message
    for step in edges.STEPS_MM:
        assert edges.check_edge(Edge(step, -step)) == ()


def test_what_is_costed_when_nothing_is_said_is_a_break_of_an_outside_edge() -> None:
    assert edges.DEFAULT.where == "outside"
    assert edges.DEFAULT.lower_mm < edges.DEFAULT.upper_mm <= 0
    assert edges.DEFAULT.lower_mm >= D("-0.5")  # a broken edge, not a chamfer


# --- samples --------------------------------------------------------------------------------------


def test_a_plan_never_asks_for_more_than_the_lot() -> None:
    for lot in (1, 2, 8, 9, 12, 13, 14, 150, 151, 1_000_000):
        found = sampling.plan(lot)
        assert 1 <= found.sample <= lot
        assert found.whole_lot == (found.sample == lot)
        assert found.reject == found.accept + 1
        assert found.arrow == (found.code_letter != found.plan_letter)
    assert not sampling.plan(1).arrow and sampling.plan(1).accept == 0
    for nonsense in (0, -5):
        with pytest.raises(ValueError, match="no lot"):
            sampling.plan(nonsense)


def test_letters_are_the_standard_s_without_i_and_o() -> None:
    """ISO 2859-1 leaves out I and O; level II gives A to Q in turn (from memory)."""
    assert "".join(row[2] for row in sampling.ROWS) == "ABCDEFGHJKLMNPQ"
    by_letter = {row[2]: row[3] for row in sampling.ROWS}
    for row in sampling.ROWS:
        assert by_letter[row[4]] == row[5]  # the plan used has the sample of its own letter
    # samples follow the series of preferred numbers R5: ratio 10^(1/5) = 1.58, roughly
    for before, after in pairwise(row[3] for row in sampling.ROWS):
        assert 1.4 <= after / before <= 1.7


def test_a_single_lot_is_another_standard() -> None:
    assert [problem.code for problem in sampling.check_lots(1)] == ["T080"]
    assert sampling.check_lots(1)[0].severity is Severity.NOTE
    assert sampling.check_lots(2) == ()


def test_the_plain_offer() -> None:
    assert sampling.critical_and_rest(25) == sampling.Checks(25, 5)
    assert sampling.critical_and_rest(3).rest == 3
    assert sampling.critical_and_rest(25, 0).rest == 0
    assert sampling.critical_and_rest(1) == sampling.Checks(1, 1)
    assert sampling.in_words(25, 3) == (
        "critical characteristics on all 25 pcs, the others on 3 pcs"
    )
    for lot, rest in ((0, 5), (5, -1)):
        with pytest.raises(ValueError, match="no plan"):
            sampling.critical_and_rest(lot, rest)


# --- measuring means ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text,means",
    [
        ("45° ±1°", gauges.PROTRACTOR),
        ("datum A", gauges.CMM),
        ("hardness 58-62 HRC", gauges.HARDNESS_TESTER),
        ("R2 ±0.2", gauges.PROJECTOR),
        ("R2", gauges.RADIUS_GAUGE),
        ("Ra 0.8", gauges.STYLUS),
        ("edge -0.3", gauges.LOUPE),
        ("flatness 0.02", gauges.FORM_TESTER),
        ("flatness 0.05", gauges.CMM_GEOMETRY),
        ("position 0.1 A B", gauges.CMM_GEOMETRY),
        ("run-out 0.015 A", gauges.DIAL_GAUGE),
        ("run-out 0.014 A", gauges.FORM_TESTER),
        ("position 0.005 A B", gauges.CMM_GEOMETRY),
    ],
)
def test_what_measures_it(text: str, means: gauges.Means) -> None:
    reading = parse_callout(text)
    if reading.value is None:
        pytest.fail(f"{text} was not read: {reading.problems}")
    assert gauges.usual_means(reading.value) == means


def test_the_cheapest_that_is_good_enough_and_else_the_finest() -> None:
    hole, shaft = parse_callout("42 H7").get(), parse_callout("42 h7").get()
    for spec in (hole, shaft):
        chosen = [
            gauges.usual_means(spec, D(width)) for width in ("0.5", "0.15", "0.149", "0.02", "0")
        ]
        fineness = [means.uncertainty_mm or D(0) for means in chosen]
        assert fineness == sorted(fineness, reverse=True)
        assert chosen[0] is chosen[1] is gauges.CALIPER  # a fifth of 0.15 is its own 0.03
        assert chosen[2] is not gauges.CALIPER
        for means, width in zip(chosen[:4], ("0.5", "0.15", "0.149", "0.02"), strict=True):
            assert gauges.check_means(means, D(width)) == ()
    assert gauges.usual_means(hole) is gauges.CALIPER


def test_go_and_no_go_says_only_yes_or_no() -> None:
    assert gauges.PLUG_GAUGE.attributive and gauges.THREAD_GAUGE.attributive
    assert not gauges.CALIPER.attributive
    assert gauges.check_means(gauges.PLUG_GAUGE, D("0.001")) == ()
    (asked,) = gauges.check_means(gauges.CALIPER, D("0.1"))
    assert asked.severity is Severity.ASK and "up to 0.02" in asked.message


def test_named_means_are_faster_the_simpler_they_are() -> None:
    """Common practice: a calliper and a micrometer take as long, comparators and forms longer."""
    assert (gauges.CALIPER.minutes_low, gauges.CALIPER.minutes_typical) == (
        gauges.MICROMETER.minutes_low, gauges.MICROMETER.minutes_typical,
    )  # fmt: skip
    assert gauges.CALIPER.minutes_high == gauges.MICROMETER.minutes_high < 1
    order = (gauges.CALIPER, gauges.BORE_MICROMETER, gauges.BORE_COMPARATOR, gauges.FORM_TESTER)
    for fast, slow in pairwise(order):
        for name in ("minutes_low", "minutes_typical", "minutes_high"):
            assert getattr(fast, name) < getattr(slow, name)
    assert gauges.EYE.minutes_high < 0.5 and gauges.LOUPE.minutes_high < 1


# --- textures -------------------------------------------------------------------------------------


def test_rougher_than_a_tenth_of_the_tolerance_is_asked_about() -> None:
    assert roughness.check_ra(D("1.6"), 16) == ()
    (asked,) = roughness.check_ra(D("1.61"), 16)
    assert asked.code == "T040" and "Ra 1.6 goes" in asked.message
    (no_step,) = roughness.check_ra(D("0.1"), D("0.2"))
    assert "a wider tolerance goes" in no_step.message
    assert roughness.check_ra(D(50)) == ()  # nothing to hold it against


def test_finer_than_a_process_reaches_is_asked_about() -> None:
    finest = roughness.capability("turning").ra_fine_um
    assert roughness.check_ra(finest, process="turning") == ()
    (asked,) = roughness.check_ra(finest - D("0.01"), process="turning")
    assert asked.code == "T041" and asked.severity is Severity.ASK
    both = roughness.check_ra(D("0.2"), 1, "milling")
    assert [problem.code for problem in both] == ["T040", "T041"]


def test_feed_and_roughness_undo_each_other() -> None:
    for feed, nose in ((0.05, 0.4), (0.2, 0.8), (0.35, 1.6)):
        ra, rt = roughness.theoretical_ra_um(feed, nose), roughness.theoretical_rt_um(feed, nose)
        assert rt == pytest.approx(4 * ra)
        assert roughness.feed_for_ra_mm(ra, nose) == pytest.approx(feed)


# --- certificates and conformance -----------------------------------------------------------------


def test_certificate_types_are_told_apart() -> None:
    """EN 10204: 2.x is non-specific, 3.x is; only 2.1 holds no results (from memory)."""
    for name, found in certificates.TYPES.items():
        assert found.type == name
        assert found.specific == name.startswith("3")
        assert found.results == (name != "2.1")
        assert name in certificates.in_words(name) and found.signed_by in certificates.in_words(
            name
        )
    assert certificates.in_words("") == certificates.in_words("4.1") == ""


def test_both_limits_guard_and_both_can_be_failed() -> None:
    limits = Limits(D(10), D(11), "10 to 11", D(10))
    for edition in ("2017", "2013", "1998"):
        guard = guard_band_mm(D("0.1"), edition)  # type: ignore[arg-type]
        zone = acceptance_zone(limits, D("0.1"), edition)  # type: ignore[arg-type]
        assert zone is not None
        assert zone.lower_mm - limits.lower_mm == limits.upper_mm - zone.upper_mm == guard
        for value, decision in (
            (zone.lower_mm, "conforms"), (zone.upper_mm, "conforms"),
            (zone.lower_mm - D("0.001"), "neither"), (zone.upper_mm + D("0.001"), "neither"),
            (limits.lower_mm - guard, "neither"), (limits.upper_mm + guard, "neither"),
            (limits.lower_mm - guard - D("0.001"), "does not conform"),
            (limits.upper_mm + guard + D("0.001"), "does not conform"),
        ):  # fmt: skip
            assert judge(value, limits, D("0.1"), edition).decision == decision  # type: ignore[arg-type]


def test_the_chance_is_a_half_at_a_limit_and_certain_without_doubt() -> None:
    limits = Limits(D(10), D(11), "10 to 11", D(10))
    for value in (D(10), D(11)):
        assert judge(value, limits, D("0.01")).probability == pytest.approx(0.5)
        assert judge(value, limits, 0).probability == 1.0
    assert judge(D("9.999"), limits, 0).probability == 0.0
    assert judge(D("11.001"), limits, 0).probability == 0.0
    open_ended = Limits(D(3), D("Infinity"), "min 3", D(3))
    assert judge(D(50), open_ended, D("0.01")).probability == pytest.approx(1.0)
    assert judge(D(3), open_ended, D("0.01")).probability == pytest.approx(0.5)
    # one standard uncertainty inside a single limit: Φ(1) = 0.8413 (normal tables)
    assert judge(D("3.005"), open_ended, D("0.01")).probability == pytest.approx(0.8413, abs=1e-4)


# --- finishes -------------------------------------------------------------------------------------


def test_a_coating_that_takes_off_or_leaves_nothing() -> None:
    change = {one.name: one for one in finishes.FINISHES.values()}
    assert all(share < 0 for share in change["electropolish"].growth)  # takes material off
    for name in ("electroless nickel", "zinc", "powder coat", "PVD"):
        assert change[name].growth == (1, 1, 1)  # lies wholly on the surface
    for name in ("anodise", "hard anodise", "chromic anodise"):
        low, typical, high = change[name].growth  # a part grows in, a part out
        assert 0.3 < low < typical < high < 0.7
    for name in ("passivate", "black oxide", "bead blast"):
        assert not change[name].builds_up
    assert change["anodise"].builds_up


def test_ranges_hold_the_usual_thickness() -> None:
    for name, ranges in RANGES_UM.items():
        low, typical, high = finishes.FINISHES[name].thickness_um
        for least, most in ranges.values():
            assert least < typical < most
            assert least < high and low < most
    # MIL-A-8625 states type III as 0.0005 to 0.0045 inch, type II as 0.00007 to 0.0010 inch and
    # type I as 0.00002 to 0.0007 inch (table IV, from memory)
    inch_um = 25_400
    for name, kind, inches in (
        ("hard anodise", "type III", (0.0005, 0.0045)), ("anodise", "type II", (0.00007, 0.0010)),
        ("chromic anodise", "type I", (0.00002, 0.0007)),
    ):  # fmt: skip
        stated = tuple(one * inch_um for one in inches)
        assert RANGES_UM[name][kind] == pytest.approx(stated, rel=0.02)


def test_build_up_is_asked_from_a_third_and_stops_at_the_whole() -> None:
    nickel = finishes.find("electroless nickel").get()
    # 10 um a side of full growth change a shaft by 20 um
    for width, codes in (("0.061", []), ("0.060", []), ("0.059", ["T062"]), ("0.021", ["T062"]),
                         ("0.020", ["T061"]), ("0.005", ["T061"])):  # fmt: skip
        limits = Limits(D(10), D(10) + D(width), "shaft", D(10))
        found = finishes.check_build_up(limits, "shaft", nickel, 10)
        assert [problem.code for problem in found] == codes, width
    stop, ask = (
        finishes.check_build_up(Limits(D(10), D(10) + D(w), "", D(10)), "shaft", nickel, 10)[0]
        for w in ("0.01", "0.03")
    )
    assert stop.severity is Severity.STOP and ask.severity is Severity.ASK


def test_a_name_inside_a_sentence_is_found_longest_first() -> None:
    assert finishes.find("please hard anodise, black").get().name == "hard anodise"
    assert finishes.find("zinc plated 8 um").get().name == "zinc"
    assert finishes.find("zincate").value is None  # a part of a word is no word


def test_classes_of_iso_10074() -> None:
    kinds = {
        name: finishes.alloy_class(materials.find(name).get())
        for name in ("6082", "2024", "7075", "5083", "48000", "42100", "C45", "AlSi10Mg")
    }
    assert kinds["6082"] == "1" and kinds["2024"] == "2a"
    assert kinds["5083"] == kinds["7075"] == "2b"
    assert kinds["42100"] == "3a" and kinds["48000"] == kinds["AlSi10Mg"] == "3b"
    assert kinds["C45"] == ""


@pytest.mark.parametrize(
    "finish,material,temper,codes",
    [
        ("anodise", "42100", "", ["T064"]),
        ("anodise", "48000", "", ["T064"]),
        ("anodise", "2024", "", []),
        ("hard anodise", "42100", "", []),
        ("electroless nickel", "1.4542", "H900", ["T065"]),
        ("electroless nickel", "42CrMo4", "+A", []),
        ("zinc", "42CrMo4", "+n", []),
        ("zinc", "C45", "", []),
        ("passivate", "1.4301", "", []),
    ],
)
def test_what_to_mind_with_a_finish(
    finish: str, material: str, temper: str, codes: list[str]
) -> None:
    made = finishes.find(finish).get()
    found = finishes.check_finish(made, materials.find(material).get(), temper=temper, loaded=True)
    extra = ["T066"] if finish == "hard anodise" else []  # fatigue of a loaded part
    assert [problem.code for problem in found] == codes + extra


def test_build_up_counts_the_typical_share() -> None:
    """15 um of anodising, of which 0.4 lies outside, make a shaft 2 x 6 = 12 um thicker."""
    (asked,) = finishes.check_build_up(
        Limits(D(10), D("10.021"), "10 H7", D(10)), "shaft", finishes.find("anodise").get(), 15
    )
    assert "by about 12 um" in asked.message
    (usual,) = finishes.check_build_up(
        Limits(D(10), D("10.021"), "10 H7", D(10)), "shaft", finishes.find("anodise").get()
    )
    assert "of 12 um changes shaft by about 10 um" in usual.message  # 12 um is the usual thickness

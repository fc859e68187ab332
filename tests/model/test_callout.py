"""Callouts: what people type is read as meant, told in one sentence where it is not."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from rfq.model.callout import (
    Angle,
    Attribute,
    Callout,
    Chamfer,
    Datum,
    Edge,
    Fit,
    Geometric,
    Radius,
    Size,
    Spec,
    Texture,
    Thread,
    canonical,
    parse_callout,
)
from rfq.model.series import CHARACTERISTICS, FORM, HOLE_ZONES, MAY_BE_ROUND, SHAFT_ZONES
from rfq.problems import Place, Severity

D = Decimal

READ: list[tuple[str, Spec]] = [
    ("42 H7", Fit(D(42), "H", "7", True)),
    ("Ø42H7", Fit(D(42), "H", "7", True, diameter=True)),
    ("⌀42 H7", Fit(D(42), "H", "7", True, diameter=True)),
    ("dia 42 h6", Fit(D(42), "h", "6", False, diameter=True)),
    ("10 JS6", Fit(D(10), "JS", "6", True)),
    ("10 h01", Fit(D(10), "h", "01", False)),
    ("42 H7 (+0.025/0) Ⓔ", Fit(D(42), "H", "7", True, False, True, D("0.025"), D(0))),
    ("6x 5 H7", Fit(D(5), "H", "7", True, count=6)),
    ("25 ±0,05", Size(D(25), D("0.05"), D("-0.05"))),
    ("25±0.05", Size(D(25), D("0.05"), D("-0.05"))),
    ("25 +/- 0.05", Size(D(25), D("0.05"), D("-0.05"))),
    ("25 +0.1/-0.05", Size(D(25), D("0.1"), D("-0.05"))),
    ("25 +0.1 -0.05", Size(D(25), D("0.1"), D("-0.05"))),
    ("25 −0,05 / −0,10", Size(D(25), D("-0.05"), D("-0.10"))),
    ("25 -0.1/-0.05", Size(D(25), D("-0.05"), D("-0.1"))),
    ("25 +0.1/0", Size(D(25), D("0.1"), D(0))),
    ("25 0/-0.1", Size(D(25), D(0), D("-0.1"))),
    ("25", Size(D(25))),
    ("25 mm", Size(D(25))),
    ("4x 5.5", Size(D("5.5"), count=4)),
    ("4 x Ø5,5", Size(D("5.5"), diameter=True, count=4)),
    ("40 max", Size(D(40), bound="max")),
    ("≥ 2", Size(D(2), bound="min")),
    ("24.9-25.1", Size(D("25.1"), D(0), D("-0.2"))),
    ("M6-6H x 12", Thread("M", D(6), D(1), "6H", D(12))),
    ("M8x1-6H", Thread("MF", D(8), D(1), "6H")),
    ("M8x1.25-6H", Thread("M", D(8), D("1.25"), "6H")),
    ("M6 6g", Thread("M", D(6), D(1), "6g", internal=False)),
    ("M8x16", Thread("M", D(8), D("1.25"), "", D(16))),
    ("M12x16/Ø10.2x20", Thread("M", D(12), D("1.75"), "", D(16), drill_depth_mm=D(20))),
    ("4x M5-6H through", Thread("M", D(5), D("0.8"), "6H", through=True, count=4)),
    ("M10-5g6g", Thread("M", D(10), D("1.5"), "5g6g", internal=False)),
    ("M20x1.5-LH-6g", Thread("MF", D(20), D("1.5"), "6g", internal=False, left_hand=True)),
    ("G1/4", Thread("G", D("0.25"), None, label="1/4")),
    ("G 1/2 A", Thread("G", D("0.5"), None, "A", internal=False, label="1/2")),
    ("1/4-20 UNC-2B", Thread("UNC", D("0.25"), D("1.27"), "2B", label="1/4")),
    ("10-32 UNF-2A", Thread("UNF", D("0.190"), D("25.4") / 32, "2A", internal=False, label="#10")),
    ("Tr20x4-7e", Thread("Tr", D(20), D(4), "7e", internal=False)),
    ("Ra 0.8", Texture("Ra", D("0.8"))),
    ("Rz 6,3", Texture("Rz", D("6.3"))),
    ("Ramax 0.8", Texture("Ra", D("0.8"), rule="max")),
    ("L Ra 0.4", Texture("Ra", D("0.4"), "lower")),
    ("Ra 0.4-0.8", Texture("Ra", D("0.8"), "upper", D("0.4"))),
    ("Ra 1.6 ISO 21920", Texture("Ra", D("1.6"), edition="21920")),
    ("N6", Texture("Ra", D("0.8"))),
    ("flatness 0.02", Geometric("flatness", D("0.02"))),
    ("Ebenheit 0,02", Geometric("flatness", D("0.02"))),
    ("position Ø0.1 A B C", Geometric("position", D("0.1"), True, "", ("A", "B", "C"))),
    ("⌖|Ø0.1 Ⓜ|A|B Ⓜ", Geometric("position", D("0.1"), True, "M", ("A", "B(M)"))),
    ("4x position Ø0.2 A", Geometric("position", D("0.2"), True, "", ("A",), 4)),
    ("perpendicularity 0.05 A", Geometric("perpendicularity", D("0.05"), datums=("A",))),
    ("total runout 0.03 A-B", Geometric("total run-out", D("0.03"), datums=("A-B",))),
    ("run-out 0.02 to A", Geometric("run-out", D("0.02"), datums=("A",))),
    ("R3", Radius(D(3))),
    ("R0,5 max", Radius(D("0.5"), bound="max")),
    ("SR10 ±0.1", Radius(D(10), D("0.1"), D("-0.1"), spherical=True)),
    ("1x45°", Chamfer(D(1))),
    ("0,5 × 30°", Chamfer(D("0.5"), D(30))),
    ("C1", Chamfer(D(1))),
    ("2x 1x45°", Chamfer(D(1), count=2)),
    ("60° ±0.5°", Angle(D(216000), D(1800), D(-1800))),
    ("60° ±30'", Angle(D(216000), D(1800), D(-1800))),
    ("3x angle 60°", Angle(D(216000), count=3)),
    ("15°30' +10'/0", Angle(D(55800), D(600), D(0))),
    ("edge -0.3", Edge(D(0), D("-0.3"))),
    ("outside edge -0.1/-0.5", Edge(D("-0.1"), D("-0.5"), "outside")),
    ("break sharp edges 0.1-0.4", Edge(D("-0.1"), D("-0.4"), "outside")),
    ("edges ±0,1", Edge(D("0.1"), D("-0.1"))),
    ("datum A", Datum("A")),
    ("visual: no scratches on face A", Attribute("visual", "no scratches on face A")),
    ("go/no-go M6", Attribute("go/no-go", "M6")),
    ("58-62 HRC", Attribute("hardness", "58-62 HRC")),
]


@pytest.mark.parametrize("text,spec", READ, ids=[text for text, _ in READ])
def test_reads(text: str, spec: Spec) -> None:
    reading = parse_callout(text)
    assert reading.value == spec
    assert parse_callout(canonical(spec)).value == spec


WRONG = [
    ("", "K001", "empty"),
    ("as per model", "K002", "no callout we can read"),
    ("42 I7", "K003", "ISO 286 has no zone I"),
    ("42 Q7", "K003", "ISO 286 has no zone Q"),
    ("Q7", "K003", "ISO 286 has no zone Q"),
    ("42 H20", "K004", "ISO 286 has no grade 20"),
    ("42 H7/g6", "K006", "a hole and a shaft"),
    ("25 ±0", "K005", "leaves no size"),
    ("5 +0.1/-6", "K005", "not above 0"),
    ("M8x3", "K007", "neither a pitch"),
    ("M9.9", "K007", "no coarse pitch"),
    ("M6-6Q", "K008", "no thread class 6Q"),
    ("M6 banana", "K008", "'banana' is not understood"),
    ("M12x16/10", "K005", "shallower than the thread"),
    ("flatness 0.02 A", "K009", "takes no datum"),
    ("position 0 A", "K010", "only with (M) or (L)"),
    ("0", "K010", "size of 0 mm"),
    ("roundness Ø0.02", "K012", "no cylinder"),
    ("25,000.5", "K013", "mixes decimal signs"),
    ("H7", "K015", "no size"),
    ("4 x 45", "K019", "a chamfer or a count"),
    ("0.5 in", "K020", "write 12.7"),
    ('1/2"', "K020", "write 12.7"),
    ("Ra", "K022", "gives no value"),
    ("position", "K023", "no whole position"),
    ("position 0.1 A B C D", "K024", "at most three"),
]


@pytest.mark.parametrize("text,code,words", WRONG, ids=[text or "empty" for text, _, _ in WRONG])
def test_says_what_is_wrong_where(text: str, code: str, words: str) -> None:
    place = Place("parts/SB-110.toml", line=14)
    (problem,) = parse_callout(text, place).problems
    assert problem.code == code
    assert words in problem.message
    assert problem.place == place
    assert problem.message.endswith(".")
    assert not re.search(r"\.\s+[A-Z]", problem.message), "one sentence"


NOTED = [
    ("M6", "K014", Severity.NOTE),
    ("N7", "K017", Severity.NOTE),
    ("25 +0.05", "K018", Severity.NOTE),
    ("datum I", "K021", Severity.NOTE),
    ("run-out 0.02", "K011", Severity.ASK),
]


@pytest.mark.parametrize("text,code,severity", NOTED, ids=[text for text, _, _ in NOTED])
def test_notes_come_with_a_whole_spec(text: str, code: str, severity: Severity) -> None:
    reading = parse_callout(text)
    assert reading.ok
    assert [(p.code, p.severity) for p in reading.problems] == [(code, severity)]


# --- round trip: any spec, written short, reads back as itself ------------------------------------

lengths = st.decimals(min_value="0.01", max_value="999", places=3)
counts = st.integers(1, 99)


@st.composite
def pairs(draw: st.DrawFn, nominal: Decimal) -> tuple[Decimal | None, Decimal | None]:
    if draw(st.booleans()):
        return None, None
    reach = min(nominal / 2, D(5)).quantize(D("0.001"))
    values = st.decimals(min_value=-reach, max_value=reach, places=3)
    a, b = draw(values), draw(values)
    if a == b or nominal + min(a, b) <= 0:
        return None, None
    return max(a, b), min(a, b)


@st.composite
def specs(draw: st.DrawFn) -> Spec:
    nominal, count = draw(lengths), draw(counts)
    upper, lower = draw(pairs(nominal))
    bound = draw(st.sampled_from(["", "max", "min"])) if upper is None else ""
    flag = draw(st.booleans())
    kind = draw(st.integers(0, 9))
    if kind == 0:
        return Size(nominal, upper, lower, flag, bound, draw(st.booleans()), count)
    if kind == 1:
        internal = draw(st.booleans())
        zone = draw(st.sampled_from(HOLE_ZONES if internal else SHAFT_ZONES))
        grade = draw(st.sampled_from(["01", "0", "5", "7", "18"]))
        return Fit(nominal, zone, grade, internal, flag, draw(st.booleans()), upper, lower, count)
    if kind == 2:
        name = draw(st.sampled_from(list(CHARACTERISTICS)))
        datums = draw(st.lists(st.sampled_from(["A", "B(M)", "C-D"]), max_size=3))
        return Geometric(
            name,
            nominal,
            flag and name in MAY_BE_ROUND,
            draw(st.sampled_from(["", "M", "L"])),
            () if name in FORM else tuple(datums),
            count,
        )
    if kind == 3:
        lower_um = draw(st.none() | st.just(nominal / 4))
        parameter = draw(st.sampled_from(["Ra", "Rz", "Rq", "Rt"]))
        side = "upper" if lower_um is not None or flag else "lower"
        edition = draw(st.sampled_from(["", "1302", "21920"]))
        return Texture(
            parameter, nominal, side, lower_um, edition, draw(st.sampled_from(["", "max", "16%"]))
        )
    if kind == 4:
        size, pitch = draw(
            st.sampled_from([("6", "1"), ("8", "1"), ("3", "0.5"), ("2.5", "0.45"), ("20", "1.5")])
        )
        internal = draw(st.booleans())
        name = draw(st.sampled_from(["", "6H", "6G"] if internal else ["", "6g", "5g6g", "6az"]))
        depth = draw(st.none() | st.decimals(min_value=10, max_value=60, places=1))
        system = "MF" if (size, pitch) in (("8", "1"), ("20", "1.5")) else "M"
        return Thread(
            system, D(size), D(pitch), name, depth, draw(st.booleans()), internal, flag, count=count
        )
    if kind == 5:
        low, high = sorted((nominal, draw(lengths)))
        where = draw(st.sampled_from(["", "outside", "inside"]))
        return draw(
            st.sampled_from(
                [Edge(D(0), -nominal, where), Edge(nominal, -nominal, where)]
                + ([Edge(-low, -high, where)] if low != high else [])
            )
        )
    if kind == 6:
        arc = st.integers(1, 360 * 3600).map(Decimal)
        tolerance = draw(st.none() | arc)
        return Angle(draw(arc), tolerance, None if tolerance is None else -tolerance, count)
    if kind == 7:
        return Chamfer(
            nominal, draw(st.sampled_from([D(45), D(30), D("12.5")])), upper, lower, count
        )
    if kind == 8:
        return Radius(nominal, upper, lower, bound, flag, count)
    return Attribute(draw(st.sampled_from(["visual", "marking", "check"])), "face A as sample 3")


@given(specs())
@settings(max_examples=400)
def test_short_form_reads_back(spec: Spec) -> None:
    text = canonical(spec)
    assert parse_callout(text).value == spec, text


@given(st.text(max_size=40) | st.text("0123456789.,+-±xXØ°'\"MRaHgGC/() ⌖ⒺⓂUNFb", max_size=24))
@settings(max_examples=400)
def test_any_text_gives_a_spec_or_one_located_sentence(text: str) -> None:
    place = Place("parts/X.toml", line=3)
    reading = parse_callout(text, place)
    if reading.value is not None:
        assert parse_callout(canonical(reading.value)).value == reading.value
    assert all(problem.place == place and problem.message for problem in reading.problems)


# --- the record -----------------------------------------------------------------------------------


def test_a_callout_keeps_what_was_typed_and_what_it_means() -> None:
    callout = Callout(number="7", what="bearing seat", text="42 H7 Ⓔ", zone="C4")
    assert callout.state == "open"
    assert callout.has_envelope
    assert callout.spec.get() == Fit(D(42), "H", "7", True, envelope=True)


def test_count_is_given_or_read() -> None:
    assert Callout(number="1", text="4x Ø5.5").times == 4
    assert Callout(number="1", text="Ø5.5", count=3).times == 3
    assert Callout(number="1", text="nonsense", count=3).times == 3


@pytest.mark.parametrize("field", [{"count": 0}, {"state": "free"}, {"depth_mm": -1}, {"nmae": ""}])
def test_a_callout_refuses_what_it_cannot_hold(field: dict[str, object]) -> None:
    with pytest.raises(ValidationError):
        Callout.model_validate({"number": "1", "text": "R3", **field})

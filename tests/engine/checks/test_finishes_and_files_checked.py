"""Findings on coatings, files, dates and stock that the plain cases do not touch."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

import pytest

from rfq.engine.checks import Facts, check
from rfq.engine.checks.files import revision_in_name
from rfq.engine.checks.widths import feature_of, limits_of
from rfq.model.callout import Callout, parse_callout
from rfq.model.part import FileRef, Finish, Part
from rfq.model.project import Project, Settings
from rfq.model.request import Asked, Override, Request, RequestLine, RequestTerms
from rfq.model.shop import Contact, Shop
from rfq.problems import Problem, Severity

D = Decimal


def found(finish: Finish | None = None, text: str = "25 H7", files: Any = None,
          terms: Any = None, **changes: Any) -> dict[str, Problem]:  # fmt: skip
    fields: dict[str, Any] = {
        "number": "TG-1", "revision": "A", "name": "block", "material": "EN AW-6082",
        "temper": "T651", "form": "plate", "export_control": "none",
        "drawing": FileRef(path="drawings/TG-1_A.pdf"), "finishes": (finish,) if finish else (),
        "callouts": (Callout(number="1", what="bore", text=text, envelope=True, depth_mm=20,
                             coating=changes.pop("coating", "")),),
    }  # fmt: skip
    ask: dict[str, Any] = {
        "id": "R1", "title": "t", "answer_by": datetime(2026, 7, 20, 12, tzinfo=UTC),
        "lines": (RequestLine(part="TG-1", quantities=(5, 25)),), "asked": (Asked(shop="s"),),
        "rule_set": "ISO GPS", "general_tolerance": "ISO 2768-m", "datum_system": "ISO 5459",
        "texture_edition": "ISO 1302", "edges": "ISO 13715 -0.3",
        "terms": RequestTerms(incoterm="DAP", place="Ort", payment="30 days net", **(terms or {})),
        **changes.pop("request", {}),
    }  # fmt: skip
    request = Request(**ask)
    project = Project(
        settings=Settings(name="p", contact=Contact(email="me@example.com")),
        parts={"TG-1": Part(**{**fields, **changes})},
        shops={"s": Shop(id="s", name="S", country="DE", currency="EUR", nda="signed",
                         contact=Contact(email="s@s.example.com"))},
        requests={"R1": request},
    )  # fmt: skip
    facts = Facts(project, request, date(2026, 7, 3), files=files or {})
    return {problem.code: problem for problem in check(facts)}


def test_a_house_name_of_a_finish_is_asked_about() -> None:
    asked = found(Finish(name="magic grey"))["T060"]
    assert asked.severity is Severity.ASK and asked.subject == "TG-1"


def test_a_coating_that_grows_needs_its_thickness() -> None:
    assert "C231" in found(Finish(name="anodise"))
    assert "C231" not in found(Finish(name="anodise", grade="AA15"))
    assert "C231" not in found(Finish(name="anodise", thickness_um=10))
    assert "C231" not in found(Finish(name="chromate conversion"))


@pytest.mark.parametrize(
    "finish,text,coating,code",
    [
        (Finish(name="hard anodise", thickness_um=50), "25 H7", "", "T061"),
        (Finish(name="hard anodise", thickness_um=50), "25 H7", "before", ""),
        (Finish(name="hard anodise", thickness_um=50), "25 H7", "after", "C232"),
        # 5 um +-20 % at .333 to .5 a side vary by some 3 um: 21 um leave room for it
        (Finish(name="anodise", thickness_um=10), "25 H7", "after", ""),
        # a 60 degree thread takes 4 x 25 = 100 um of the 150 um of M6-6H
        (Finish(name="hard anodise", thickness_um=50), "M6-6H x 12", "", "T062"),
        (Finish(name="hard anodise", thickness_um=50, masks=1), "M6-6H x 12", "", ""),
        (Finish(name="hard anodise", thickness_um=50, masks=1), "25 H7", "", "T061"),
        (Finish(name="chromate conversion"), "25 H7", "", ""),
        (Finish(name="hard anodise", thickness_um=50), "Ra 0.8", "", ""),
    ],
)
def test_a_coating_eats_no_fit_in_silence(
    finish: Finish, text: str, coating: str, code: str
) -> None:
    codes = set(found(finish, text, coating=coating))
    assert codes & {"T061", "T062", "C232"} == ({code} if code else set())


def test_limits_and_features_of_callouts() -> None:
    spec = {text: parse_callout(text).get() for text in (
        "25 H7", "25 h7", "M6-6H", "M6-6g", "min 3", "Ra 0.8", "G1/4", "12 ±0.1")}  # fmt: skip
    assert [feature_of(spec[text]) for text in ("25 H7", "25 h7", "M6-6H", "M6-6g", "Ra 0.8")] == [
        "bore", "shaft", "internal thread", "external thread", None,
    ]  # fmt: skip
    for text in ("min 3", "Ra 0.8", "G1/4"):
        assert limits_of(spec[text]) is None, text
    pitch = limits_of(spec["M6-6H"])
    assert pitch is not None and pitch.lower_mm == D("5.350")  # M6: d2 = 6 - 0.6495
    plain = limits_of(spec["12 ±0.1"])
    assert plain is not None and plain.width_mm == D("0.2")


def test_files_are_of_the_part_and_of_its_revision() -> None:
    gone = Problem("F001", "the file is gone.")
    assert found(files={"drawings/TG-1_A.pdf": (gone,)})["F001"].subject == "TG-1"
    model = FileRef(path="models/TG-1_B.step")
    assert "C203" in found(model=model)
    only = found(drawing=None, model=FileRef(path="models/TG-1_A.step"))
    assert only["C202"].severity is Severity.ASK
    for path, named in (("a/TG-1_rev_C.pdf", "C"), ("a/TG-1-ind.02.pdf", "02"), ("a/X_A.pdf", ""),
                        ("a/tg-1_b.PDF", "b"), ("a/TG-1_final.pdf", "")):  # fmt: skip
        assert revision_in_name(path, "TG-1") == named


def test_dates_and_terms_of_a_request() -> None:
    assert "C111" in found(request={"answer_by": None})
    # 3 July 2026 is a Friday: to the 9th there are four working days, to the 10th five
    for day, short in ((9, True), (10, False)):
        due = datetime(2026, 7, day, 12, tzinfo=UTC)
        assert ("C112" in found(request={"answer_by": due})) is short
        assert "C112" not in found(request={"answer_by": due, "state": "sent"})
    for day, wrong in ((20, True), (21, False)):
        assert ("C113" in found(request={"need_date": date(2026, 7, day)})) is wrong
    assert "C127" in found(terms={"decision_rule": ""})
    assert "C127" not in found()


def test_what_was_let_pass_is_a_note_with_its_reason() -> None:
    let = Override(code="C127", reason="agreed by telephone", by="me", on=date(2026, 7, 1))
    note = found(terms={"decision_rule": ""}, request={"overrides": (let,)})["C127"]
    assert note.severity is Severity.NOTE and "agreed by telephone" in note.message
    other = let.model_copy(update={"subject": "somebody"})
    asked = found(terms={"decision_rule": ""}, request={"overrides": (other,)})["C127"]
    assert asked.severity is Severity.ASK


def test_a_stock_form_that_is_not_said_is_asked() -> None:
    assert "C211" in found(form="")
    assert "C211" not in found()

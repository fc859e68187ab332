"""Each contradiction that must be found before sending is planted in a clean part, and found."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from rfq.engine.checks import ALL, Facts, check
from rfq.model.callout import Callout
from rfq.model.estimate import CalloutShare
from rfq.model.part import FileRef, Finish, Part
from rfq.model.project import Project, Settings
from rfq.model.request import Asked, Override, Request, RequestLine, RequestTerms
from rfq.model.shop import Contact, Shop
from rfq.problems import Problem, Severity

TODAY = date(2026, 7, 3)


def part(**changes: Any) -> Part:
    given: dict[str, Any] = {
        "number": "TG-1", "revision": "A", "name": "block", "material": "EN AW-6082",
        "temper": "T651", "form": "plate", "export_control": "none",
        "drawing": FileRef(path="drawings/TG-1_A.pdf"),
        "callouts": (Callout(number="1", what="bore", text="25 H7", envelope=True, depth_mm=20),),
    }  # fmt: skip
    return Part(**{**given, **changes})


def request(**changes: Any) -> Request:
    given: dict[str, Any] = {
        "id": "R1", "title": "t", "answer_by": datetime(2026, 7, 20, 12, tzinfo=UTC),
        "lines": (RequestLine(part="TG-1", quantities=(5, 25)),), "asked": (Asked(shop="s"),),
        "rule_set": "ISO GPS", "general_tolerance": "ISO 2768-m", "datum_system": "ISO 5459",
        "texture_edition": "ISO 1302", "edges": "ISO 13715 -0.3",
        "terms": RequestTerms(incoterm="DAP", place="Musterhafen", payment="30 days net"),
    }  # fmt: skip
    return Request(**{**given, **changes})


def shop(**changes: Any) -> Shop:
    given: dict[str, Any] = {
        "id": "s", "name": "S", "country": "DE", "currency": "EUR", "nda": "signed",
        "contact": Contact(email="s@s.example.com"),
    }  # fmt: skip
    return Shop(**{**given, **changes})


def found(
    one: Part | None = None, ask: Request | None = None, who: Shop | None = None, **facts: Any
) -> tuple[Problem, ...]:
    project = Project(
        settings=Settings(name="p", contact=Contact(email="me@example.com")),
        parts={"TG-1": one or part()},
        shops={"s": who or shop()},
        requests={"R1": ask or request()},
    )
    return check(Facts(project, ask or request(), TODAY, **facts))


def codes(*args: Any, **kwargs: Any) -> set[str]:
    return {problem.code for problem in found(*args, **kwargs)}


def callout(text: str, **more: Any) -> tuple[Callout, ...]:
    return (Callout(number="1", what="face", text=text, **more),)


def test_a_clean_request_has_no_findings() -> None:
    assert found() == ()


@pytest.mark.parametrize(
    ("changes", "code", "severity"),
    [
        ({"temper": "T7351"}, "T011", Severity.STOP),
        ({"material": "EN AW-6028"}, "T010", Severity.ASK),
        ({"material": "POM-C", "temper": "", "form": "rod", "certificate": "3.1"}, "T030",
         Severity.STOP),
        ({"drawing": None}, "C201", Severity.STOP),
        ({"drawing": FileRef(path="drawings/TG-1_B.pdf")}, "C203", Severity.STOP),
        ({"export_control": "unsettled"}, "C144", Severity.STOP),
        ({"callouts": callout("25 I7")}, "K003", Severity.STOP),
        ({"callouts": callout("25 H7 (+0.030/0)", envelope=True)}, "T005", Severity.STOP),
        ({"callouts": callout("25 H7", critical=True)}, "C224", Severity.ASK),
        ({"callouts": callout("M6-6H")}, "C226", Severity.ASK),
        ({"callouts": callout("M6-6H x 30")}, "C227", Severity.ASK),
        ({"callouts": callout("M6-6H x 12", depth_mm=10)}, "C228", Severity.STOP),
        ({"callouts": callout("position 0.1 A")}, "C229", Severity.ASK),
        ({"callouts": ()}, "C221", Severity.ASK),
        ({"callouts": callout("Ra 0.05")}, "T041", Severity.ASK),
        ({"finishes": (Finish(name="hard anodise"),)}, "C231", Severity.ASK),
        ({"finishes": (Finish(name="hard anodise", thickness_um=50),)}, "T061", Severity.STOP),
        ({"material": "EN AW-2024", "temper": "T351",
          "finishes": (Finish(name="hard anodise", thickness_um=50, masks=1),),
          "callouts": callout("25 H7", coating="before", envelope=True)}, "T064", Severity.ASK),
        ({"finishes": (Finish(name="zinc", thickness_um=8),)}, "T063", Severity.STOP),
        ({"general_tolerance": "ISO 2768-mK"}, "T001", Severity.NOTE),
        ({"loaded": True}, "C213", Severity.ASK),
        ({"loaded": True, "responsible": "x", "other_routes": ("printed",)}, "C214", Severity.NOTE),
    ],
)  # fmt: skip
def test_a_contradiction_in_a_part_is_found(
    changes: dict[str, Any], code: str, severity: Severity
) -> None:
    problems = [one for one in found(part(**changes)) if one.code == code]
    assert problems, sorted(codes(part(**changes)))
    assert problems[0].severity is severity
    assert problems[0].why
    assert problems[0].subject == "TG-1"


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"lines": ()}, "C101"),
        ({"asked": ()}, "C102"),
        ({"lines": (RequestLine(part="TG-9", quantities=(1,)),)}, "C103"),
        ({"lines": (RequestLine(part="TG-1", quantities=(5,), order_first=10),)}, "C104"),
        ({"asked": (Asked(shop="nobody"),)}, "C105"),
        ({"asked": (Asked(shop="s", parts=("TG-7",)),)}, "C106"),
        ({"answer_by": None}, "C111"),
        ({"answer_by": datetime(2026, 7, 7, tzinfo=UTC)}, "C112"),
        ({"need_date": date(2026, 7, 10)}, "C113"),
        ({"terms": RequestTerms(payment="net")}, "C121"),
        ({"terms": RequestTerms(incoterm="DAP", payment="net")}, "C122"),
        ({"terms": RequestTerms(incoterm="FOB", place="Hamburg", payment="net")}, "C123"),
        ({"terms": RequestTerms(incoterm="DAP", place="X")}, "C125"),
        ({"rule_set": ""}, "C131"),
        ({"general_tolerance": ""}, "C133"),
        ({"edges": ""}, "C136"),
    ],
)
def test_a_gap_in_the_request_is_found(changes: dict[str, Any], code: str) -> None:
    assert code in codes(None, request(**changes))


def test_texture_without_edition_and_datum_without_system_are_asked() -> None:
    one = part(callouts=(*callout("Ra 1.6"), Callout(number="2", text="datum A"),
                         Callout(number="3", text="position 0.1 A")))  # fmt: skip
    assert {"C135", "C132"} <= codes(one, request(texture_edition="", datum_system=""))


def test_no_drawing_leaves_without_agreement_or_against_export_control() -> None:
    assert "C141" in codes(None, None, shop(nda="missing"))
    assert "C143" in codes(part(export_control="controlled"))
    assert "C143" not in codes(
        part(export_control="controlled"), None, shop(may_receive_controlled=True)
    )


def test_ex_works_across_a_border_is_advised_against() -> None:
    ask = request(terms=RequestTerms(incoterm="EXW", place="X", payment="net"))
    assert "C124" in codes(None, ask, shop(country="PL"))
    assert "C124" not in codes(None, ask, shop(country="DE"))


def test_what_is_wrong_with_a_drawing_is_said_at_the_part() -> None:
    files = {"drawings/TG-1_A.pdf": (Problem("D013", "is encrypted"),)}
    problem = next(one for one in found(files=files) if one.code == "D013")
    assert problem.subject == "TG-1" and problem.why


def test_dear_open_callouts_come_dearest_first_and_only_where_it_pays() -> None:
    def share(number: str, saving: float) -> CalloutShare:
        return CalloutShare(
            callout=number, what="bore", text="25 H7", low=1, middle=2, high=3,
            neighbour="25 H8", saving=saving, share=0.1,
        )  # fmt: skip

    one = part(callouts=tuple(
        Callout(number=str(n), what="bore", text="25 H7", envelope=True) for n in (1, 2, 3)
    ))  # fmt: skip
    shares = {"TG-1": (share("1", 0.5), share("2", 1.5), share("3", 0.0))}
    dear = [problem for problem in found(one, shares=shares) if problem.code == "C301"]
    assert [problem.saving for problem in dear] == ["1.50", "0.50"]


def test_an_override_lets_a_finding_pass_and_says_who() -> None:
    override = Override(code="C131", reason="old drawing", by="ana", on=TODAY)
    problem = next(
        one for one in found(None, request(rule_set="", overrides=(override,)))
        if one.code == "C131"
    )  # fmt: skip
    assert problem.severity is Severity.NOTE
    assert "ana" in problem.message and "old drawing" in problem.message


def test_an_override_of_another_part_does_not_help() -> None:
    override = Override(code="C201", subject="TG-9", reason="x", by="ana", on=TODAY)
    stops = [
        one for one in found(part(drawing=None), request(overrides=(override,)))
        if one.code == "C201"
    ]  # fmt: skip
    assert stops[0].severity is Severity.STOP


def test_every_check_has_a_reason_in_its_docstring() -> None:
    assert all(one.__doc__ for one in ALL)


def test_working_days_are_counted_without_weekends() -> None:
    friday = datetime(2026, 7, 10, tzinfo=UTC)
    assert "C112" not in codes(None, request(answer_by=friday))
    assert "C112" in codes(None, request(answer_by=friday - timedelta(days=1)))

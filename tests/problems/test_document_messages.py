"""The gallery of the documents: every problem code (D) made to happen, with what it says."""

from __future__ import annotations

import hashlib
import re
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfWriter

from rfq.documents.package import build_package
from rfq.documents.wording import check_template, load_wording
from rfq.model.part import FileRef, Part
from rfq.model.project import Project, Settings
from rfq.model.request import Asked, Request, RequestLine
from rfq.model.shop import Contact, Shop
from rfq.problems import Problem

ROOT = Path(__file__).parent.parent.parent


def drawing(pages: int = 1, password: str = "") -> bytes:
    writer = PdfWriter()
    for _ in range(pages):
        writer.add_blank_page(100, 100)
    if password:
        writer.encrypt(password, algorithm="RC4-128")
    out = BytesIO()
    writer.write(out)
    return out.getvalue()


def said(
    data: bytes | None = None,
    *,
    name: str = "lever",
    email: str = "q@mill.example.com",
    language: str = "en",
    sha256: str = "",
    logo: str = "",
    asked: bool = True,
    more: tuple[str, ...] = (),
    note: str = "",
    gate: int = 10_000_000,
) -> tuple[Problem, ...]:
    good = drawing() if data is None else data
    part = Part(
        number="LV-1", revision="A", name=name, material="POM-C", shop_note=note,
        drawing=FileRef(path="d/LV-1_A.pdf", sha256=sha256),
        files=tuple(FileRef(path=path) for path in more),
    )  # fmt: skip
    shop = Shop(
        id="mill", name="Mill", country="DE", currency="EUR", language=language,
        contact=Contact(email=email),
    )  # fmt: skip
    request = Request(
        id="r", title="levers", lines=(RequestLine(part="LV-1", quantities=(5,)),),
        asked=(Asked(shop="mill"),) if asked else (),
    )  # fmt: skip
    project = Project(
        settings=Settings(name="bench", logo=logo, internal_note="ask Tarn & Co first"),
        parts={"LV-1": part}, shops={"mill": shop},
    )  # fmt: skip
    files = {path: str(n).encode() for n, path in enumerate(more)}
    if data != b"missing":
        files["d/LV-1_A.pdf"] = good
    when = datetime(2026, 7, 6, tzinfo=UTC)
    wording = load_wording().get()
    return build_package(
        project, request, "mill", 1, files, when, wording, gate_bytes=gate
    ).problems


CASES = {
    "D010": (
        lambda: said(b"missing"),
        "d/LV-1_A.pdf: LV-1: the drawing is not there; put it back or take it off the part.",
    ),
    "D011": (
        lambda: said(sha256=hashlib.sha256(b"old").hexdigest()),
        "d/LV-1_A.pdf: LV-1: the drawing changed since it was attached; attach it again if this is "
        "the right one.",
    ),
    "D012": (
        lambda: said(b"scribble"),
        "d/LV-1_A.pdf: LV-1: the drawing cannot be read as PDF; export it again.",
    ),
    "D013": (
        lambda: said(drawing(password="x")),
        "d/LV-1_A.pdf: LV-1: the drawing is encrypted; a shop cannot open it: export it without a "
        "password.",
    ),
    "D014": (
        lambda: said(drawing(60)),
        "d/LV-1_A.pdf: LV-1: the drawing has 60 pages; are they all of this part?",
    ),
    "D015": (lambda: said(b""), "d/LV-1_A.pdf: LV-1: the drawing is empty; export it again."),
    "D016": (
        lambda: said(name="lever 🜲"),
        "LV-1: no font here prints U+1F732; a question mark stands there.",
    ),
    "D017": (
        lambda: said(logo="logo.png"),
        "logo.png: the logo is not there; the cover is made without it.",
    ),
    "D018": (
        lambda: said(gate=90_000),
        "r_rev1_round1_response-form.pdf: this file alone is above the 0.09 MB at which mail gates "
        "stop; send it another way or leave it out of the mail.",
    ),
    "D019": (
        lambda: said(more=("x/setup.dxf", "y/setup.dxf")),
        "y/setup.dxf: LV-1: two files would both be called LV-1_A_setup.dxf; rename one.",
    ),
    "D020": (
        lambda: said(note="ask Tarn & Co first"),
        "r_rev1_round1_request.pdf[stream]: 'ask Tarn & Co first' must not leave the project and "
        "stands in this file; nothing was written.",
    ),
    "D021": (
        lambda: said(asked=False),
        "nothing is asked of mill in r, round 1; name it under 'asked' with its parts.",
    ),
    "D022": (
        lambda: said(email="by phone"),
        "mill has no mail address; the draft has no recipient.",
    ),
    "D023": (
        lambda: said(language="pl"),
        "there is no templates/request.pl.txt for mill; its mail is English.",
    ),
    "D002": (
        lambda: tuple(check_template("hello.en.txt", "x", "templates/hello.en.txt")[1]),
        "templates/hello.en.txt: 'hello.en.txt' is no text we use; names are kind.language.txt "
        "with kind ",
    ),
    "D003": (
        lambda: tuple(check_template("cautions.en.txt", "a\n{b}", "templates/cautions.en.txt")[1]),
        "templates/cautions.en.txt:2: {b} is no blank of this text; it has none.",
    ),
    "D004": (
        lambda: tuple(
            check_template("reminder.en.txt", "Subject: {request}", "templates/reminder.en.txt")[1]
        ),
        "templates/reminder.en.txt: the text never says {answer_by}; the shop needs it.",
    ),
    "D005": (
        lambda: tuple(
            check_template("reminder.en.txt", "{request} {answer_by}", "templates/reminder.en.txt")[
                1
            ]
        ),
        "templates/reminder.en.txt:1: a letter begins with a line 'Subject: ...'.",
    ),
}


@pytest.mark.parametrize("code", CASES)
def test_each_message(code: str) -> None:
    make, words = CASES[code]
    problems = [problem for problem in make() if problem.code == code]
    assert problems, f"{code} did not happen"
    assert str(problems[0]).startswith(words)


def test_a_text_that_is_no_utf_8(tmp_path: Path) -> None:
    (tmp_path / "templates").mkdir()
    (tmp_path / "templates" / "request.en.txt").write_bytes(b"Subject: f\xfcr")
    (problem,) = load_wording(tmp_path).problems
    assert f"{problem.code} {problem}" == (
        "D001 templates/request.en.txt: this is no UTF-8 text; save it as UTF-8."
    )


def test_every_code_of_packages_is_shown() -> None:
    used: set[str] = set()
    for path in (ROOT / "rfq" / "documents").glob("*.py"):
        used |= set(re.findall(r'"(D0[012]\d)"', path.read_text(encoding="utf-8")))
    assert used - set(CASES) - {"D001"} == set()

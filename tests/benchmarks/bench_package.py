"""A large request as PDF against the bare canvas writing the same lines on as many pages.

Run by hand: ``pytest tests/benchmarks/bench_package.py -m benchmark -s``. The ratio is what
counts; seconds are this machine's.
"""

from __future__ import annotations

import time
from datetime import UTC, datetime
from io import BytesIO

import pypdfium2
import pytest

from rfq.documents import fonts
from rfq.documents.outgoing import outgoing
from rfq.documents.request_pdf import request_pdf
from rfq.documents.wording import load_wording
from rfq.model.callout import Callout
from rfq.model.part import Finish, Part
from rfq.model.project import Project, Settings
from rfq.model.request import Asked, Request, RequestLine
from rfq.model.shop import Shop

PARTS = 200
TEXTS = (
    "{n} H7", "{n} ±0.05", "M6-6H x 12", "Ra 0.8", "position Ø0.1 A B",
)  # fmt: skip


def large_project() -> Project:
    parts = {}
    for number in range(PARTS):
        callouts = tuple(
            Callout(
                number=str(place + 1),
                what=f"feature {place + 1} of part {number}",
                text=text.format(n=10 + (number * 7 + place) % 300),
                zone=f"{'ABCDEF'[place]}{number % 8 + 1}",
                measured_with="CMM" if place == 4 else "",
            )
            for place, text in enumerate(TEXTS)
        )
        name = f"P-{number:04d}"
        parts[name] = Part(
            number=name, revision="A", name=f"bracket number {number}", material="EN AW-6082",
            temper="T651", material_standard="EN 485-2", certificate="3.1", callouts=callouts,
            finishes=(Finish(name="anodise", grade="AA15"),), free=("Unmarked radii up to R3.",),
        )  # fmt: skip
    request = Request(
        id="large", title="A large request", rule_set="ISO GPS",
        general_tolerance="ISO 2768-mK", general_roughness="Ra 3.2",
        lines=tuple(RequestLine(part=name, quantities=(5, 25, 100)) for name in parts),
        asked=(Asked(shop="oakvane"),),
    )  # fmt: skip
    shop = Shop(id="oakvane", name="Oakvane", country="GB", currency="GBP")
    return Project(
        settings=Settings(name="large"), parts=parts, shops={"oakvane": shop},
        requests={"large": request},
    )  # fmt: skip


def lines_of(data: bytes) -> list[list[str]]:
    """Lines as printed: what stands on one height is one line, however many cells it has."""
    document = pypdfium2.PdfDocument(data)
    pages = []
    for page in document:
        text = page.get_textpage()
        heights: dict[int, str] = {}
        for number in range(text.count_rects()):
            box = text.get_rect(number)
            height = round(box[1] / 3)
            heights[height] = f"{heights.get(height, '')} {text.get_text_bounded(*box)}".strip()
        pages.append(list(heights.values()))
    document.close()
    return pages


def bare(pages: list[list[str]]) -> bytes:
    from reportlab.pdfgen.canvas import Canvas

    out = BytesIO()
    canvas = Canvas(out, pageCompression=1)
    for lines in pages:
        canvas.setFont(fonts.REGULAR, 8)
        for place, line in enumerate(lines):
            canvas.drawString(45, 790 - 8 * place, line)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


@pytest.mark.benchmark
def test_large_request_within_three_times_the_bare_canvas() -> None:
    project = large_project()
    wording = load_wording().get()
    now = datetime(2026, 7, 6, tzinfo=UTC)
    fonts.ready()
    out = outgoing(project, project.requests["large"], project.shops["oakvane"], 1)
    seen: list[int] = []
    start = time.perf_counter()  # the first run, with nothing remembered but the fonts
    data = request_pdf(out, wording, now, progress=seen.append)
    ours = time.perf_counter() - start
    pages = lines_of(data)
    theirs = []
    for _ in range(3):
        start = time.perf_counter()
        bare(pages)
        theirs.append(time.perf_counter() - start)
    ratio = ours / min(theirs)
    lines = sum(map(len, pages))
    print(f"\n{len(pages)} pages, {lines} lines: {ours:.2f} s against {min(theirs):.2f} s")
    print(f"ratio {ratio:.2f}")
    assert seen == list(range(1, len(pages) + 1))
    assert ratio <= 3

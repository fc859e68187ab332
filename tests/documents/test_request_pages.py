"""The request as paper: every page looked at as a reader would, from the finished bytes alone."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from io import BytesIO
from itertools import pairwise

import pypdfium2
import pypdfium2.raw as pdfium
import pytest
from pypdf import PdfReader

from rfq.documents.changes import changes_between
from rfq.documents.look import MARGIN, SMALLEST, Running, Sheet
from rfq.documents.outgoing import outgoing
from rfq.documents.request_form import response_form
from rfq.documents.request_pdf import request_pdf
from rfq.documents.tables import Column, Row, table
from rfq.documents.views import View
from rfq.documents.wording import Wording
from rfq.model.callout import Callout
from rfq.model.project import Project

BLOCK = (
    View("front", (((0, 0), (80, 0), (80, 40), (0, 40), (0, 0)),), (((9, 0), (9, 40)),), 80, 40),
    View("top", (((0, 0), (80, 0), (80, 60), (0, 60), (0, 0)),), (), 80, 60),
)


def make(project: Project, shop: str, wording: Wording, now: datetime, views: bool = True) -> bytes:
    out = outgoing(project, project.requests["2026-07"], project.shops[shop], 1)
    return request_pdf(out, wording, now, views={"RG-110": BLOCK} if views else None)


def long_project(project: Project) -> Project:
    """The same with a part of 120 callouts and a note of a page and more."""
    part = project.parts["RG-110"]
    more = tuple(
        Callout(number=str(n), what=f"step {n}", text=f"Ø{n} H7", zone="A1", note="as before " * 6)
        for n in range(20, 140)
    )
    long = part.model_copy(
        update={"callouts": part.callouts + more, "shop_note": "A long story. " * 500}
    )
    return project.model_copy(update={"parts": {**project.parts, part.number: long}})


@pytest.fixture(params=["oakvane", "tarnfell", "long", "form"])
def document(
    request: pytest.FixtureRequest, river_project: Project, wording: Wording, now: datetime
) -> bytes:
    if request.param == "long":
        return make(long_project(river_project), "oakvane", wording, now)
    if request.param == "form":
        the_request = river_project.requests["2026-07"]
        return response_form(
            outgoing(river_project, the_request, river_project.shops["oakvane"], 1), now
        )
    return make(river_project, request.param, wording, now)


def texts(data: bytes) -> list[str]:
    with pypdfium2.PdfDocument(data) as document:
        return [page.get_textpage().get_text_range() for page in document]


def test_nothing_outside_the_margins(document: bytes) -> None:
    with pypdfium2.PdfDocument(document) as pdf:
        for page in pdf:
            width, height = page.get_size()
            for thing in page.get_objects(max_depth=1):
                left, bottom, right, top = thing.get_bounds()
                assert left >= MARGIN - 1 and right <= width - MARGIN + 1
                assert bottom >= MARGIN - 4 and top <= height - MARGIN + 1


def test_no_type_under_seven_points(document: bytes) -> None:
    with pypdfium2.PdfDocument(document) as pdf:
        for page in pdf:
            text = page.get_textpage()
            for place in range(text.count_chars()):
                if pdfium.FPDFText_GetUnicode(text, place) > 32:
                    assert pdfium.FPDFText_GetFontSize(text, place) >= SMALLEST - 0.01


def test_no_two_texts_overlap(document: bytes) -> None:
    with pypdfium2.PdfDocument(document) as pdf:
        for number, page in enumerate(pdf, 1):
            text = page.get_textpage()
            boxes = [text.get_rect(place) for place in range(text.count_rects())]
            boxes.sort(key=lambda box: (-round(box[1]), box[0]))
            for place, one in enumerate(boxes):
                for other in boxes[place + 1 : place + 40]:
                    wide = min(one[2], other[2]) - max(one[0], other[0])
                    high = min(one[3], other[3]) - max(one[1], other[1])
                    if wide > 0.6 and high > 0.6:
                        clash = text.get_text_bounded(*one), text.get_text_bounded(*other)
                        pytest.fail(f"page {number}: {clash} overlap by {wide:.1f} x {high:.1f}")


def test_every_page_says_request_revision_round_and_its_number(document: bytes) -> None:
    pages = texts(document)
    for number, text in enumerate(pages, 1):
        assert "2026-07, revision 2, round 1" in text
        assert re.search(rf"page {number} of {len(pages)}\b", " ".join(text.split()))


def test_black_and_grey_only(document: bytes) -> None:
    for page in PdfReader(BytesIO(document)).pages:
        contents = page.get_contents()
        assert contents is not None
        for red, green, blue in re.findall(
            rb"([\d.]+) ([\d.]+) ([\d.]+) rg\b", contents.get_data(), re.I
        ):
            assert red == green == blue


def test_table_heads_are_repeated(river_project: Project, wording: Wording, now: datetime) -> None:
    pages = texts(make(long_project(river_project), "oakvane", wording, now))
    with_rows = [text for text in pages if "ISO 286-2, class H7" in text]
    assert len(with_rows) > 4
    for text in with_rows:
        assert "Characteristic" in text and "Measured" in text


def test_figures_stand_at_the_decimal_point(now: datetime) -> None:
    sheet = Sheet(paper="A4", title="t", running=Running("t"), when=now)
    figures = ["42.000", "7.5", "1 234.25", "-0.020", "180"]
    table(
        sheet, (Column("What", 1), Column("Limit", 1, "point")),
        [Row([f"row {n}", figure]) for n, figure in enumerate(figures)],
    )  # fmt: skip
    with pypdfium2.PdfDocument(sheet.finish()) as pdf:
        text = pdf[0].get_textpage()
        whole = text.get_text_range()
        points = []
        for figure in figures[:-1]:
            place = whole.index(figure) + figure.index(".")
            points.append(text.get_charbox(place)[0])
    assert max(points) - min(points) < 0.1


def test_names_of_many_languages_print(
    river_project: Project, wording: Wording, now: datetime
) -> None:
    name = "Łącznik Žďár Işık Ελατήριο 浮子支架"
    part = river_project.parts["RG-310"].model_copy(update={"name": name})
    project = river_project.model_copy(update={"parts": {**river_project.parts, "RG-310": part}})
    pages = texts(make(project, "oakvane", wording, now))
    assert any(name in " ".join(text.split()) for text in pages)


def test_fonts_are_embedded_but_for_the_chinese_collections(
    river_project: Project, wording: Wording, now: datetime
) -> None:
    reader = PdfReader(BytesIO(make(river_project, "oakvane", wording, now)))
    seen = set()
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].values():  # type: ignore[index]
            one = font.get_object()
            if one["/Subtype"] == "/TrueType":
                assert "/FontFile2" in one["/FontDescriptor"]
                seen.add(str(one["/BaseFont"]).split("+")[-1])
    assert {"NotoSans-Regular", "NotoSans-Bold"} <= seen


def test_metadata_says_what_it_is_and_names_no_author(
    river_project: Project, wording: Wording, now: datetime
) -> None:
    reader = PdfReader(BytesIO(make(river_project, "oakvane", wording, now)))
    meta = reader.metadata
    assert meta is not None
    assert meta.title == (
        "Request for quotation 2026-07, revision 2, round 1: River gauge, float arm parts"
    )
    assert not meta.author
    assert meta.creation_date == now.astimezone(UTC)


def test_bookmarks_lead_to_the_parts(
    river_project: Project, wording: Wording, now: datetime
) -> None:
    with pypdfium2.PdfDocument(make(river_project, "oakvane", wording, now)) as pdf:
        marks = [mark.get_title() for mark in pdf.get_toc()]
    assert [m for m in ("Request", "Terms", "Part list", "Data sheets") if m in marks] == [
        "Request", "Terms", "Part list", "Data sheets",
    ]  # fmt: skip
    assert [m.split()[0] for m in marks if m.startswith("RG-")] == ["RG-110", "RG-204", "RG-310"]


@pytest.mark.parametrize(("shop", "size"), [("oakvane", (595, 842)), ("tarnfell", (612, 792))])
def test_paper_of_the_shop(
    shop: str, size: tuple[int, int], river_project: Project, wording: Wording, now: datetime
) -> None:
    with pypdfium2.PdfDocument(make(river_project, shop, wording, now)) as pdf:
        assert {tuple(map(round, page.get_size())) for page in pdf} == {size}


def test_a_shop_sees_its_parts_only(
    river_project: Project, wording: Wording, now: datetime
) -> None:
    whole = "\n".join(texts(make(river_project, "tarnfell", wording, now)))
    assert "RG-110" in whole and "RG-310" in whole and "RG-204" not in whole


def test_data_sheets_can_be_forwarded(
    river_project: Project, wording: Wording, now: datetime
) -> None:
    sheets = texts(make(river_project, "oakvane", wording, now))[3:]
    assert not any("Quantities asked" in text for text in sheets)
    request = river_project.requests["2026-07"].model_copy(
        update={"quantities_on_data_sheets": True}
    )
    project = river_project.model_copy(update={"requests": {"2026-07": request}})
    sheets = texts(make(project, "oakvane", wording, now))[3:]
    assert any("5, 25, 100 pcs" in text for text in sheets)


def test_same_input_same_bytes(river_project: Project, wording: Wording, now: datetime) -> None:
    assert make(river_project, "oakvane", wording, now) == make(
        river_project, "oakvane", wording, now
    )


def test_a_revision_is_told_in_words_and_marked(
    river_project: Project, wording: Wording, now: datetime
) -> None:
    new = river_project.requests["2026-07"]
    old = new.model_copy(update={"revision": 1, "changes": ()})
    part = river_project.parts["RG-110"]
    before = part.model_copy(
        update={
            "temper": "T6",
            "callouts": tuple(
                c.model_copy(update={"text": "8 N9"}) if c.number == "9" else c
                for c in part.callouts
            ),
        }
    )
    changes = changes_between(
        old, new, {**river_project.parts, "RG-110": before}, river_project.parts
    )
    assert changes.words == (
        "RG-110: temper: T6 is now T651",
        "RG-110: no. 9: slot 8 N9 is now slot 8 P9",
    )
    assert changes.prices_touched == {"RG-110"}
    out = outgoing(river_project, new, river_project.shops["oakvane"], 1)
    plain = request_pdf(out, wording, now)
    marked = request_pdf(out, wording, now, changes=changes)
    assert "slot 8 N9 is now slot 8 P9" in " ".join(texts(marked)[0].split())
    assert _bars(marked) > _bars(plain)


def _bars(data: bytes) -> int:
    """Bars in the left margin: thick upright lines left of all text."""
    count = 0
    for page in PdfReader(BytesIO(data)).pages:
        contents = page.get_contents()
        assert contents is not None
        count += len(re.findall(rb"^2\.2 w ", contents.get_data(), re.MULTILINE))
    return count


def test_pages_count_up_for_the_progress_bar(
    river_project: Project, wording: Wording, now: datetime
) -> None:
    seen: list[int] = []
    out = outgoing(
        river_project, river_project.requests["2026-07"], river_project.shops["oakvane"], 1
    )
    data = request_pdf(out, wording, now, progress=seen.append)
    assert seen[-1] == len(texts(data))
    assert all(later == earlier + 1 for earlier, later in pairwise(seen))


def test_cautions_stand_on_the_sheet_they_belong_to(
    river_project: Project, wording: Wording, now: datetime
) -> None:
    titanium = river_project.parts["RG-204"].model_copy(update={"material": "Ti-6Al-4V"})
    project = river_project.model_copy(
        update={"parts": {**river_project.parts, "RG-204": titanium}}
    )
    whole = [" ".join(text.split()) for text in texts(make(project, "oakvane", wording, now))]
    block = " ".join(text for text in whole[3:] if "RG-110" in text or "Cautions" in text)
    assert "our responsible engineer agrees in writing" in block
    assert any("Titanium chips and fine dust burn" in text for text in whole[3:])
    assert "Hydrogen embrittlement" in whole[1] and "can burn or explode" in whole[1]

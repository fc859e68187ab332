"""Published limits stand in the data sheet as a reader extracts them.

Sources: ISO 286-2 (limits of H7, g6, P9, N6, js10, K7 at the sizes below), ISO 2768-1 tables 1
and 2 (class m and f), ISO 965-1/-2 (M6, M10, M12x1.5), all as printed in trade tables, from
memory; build-up of a coating is geometry (bore: twice the growth off the diameter).
"""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal

import pypdfium2
import pytest

from rfq.documents.data_sheet import data_sheet
from rfq.documents.limits import General, state
from rfq.documents.look import Running, Sheet
from rfq.documents.outgoing import outgoing
from rfq.model.callout import Callout
from rfq.model.part import Finish, Part
from rfq.model.project import Project, Settings
from rfq.model.request import Asked, Request, RequestLine
from rfq.model.shop import Shop

PUBLISHED = [
    # text, general tolerance, lower, upper
    ("42 H7", "", "42.000", "42.025"),
    ("20 g6", "", "19.980", "19.993"),
    ("8 P9", "", "7.949", "7.985"),
    ("25 N6", "", "24.976", "24.989"),
    ("30 js10", "", "29.958", "30.042"),
    ("50 K7", "", "49.982", "50.007"),
    ("100 h9", "", "99.913", "100.000"),
    ("2.5", "ISO 2768-m", "2.4", "2.6"),
    ("30", "ISO 2768-m", "29.8", "30.2"),
    ("31", "ISO 2768-mK", "30.7", "31.3"),
    ("180", "ISO 2768-m", "179.5", "180.5"),
    ("180", "ISO 2768-f", "179.8", "180.2"),
    ("R6", "ISO 2768-m", "5.5", "6.5"),
    ("M6-6H", "", "5.350", "5.500"),
    ("M6-6H", "", "4.917", "5.153"),
    ("M10-6g", "", "8.862", "8.994"),
    ("M12x1.5-6g", "", "10.854", "10.994"),
    ("M12x1.5-6g", "", "11.732", "11.968"),
]


def printed(text: str, general: str, **more: object) -> str:
    part = Part(
        number="P-1", revision="A", name="part", material="EN AW-6082",
        general_tolerance=general, callouts=(Callout(number="1", text=text, **more),),  # type: ignore[arg-type]
    )  # fmt: skip
    request = Request(
        id="r", title="t", lines=(RequestLine(part="P-1", quantities=(5,)),),
        asked=(Asked(shop="mill"),),
    )  # fmt: skip
    shop = Shop(id="mill", name="M", country="DE", currency="EUR")
    project = Project(settings=Settings(name="p"), parts={"P-1": part}, shops={"mill": shop})
    sheet = Sheet(
        paper="A4", title="t", running=Running("t"), when=datetime(2026, 7, 6, tzinfo=UTC)
    )
    out = outgoing(project, request, shop, 1)
    data_sheet(sheet, out, out.parts[0])
    with pypdfium2.PdfDocument(sheet.finish()) as pdf:
        return "\n".join(page.get_textpage().get_text_range() for page in pdf)


@pytest.mark.parametrize(("text", "general", "lower", "upper"), PUBLISHED)
def test_published_limits_are_printed(text: str, general: str, lower: str, upper: str) -> None:
    words = printed(text, general).split()
    assert lower in words and upper in words


def test_coating_build_up() -> None:
    """Ø10 H8 (0/+22 um) before 40 um hard anodise, half of it outward: 2 x 0.5 x 40 = 40 um off.

    The band of 32 to 48 um and 45 to 55 % gives 28.8 to 52.8 um.
    """
    hard = Finish(name="hard anodise", thickness_um=Decimal(40))
    callout = Callout(number="1", text="Ø10 H8", coating="before")
    found = state(callout, General(), coatings=(hard,))
    assert [(b.name, b.lower, b.upper) for b in found.bounds] == [
        ("before coating", "10.000", "10.022"),
        ("after coating", "9.947", "9.994"),
    ]
    middle = Decimal(10) - 2 * Decimal("0.5") * Decimal("0.040")
    assert Decimal("9.947") < middle < Decimal("9.994")


def test_size_to_machine_to_lies_inside_for_every_thickness() -> None:
    """Ø60 h9 (0/-74 um) after the same coating: worst case of growth on both limits."""
    hard = Finish(name="hard anodise", thickness_um=Decimal(40))
    found = state(Callout(number="1", text="Ø60 h9", coating="after"), General(), coatings=(hard,))
    before = found.bounds[1]
    for thickness in (Decimal("0.032"), Decimal("0.040"), Decimal("0.048")):
        for share in (Decimal("0.45"), Decimal("0.5"), Decimal("0.55")):
            assert Decimal(before.lower) + 2 * thickness * share >= Decimal("59.926")
            assert Decimal(before.upper) + 2 * thickness * share <= Decimal(60)


def test_no_size_is_made_up_where_the_coating_eats_the_tolerance() -> None:
    hard = Finish(name="hard anodise", thickness_um=Decimal(40))
    found = state(Callout(number="1", text="Ø12 H6", coating="after"), General(), coatings=(hard,))
    assert len(found.bounds) == 1
    assert "no size before hard anodise keeps these limits for certain" in found.words


def test_inches_are_rounded_inward() -> None:
    """25.4 mm is an inch exactly (ISO 31 and the international yard agreement of 1959)."""
    found = state(Callout(number="1", text="42 H7"), General(), inch=True)
    (pair,) = found.bounds
    assert (pair.inch_lower, pair.inch_upper) == ("1.6536", "1.6545")
    assert Decimal(pair.inch_lower) * Decimal("25.4") >= Decimal("42.000")
    assert Decimal(pair.inch_upper) * Decimal("25.4") <= Decimal("42.025")


def test_a_zone_the_standard_lacks_gets_no_figures() -> None:
    found = state(Callout(number="1", text="0.8 H15"), General())
    assert found.bounds == ()
    assert "ISO 286" in found.words

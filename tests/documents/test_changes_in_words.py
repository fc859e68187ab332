"""What a revision changed, in words a shop reads; and which quotes still answer it."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from rfq.documents.changes import changes_between
from rfq.documents.outgoing import outgoing
from rfq.model.callout import Callout
from rfq.model.part import FileRef
from rfq.model.project import Project
from rfq.model.quote import Price, Quote


def quote(now: datetime) -> Quote:
    prices = tuple(
        Price(part=part, quantity=25, each=Decimal(10), currency="GBP")
        for part in ("RG-110", "RG-204")
    )
    return Quote(
        shop="oakvane", request="2026-07", revision=1, received=now, accepted_at=now,
        source=FileRef(path="x.xlsx"), currency="GBP", prices=prices,
    )  # fmt: skip


def test_nothing_changed(river_project: Project, now: datetime) -> None:
    request, parts = river_project.requests["2026-07"], river_project.parts
    found = changes_between(request, request, parts, parts)
    assert found.words == () and not found.for_all
    assert found.still_answered(quote(now)) == ("RG-110", "RG-204")


def test_a_later_answer_date_leaves_quotes_standing(river_project: Project, now: datetime) -> None:
    request, parts = river_project.requests["2026-07"], river_project.parts
    new = request.model_copy(update={"answer_by": None, "title": "Other title"})
    found = changes_between(request, new, parts, parts)
    assert len(found.words) == 2
    assert found.still_answered(quote(now)) == ("RG-110", "RG-204")


def test_terms_touch_every_price(river_project: Project, now: datetime) -> None:
    request, parts = river_project.requests["2026-07"], river_project.parts
    terms = request.terms.model_copy(update={"incoterm": "EXW"})
    found = changes_between(request, request.model_copy(update={"terms": terms}), parts, parts)
    assert found.words == ("incoterm: DAP is now EXW",)
    assert found.still_answered(quote(now)) == ()


def test_callouts_files_quantities_and_lines(river_project: Project, now: datetime) -> None:
    request, parts = river_project.requests["2026-07"], river_project.parts
    part = parts["RG-204"]
    moved = part.callouts[0].model_copy(update={"zone": "B4", "internal_note": "MARKER-X"})
    new_part = part.model_copy(
        update={
            "drawing": FileRef(path="files/RG-204_C.pdf", sha256="12" * 32),
            "callouts": (moved, *part.callouts[1:-1], Callout(number="9", what="keyway", text="6")),
        }
    )
    lines = (
        request.lines[0],
        request.lines[1].model_copy(update={"quantities": (25, 50)}),
    )
    found = changes_between(
        request, request.model_copy(update={"lines": lines}), parts, {**parts, "RG-204": new_part}
    )
    assert found.words == (
        "RG-204: quantities: 25, 100 is now 25, 50",
        "RG-204: drawing: another file (RG-204_C.pdf)",
        "RG-204: no. 1: zone: B3 is now B4",
        "RG-204: no. 9 is new: keyway 6",
        "RG-204: no. 5 is dropped: journals Rz 4",
        "RG-310: no longer asked",
    )
    assert found.still_answered(quote(now)) == ("RG-110",)


def test_a_shop_hears_of_its_own_parts_only(river_project: Project) -> None:
    request, parts = river_project.requests["2026-07"], river_project.parts
    other = parts["RG-204"].model_copy(update={"temper": "cold drawn"})
    found = changes_between(
        request, request, parts, {**parts, "RG-204": other}, only=("RG-110", "RG-310")
    )
    assert found.words == ()
    told = request.model_copy(update={"changes": ("RG-204: temper changed", "RG-110: other")})
    out = outgoing(river_project, told, river_project.shops["tarnfell"], 1)
    assert out.request.changes == ("RG-110: other",)

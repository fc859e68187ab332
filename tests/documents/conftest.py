"""A realistic request of an invented maker of river-level gauges, for the document tests."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal

import pytest

from rfq.documents.wording import Wording, load_wording
from rfq.model.callout import Callout
from rfq.model.part import FileRef, Finish, OwnShouldCost, Part
from rfq.model.project import Project, Settings
from rfq.model.request import Asked, Override, Request, RequestLine, RequestTerms, Round
from rfq.model.shop import Contact, Shop

CEST = timezone(timedelta(hours=2))
NOW = datetime(2026, 7, 6, 9, 30, tzinfo=UTC)


def _bearing_block() -> Part:
    return Part(
        number="RG-110",
        revision="C",
        name="Bearing block, float arm",
        material="EN AW-6082",
        temper="T651",
        form="plate",
        material_standard="EN 485-2",
        certificate="3.1",
        callouts=(
            Callout(number="1", what="bearing seat", text="Ø42 H7 (E)", state="fixed",
                    critical=True, zone="C4", measured_with="bore gauge"),
            Callout(number="2", what="seat", text="Ra 0.8", state="fixed", zone="C4",
                    measured_with="stylus"),
            Callout(number="3", what="seat to face", text="perpendicularity Ø0.02 A",
                    state="fixed", critical=True, zone="C5", measured_with="CMM"),
            Callout(number="4", what="mounting face", text="datum A", state="fixed", zone="B2"),
            Callout(number="5", what="mounting holes", text="4x 6.6", zone="D3"),
            Callout(number="6", what="hole pattern", text="position Ø0.2 (M) A B(M)", zone="D3",
                    measured_with="CMM or gauge"),
            Callout(number="7", what="cover threads", text="4x M6-6H x 12/17", zone="E2",
                    measured_with="go/no-go gauge"),
            Callout(number="8", what="height over face", text="25 ±0.05", zone="A3"),
            Callout(number="9", what="slot", text="8 P9", zone="F5", measured_with="slip gauges"),
            Callout(number="10", what="all edges", text="edge -0.3", zone=""),
            Callout(number="11", what="pocket corner", text="R6", zone="B5"),
            Callout(number="12", what="lead-in", text="1x45°", zone="C4"),
            Callout(number="13", what="flank", text="60° ±30'", zone="F2"),
            Callout(number="14", what="face", text="visual: no scratch longer than 5 mm"),
            Callout(number="15", what="spigot", text="Ø60 h9", coating="after", zone="C6"),
            Callout(number="16", what="guide", text="Ø10 H8", coating="before", zone="D6"),
            Callout(number="17", what="stop", text="Ø12 H6", coating="after", zone="D7"),
        ),
        finishes=(
            Finish(name="hard anodise", standard="ISO 10074", grade="class 1(a)",
                   thickness_um=Decimal(40), colour="natural, dark grey", masks=5,
                   masked="bearing seat, cover threads", state="fixed"),
        ),
        drawing=FileRef(path="files/RG-110_C.pdf", sha256="ab" * 32, revision="C"),
        model=FileRef(path="files/RG-110_C.step", sha256="cd" * 32, revision="C"),
        free=("Unmarked inside radii up to R6.", "Clamping flats on the long sides, up to 2 mm."),
        other_materials=("EN AW-6061 T651",),
        loaded=True,
        critical=True,
        cosmetic="front face: class A, no rack contact",
        export_control="none",
        marking="part number and revision, laser, face B",
        inch=True,
        shop_note="Chips of this alloy from long slots tend to wrap; that is why the slot is open.",
        internal_note="MARKER-PART-NOTE",
        responsible="MARKER-ENGINEER",
        should_cost=(
            OwnShouldCost(low=Decimal("98.76"), middle=Decimal("123.45"), high=Decimal("150"),
                          source="MARKER-COST-SOURCE"),
        ),
    )  # fmt: skip


def _shaft() -> Part:
    return Part(
        number="RG-204",
        revision="B",
        name="Float axle",
        material="1.4404",
        temper="annealed",
        form="round bar",
        material_standard="EN 10088-3",
        certificate="3.1",
        callouts=(
            Callout(number="1", what="journals", text="2x Ø20 g6", state="fixed", critical=True,
                    zone="B3", measured_with="micrometer", internal_note="MARKER-CALLOUT-NOTE"),
            Callout(number="2", what="journals", text="total run-out 0.02 A-B", state="fixed",
                    zone="B3", measured_with="between centres"),
            Callout(number="3", what="end thread", text="M12x1.5-6g x 18", zone="A1",
                    measured_with="ring gauge"),
            Callout(number="4", what="length", text="180", zone="A5"),
            Callout(number="5", what="journals", text="Rz 4", state="fixed", zone="B3"),
        ),
        drawing=FileRef(path="files/RG-204_B.pdf", sha256="ef" * 32),
        export_control="none",
    )  # fmt: skip


def _bracket() -> Part:
    return Part(
        number="RG-310",
        revision="A",
        name="Łącznik, çelik, Ελατήριο",  # names print as people write them
        material="POM-C",
        form="sheet",
        callouts=(
            Callout(number="1", what="thickness", text="10 +0.2/0"),
            Callout(number="2", what="width", text="60"),
            Callout(number="3", what="hand", text="not a callout ((("),
        ),
        other_routes=("printed",),
        export_control="none",
    )


@pytest.fixture
def river_project() -> Project:
    """Three parts, two shops, one request in its second revision, one round."""
    request = Request(
        id="2026-07",
        revision=2,
        title="River gauge, float arm parts",
        answer_by=datetime(2026, 7, 24, 12, 0, tzinfo=CEST),
        need_date=date(2026, 9, 11),
        lines=(
            RequestLine(part="RG-110", quantities=(5, 25, 100), order_first=25, yearly=120),
            RequestLine(part="RG-204", quantities=(25, 100)),
            RequestLine(part="RG-310", quantities=(50,), need_date=date(2026, 9, 25)),
        ),
        asked=(Asked(shop="oakvane"), Asked(shop="tarnfell", parts=("RG-110", "RG-310"))),
        terms=RequestTerms(
            incoterm="DAP", place="12345 Flussheim", payment="30 days net from receipt",
            sampling="every critical characteristic, 5 pieces of the rest",
            packing="each piece wrapped, no newspaper",
            confidentiality="drawings and models are for quoting only and are "
            "deleted when not ordered.",
            tooling="fixtures we pay for are ours and stay with you for repeat orders",
        ),
        rule_set="ISO GPS",
        general_tolerance="ISO 2768-mK",
        general_roughness="Ra 3.2",
        texture_edition="ISO 1302",
        datum_system="ISO 5459, datums as on the drawings",
        edges="ISO 13715: outside -0.3, inside +0.3",
        cover_note="A first series for field tests on two rivers; repeat orders are likely.",
        internal_note="MARKER-REQUEST-NOTE",
        changes=("RG-110: no. 9: slot 8 N9 is now slot 8 P9",),
        overrides=(Override(code="C010", reason="MARKER-OVERRIDE", by="MARKER-PERSON",
                            on=date(2026, 7, 1)),),
    )  # fmt: skip
    return Project(
        settings=Settings(
            name="River gauge",
            company="Pegel & Sohn Messgeräte",
            address=("Am Wehr 4", "12345 Flussheim", "Germany"),
            contact=Contact(name="J. Brücker", email="rfq@pegel.example.com", phone="+49 000 1234"),
            internal_note="MARKER-SETTINGS-NOTE",
        ),
        parts={part.number: part for part in (_bearing_block(), _shaft(), _bracket())},
        shops={
            "oakvane": Shop(
                id="oakvane", name="Oakvane Precision", country="GB", currency="GBP",
                contact=Contact(name="Mary Oake", email="quotes@oakvane.example.com"),
                address=("Unit 3, Mill Lane", "Oakvane"), nda="signed", paper="A4",
                internal_note="MARKER-SHOP-NOTE",
            ),
            "tarnfell": Shop(
                id="tarnfell", name="Tarnfell Zerspanung MARKER-OTHER-SHOP", country="DE",
                currency="EUR", language="de", paper="Letter",
                contact=Contact(name="Herr Tarn", email="anfrage@tarnfell.example.com"),
                nda="signed",
            ),
        },
        requests={request.id: request},
        rounds=(
            Round(request=request.id, number=1, revision=2, asked=request.asked,
                  opened=datetime(2026, 7, 3, 8, 0, tzinfo=UTC)),
        ),
    )  # fmt: skip


@pytest.fixture(scope="session")
def wording() -> Wording:
    return load_wording().get()


@pytest.fixture
def now() -> datetime:
    return NOW

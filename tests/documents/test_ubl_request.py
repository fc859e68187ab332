"""The UBL document against the published schemas of UBL 2.1 (OASIS, xsdrt)."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from lxml import etree

from rfq.documents.outgoing import outgoing
from rfq.documents.request_ubl import request_ubl
from rfq.model.project import Project

CBC = "{urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2}"
CAC = "{urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2}"


def made(project: Project, now: datetime) -> bytes:
    out = outgoing(project, project.requests["2026-07"], project.shops["oakvane"], 1)
    return request_ubl(out, now)


def test_valid_against_the_schema(river_project: Project, now: datetime, open_data: Path) -> None:
    schema = etree.XMLSchema(
        etree.parse(open_data / "ubl/xsdrt-2.1/maindoc/UBL-RequestForQuotation-2.1.xsd")
    )
    schema.assertValid(etree.fromstring(made(river_project, now)))
    bare = river_project.requests["2026-07"].model_copy(
        update={"answer_by": None, "cover_note": "", "terms": type(
            river_project.requests["2026-07"].terms)()}
    )  # fmt: skip
    project = river_project.model_copy(update={"requests": {"2026-07": bare}})
    schema.assertValid(etree.fromstring(made(project, now)))


def test_one_line_a_part_and_quantity(river_project: Project, now: datetime) -> None:
    root = etree.fromstring(made(river_project, now))
    lines = root.findall(f"{CAC}RequestForQuotationLine")
    asked = [
        (
            line.findtext(f".//{CAC}BuyersItemIdentification/{CBC}ID"),
            line.findtext(f".//{CBC}Quantity"),
        )
        for line in lines
    ]
    assert asked == [
        ("RG-110", "5"), ("RG-110", "25"), ("RG-110", "100"),
        ("RG-204", "25"), ("RG-204", "100"), ("RG-310", "50"),
    ]  # fmt: skip
    assert root.findtext(f"{CBC}SubmissionDueDate") == "2026-07-24"
    assert root.findtext(f"{CBC}PricingCurrencyCode") == "GBP"

"""Projects for the tests of the store."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path

import pytest

from rfq.model.part import FileRef, Part
from rfq.model.project import Project, Settings
from rfq.model.quote import Price, Quote
from rfq.model.request import Asked, Request, RequestLine, Round
from rfq.model.shop import Shop
from rfq.problems import Place
from rfq.store.load import load_project
from rfq.store.save import changes

NOW = datetime(2026, 7, 24, 12, 0, tzinfo=UTC)


class Records:
    """Small records of an invented project."""

    settings = Settings(name="Sample bench")
    now = NOW

    def part(self, number: str = "SB-110", **more: object) -> Part:
        return Part.model_validate(
            {"number": number, "revision": "B", "name": "Plate", "material": "EN AW-6082", **more}
        )

    def shop(self, name: str = "oakvane", **more: object) -> Shop:
        given = {"id": name, "name": name.title(), "country": "DE", "currency": "EUR", **more}
        return Shop.model_validate(given)

    def request(self, **more: object) -> Request:
        given = {
            "id": "R1",
            "title": "First lot",
            "lines": (RequestLine(part="SB-110", quantities=(5, 25)),),
            "asked": (Asked(shop="oakvane"),),
            **more,
        }
        return Request.model_validate(given)

    def round(self, number: int = 1) -> Round:
        return Round(request="R1", number=number, opened=NOW)

    def quote(self, number: int = 1, each: str = "10.00", **more: object) -> Quote:
        price = Price(
            part="SB-110", quantity=5, printed=Decimal(each), each=Decimal(each), currency="EUR",
            place=Place("reply.xlsx", sheet="Quote", cell="F12"),
        )  # fmt: skip
        given = {
            "shop": "oakvane", "request": "R1", "number": number, "received": NOW,
            "accepted_at": NOW, "source": FileRef(path="requests/R1/round-1/replies/x.xlsx"),
            "currency": "EUR", "prices": (price,), **more,
        }  # fmt: skip
        return Quote.model_validate(given)


@pytest.fixture
def records() -> Records:
    return Records()


@pytest.fixture(autouse=True)
def _me(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RFQ_USER", "Ana")


@pytest.fixture
def folder(tmp_path: Path, records: Records) -> Path:
    """A project folder with a part, a shop, a request, a round and a quote."""
    home = tmp_path / "project"
    home.mkdir()
    with changes(home, "project made", at=NOW) as change:
        change.put(records.settings)
        change.put(records.part())
        change.put(records.shop())
        change.put(records.request())
        change.put(records.round())
        change.put(records.quote())
    return home


@pytest.fixture
def project(folder: Path) -> Project:
    return load_project(folder).get()

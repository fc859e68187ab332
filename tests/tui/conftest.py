"""The app on a copy of the demo, and its screen as text."""

from __future__ import annotations

import asyncio
import io
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from rich.console import Console

from rfq.tui.app import RfqApp


@pytest.fixture
def demo(tmp_path: Path, demo_source: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the demo in which a fixed person works."""
    monkeypatch.setenv("RFQ_USER", "ana")
    monkeypatch.chdir(tmp_path)
    return Path(shutil.copytree(demo_source, tmp_path / "demo"))


@pytest.fixture(scope="session")
def answered_source(tmp_path_factory: pytest.TempPathFactory, demo_source: Path) -> Path:
    """The demo asked of two shops, both answers accepted; copied, never written to."""
    from rfq.tasks.edit import save_record
    from rfq.tasks.open import opened
    from rfq.tasks.request import make_packages
    from rfq.tasks.take_quote import take_reply

    home = Path(shutil.copytree(demo_source, tmp_path_factory.mktemp("answered") / "demo"))
    replies = {
        "kupfermond": "kupfermond-response-sheet.xlsx", "wiklina": "wiklina-oferta-118.csv"
    }  # fmt: skip
    here = opened(home)
    request = here.project.requests["2026-07"]
    two = tuple(one for one in request.asked if one.shop in replies)
    save_record(here, request.model_copy(update={"asked": two}), was=request)
    for part in here.project.parts.values():  # measuring models is tested where it is done
        if part.model is not None:
            save_record(here, part.model_copy(update={"model": None}), was=part)
    make_packages(home)
    for shop, name in replies.items():
        take_reply(home / "incoming" / name, project=home, shop=shop, accept=True)
    return home


@pytest.fixture
def answered(tmp_path: Path, answered_source: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the demo with quotes in it."""
    monkeypatch.setenv("RFQ_USER", "ana")
    monkeypatch.chdir(tmp_path)
    return Path(shutil.copytree(answered_source, tmp_path / "demo"))


def screen_text(app: Any) -> str:
    """Return what the terminal would show, without colour.

    The compositor is a private part of Textual; this is the one place that uses it.
    """
    console = Console(
        width=app.size.width,
        height=app.size.height,
        file=io.StringIO(),
        force_terminal=True,
        color_system="truecolor",
        record=True,
        legacy_windows=False,
    )
    console.print(app.screen._compositor.render_update(full=True))
    text = console.export_text(styles=False)
    return "\n".join(line.rstrip() for line in text.splitlines()) + "\n"


async def settled(app: RfqApp, pilot: Any) -> None:
    """Wait until no work is under way and none is about to begin."""
    for _ in range(600):
        await pilot.pause()
        if app.idle:
            return
        await asyncio.sleep(0.02)
    raise AssertionError("the app did not come to rest")


@pytest.fixture
def shown() -> Callable[[Any], str]:
    """See ``screen_text``."""
    return screen_text


@pytest.fixture
def rest() -> Callable[[RfqApp, Any], Any]:
    """See ``settled``."""
    return settled


async def press(app: RfqApp, pilot: Any, *names: str) -> None:
    """Press keys one after the other and let the app come to rest."""
    for name in names:
        await pilot.press(name)
        if not app.idle:
            await settled(app, pilot)
    await settled(app, pilot)


@pytest.fixture
def keys() -> Callable[..., Any]:
    """See ``press``."""
    return press


async def type_text(pilot: Any, text: str) -> None:
    """Type into the field that has the focus."""
    for char in text:
        await pilot.press(_NAMES.get(char, char))


_NAMES = {
    " ": "space", ",": "comma", ".": "full_stop", "-": "minus", "/": "slash", ";": "semicolon",
    "_": "underscore", ":": "colon", "[": "left_square_bracket", "]": "right_square_bracket",
    "+": "plus",
}  # fmt: skip


@pytest.fixture
def typed() -> Callable[[Any, str], Any]:
    """See ``type_text``."""
    return type_text


@pytest.fixture
def made(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Any]:
    """A small project with figures of its own, so that nothing here moves with the engine."""
    monkeypatch.setenv("RFQ_USER", "ana")

    def make(
        part_name: str = "end cap", shop_name: str = "Oakvane", note: str = "packed by the dozen"
    ) -> RfqApp:
        folder = tmp_path / "made"
        folder.mkdir()
        _write(folder, part_name, shop_name)
        return _Fixed(folder, part_name, shop_name, note)

    return make


class _Fixed(RfqApp):
    """The app with an estimate and a comparison that are given, not computed."""

    def __init__(self, folder: Path, part: str, shop: str, note: str) -> None:
        super().__init__(folder, look=False)
        self._words = (part, shop, note)

    def take(self, here: Any) -> None:
        super().take(here)
        assert self.session is not None
        from rfq.problems import Place, Problem, Severity

        part, shop, note = self._words
        self.session.estimates = {("A-1", 25): _estimate(note)}
        self.session.full = dict(self.session.estimates)
        self.session.comparison = _comparison(part, shop, note)
        self.session.findings = (
            Problem(
                "C203", f"A-1, callout 2: {note} has no upper limit.", Place("parts/A-1.toml"),
                Severity.STOP, why=note, right=note, subject="A-1",
            ),
        )  # fmt: skip
        self.refresh_stages()


def _write(folder: Path, part_name: str, shop_name: str) -> None:
    from datetime import date

    from rfq.model.callout import Callout
    from rfq.model.part import Finish, Part
    from rfq.model.project import Settings
    from rfq.model.rates import Rates
    from rfq.model.request import Asked, Request, RequestLine
    from rfq.model.shop import Shop
    from rfq.store.save import changes

    with changes(folder, "made", fresh=True) as change:
        change.put(Settings(name="buoy", seen_from=date(2026, 7, 31)))
        change.put(Rates())
        change.put(
            Part(
                number="A-1", revision="B", name=part_name, material="EN AW-6082", temper="T651",
                form="plate", general_tolerance="ISO 2768-m", shop_note=part_name,
                callouts=(
                    Callout(number="1", what=part_name, text="42 H7", critical=True),
                    Callout(number="2", what="thread", text="M6-6H x 12"),
                    Callout(number="3", what="not read", text="42 Q7"),
                ),
                finishes=(Finish(name="anodise", note=part_name),),
            )
        )  # fmt: skip
        change.put(Part(number="A-2", revision="A", name="pin", material="1.4404"))
        for identity, name in (("oakvane", shop_name), ("wiklina", "Wiklina"), ("zaffrel", "Z")):
            change.put(
                Shop(id=identity, name=name, country="DE", currency="EUR", internal_note=name)
            )
        change.put(
            Request(
                id="2026-07", title=part_name, cover_note=part_name,
                lines=(RequestLine(part="A-1", quantities=(25, 100)),
                       RequestLine(part="A-2", quantities=(25,))),
                asked=(Asked(shop="oakvane"), Asked(shop="wiklina"), Asked(shop="zaffrel")),
            )
        )  # fmt: skip


def _estimate(note: str) -> Any:
    from rfq.model.estimate import Assumption, Driver, Element, Estimate, Step

    return Estimate(
        part="A-1", revision="B", quantity=25, route="milled", basis="typed",
        low=61.0, middle=72.0, high=84.0,
        elements=(
            Element(name="stock", low=10, middle=12, high=15),
            Element(name="run", low=40, middle=48, high=56),
            Element(name="overhead and margin", low=10, middle=12, high=14),
        ),
        one_off={"fixture": 210.0}, minutes={"run": 31.5}, rates={"run": 91.0},
        drivers=(Driver(name="rate 3 axis", low=64, high=81), Driver(name=note, low=70, high=75)),
        assumptions=(
            Assumption(name="rate 3 axis", value="60 / 70 / 80", unit="EUR/h", source=note),
            Assumption(name="allowance", value="1 / 1.1 / 1.2", source=note),
        ),
        steps=(Step(name="run", value=31.5, unit="min", formula=note, source=note, element="run"),),
        cautions=(note,),
    )  # fmt: skip


def _comparison(part: str, shop: str, note: str) -> Any:
    from datetime import date
    from decimal import Decimal

    from rfq.model.codes import CellState, Verdict
    from rfq.model.comparison import (
        Band,
        BridgeStep,
        Comparison,
        Line,
        PriceCell,
        Quoted,
        ShopSummary,
        Slip,
        WhatIf,
    )

    def cell(name: str, price: str, verdict: Verdict, rank: int | None, **more: Any) -> PriceCell:
        amount = Decimal(price)
        return PriceCell(
            shop=name, state=CellState.QUOTED, comparable=amount, verdict=verdict, rank=rank,
            ranked=rank is not None, ratio=1.0, z=0.4, reason=note,
            quoted=Quoted(amount=amount, currency="EUR", per="1", quantity=25, place=note),
            bridge=(BridgeStep(step="quoted price", amount=amount - 2, reason=note, place=note),
                    BridgeStep(step="carriage", amount=Decimal(2), reason=note, estimated=True)),
            **more,
        )  # fmt: skip

    band = Band(
        low=Decimal(61), middle=Decimal(72), high=Decimal(84), basis="typed", elements={"run": 48.0}
    )
    odd = cell(
        "wiklina", "719.00", Verdict.LIKELY_ERROR, None, why_not_ranked="likely error",
        slip=Slip(name="ten times too high", factor=10, fit=0.98, next_best=note, reason=note),
        question=f"Could you check the price of A-1 ({note})?", exceptions=(note,),
        elements={"run": 400.0}, expected_low=Decimal(60), expected_high=Decimal(80),
    )  # fmt: skip
    silent = PriceCell(shop="zaffrel", state=CellState.NO_ANSWER)
    lines = (
        Line(part="A-1", revision="B", name=part, quantity=25, should_cost=band,
             prices=(cell("oakvane", "66.20", Verdict.IN_LINE, 1), odd, silent)),
        Line(part="A-1", revision="B", name=part, quantity=100, should_cost=band,
             prices=(cell("oakvane", "90.10", Verdict.OUTSIDE, 2),
                     cell("wiklina", "83.00", Verdict.IN_LINE, 1),
                     PriceCell(shop="zaffrel", state=CellState.DECLINED))),
        Line(part="A-2", revision="A", name="pin", quantity=25,
             prices=(cell("oakvane", "5.10", Verdict.QUERY, None, question=note),
                     cell("wiklina", "5.60", Verdict.IN_LINE, 1), silent)),
    )  # fmt: skip
    return Comparison(
        project="buoy", request="2026-07", currency="EUR", round=1, as_of=date(2026, 7, 31),
        lines=lines,
        shops=(
            ShopSummary(shop="oakvane", name=shop, level=-0.04, level_low=-0.1, level_high=0.02,
                        lines_asked=3, lines_quoted=3, total=Decimal("1000.10"), question=note),
            ShopSummary(shop="wiklina", name="Wiklina", level=0.09, level_low=0.0, level_high=0.2,
                        lines_asked=3, lines_quoted=3, total=Decimal("1200")),
            ShopSummary(shop="zaffrel", name="Z", lines_asked=3),
        ),
        like_set=("A-1 x 25", "A-2 x 25"),
        what_ifs=(WhatIf(name="money costs nothing", totals={}, winner="oakvane", changes=False,
                         note=note),),
        exchange=(note,),
    )  # fmt: skip

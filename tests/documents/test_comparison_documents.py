"""The comparison as PDF, workbook, CSV and Parquet: the same prices in each, marked internal."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import date
from decimal import Decimal

import pytest

from rfq.documents.comparison_pdf import comparison_pdf, verdict_sentence
from rfq.documents.comparison_xlsx import comparison_xlsx
from rfq.documents.frames import COLUMNS, as_csv, as_parquet, price_frame
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
from rfq.model.estimate import Crossing, RouteBand, RouteComparison
from rfq.model.project import Project, Settings

PROJECT = Project(settings=Settings(name="buoy Łódź Çeşme"))


def cell(shop: str, amount: str, **more: object) -> PriceCell:
    steps = (
        BridgeStep(step="quoted price", amount=Decimal(amount) - 1, reason="=1+1 as printed"),
        BridgeStep(step="carriage", amount=Decimal(1), reason="ours", estimated=True),
    )
    given: dict[str, object] = {
        "shop": shop, "state": CellState.QUOTED, "comparable": Decimal(amount), "bridge": steps,
        "verdict": Verdict.IN_LINE, "ranked": True, "ratio": float(amount) / 50,
        "quoted": Quoted(amount=Decimal(amount), currency="EUR", per="1", quantity=25,
                         place="a.xlsx[Quote!F12]"),
    }  # fmt: skip
    return PriceCell(**{**given, **more})  # type: ignore[arg-type]


@pytest.fixture
def comparison() -> Comparison:
    band = Band(low=Decimal(40), middle=Decimal(50), high=Decimal(70), basis="typed")
    odd = cell(
        "wren", "512.50", verdict=Verdict.LIKELY_ERROR, ranked=False, why_not_ranked="ask first",
        slip=Slip(name="=price per 100", factor=10.0, fit=0.97, next_best="x2"),
        question="@is this the price of one piece?", reason="+far off",
    )  # fmt: skip
    lines = tuple(
        Line(part=f"TG-{n}", revision="A", quantity=q, should_cost=band,
             prices=(cell("alder", "48.25", rank=1), odd if n == 3 else cell("wren", "55"),
                     PriceCell(shop="yew", state=CellState.NOT_ASKED)))
        for n in range(1, 31) for q in (5, 25)
    )  # fmt: skip
    shops = (
        ShopSummary(shop="alder", level=-0.04, level_low=-0.1, level_high=0.02, lines_asked=60,
                    lines_quoted=60, total=Decimal("2895.00"), date=date(2026, 9, 1)),
        ShopSummary(shop="wren", level=0.1, level_low=0.0, level_high=0.2, lines_asked=60,
                    lines_quoted=60, total=Decimal("3300.00")),
        ShopSummary(shop="yew"),
    )  # fmt: skip
    what_if = WhatIf(name="half the quantity", totals={}, winner="wren", changes=True)
    return Comparison(
        project="buoy", request="2026-07", currency="EUR", round=1, as_of=date(2026, 7, 31),
        lines=lines, shops=shops, what_ifs=(what_if,), like_set=("TG-1 x 25",),
        exchange=("1.1430 USD per EUR, 2026-07-31",),
    )  # fmt: skip


def texts(data: bytes) -> list[str]:
    from pypdf import PdfReader

    return [page.extract_text() for page in PdfReader(io.BytesIO(data)).pages]


def test_every_page_is_marked_internal(comparison: Comparison) -> None:
    pages = texts(comparison_pdf(PROJECT, comparison))
    assert len(pages) >= 4
    assert all("INTERNAL" in page and "Not for shops" in page for page in pages)


def test_the_first_page_answers_in_words(comparison: Comparison) -> None:
    sentence = verdict_sentence(comparison)
    assert sentence == (
        "alder is lowest over the like lines, 2 895.00 EUR; wren follows 14.0 % above. "
        "2 prices to ask about first."
    )
    first = " ".join(texts(comparison_pdf(PROJECT, comparison))[0].split())
    assert sentence in first
    assert "buoy Łódź Çeşme" in first
    assert "half the quantity: wren would be lowest" in first
    assert "not machine settings" in first


def test_odd_prices_stand_with_reason_and_question(comparison: Comparison) -> None:
    whole = " ".join(" ".join(texts(comparison_pdf(PROJECT, comparison))).split())
    assert "=price per 100, which explains 97% of the distance; next x2" in whole
    assert "ask: @is this the price of one piece?" in whole


def test_routes_are_drawn_with_their_crossing(comparison: Comparison) -> None:
    bands = tuple(
        RouteBand(route=route, material="m", quantity=q, low=x * 0.7, middle=x, high=x * 1.4)
        for route, prices in (("milled", (90, 60, 40)), ("printed", (70, 65, 62)))
        for q, x in zip((1, 5, 25), prices, strict=True)
    )
    found = RouteComparison(
        part="TG-1", quantities=(1, 5, 25), routes=("milled", "printed"), bands=bands,
        crossings=(Crossing(first="milled", second="printed", quantity=4,
                            sentence="From 4 pcs milled is cheaper."),),
        caveats=("another alloy: the responsible engineer releases it",),
    )  # fmt: skip
    whole = " ".join(texts(comparison_pdf(PROJECT, comparison, routes=(found,))))
    assert "From 4 pcs milled is cheaper." in whole and "responsible engineer" in whole


def test_the_same_input_gives_the_same_bytes(comparison: Comparison) -> None:
    for make in (lambda c: comparison_pdf(PROJECT, c), comparison_xlsx, as_csv, as_parquet):
        assert make(comparison) == make(comparison)


def test_no_text_becomes_a_formula(comparison: Comparison) -> None:
    from openpyxl import load_workbook

    book = load_workbook(io.BytesIO(comparison_xlsx(comparison)))
    for sheet in book:
        for row in sheet.iter_rows():
            assert all(one.data_type != "f" for one in row)
    rows = list(csv.DictReader(io.StringIO(as_csv(comparison).decode())))
    values = [value for row in rows for value in row.values()]
    assert not [value for value in values if value.startswith(("=", "+", "@"))]
    assert "'=price per 100" in values


def test_every_price_is_in_every_form(comparison: Comparison) -> None:
    import duckdb
    import pyarrow.parquet as pq
    from openpyxl import load_workbook

    wanted = sorted(
        c.comparable for line in comparison.lines for c in line.prices if c.comparable is not None
    )
    frame = price_frame(comparison)
    assert sorted(frame["comparable"].dropna()) == wanted
    rows = list(csv.DictReader(io.StringIO(as_csv(comparison).decode())))
    assert len(rows) == 180 and tuple(rows[0]) == COLUMNS
    assert sorted(Decimal(row["comparable"]) for row in rows if row["comparable"]) == wanted
    prices = pq.read_table(io.BytesIO(as_parquet(comparison)))  # duckdb sees it by its name
    assert prices.num_rows == 180
    (total,) = duckdb.sql("select sum(comparable) from prices").fetchall()[0]
    assert Decimal(total) == sum(wanted)
    sheet = load_workbook(io.BytesIO(comparison_xlsx(comparison)))["Prices"]
    shown = [sheet.cell(row, col).value for row in range(5, 65) for col in (7, 9)]
    assert sorted(Decimal(str(value)) for value in shown) == wanted


def test_an_empty_comparison_says_so() -> None:
    empty = Comparison(project="p", request="r", currency="EUR", round=1, as_of=date(2026, 7, 31))
    assert "No two shops" in verdict_sentence(empty)
    makes: tuple[Callable[[Comparison], bytes], ...] = (
        lambda c: comparison_pdf(PROJECT, c), comparison_xlsx, as_csv, as_parquet,
    )  # fmt: skip
    assert all(make(empty) for make in makes)

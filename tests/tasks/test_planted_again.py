"""The demo's kinds of slip, planted anew on twenty random lines and shops, are found again.

Found by the level of a price: per 100 read as each, and the decimal point moved (the design's own
measurement finds x10 in about 85 %, x100 in 99 %; so one of the ten may be missed here). Found by
tick, breakdown or arithmetic, always: finish left out, one-off inside the unit price.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest

from rfq.engine.compare.matrix import compare
from rfq.model.codes import BREAKDOWN, Scope, Verdict
from rfq.model.comparison import Comparison, PriceCell
from rfq.model.project import Project
from rfq.model.quote import Breakdown, Price, Quote
from rfq.store.ecb import exchange_rates
from rfq.tasks.cost import estimates_of, lines_of
from rfq.tasks.open import opened, today_of

PLANTED = {("wiklina", "SB-160"), ("heronjade", "SB-115"), ("kupfermond", "SB-180")}
Line = tuple[str, int]


@pytest.fixture(scope="module")
def project(ran_demo: tuple[Path, tuple[str, ...]]) -> Project:
    return opened(ran_demo[0]).project


@pytest.fixture(scope="module")
def judged(project: Project) -> Callable[[Project], Comparison]:
    request = project.requests["2026-07"]
    estimates, _ = estimates_of(project, request, lines_of(request))
    day = today_of(project)
    rates, _ = exchange_rates(day, {"EUR", "USD", "PLN", "CNY"}, project.rates.exchange)
    return lambda changed: compare(
        changed, request, 1, day, rates, estimates, what_ifs=False
    )  # fmt: skip


def with_price(quote: Quote, line: Line, change: Callable[[Price], Price]) -> Quote:
    prices = tuple(
        change(price) if (price.part, price.quantity) == line else price for price in quote.prices
    )
    return quote.model_copy(update={"prices": prices})


def times(factor: str) -> Callable[[Quote, Line], Quote]:
    def change(price: Price) -> Price:
        assert price.each is not None
        each = price.each * Decimal(factor)
        return price.model_copy(update={"each": each, "printed": each, "line_total": None})

    return lambda quote, line: with_price(quote, line, change)


def without_finish(quote: Quote, line: Line) -> Quote:
    out = {Scope.FINISH: "out", Scope.MASKS: "out"}
    return with_price(quote, line, lambda price: price.model_copy(update={"scope": out}))


def one_off_inside(quote: Quote, line: Line) -> Quote:
    """The unit price holds a one-off that is charged apart; the breakdown is right."""
    elements: dict[str, Decimal] = {}

    def change(price: Price) -> Price:
        assert price.each is not None
        once = (price.each * price.quantity / 4).quantize(Decimal("1"))
        share = Decimal(1) / len(BREAKDOWN)
        elements.update({name: price.each * share for name in BREAKDOWN})
        each = price.each + once / price.quantity
        return price.model_copy(update={"each": each, "printed": each, "one_off": once})

    changed = with_price(quote, line, change)
    breakdown = Breakdown(part=line[0], quantity=line[1], elements=elements)
    kept = tuple(b for b in changed.breakdowns if (b.part, b.quantity) != line)
    return changed.model_copy(update={"breakdowns": (*kept, breakdown)})


def named(cell: PriceCell, *words: str) -> bool:
    said = f"{cell.slip.name} {cell.slip.next_best}" if cell.slip else ""
    flagged = cell.verdict in (Verdict.QUERY, Verdict.LIKELY_ERROR)
    return flagged and any(word in said for word in words)


SLIPS: dict[str, tuple[Callable[[Quote, Line], Quote], Callable[[PriceCell], bool]]] = {
    "per 100": (times("100"), lambda cell: named(cell, "100", "hundred", "total")),
    "decimal point": (times("10"), lambda cell: named(cell, "decimal", "ten times")),
    "finish left out": (without_finish, lambda cell: "finish" in cell.missing_scope),
    "one-off inside": (one_off_inside, lambda cell: named(cell, "one-off")),
}


def test_twenty_slips_planted_at_random_are_found(
    project: Project, judged: Callable[[Project], Comparison]
) -> None:
    draw = random.Random(2026)
    missed: list[str] = []
    for _ in range(5):
        kinds = list(SLIPS)
        draw.shuffle(kinds)
        quotes, planted, taken = [], [], set()
        for quote in project.quotes:
            if not kinds:
                quotes.append(quote)
                continue
            kind = kinds.pop()
            lines = [
                (price.part, price.quantity)
                for price in quote.prices
                if price.part not in taken
                and (quote.shop, price.part) not in PLANTED
                and (kind != "finish left out" or project.parts[price.part].finishes)
                and (kind != "one-off inside" or not price.one_off)
            ]
            line = draw.choice(lines)
            taken.add(line[0])
            quotes.append(SLIPS[kind][0](quote, line))
            planted.append((kind, quote.shop, line))
        result = judged(project.model_copy(update={"quotes": tuple(quotes)}))
        for kind, shop, (part, quantity) in planted:
            row = next(x for x in result.lines if (x.part, x.quantity) == (part, quantity))
            cell = next(x for x in row.prices if x.shop == shop)
            if not SLIPS[kind][1](cell):
                missed.append(f"{kind}: {shop} {part} x {quantity}: {cell.verdict} {cell.slip}")
    by_level = [one for one in missed if one.startswith(("per 100", "decimal"))]
    assert missed == by_level, missed
    assert len(by_level) <= 1, by_level

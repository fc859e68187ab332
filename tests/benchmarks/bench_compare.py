"""Comparing 500 lines x 20 shops, as ratios to the bare arithmetic of the same table.

Run by hand: ``pytest tests/benchmarks/bench_compare.py -m benchmark -s``. Bare means what no
program can leave out: the Decimal operations of 10,000 bridges (counted below), the judgement of
the table in numpy, and as many result objects as the comparison holds. A ratio, not a time, is
printed and bounded, so that a slow machine passes as a fast one does.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import UTC, date, datetime
from decimal import Decimal as D

import numpy as np
import pytest

from rfq.engine.compare.against_cost import bands_of, judged
from rfq.engine.compare.matrix import compare
from rfq.engine.compare.table import Source, build_table, lines_of, shops_of
from rfq.engine.normalise.currency import exchange_into
from rfq.model.codes import CellState
from rfq.model.comparison import BridgeStep, Comparison, PriceCell
from rfq.model.estimate import Estimate
from rfq.model.part import FileRef, Part
from rfq.model.project import Project, Settings
from rfq.model.quote import Instalment, LeadTime, Payment, Price, Quote, QuoteTerms
from rfq.model.rates import Duty, ExchangeRate, Freight, Rates
from rfq.model.request import Asked, Request, RequestLine, RequestTerms
from rfq.model.shop import Shop
from rfq.problems import Place

pytestmark = pytest.mark.benchmark
LINES, SHOPS = 500, 20
NOW = datetime(2026, 10, 30, tzinfo=UTC)
PLACES = (
    ("DE", "EUR", "1"),
    ("US", "USD", "1.1172"),
    ("PL", "PLN", "4.4038"),
    ("CH", "CHF", "0.9194"),
)
DECIMAL_OPERATIONS = 45  # products, sums and divisions of one bridge with nine steps, counted


def large(lines: int, shops: int) -> tuple[Project, Request, dict[str, ExchangeRate], dict]:  # type: ignore[type-arg]
    """A round with a price in every cell; carriage, duty, one-offs and terms in each bridge."""
    generator = np.random.default_rng(0)
    middles = np.exp(generator.normal(3.5, 1.0, lines))
    parts, estimates = {}, {}
    for i, middle in enumerate(middles.tolist()):
        name = f"P{i}"
        parts[name] = Part(number=name, revision="A", name="part", material="EN AW-6082")
        estimates[name, 25] = Estimate(
            part=name, quantity=25, route="milled", basis="typed",
            low=middle * 0.8, middle=middle, high=middle * 1.25,
        )  # fmt: skip
    terms = QuoteTerms(
        incoterm="FCA", place="works", tax="excluded",
        payment=Payment(text="net 30", instalments=(Instalment(share=D(1), days=30),)),
        lead=LeadTime(text="4 weeks", amount=4, unit="weeks", event="order"),
    )  # fmt: skip
    records, quotes = {}, []
    for j in range(shops):
        country, currency, rate = PLACES[j % len(PLACES)]
        name = f"s{j}"
        records[name] = Shop(id=name, name=f"Shop {j}", country=country, currency=currency)
        each = middles * float(rate) * np.exp(generator.normal(0, 0.2, lines))
        prices = []
        for i, value in enumerate(each.round(2).tolist()):
            amount = D(str(max(value, 0.01)))
            prices.append(
                Price(part=f"P{i}", quantity=25, printed=amount, each=amount, currency=currency,
                      tax="excluded", one_off=D(50), line_total=amount * 25,
                      place=Place(f"{name}.xlsx", sheet="Quote", cell=f"C{i}"))
            )  # fmt: skip
        quotes.append(
            Quote(shop=name, request="R", received=NOW, accepted_at=NOW, currency=currency,
                  source=FileRef(path=f"{name}.xlsx"), prices=tuple(prices), terms=terms)
        )  # fmt: skip
    request = Request(
        id="R", title="large", terms=RequestTerms(first_article=False),
        lines=tuple(RequestLine(part=name, quantities=(25,)) for name in parts),
        asked=tuple(Asked(shop=name) for name in records),
    )  # fmt: skip
    rates = Rates(
        freight=tuple(Freight(country=c, per_shipment=D(90)) for c, _, _ in PLACES),
        duty=(Duty(origin="US", percent=D("4.2")), Duty(origin="CH", percent=D(0))),
        insurance_percent=D("0.3"), broker_per_shipment=D(45), bank_per_payment=D(15),
    )  # fmt: skip
    exchange = {
        code: ExchangeRate(currency=code, per_eur=D(rate), on=date(2026, 10, 30), source="ECB")
        for _, code, rate in PLACES
        if code != "EUR"
    }
    project = Project(settings=Settings(name="large"), rates=rates, parts=parts, shops=records,
                      requests={"R": request}, quotes=tuple(quotes))  # fmt: skip
    return project, request, exchange, estimates


def fastest(work: Callable[[], object], times: int = 3) -> float:
    """Shortest of a few runs, in seconds."""
    best = float("inf")
    for _ in range(times):
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
    return best


def bare_decimal() -> None:
    amount, rate = D("41.20"), D("1.1172")
    for _ in range(LINES * SHOPS):
        value = amount
        for _ in range(DECIMAL_OPERATIONS // 3):
            value = amount * rate
            value = value / rate
            value = value + amount
        value.quantize(D("0.000001"))


def bare_objects(result: Comparison) -> None:
    for line in result.lines:
        for cell in line.prices:
            steps = tuple(
                BridgeStep(step=s.step, amount=s.amount, reason=s.reason, place=s.place)
                for s in cell.bridge
            )
            PriceCell(shop=cell.shop, state=CellState.QUOTED, bridge=steps, reason=cell.reason)


def test_ten_thousand_prices() -> None:
    project, request, exchange, estimates = large(LINES, SHOPS)
    day = date(2026, 10, 30)

    def whole(what_ifs: bool) -> Comparison:
        return compare(project, request, 1, day, exchange, estimates, what_ifs=what_ifs)

    source = Source(project, request, 1, exchange_into("EUR", exchange), estimates)

    def working() -> object:
        return build_table(source, lines_of(source, []), shops_of(source, []))

    table = build_table(source, lines_of(source, []), shops_of(source, []))
    bands, _ = bands_of(table.lines, estimates, source.exchange)
    result = whole(False)
    assert sum(cell.ranked for line in result.lines for cell in line.prices) == LINES * SHOPS
    decimals = fastest(bare_decimal)
    judging = fastest(lambda: judged(table, bands))
    objects = fastest(lambda: bare_objects(result))
    bare = decimals + judging + objects
    bridging, all_of_it = fastest(working), fastest(lambda: whole(False))
    deciding = fastest(lambda: whole(True), 1)
    print(
        f"\nbare: decimals {decimals:.3f} + judgement {judging:.3f} + objects {objects:.3f} s = "
        f"{bare:.3f} s\nworking table {bridging:.3f} s = {bridging / decimals:.1f} x decimals\n"
        f"comparison {all_of_it:.3f} s = {all_of_it / bare:.1f} x bare, "
        f"{all_of_it / (LINES * SHOPS) * 1e6:.0f} us a price\n"
        f"with what decides {deciding:.3f} s = {deciding / bare:.1f} x bare"
    )
    assert all_of_it / bare < 12
    small = large(LINES // 4, SHOPS)
    quarter = fastest(
        lambda: compare(small[0], small[1], 1, day, small[2], small[3], what_ifs=False)
    )
    assert all_of_it / quarter < 8  # four times the lines: linear, with room for noise

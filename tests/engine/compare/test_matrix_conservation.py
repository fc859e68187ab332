"""What must hold for every round: nothing appears, nothing vanishes, order decides nothing."""

from __future__ import annotations

import random
from decimal import Decimal as D

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rfq.engine.compare.explain import foreign_figures
from rfq.engine.normalise.currency import exchange_into
from rfq.model.quote import Charge, Instalment, Payment
from rfq.model.rates import Duty, Freight, Rates

RATES = {"USD": "1.1172", "PLN": "4.4038", "CHF": "0.9194"}  # ECB, 30 October 2026
COUNTRY = {"EUR": "DE", "USD": "US", "PLN": "PL", "CHF": "CH"}
modest = settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
money = st.decimals(D("0.50"), D("900"), places=2)


@st.composite
def rounds(draw: st.DrawFn) -> dict[str, object]:
    lines = draw(st.lists(st.integers(1, 200), min_size=1, max_size=5))
    shops = draw(
        st.lists(
            st.fixed_dictionaries(
                {
                    "currency": st.sampled_from(sorted(COUNTRY)),
                    "rule": st.sampled_from(["EXW", "FCA", "CPT", "DAP", "DDP"]),
                    "prices": st.lists(
                        st.one_of(st.none(), money), min_size=len(lines), max_size=len(lines)
                    ),
                    "one_off": st.one_of(st.none(), money),
                    "days": st.integers(0, 90),
                    "packing": st.one_of(st.none(), st.decimals(D(0), D(5), places=1)),
                }
            ),
            min_size=1,
            max_size=4,
        )
    )
    bands = draw(st.lists(st.one_of(st.none(), money), min_size=len(lines), max_size=len(lines)))
    return {"lines": lines, "shops": shops, "bands": bands, "yield": draw(st.integers(60, 100))}


def build(make, given_round, factor: D = D(1), order=None):  # type: ignore[no-untyped-def]
    market = make()
    for code, rate in RATES.items():
        market.rate(code, rate)
    market.rates = Rates(
        yield_percent=D(given_round["yield"]),
        insurance_percent=D("0.3"),
        freight=tuple(Freight(country=c, per_shipment=D(50) * factor) for c in COUNTRY.values()),
        duty=(Duty(origin="US", percent=D("4.2")), Duty(origin="CH", percent=D(0))),
        broker_per_shipment=D(45) * factor,
        bank_per_payment=D(15) * factor,
    )
    rows = list(range(len(given_round["lines"])))
    columns = list(range(len(given_round["shops"])))
    if order is not None:
        order.shuffle(rows)
        order.shuffle(columns)
    for row in rows:
        quantity, band = given_round["lines"][row], given_round["bands"][row]
        market.part(f"P{row}", quantity)
        if band is not None:
            middle = float(band * factor)
            market.band(f"P{row}", quantity, middle * 0.8, middle, middle * 1.25)
    for column in columns:
        shop = given_round["shops"][column]
        name, currency = f"s{column}", shop["currency"]
        market.shop(name, COUNTRY[currency], currency)
        one_off = None if shop["one_off"] is None else shop["one_off"] * factor
        prices = [
            market.price(f"P{row}", given_round["lines"][row], str(each * factor), currency,
                         one_off=one_off)
            for row in rows if (each := shop["prices"][row]) is not None
        ]  # fmt: skip
        charges = ()
        if shop["packing"] is not None:
            charges = (Charge(name="packing", kind="packing", percent=shop["packing"]),)
        payment = Payment(instalments=(Instalment(share=D(1), days=shop["days"], event="invoice"),))
        terms = {"incoterm": shop["rule"], "place": "Kiel", "payment": payment}
        market.quote(name, *prices, charges=charges, terms=terms)
    return market


@modest
@given(rounds())
def test_bridges_add_up_to_the_last_digit(new_market, given_round) -> None:  # type: ignore[no-untyped-def]
    result = build(new_market, given_round).compare(what_ifs=False)
    for line in result.lines:
        for cell in line.prices:
            if cell.comparable is not None:
                assert sum((step.amount for step in cell.bridge), D(0)) == cell.comparable
                assert cell.comparable >= 0


@modest
@given(rounds())
def test_no_price_appears_or_vanishes(new_market, given_round) -> None:  # type: ignore[no-untyped-def]
    result = build(new_market, given_round).compare(what_ifs=False)
    quoted = {
        (line.part, cell.shop): (cell.quoted.amount, cell.quoted.currency)
        for line in result.lines
        for cell in line.prices
        if cell.quoted is not None
    }
    expected = {
        (f"P{row}", f"s{column}"): (each, shop["currency"])
        for column, shop in enumerate(given_round["shops"])
        for row, each in enumerate(shop["prices"])
        if each is not None
    }
    assert quoted == expected
    for line in result.lines:
        assert len(line.prices) == len(given_round["shops"])
        ranked = [cell for cell in line.prices if cell.ranked]
        assert all(cell.rank is not None for cell in ranked)
        assert all(cell.why_not_ranked for cell in line.prices if not cell.ranked)


def facts(result):  # type: ignore[no-untyped-def]
    return {
        (line.part, cell.shop): (
            cell.state, cell.comparable, cell.verdict, cell.rank, cell.reason, cell.question,
            cell.slip and cell.slip.name, cell.bridge,
        )
        for line in result.lines
        for cell in line.prices
    }  # fmt: skip


@modest
@given(rounds(), st.integers(0, 1000))
def test_order_of_shops_and_lines_decides_nothing(new_market, given_round, seed) -> None:  # type: ignore[no-untyped-def]
    plain = build(new_market, given_round).compare()
    shuffled = build(new_market, given_round, order=random.Random(seed)).compare()
    assert facts(plain) == facts(shuffled)
    assert sorted(plain.like_set) == sorted(shuffled.like_set)
    assert {s.shop: s.total for s in plain.shops} == {s.shop: s.total for s in shuffled.shops}
    what = [[(w.name, w.totals, w.winner) for w in r.what_ifs] for r in (plain, shuffled)]
    assert what[0] == what[1]


@modest
@given(rounds(), st.sampled_from([D(2), D(10), D("0.5"), D(7)]))
def test_scaling_prices_and_bands_changes_no_verdict_and_no_rank(  # type: ignore[no-untyped-def]
    new_market, given_round, factor
) -> None:
    plain = build(new_market, given_round).compare(what_ifs=False)
    scaled = build(new_market, given_round, factor).compare(what_ifs=False)
    for line, other in zip(plain.lines, scaled.lines, strict=True):
        for cell, large in zip(line.prices, other.prices, strict=True):
            assert (cell.state, cell.ranked) == (large.state, large.ranked)
            if cell.comparable is None:
                assert large.comparable is None
                continue
            assert large.comparable == pytest.approx(cell.comparable * factor, abs=D("0.0005"))
            near = cell.z is not None and min(abs(abs(cell.z) - x) for x in (2.0, 3.0, 4.0)) < 0.1
            if not near:
                assert cell.verdict == large.verdict


@modest
@given(money, st.sampled_from(sorted(RATES)), st.sampled_from(sorted(RATES)))
def test_currency_there_and_back(amount, first, second) -> None:  # type: ignore[no-untyped-def]
    rates = {code: _rate(code, per_eur) for code, per_eur in RATES.items()}
    there = exchange_into(second, rates).convert(amount, first)
    back = exchange_into(first, rates).convert(there, second)
    assert abs(back - amount) < D("1e-20")
    assert exchange_into(first, rates).factor(first) == 1


def _rate(code: str, per_eur: str):  # type: ignore[no-untyped-def]
    from datetime import date

    from rfq.model.rates import ExchangeRate

    return ExchangeRate(currency=code, per_eur=D(per_eur), on=date(2026, 10, 30), source="ECB")


@modest
@given(rounds())
def test_shares_of_a_shipment_add_up_to_the_shipment(new_market, given_round) -> None:  # type: ignore[no-untyped-def]
    result = build(new_market, given_round).compare(what_ifs=False)
    for column, shop in enumerate(given_round["shops"]):
        if shop["rule"] not in ("EXW", "FCA") or all(x is None for x in shop["prices"]):
            continue
        carried = D(0)
        for line in result.lines:
            cell = line.prices[column]
            carried += sum(
                (step.amount * line.quantity for step in cell.bridge if step.step == "carriage"),
                D(0),
            )
        assert carried == pytest.approx(D(50), abs=D("0.001"))


@modest
@given(rounds())
def test_no_question_holds_another_shops_figure(new_market, given_round) -> None:  # type: ignore[no-untyped-def]
    result = build(new_market, given_round).compare(what_ifs=False)
    for line in result.lines:
        for cell in line.prices:
            if not cell.question or cell.quoted is None:
                continue
            others = [
                amount
                for other in line.prices
                if other.shop != cell.shop and other.quoted is not None
                for amount in (other.quoted.amount, other.comparable)
                if amount is not None and amount != cell.quoted.amount
            ]
            own = [str(cell.quoted.amount), line.part, str(line.quantity), "100 1000"]
            assert foreign_figures(cell.question, own, others) == []


def test_a_figure_of_another_shop_in_a_question_is_seen() -> None:
    others = [D("41.20"), D("7")]
    assert foreign_figures("the others want 41.20; why 55?", ["55.00"], others) == ["41.20"]
    assert foreign_figures("Part P1, 25 pcs, 55.00 EUR: is this for one?", ["55.00"], others) == []

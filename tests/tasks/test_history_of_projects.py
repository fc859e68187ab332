"""Many generated projects read into one data set that another engine queries."""

from __future__ import annotations

import json
import random
from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal
from math import exp
from pathlib import Path

import duckdb
import pytest

from rfq.model.award import Award, Order, OrderLine, Proposal, ShareOf
from rfq.model.part import FileRef, OwnShouldCost, Part
from rfq.model.project import Settings
from rfq.model.quote import Instalment, Payment, Price, Quote, QuoteTerms
from rfq.model.rates import Rates
from rfq.model.request import Asked, Request, RequestLine
from rfq.model.shop import Shop
from rfq.store.load import load_project
from rfq.store.save import changes
from rfq.tasks.done import Stopped
from rfq.tasks.history import (
    apply_rates,
    before_and_after,
    history,
    history_json,
    write_history,
)

LEVEL = {"ash": 0.0, "birch": 0.12, "cedar": -0.08}
MOMENT = datetime(2026, 7, 20, 9, tzinfo=UTC)
ON_DELIVERY = Payment(text="on delivery", instalments=(Instalment(share=Decimal(1)),))


def make(folder: Path, number: int, *, parts: int = 2, shift: float = 0.15) -> Path:
    """One project whose market stands exp(shift) over its own should-costs.

    The market is drawn here, from a normal spread, and not by the cost model.
    """
    draw = random.Random(number)
    place = folder / f"p{number:03}"
    place.mkdir(parents=True)
    made = [
        Part(
            number=f"N-{i}", revision="A", name="plate", material="EN AW-6082",
            should_cost=(OwnShouldCost(low=Decimal(40), middle=Decimal(50), high=Decimal(62),
                                       source="our list"),),
        )
        for i in range(parts)
    ]  # fmt: skip
    lines = tuple(RequestLine(part=part.number, quantities=(25,)) for part in made)
    asked = tuple(Asked(shop=shop) for shop in LEVEL)
    with changes(place, "project made", by="Ana", at=MOMENT, fresh=True) as change:
        change.put(Settings(name=f"project {number}"))
        change.put(Rates(), key="rates")
        for part in made:
            change.put(part)
        change.put(Request(id="R1", title="t", lines=lines, asked=asked, state="closed"))
        errors = {part.number: draw.gauss(0, 0.08) for part in made}
        for shop, level in LEVEL.items():
            change.put(Shop(id=shop, name=shop.title(), country="DE", currency="EUR"))
            prices = []
            for part in made:
                y = shift + errors[part.number] + level + draw.gauss(0, 0.05)
                each = Decimal(f"{50 * exp(y):.2f}")
                prices.append(
                    Price(part=part.number, revision="A", quantity=25, printed=each, each=each,
                          currency="EUR", tax="excluded")
                )  # fmt: skip
            change.put(
                Quote(shop=shop, request="R1", received=MOMENT, accepted_at=MOMENT,
                      source=FileRef(path=f"requests/R1/round-1/replies/{shop}.txt"),
                      currency="EUR", prices=tuple(prices),
                      terms=QuoteTerms(incoterm="DAP", place="Hafen", tax="excluded",
                                       payment=ON_DELIVERY))
            )  # fmt: skip
        _ordered(change, made, draw)
    return place


def _ordered(change, made: list[Part], draw: random.Random) -> None:  # type: ignore[no-untyped-def]
    shares = tuple(
        ShareOf(part=part.number, revision="A", shop="cedar", quantity=25,
                comparable_each=Decimal(55))
        for part in made
    )  # fmt: skip
    change.put(
        Award(id="award-1", request="R1", round=1, decided_at=MOMENT, by="Ana", reason="lowest",
              proposal=Proposal(name="cheapest", shares=shares, shops=("cedar",)))
    )  # fmt: skip
    lines = tuple(
        OrderLine(part=part.number, revision="A", quantity=25, each=Decimal(55), currency="EUR",
                  promised=date(2026, 9, 1),
                  received=date(2026, 9, draw.choice([1, 3])))
        for part in made
    )  # fmt: skip
    change.put(
        Order(id="award-1-cedar", request="R1", award="award-1", shop="cedar",
              placed=MOMENT.date(), lines=lines)
    )  # fmt: skip


def learnt(folder: Path, projects: int, tmp_path: Path) -> None:
    done = history([folder])
    value = done.value
    assert (value.projects, len(value.rows)) == (projects, projects * 2 * 3)
    whole = value.groups[0]
    assert whole.low is not None
    assert whole.high is not None
    true = exp(0.15 + sum(LEVEL.values()) / 3)
    assert whole.low < true < whole.high
    assert value.coverage.share is not None
    assert value.spread.own
    shops = {shop.shop: shop for shop in value.shops}
    assert shops["birch"].level is not None
    assert shops["birch"].level > 0.08
    assert shops["cedar"].orders == projects * 2
    assert shops["cedar"].in_time is not None

    target = tmp_path / "prices.parquet"
    write_history(value, target)
    found = duckdb.sql(
        f"select shop, count(*), count(distinct project), exp(avg(log_ratio)), sum(awarded::int) "
        f"from '{target}' group by shop order by shop"
    ).fetchall()
    assert [row[:3] for row in found] == [(shop, projects * 2, projects) for shop in LEVEL]
    assert found[2][4] == projects * 2
    for shop, _, _, ratio, _ in found:
        assert ratio == pytest.approx(exp(0.15 + LEVEL[shop]), rel=0.05)


def test_twenty_projects_teach_and_are_queried(tmp_path: Path) -> None:
    for number in range(20):
        make(tmp_path / "all", number)
    learnt(tmp_path / "all", 20, tmp_path)


@pytest.mark.benchmark
def test_two_hundred_projects_teach_and_are_queried(tmp_path: Path) -> None:
    for number in range(200):
        make(tmp_path / "all", number)
    learnt(tmp_path / "all", 200, tmp_path)


def test_one_project_is_not_enough_and_says_so(tmp_path: Path) -> None:
    make(tmp_path / "all", 1)
    value = history([tmp_path]).value
    assert "not enough yet" in value.groups[0].words
    assert "not known" in value.coverage.words
    assert not value.spread.own
    assert value.rates.factor is None
    json.dumps(history_json(value))


def test_a_broken_project_is_left_out_and_named(tmp_path: Path) -> None:
    make(tmp_path / "all", 1)
    broken = make(tmp_path / "all", 2)
    (broken / "parts/N-0.toml").write_text("number = ")
    done = history([tmp_path])
    assert done.value.projects == 1
    (note,) = done.problems
    assert (note.code, "p002" in str(note.place)) == ("F301", True)
    with pytest.raises(Stopped):
        history([tmp_path / "all/p001/parts"])


def test_rates_are_applied_on_asking_only(tmp_path: Path, demo_source: Path) -> None:
    import shutil

    from rfq.engine.history.rates import ProposedRates

    shutil.copytree(demo_source, tmp_path / "buoy")
    for number in range(9):
        make(tmp_path / "all", number)
    value = history([tmp_path / "all"], apply_to=tmp_path / "buoy").value
    # Own should-costs hold no work, so there is nothing in them to judge rates by.
    assert value.rates.factor is None and value.spread.own
    with pytest.raises(Stopped):
        apply_rates(replace(value, spread=replace(value.spread, own=False)), tmp_path / "buoy")
    # The spreads of the quotes are known all the same; the comparison then uses them.
    apply_rates(value, tmp_path / "buoy")
    kept = load_project(tmp_path / "buoy").get().rates
    assert kept.spreads is not None and kept.spreads.prices == value.spread.prices
    assert not kept.parameters
    triple = (Decimal(70), Decimal(90), Decimal(115))
    forced = ProposedRates(1.06, "said so", value.rates.before, {"rate_3_axis": triple})
    changed = type(value)(
        value.rows, value.projects, value.groups, value.shops, value.coverage, value.spread, forced
    )
    apply_rates(changed, tmp_path / "buoy")
    own = load_project(tmp_path / "buoy").get().rates.parameters["rate_3_axis"]
    assert (own.low, own.typical, own.high) == triple
    assert "own history" in own.source


def test_proposed_rates_bring_the_should_cost_to_the_market(
    tmp_path: Path, demo_source: Path
) -> None:
    """The demo's parts with a market 25 % above the model: the rates alone close the gap."""
    import shutil

    from rfq.engine.cost.estimate import should_cost

    place = tmp_path / "buoy"
    shutil.copytree(demo_source, place)
    project = load_project(place).get()
    request = project.requests["2026-07"]
    with changes(place, "reply accepted", project=project, by="Ana") as change:
        for shop, factor in (("kupfermond", 1.28), ("wiklina", 1.22)):
            prices = []
            for line in request.lines:
                part = project.parts[line.part]
                band = should_cost(part, 25, project.rates, request=request)
                each = Decimal(f"{band.middle * factor:.2f}")
                prices.append(
                    Price(part=part.number, revision=part.revision, quantity=25, printed=each,
                          each=each, currency="EUR", tax="excluded")
                )  # fmt: skip
            change.put(
                Quote(shop=shop, request="2026-07", received=MOMENT, accepted_at=MOMENT,
                      source=FileRef(path=f"{shop}.txt"), currency="EUR", prices=tuple(prices),
                      terms=QuoteTerms(incoterm="DAP", place="Musterhafen", tax="excluded",
                                       payment=ON_DELIVERY))
            )  # fmt: skip
    value = history([place], apply_to=place).value
    assert value.rates.factor is not None
    ratios = before_and_after(value, place).value
    assert ratios is not None
    before, after = ratios
    assert before == pytest.approx(1.25, abs=0.02)
    assert abs(after - 1) < 0.3 * (before - 1)
    apply_rates(value, place)
    again = history([place], apply_to=place).value
    assert again.groups[0].ratio == pytest.approx(after, rel=1e-6)

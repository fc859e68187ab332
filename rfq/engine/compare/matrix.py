"""A round on one basis: every line at every shop, comparable, judged, ranked where it may be.

The working table is slotted values; the shown ``Comparison`` is built from it at the end. The
order of shops and lines in the project changes the order of the result and nothing else.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from rfq.engine.compare.against_cost import bands_of, judged
from rfq.engine.compare.cells import CellMaker
from rfq.engine.compare.level_and_odd import Spread
from rfq.engine.compare.rank import like_set
from rfq.engine.compare.sensitivity import what_ifs as what_ifs_of
from rfq.engine.compare.summary import summary
from rfq.engine.compare.table import (
    Estimates,
    Source,
    TableShop,
    build_table,
    lines_of,
    shops_of,
)
from rfq.engine.normalise.currency import EURO, exchange_into
from rfq.model.comparison import Comparison
from rfq.model.project import Project
from rfq.model.rates import ExchangeRate
from rfq.model.request import Request
from rfq.problems import Problem, Severity


def compare(
    project: Project,
    request: Request,
    round_: int,
    as_of: date,
    exchange: Mapping[str, ExchangeRate],
    estimates: Estimates,
    *,
    variances: Spread | None = None,
    expected_levels: Mapping[str, float] | None = None,
    what_ifs: bool = True,
) -> Comparison:
    """Return a round of a request on the same basis.

    Args:
        project: parts, shops, quotes, rates.
        request: what was asked.
        round_: the round; prices of earlier rounds stand where a line was not quoted again.
        as_of: day of the comparison: validity is judged and orders are dated from it.
        exchange: foreign units per euro, by currency.
        estimates: should-cost by (part, quantity), EUR of the reference region.
        variances: the user's own spreads; None: the start values.
        expected_levels: shop -> log price level expected for its region.
        what_ifs: whether to work out what decides (several times the work of the table).

    Returns:
        Lines in the request's order, a cell for every shop in each.
    """
    into = exchange_into(project.settings.currency, exchange)
    source = Source(project, request, round_, into, estimates)
    problems: list[Problem] = []
    lines = lines_of(source, problems)
    shops = shops_of(source, problems)
    table = build_table(source, lines, shops)
    bands, missing_bands = bands_of(lines, estimates, into)
    problems += missing_bands
    verdicts = judged(table, bands, variances, expected_levels)
    making = CellMaker(source, table, bands, verdicts, as_of)
    shown = [making.line(index) for index in range(len(lines))]
    ranked = {
        shop.shop.id: frozenset(
            index
            for index, line in enumerate(shown)
            if lines[index].ordered and line.prices[column].ranked
        )
        for column, shop in enumerate(shops)
    }
    like, compared = like_set(ranked)
    said = {
        (index, cell.shop): cell.verdict for index, line in enumerate(shown) for cell in line.prices
    }
    problems += making.problems
    summaries = tuple(
        summary(
            table,
            column,
            shown,
            verdicts.judgement,
            like,
            compared,
            making.implied.get(shop.shop.id, ()),
            problems,
        )
        for column, shop in enumerate(shops)
    )
    problems += _unplaced(source, shops)
    return Comparison(
        project=project.settings.name,
        request=request.id,
        currency=into.currency,
        round=round_,
        as_of=as_of,
        lines=tuple(shown),
        shops=summaries,
        like_set=tuple(
            f"{lines[index].part.number} x {lines[index].quantity}" for index in sorted(like)
        ),
        what_ifs=what_ifs_of(source, table, like, compared, said) if what_ifs else (),
        exchange=tuple(
            f"{rate.per_eur} {code} per EUR, {rate.on.isoformat()}, {rate.source}"
            for code, rate in sorted(exchange.items())
            if code != EURO
        ),
        problems=_each_once(problems),
        spread_warning=verdicts.judgement.spread_warning,
    )


def _unplaced(source: Source, shops: Sequence[TableShop]) -> list[Problem]:
    """Prices that stand on no line of the request: named, so that none vanishes."""
    wanted = {line.part for line in source.request.lines}
    problems = []
    for shop in shops:
        for part, offer in sorted(shop.stands.parts.items()):
            if part in wanted:
                continue
            for price in offer.prices:
                problems.append(
                    Problem(
                        "N032",
                        f"{shop.shop.name} prices {part} ({price.each} {price.currency} at "
                        f"{price.quantity} pcs), which the request doesn't hold; no line has it.",
                        place=price.place,
                        severity=Severity.NOTE,
                        subject=shop.shop.id,
                    )
                )
    return problems


def _each_once(problems: Sequence[Problem]) -> tuple[Problem, ...]:
    seen: dict[tuple[str, str, str], Problem] = {}
    for problem in problems:
        seen.setdefault((problem.code, problem.message, problem.subject), problem)
    return tuple(seen.values())

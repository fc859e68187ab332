"""Cells and lines as shown, made from the working table and the judgement."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from math import exp, isnan
from typing import Any

from rfq.engine.compare.against_cost import Judged, currency_ratios, in_money
from rfq.engine.compare.arrival import Arrivals
from rfq.engine.compare.breakdown import Implied, implied
from rfq.engine.compare.by_element import by_element
from rfq.engine.compare.explain import Finding, element_finding, facts_explain, finding
from rfq.engine.compare.gaps import expired, why_not_ranked
from rfq.engine.compare.judgement import (
    ASK,
    BAND_TO_SD,
    CODE_ASK,
    ERROR,
    IN_LINE,
    OUTSIDE,
    VERDICTS,
)
from rfq.engine.compare.posterior import LIKELY_ERROR, QUERY
from rfq.engine.compare.rank import ranks
from rfq.engine.compare.slips import Explanation
from rfq.engine.compare.structure import gap_of, question_of, reason_of, slip_of
from rfq.engine.compare.table import (
    Source,
    Table,
    TableCell,
    TableLine,
    TableShop,
    conditions_for,
)
from rfq.engine.normalise.bridge import steps_of
from rfq.engine.normalise.offers import exceptions_on
from rfq.engine.normalise.quantity import Bound, buying_up, target_question
from rfq.model.codes import CellState, Verdict
from rfq.model.comparison import Band, Line, PriceCell, Quoted
from rfq.model.money import round_money
from rfq.model.quote import Price, Quote
from rfq.problems import Problem, Severity


class CellMaker:
    """Turns the working table into what is shown, and gathers the questions on the way."""

    def __init__(
        self,
        source: Source,
        table: Table,
        bands: Sequence[Band | None],
        verdicts: Judged,
        as_of: date,
    ) -> None:
        self._source, self._table, self._bands = source, table, bands
        self._judgement, self._reference = verdicts.judgement, verdicts.reference
        self._as_of = as_of
        self._arrivals = Arrivals(source, as_of)
        self._by_element = by_element(table, bands, verdicts.judgement)
        self._ratios = currency_ratios(table)
        self._lines_of: dict[str, list[int]] = {}
        for index, line in enumerate(table.lines):
            self._lines_of.setdefault(line.part.number, []).append(index)
        layout = self._judgement.layout
        self._at = {
            (line, shop): at
            for at, (line, shop) in enumerate(
                zip(layout.line.tolist(), layout.shop.tolist(), strict=True)
            )
        }
        self._revision = max(
            (
                one.revision
                for one in source.project.rounds_of(source.request.id)
                if one.number == source.round_
            ),
            default=1,
        )
        self.implied: dict[str, list[Implied]] = {}
        self.problems: list[Problem] = []

    def line(self, index: int) -> Line:
        """One line with its cells, ranked."""
        line, row = self._table.lines[index], self._table.cells[index]
        quotes = sum(cell.numbers is not None for cell in row)
        cells = [
            self._cell(index, column, line, shop, cell, alone=quotes <= 1)
            for column, (shop, cell) in enumerate(zip(self._table.shops, row, strict=True))
        ]
        places = ranks([cell["comparable"] if cell["ranked"] else None for cell in cells])
        prices = []
        for cell, place in zip(cells, places, strict=True):
            cell["rank"] = place
            prices.append(PriceCell(**cell))
        market = self._judgement.lines[index]
        known = not isnan(market.market)
        return Line(
            part=line.part.number,
            revision=line.part.revision,
            name=line.part.name,
            quantity=line.quantity,
            should_cost=self._bands[index],
            prices=tuple(prices),
            market=market.market if known else None,
            market_low=market.low if known else None,
            market_high=market.high if known else None,
        )

    def _cell(
        self,
        index: int,
        column: int,
        line: TableLine,
        shop: TableShop,
        cell: TableCell,
        *,
        alone: bool,
    ) -> dict[str, Any]:
        out: dict[str, Any] = {"shop": shop.shop.id, "state": cell.state, "ranked": False}
        if cell.offer is not None and cell.offer.alternatives:
            out["alternatives"] = tuple(_alternative(price) for price, _ in cell.offer.alternatives)
        if cell.offered is None or cell.quote is None:
            out["why_not_ranked"] = self._why_no_price(cell, out)
            out["comparable"] = None
            return out
        offered, quote, price = cell.offered, cell.quote, cell.offered.binding.price
        self.problems.extend(offered.problems)
        if expired(quote, self._as_of):
            out["state"] = CellState.EXPIRED
        why = why_not_ranked(offered, quote, line.part, self._as_of, self._revision)
        note = self._earlier(quote, shop)
        out["quoted"] = Quoted(
            amount=price.printed if price.printed is not None else price.each or Decimal(0),
            currency=price.currency,
            per=price.per,
            quantity=price.quantity,
            place=str(price.place) + note,
        )
        out["quote_revision"] = quote.revision
        out["why_not_ranked"] = why
        out["ranked"] = not why and cell.numbers is not None
        out["open_items"] = offered.open_items
        out["missing_scope"] = tuple(scope.value for scope in cell.missing)
        if quote.exceptions:
            out["exceptions"] = tuple(
                f"{taken.text} ({taken.state})" for taken in exceptions_on(quote, line.part.number)
            )
        if quote.breakdowns:
            out["elements"] = self._elements(line, shop, quote, price)
        self._breaks(line, shop, cell, out)
        self._scope_questions(line, shop, cell)
        arrival = self._arrivals.of(line, shop, cell, conditions_for(shop, quote, self._source))
        out["comparable_date"], out["date_steps"] = arrival.day, arrival.steps
        for question in arrival.questions:
            self._ask("N023", f"{shop.shop.name}, when the parts come: {question}", shop.shop.id)
        if cell.numbers is None or offered.line is None:
            out["comparable"] = None
            return out
        currency = self._source.exchange.currency
        out["comparable"] = cell.numbers.comparable
        out["bridge"] = steps_of(offered.line, self._table.given, cell.numbers)
        out["paid_before_delivery"] = round_money(cell.numbers.before_delivery, currency)
        self._judge(index, column, line, cell, out, alone=alone)
        return out

    def _judge(
        self,
        index: int,
        column: int,
        line: TableLine,
        cell: TableCell,
        out: dict[str, Any],
        *,
        alone: bool,
    ) -> None:
        """Ratio, verdict, where the price was expected, and the words for it."""
        at = self._at.get((index, column))
        band = self._bands[index]
        assert cell.offered is not None and cell.numbers is not None and cell.quote is not None
        comparable = cell.numbers.comparable
        if band is not None and band.middle > 0:
            out["ratio"] = float(comparable / band.middle)
        if at is None:
            return
        judgement, reference = self._judgement, self._reference[index]
        price = cell.offered.binding.price
        verdict = VERDICTS[int(judgement.verdict_code[at])]
        if not cell.offered.adds_up and verdict in (IN_LINE, OUTSIDE):
            verdict = ASK
        z, middle, sd = (
            float(judgement.z[at]),
            float(judgement.expected[at]),
            float(judgement.expected_sd[at]),
        )
        expected = None
        if not isnan(z):
            half = sd * BAND_TO_SD / 2
            expected = (
                in_money(exp(middle - half) * reference),
                in_money(exp(middle + half) * reference),
            )
            out["z"], (out["expected_low"], out["expected_high"]) = z, expected
        named = judgement.slip_of(at)
        facts: tuple[Explanation | None, Explanation | None] = (None, None)
        if named is not None and not named.whole_reply and not isnan(z):
            facts = self._facts(z * sd, sd, line, cell, band)
        words: Finding = finding(
            verdict, named, price, line.quantity, comparable, band, expected,
            alone=alone, adds_up=cell.offered.adds_up, other=facts,
            between_breaks=cell.offered.binding.how is Bound.LOWER_BREAK,
        )  # fmt: skip
        element = self._by_element.get((index, column))
        if element is not None and element.key and element.p_slip >= QUERY and band is not None:
            # the greater of the two probabilities counts; the element that is out is named
            own = ERROR if element.p_slip >= LIKELY_ERROR else ASK
            verdict = max(verdict, own, key=VERDICTS.index)
            words = element_finding(verdict, element, price, line.quantity, band, comparable)
        gap = gap_of(price, cell.quote)
        if gap is not None and (gap.one_off is not None or verdict in (IN_LINE, OUTSIDE)):
            # Arithmetic comes first: it names what the spread of prices hides. A gap that equals
            # no one-off is only asked about.
            slip = slip_of(gap, price)
            verdict = ASK if slip is not None or gap.amount > 0 else verdict
            words = Finding(slip, reason_of(gap, price), question_of(gap, price))
        out["verdict"] = Verdict(verdict)
        if verdict == ERROR and out["ranked"]:
            out["ranked"] = False
            out["why_not_ranked"] = "a likely error: ask the shop first"
        out["slip"], out["reason"], out["question"] = words.slip, words.reason, words.question

    def _facts(
        self, distance: float, sd: float, line: TableLine, cell: TableCell, band: Band | None
    ) -> tuple[Explanation | None, Explanation | None]:
        """What breaks, tax, one-offs and scope would explain of the distance."""
        assert cell.offered is not None and cell.quote is not None and cell.offer is not None
        price = cell.offered.binding.price
        estimate = self._source.estimates.get((line.part.number, line.quantity))
        own = float(price.one_off) if price.one_off else None
        if own is None and estimate is not None and estimate.one_off:
            own = sum(estimate.one_off.values()) or None
        whole = sum(band.elements.values()) if band is not None else 0.0
        shares = (
            {name: value / whole for name, value in band.elements.items()}
            if band is not None and whole > 0
            else {}
        )
        breaks = {p.quantity: p.each for p in cell.offer.prices if p.each is not None}
        return facts_explain(
            distance, sd, price, line.quantity, cell.quote, breaks, self._ratios, shares, own
        )

    def _why_no_price(self, cell: TableCell, out: Mapping[str, Any]) -> str:
        if cell.state is CellState.DECLINED and cell.why:
            return f"declined: {cell.why}"
        if cell.state is CellState.NO_ANSWER and out.get("alternatives"):
            return "only an alternative is offered"
        return cell.state.value

    def _earlier(self, quote: Quote, shop: TableShop) -> str:
        newest = shop.stands.newest
        if quote.round < self._source.round_:
            return f" (from round {quote.round})"
        if newest is not None and newest is not quote:
            return f" (from quote {quote.number}, not repeated since)"
        return ""

    def _elements(
        self, line: TableLine, shop: TableShop, quote: Quote, price: Price
    ) -> dict[str, float]:
        exchange = self._source.exchange
        if not exchange.knows(quote.currency):
            return {}
        factor = float(exchange.factor(quote.currency))
        for breakdown in quote.breakdowns:
            if breakdown.part == line.part.number and breakdown.quantity == price.quantity:
                estimate = self._source.estimates.get((line.part.number, line.quantity))
                if line.ordered:
                    found = self.implied.setdefault(shop.shop.id, [])
                    found.append(implied(breakdown, factor, line.part, estimate))
                return {name: float(each) * factor for name, each in breakdown.elements.items()}
        return {}

    def _breaks(
        self, line: TableLine, shop: TableShop, cell: TableCell, out: dict[str, Any]
    ) -> None:
        """The target question between breaks, and whether buying up pays."""
        assert cell.offer is not None and cell.offered is not None
        prices, binding = cell.offer.prices, cell.offered.binding
        if binding.how is Bound.LOWER_BREAK:
            self._ask(
                "N024",
                f"{shop.shop.name} prices {line.part.number} at {binding.price.quantity} pcs and "
                f"not at {line.quantity}; that price holds until it gives another, so ask for one.",
                shop.shop.id,
            )
        if len(prices) < 2:
            return
        exchange, currency = self._source.exchange, binding.price.currency
        guess = target_question(prices, line.quantity)
        if guess is not None and exchange.knows(currency):
            out["target_question"] = exchange.convert(guess, currency).quantize(Decimal("0.0001"))
        larger = buying_up(prices, binding, self._table.given.spare_worth)
        odd = larger is not None and (
            self._asked_about(line.part.number, line.quantity, shop)
            or self._asked_about(line.part.number, larger.price.quantity, shop)
        )
        if larger is not None and not odd:  # a slip is no bargain
            self.problems.append(
                Problem(
                    "N022",
                    f"{shop.shop.name}, {line.part.number}: {larger.price.quantity} pcs cost "
                    f"{round_money(larger.total, currency)} {currency}, less than {line.quantity} "
                    f"pcs at {round_money(larger.plain_total, currency)}; order the larger lot.",
                    place=larger.price.place,
                    severity=Severity.NOTE,
                    subject=shop.shop.id,
                )
            )

    def _asked_about(self, part: str, quantity: int, shop: TableShop) -> bool:
        """Whether a price of a shop is a query or a likely error, by the totals."""
        for index in self._lines_of.get(part, ()):
            if self._table.lines[index].quantity == quantity:
                column = next(c for c, other in enumerate(self._table.shops) if other is shop)
                at = self._at.get((index, column))
                return at is not None and int(self._judgement.verdict_code[at]) >= CODE_ASK
        return False

    def _scope_questions(self, line: TableLine, shop: TableShop, cell: TableCell) -> None:
        for scope in cell.missing:
            self._ask(
                "N019",
                f"{shop.shop.name} leaves {scope.value} out of its price for {line.part.number}; "
                "ask for a price with it.",
                shop.shop.id,
            )

    def _ask(self, code: str, message: str, subject: str) -> None:
        self.problems.append(Problem(code, message, severity=Severity.ASK, subject=subject))


def _alternative(price: Price) -> str:
    each = price.each if price.each is not None else price.printed
    return f"{price.alternative}: {each} {price.currency} at {price.quantity} pcs"

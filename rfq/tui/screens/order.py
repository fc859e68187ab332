"""Orders and first articles: did they acknowledge what we ordered, and is the first piece right?"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType

from rfq.model.award import FirstArticle, Order, OrderLine
from rfq.tui import keys
from rfq.tui.cells import Bits, bit, bits, count, lines, money, unit_price
from rfq.tui.screens import order_actions as actions
from rfq.tui.screens.cards import TextCard
from rfq.tui.screens.stage import Explain, Stage
from rfq.tui.widgets.matrix import Column, Matrix, Rows

_COLUMNS = (
    Column("", 16), Column("part", 10), Column("pcs", 6, right=True),
    Column("each", 11, right=True), Column("", 4), Column("promised", 10), Column("received", 10),
    Column("good", 5, right=True), Column("bad", 5, right=True), Column("state", 16, grows=True),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Row:
    """An order, a line of it, or a first article."""

    order: Order | None = None
    line: OrderLine | None = None
    article: FirstArticle | None = None


class OrderStage(Stage):
    """Orders with their lines, then first articles; below them what differs."""

    NAME = "order"
    HELP_NAME = "order"
    BINDINGS: ClassVar[list[BindingType]] = keys.bindings("order")

    def __init__(self) -> None:
        super().__init__()
        self._rows: list[Row] = []
        self._states: dict[str, Any] = {}

    def body(self) -> ComposeResult:
        """The list and the lower pane."""
        yield Matrix(id="orders", empty="no order yet: choose an award first (7, then c)")
        yield Explain()

    def on_mount(self) -> None:
        """Fill and focus the list."""
        super().on_mount()
        self.query_one(Matrix).focus()

    def fill(self) -> None:
        """Orders, lines, first articles."""
        project = self.session.project
        self._rows, rows = [], list[list[Bits]]()
        if project.orders:
            from rfq.tasks.open import today_of
            from rfq.tasks.order import order_state

            today = today_of(project)
            self._states = {one.id: order_state(one, today) for one in project.orders}
        for order in project.orders:
            self._rows.append(Row(order))
            rows.append(self._order_cells(order))
            for line in order.lines:
                self._rows.append(Row(order, line))
                rows.append(self._line_cells(order, line))
        for article in project.first_articles:
            self._rows.append(Row(article=article))
            decided = article.disposition or "to decide"
            released = ", lot released" if article.released else ""
            rows.append(
                [
                    bits("first article", "strong"), bits(article.part), (), (), (), (),
                    bits(article.received), (), (),
                    bits(f"{decided}{released}", "plain" if article.disposition else "query"),
                ]
            )  # fmt: skip
        self.query_one(Matrix).show(Rows(_COLUMNS, rows))

    def _order_cells(self, order: Order) -> list[Bits]:
        state = self._states[order.id]
        if not order.acknowledged:
            said, role = "not acknowledged", "query"
        elif state.differences:
            said, role = count(len(state.differences), "difference"), "error"
        else:
            said, role = "acknowledged as ordered", "good"
        return [
            bits(order.id, "strong"), bits(order.shop), (), bits(money(state.total)),
            bits(order.lines[0].currency), (), (), (), (), bits(said, role),
        ]  # fmt: skip

    def _line_cells(self, order: Order, line: OrderLine) -> list[Bits]:
        late = line.part in self._states[order.id].late
        return [
            (), bits(line.part), bits(line.quantity), bits(unit_price(line.each)),
            bits(line.currency),
            bits(line.promised or ""), bits(line.received or ""),
            bits("" if line.good is None else line.good),
            bits("" if line.bad is None else line.bad),
            bits("late" if late else line.disposition, "query" if late else "plain"),
        ]  # fmt: skip

    def answer(self) -> str:
        """What is open."""
        project = self.session.project
        open_ = sum(not order.acknowledged for order in project.orders)
        late = sum(len(state.late) for state in self._states.values())
        undecided = sum(not one.disposition for one in project.first_articles)
        return (
            f"order   {count(len(project.orders), 'order')}, {open_} not acknowledged, "
            f"{count(late, 'line')} late, {count(undecided, 'first article')} to decide"
        )

    @property
    def here(self) -> Row | None:
        """The row under the cursor."""
        row = self.query_one(Matrix).row
        return self._rows[row] if row < len(self._rows) else None

    @property
    def part(self) -> str:
        """The part under the cursor, or ''."""
        row = self.here
        if row is None:
            return ""
        if row.article is not None:
            return row.article.part
        if row.line is not None:
            return row.line.part
        return row.order.lines[0].part if row.order is not None else ""

    def on_matrix_moved(self) -> None:
        """Say what differs, or what the figures say."""
        row, rows = self.here, list[object]()
        if row is None:
            self.query_one(Explain).say([""])
            return
        if row.article is not None:
            rows = self._article_rows(row.article)
        elif row.order is not None:
            state = self._states[row.order.id]
            said = f"{row.order.shop}, placed {row.order.placed}, {money(state.total)}"
            rows.append((bit(f"{row.order.id}: ", "strong"), bit(said)))
            rows += [
                (bit("differs  ", "error"), bit(one.sentence), bit(f"  {one.place}", "dim"))
                for one in state.differences
            ]
            if state.invoice is not None:
                rows.append((bit("invoice  ", "dim"), bit(f"{state.invoice:+} against the order")))
            if state.differences:
                rows.append((bit("object in writing or agree: silence may bind", "query"),))
        self.query_one(Explain).say(rows)

    def _article_rows(self, article: FirstArticle) -> list[object]:
        from rfq.tasks.first_article import judge_stored

        verdict = judge_stored(self.session.here, article).verdict
        rows: list[object] = [
            (bit(f"{article.part} {article.revision}, first article: ", "strong"),
             bit(verdict.advice))
        ]  # fmt: skip
        states: tuple[tuple[Any, str], ...] = (
            ("failed", "error"), ("undecided", "query"), ("missing", "query"),
        )  # fmt: skip
        for state, role in states:
            numbers = [one.asked.callout.number for one in verdict.of(state)]
            if numbers:
                rows.append((bit(f"{state:<10}", role), bit("callouts " + ", ".join(numbers))))
        rows.append((bit(f"rule      {verdict.rule}; the engineer decides", "dim"),))
        return rows

    def on_matrix_chosen(self) -> None:
        """See ``show_why``."""
        self.show_why()

    def show_why(self) -> None:
        """Every characteristic of the first article; every difference of the order."""
        row = self.here
        if row is None:
            return
        rows: list[object] = list(self.query_one(Explain).rows)
        if row.article is not None:
            from rfq.tasks.first_article import judge_stored

            for one in judge_stored(self.session.here, row.article).verdict.callouts:
                number, text = one.asked.callout.number, one.asked.callout.text
                rows.append((bit(f"{number:>4} {text:<24.24} {one.state}", "strong"),))
                rows += [(bit(f"       {result.words}", "dim"),) for result in one.results]
                if one.missing:
                    rows.append((bit(f"       missing: {one.missing}", "query"),))
        self.app.push_screen(TextCard("order and first article", lines(rows)))

    def action_acknowledge(self) -> None:
        """Read the shop's acknowledgement."""
        actions.acknowledge(self)

    def action_receive(self) -> None:
        """Record what came."""
        actions.receive_goods(self)

    def action_invoice(self) -> None:
        """Record the invoice."""
        actions.record_invoice(self)

    def action_form(self) -> None:
        """Write the report form."""
        actions.write_form(self)

    def action_measured(self) -> None:
        """Read measured values."""
        actions.take_measured(self)

    def action_decide(self) -> None:
        """Record the engineer's decision."""
        actions.decide(self)

    def source_file(self) -> Path | None:
        """The acknowledgement, the report, or the order's record."""
        row = self.here
        if row is None:
            return None
        ref = (
            row.article.source if row.article else row.order.acknowledgement if row.order else None
        )
        if ref is not None:
            return self.session.folder / ref.path
        key = f"order:{row.order.request}/{row.order.id}" if row.order else ""
        file = self.session.project.files.get(key, "")
        return self.session.folder / file if file else None

    def copy_text(self) -> str:
        """The order's id, or the part."""
        row = self.here
        return row.order.id if row and row.order else self.part

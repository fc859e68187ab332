"""Rounds: what was asked, answered and changed; what can be said now, and to whom?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical

from rfq.tui import keys
from rfq.tui.cells import Bits, bit, bits, lines, money
from rfq.tui.screens import rounds_actions as actions
from rfq.tui.screens.cards import TextCard
from rfq.tui.screens.stage import Explain, Stage
from rfq.tui.widgets.matrix import Column, Matrix, Rows

_COLUMNS = (
    Column("", 9), Column("", 14), Column("state", 18), Column("", 30, grows=True),
)  # fmt: skip
_POINTS = (Column("", 3), Column("part", 10), Column("worth", 10, right=True),
           Column("to say", 24, grows=True))  # fmt: skip


@dataclass(frozen=True, slots=True)
class Row:
    """A row at the left: a round, a shop in it, a question, or an exception."""

    kind: str
    shop: str = ""
    question: Any = None
    exception: Any = None
    words: str = ""


class RoundsStage(Stage):
    """Rounds, shops, questions and exceptions at the left; arguments and targets at the right."""

    NAME = "rounds"
    HELP_NAME = "rounds"
    BINDINGS: ClassVar[list[BindingType]] = keys.bindings("rounds")

    def __init__(self) -> None:
        super().__init__()
        self.rows: list[Row] = []
        self.state: Any = None
        self.position: Any = None
        self.ticked: dict[str, list[str]] = {}
        self._of: object = None  # the comparison that the position rests on

    def body(self) -> ComposeResult:
        """Both sides and the lower pane."""
        with Horizontal(classes="halves"):
            with Vertical(classes="half"):
                yield Matrix(id="timeline", empty="no round yet: make the packages (2, then m)")
            with Vertical(classes="side"):
                yield Matrix(id="points", empty="nothing to say yet")
        yield Explain()

    def on_mount(self) -> None:
        """Fill and focus the left."""
        super().on_mount()
        self.query_one("#timeline").focus()

    def fill(self) -> None:
        """Where the request stands."""
        from rfq.tasks.rounds import rounds_state_opened

        self.state = None
        self.rows = []
        if self.session.request is not None:
            self.state = rounds_state_opened(self.session.here).value
            self._list()
        self.query_one("#timeline", Matrix).show(Rows(_COLUMNS, [_cells(r) for r in self.rows]))
        self._show_points()
        self._find_position()

    def _list(self) -> None:
        for one in self.state.rounds:
            until = f"until {one.round.cut_off:%Y-%m-%d %H:%M}" if one.round.cut_off else ""
            word = "overdue" if one.overdue else "open" if one.open else "closed"
            last = "; the last" if one.round.last else ""
            said = f"{until}{last} {one.round.argument}".strip()
            self.rows.append(Row(f"round {one.round.number}", "", None, None, f"{word}|{said}"))
            for shop in one.shops:
                when = f"{shop.received:%Y-%m-%d}" if shop.received else ""
                said = f"{shop.priced} of {len(shop.asked)} parts priced {when}"
                self.rows.append(Row("", shop.shop, None, None, f"{shop.answer}|{said}"))
        for asked in self.state.questions:
            who = asked.to_shop or asked.raised_by or "us"
            self.rows.append(
                Row(f"{asked.id}", who, asked, None, f"{asked.state}|{asked.question}")
            )
        for one in self.state.exceptions:
            said = f"{one.taken.part} {one.taken.callout} {one.taken.text}"
            self.rows.append(
                Row("exception", one.quote.shop, None, one, f"{one.taken.state}|{said}")
            )

    def _find_position(self) -> None:
        comparison = self.session.comparison
        if comparison is None or self._of is comparison or not self.rfq.look:
            return
        self._of = comparison
        here, number = self.session.here, self.session.round_

        def run(_: object) -> Any:
            from rfq.tasks.targets import position_opened

            return position_opened(here, round_=number)

        def have(done: Any) -> None:
            self.position = done.value
            if self.is_attached and self.rfq.session is not None:
                self._show_points()
                self.say_answer()

        self.rfq.begin("arguments", run, have, group="position", quiet=True, failed=lambda _: None)

    def answer(self) -> str:
        """What is up to the user now."""
        if self.state is None:
            return "rounds   no request yet"
        return f"rounds   {self.state.next_step}"

    @property
    def here(self) -> Row | None:
        """The row under the cursor of the left side."""
        row = self.query_one("#timeline", Matrix).row
        return self.rows[row] if row < len(self.rows) else None

    @property
    def shop(self) -> str:
        """The shop that the right side is about."""
        row = self.here
        if row is not None and row.shop and row.shop in self.session.project.shops:
            return row.shop
        request = self.session.request
        return request.asked[0].shop if request and request.asked else ""

    def points(self) -> list[Any]:
        """Arguments and targets towards the shop, the dearest first."""
        if self.position is None:
            return []
        aims = [one for one in self.position.of(self.shop) if one.target is not None]
        return [*self.position.arguments.get(self.shop, ()), *aims]

    def _show_points(self) -> None:
        matrix = self.query_one("#points", Matrix)
        matrix.empty = (
            "working out what can be said …"
            if self.position is None and self.session.comparison is not None and self.rfq.look
            else "nothing to say to this shop yet"
        )
        ticked = self.ticked.get(self.shop, [])
        rows: list[list[Bits]] = []
        for one in self.points():
            mark = bits("[x]" if one.key in ticked else "[ ]", "strong")
            if hasattr(one, "sentence"):
                rows.append([mark, bits(one.part), bits(money(one.money)), bits(one.sentence)])
            else:
                said = (
                    f"target at {one.quantity}: {one.quoted_target} {one.currency} "
                    f"(now {one.quoted})"
                )
                rows.append([mark, bits(one.part), bits(money(one.gain)), bits(said)])
        matrix.show(Rows(_POINTS, rows))

    def on_matrix_moved(self, event: Matrix.Moved) -> None:
        """Explain; the right side follows the shop."""
        if event.matrix.id == "timeline" and event.matrix.has_focus:
            self._show_points()
        self._explain()

    def _explain(self) -> None:
        row, rows = self.here, list[object]()
        found = self.points()
        at = self.query_one("#points", Matrix).row
        if self.query_one("#points").has_focus and at < len(found):
            one = found[at]
            said = getattr(one, "sentence", "") or f"target for {one.part} x {one.quantity}"
            rows.append((bit(f"{self.shop}: ", "strong"), bit(said)))
            rows.append((bit("ours alone  ", "dim"), bit(getattr(one, "ours", "") or one.why)))
            if getattr(one, "caution", ""):
                rows.append((bit("caution     ", "query"), bit(one.caution)))
            if getattr(one, "next_best", None):
                shop, price = one.next_best
                rows.append((bit("next best   ", "dim"), bit(f"{shop} {money(price)}")))
        elif row is not None:
            state, _, said = row.words.partition("|")
            rows.append((bit(f"{row.kind} {row.shop} {state}: ".lstrip(), "strong"), bit(said)))
            if row.question is not None and row.question.answer:
                rows.append((bit("answer      ", "dim"), bit(row.question.answer)))
            if row.exception is not None and row.exception.loaded:
                rows.append((bit("caution     ", "query"),
                             bit("a loaded part: back to the responsible engineer")))  # fmt: skip
        if self.position is not None:
            rows.append((bit("another round  ", "dim"), bit(self.position.another.words)))
        self.query_one(Explain).say(rows or [""])

    def on_matrix_chosen(self, event: Matrix.Chosen) -> None:
        """Tick at the right; answer or decide at the left."""
        if event.matrix.id == "points":
            self.action_tick()
        else:
            self.action_answer()

    def action_side(self) -> None:
        """The other side."""
        self.turn("#timeline", "#points")

    def on_descendant_focus(self) -> None:
        """The lower pane follows the side that has the focus."""
        if self.rfq.session is not None:
            self._explain()

    def action_tick(self) -> None:
        """Tick or untick what is under the cursor of the right side."""
        found, at = self.points(), self.query_one("#points", Matrix).row
        if at >= len(found):
            return
        ticked = self.ticked.setdefault(self.shop, [])
        key = found[at].key
        if key in ticked:
            ticked.remove(key)
        else:
            ticked.append(key)
        self._show_points()

    def action_letter(self) -> None:
        """Write the letters with what is ticked."""
        actions.write_letters(self)

    def action_open_round(self) -> None:
        """Open the next round."""
        actions.open_round(self)

    def action_close_round(self) -> None:
        """Close the open round."""
        actions.close_open_round(self)

    def action_revise(self) -> None:
        """A new revision of the request."""
        actions.revise_request(self)

    def action_put_question(self) -> None:
        """Record a question."""
        actions.put_question(self)

    def action_answer(self) -> None:
        """Answer the question, or decide the exception."""
        actions.answer_or_decide(self)

    def action_send(self) -> None:
        """Write the letters of a question."""
        actions.send_question(self)

    def action_remind(self) -> None:
        """Remind the shops that have not answered."""
        actions.remind(self)

    def action_movement(self) -> None:
        """What moved between the last two rounds."""
        actions.show_movement(self)

    def why(self) -> list[object]:
        """What the arguments and targets rest on; ours alone."""
        rows: list[object] = [(bit("ours alone, never in a letter", "query"),)]
        for one in self.points():
            rows.append((bit(f"{one.key}: ", "strong"), bit(getattr(one, "ours", "") or one.why)))
        return rows

    def show_why(self) -> None:
        """See ``why``."""
        self.app.push_screen(TextCard(f"what can be said to {self.shop}", lines(self.why())))

    def copy_text(self) -> str:
        """The words of the row."""
        row = self.here
        return row.words.partition("|")[2] if row else ""


def _cells(row: Row) -> list[Bits]:
    state, _, said = row.words.partition("|")
    waits = state in ("open", "overdue", "no answer", "answered")
    role = "query" if waits and (row.question or row.exception) else "plain"
    return [
        bits(row.kind, "strong"),
        bits(row.shop),
        bits(state, role),
        bits(said, "plain" if row.kind else "dim"),
    ]

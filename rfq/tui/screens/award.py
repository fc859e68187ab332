"""Award: who makes what, what does each rule cost, and why is it decided so?"""

from __future__ import annotations

from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical

from rfq.model.award import Proposal, Rules
from rfq.tui import keys
from rfq.tui.award_rules import RULES, changed_rules, rule_words, typed_rule
from rfq.tui.cells import Bits, bit, bits, count, lines, money
from rfq.tui.screens.cards import AskCard, TextCard
from rfq.tui.screens.letters import show_letters
from rfq.tui.screens.stage import Explain, Stage
from rfq.tui.widgets.matrix import Column, Matrix, Rows

_PROPOSALS = (
    Column("proposal", 20, grows=True), Column("total", 10, right=True),
    Column("above", 9, right=True), Column("shops", 22), Column("last date", 10),
    Column("paid before", 11, right=True),
)  # fmt: skip
_RULES = (Column("rule", 22), Column("", 14, grows=True), Column("costs", 10, right=True))


class AwardStage(Stage):
    """Proposals at the left, rules with their price at the right."""

    NAME = "award"
    HELP_NAME = "award"
    BINDINGS: ClassVar[list[BindingType]] = keys.bindings("award")

    def __init__(self) -> None:
        super().__init__()
        self.rules = Rules()
        self.proposed: Any = None
        self._of: object = None  # the comparison that the proposals rest on
        self._why_none = ""

    def body(self) -> ComposeResult:
        """Proposals, rules, lower pane."""
        with Horizontal(classes="halves"):
            with Vertical(classes="half"):
                yield Matrix(id="proposals", empty="no quotes yet")
            with Vertical(classes="side slim"):
                yield Matrix(id="rules")
        yield Explain()

    def on_mount(self) -> None:
        """Fill and focus the proposals."""
        super().on_mount()
        self.query_one("#proposals").focus()

    def fill(self) -> None:
        """Proposals as last worked out; work them out where there are new prices."""
        comparison = self.session.comparison
        if comparison is not None and self._of is not comparison and self.rfq.look:
            self._of = comparison
            self.action_propose()
        self._show()

    def _show(self) -> None:
        matrix = self.query_one("#proposals", Matrix)
        found = self.proposals
        matrix.empty = self._why_none or (
            "working out proposals …" if self.session.comparison is not None else "no quotes yet"
        )
        least = min((one.total for one in found), default=None)
        rows: list[list[Bits]] = []
        for one in found:
            above = one.total - least if least is not None else None
            rows.append(
                [
                    bits(one.name, "strong"),
                    bits(money(one.total), "low" if above == 0 else "plain"),
                    bits(f"+{money(above)}" if above else "lowest"),
                    bits(", ".join(one.shops)),
                    bits(one.last_date or ""),
                    bits(money(one.paid_before_delivery)),
                ]
            )
        matrix.show(Rows(_PROPOSALS, rows))
        prices = found[0].rule_prices if found else {}
        self.query_one("#rules", Matrix).show(
            Rows(
                _RULES,
                [
                    [
                        bits(rule.label),
                        bits(rule_words(self.rules, rule), "strong"),
                        bits(money(prices.get(rule.name))),
                    ]
                    for rule in RULES
                ],
            )
        )

    @property
    def proposals(self) -> tuple[Proposal, ...]:
        """The proposals, cheapest first."""
        return self.proposed.proposals if self.proposed is not None else ()

    def answer(self) -> str:
        """What is decided, or what would be cheapest."""
        awards = self.session.project.awards
        if awards:
            last = awards[-1]
            return (
                f"award   {last.id}: {last.proposal.name}, {money(last.proposal.total)} "
                f"to {', '.join(last.proposal.shops)}; {last.reason}"
            )
        if not self.proposals:
            return f"award   {self._why_none or 'no proposals yet'}"
        one = self.proposals[0]
        return (
            f"award   {one.name}: {money(one.total)} {self.proposed.comparison.currency} "
            f"to {', '.join(one.shops)}"
        )

    @property
    def here(self) -> Proposal | None:
        """The proposal under the cursor."""
        row = self.query_one("#proposals", Matrix).row
        return self.proposals[row] if row < len(self.proposals) else None

    def on_matrix_moved(self) -> None:
        """Explain the proposal or the rule under the cursor."""
        if self.query_one("#rules").has_focus:
            rule = RULES[self.query_one("#rules", Matrix).row]
            self.query_one(Explain).say([(bit(f"{rule.label}: ", "strong"), bit(rule.about))])
            return
        one = self.here
        if one is None:
            self.query_one(Explain).say([(bit(self._why_none or "no proposal yet"),)])
            return
        shares: dict[str, list[str]] = {}
        for share in one.shares:
            shares.setdefault(share.shop, []).append(f"{share.part} x {share.quantity}")
        rows: list[object] = [
            (bit(f"{one.name}: ", "strong"),
             bit(f"{money(one.total)}, last part {one.last_date or 'on no day known'}"
                 + (f"; {one.note}" if one.note else "")))
        ]  # fmt: skip
        rows += [
            (bit(f"{shop:<12} ", "strong"), bit(", ".join(parts))) for shop, parts in shares.items()
        ]
        self.query_one(Explain).say(rows)

    def on_matrix_chosen(self, event: Matrix.Chosen) -> None:
        """Every share; or change the rule."""
        if event.matrix.id == "rules":
            self.action_rule()
        else:
            self.action_details()

    def action_side(self) -> None:
        """Proposals or rules."""
        self.turn("#proposals", "#rules")

    def on_descendant_focus(self) -> None:
        """The lower pane follows the side that has the focus."""
        if self.rfq.session is not None:
            self.on_matrix_moved()

    def action_propose(self) -> None:
        """Work the proposals out under the rules as they are."""
        from rfq.tui.work import words_of

        here, number, rules = self.session.here, self.session.round_, self.rules

        def run(say: Any) -> Any:
            from rfq.tasks.award import propose_opened

            return propose_opened(here, rules, round_=number, progress=say)

        def have(done: Any) -> None:
            self.proposed = done.value
            self._why_none = words_of(done.problems) if not done.value.proposals else ""
            self._after()

        def failed(problems: Any) -> None:
            self.proposed, self._why_none = None, words_of(problems)
            self._after()

        self.rfq.begin("proposals", run, have, group="proposals", quiet=True, failed=failed)

    def _after(self) -> None:
        if self.is_attached and self.rfq.session is not None:
            self._show()
            self.say_answer()

    def action_rule(self) -> None:
        """Change the rule under the cursor and work the proposals out again."""
        rule = RULES[self.query_one("#rules", Matrix).row]
        if rule.kind == "flag":
            self.rules = changed_rules(self.rules, rule, not getattr(self.rules, rule.name))
            self.action_propose()
            self._show()
            return

        def check(typed: str) -> tuple[bool, str]:
            rules, said = typed_rule(self.rules, rule, typed)
            return rules is not None, said

        def answered(typed: str | None) -> None:
            rules = typed_rule(self.rules, rule, typed)[0] if typed is not None else None
            if rules is not None:
                self.rules = rules
                self.action_propose()
                self._show()

        value = rule_words(self.rules, rule)
        self.app.push_screen(
            AskCard(f"{rule.label} ({rule.how})", "" if value == "off" else value, check=check),
            answered,
        )

    def action_details(self) -> None:
        """Every share of the proposal, and what every rule costs."""
        one = self.here
        if one is None:
            return
        rows: list[object] = []
        for share in one.shares:
            rows.append(
                (bit(f"{share.part:<10} {share.quantity:>6} pcs  {share.shop:<14.14}", "strong"),
                 bit(f"{money(share.comparable_each):>10} comparable, {share.quoted_each} "
                     f"{share.currency} quoted   "), bit(share.reason, "dim"))
            )  # fmt: skip
        rows += ["", (bit(f"total {money(one.total)}", "strong"),)]
        rows += [f"rule {name}: costs {money(cost)}" for name, cost in one.rule_prices.items()]
        rows.append(f"proven to lie within {one.gap:.2%} of the least possible")
        self.app.push_screen(TextCard(one.name, lines(rows)))

    def show_why(self) -> None:
        """See ``action_details``."""
        self.action_details()

    def action_choose(self) -> None:
        """Choose the proposal under the cursor, with a reason."""
        one, proposed = self.here, self.proposed
        if one is None:
            self.rfq.say("there is no proposal under the cursor", bad=True)
            return

        def check(typed: str) -> tuple[bool, str]:
            good = len(typed.strip()) >= 3
            return good, "recorded with the award" if good else "say why, for later"

        def answered(typed: str | None) -> None:
            if not typed:
                return

            def run(here: Any) -> Any:
                from rfq.tasks.award import choose_proposal

                return choose_proposal(here, proposed, one, typed)

            def chosen(done: Any) -> None:
                made = done.value
                self.rfq.say(f"{made.award.id} is recorded, {count(len(made.orders), 'order')}, "
                             f"{len(made.letters)} letters (u takes all of it back)")  # fmt: skip
                show_letters(self.rfq, made.letters, done.written)

            self.rfq.change("awarding", run, chosen)

        title = f"{one.name}, {money(one.total)} to {', '.join(one.shops)}: why"
        self.app.push_screen(AskCard(title, check=check), answered)

    def copy_text(self) -> str:
        """The proposal in one line."""
        one = self.here
        return f"{one.name}: {money(one.total)} to {', '.join(one.shops)}" if one else ""

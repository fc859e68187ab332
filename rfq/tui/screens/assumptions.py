"""The assumptions of one estimate: change one, and the price moves at once."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any, ClassVar, cast

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.screen import Screen
from textual.widgets import Input, Static

from rfq.model.estimate import Assumption, Estimate
from rfq.tui.cells import bit, bits, lines, money, text
from rfq.tui.screens.stage import follow_size
from rfq.tui.widgets.key_line import KeyLine
from rfq.tui.widgets.matrix import Column, Matrix, Rows
from rfq.tui.widgets.number_input import NumberInput
from rfq.tui.widgets.status import Status

if TYPE_CHECKING:
    from rfq.tui.app import RfqApp

_COLUMNS = (
    Column("assumption", 26), Column("low / typical / high", 22), Column("", 12),
    Column("rests on", 16), Column("source", 20, grows=True),
)  # fmt: skip


def numbers_of(assumption: Assumption) -> tuple[str, ...]:
    """Return the figures of an assumption that can be changed, or nothing."""
    parts = tuple(part.strip() for part in assumption.value.split("/"))
    if len(parts) != 3:
        return ()
    return parts


class AssumptionsScreen(Screen[None]):
    """Assumptions in a list; below it a field for the one under the cursor; the price on top.

    Args:
        estimate: as it stands in the session.
    """

    HELP_NAME: ClassVar[str] = "assumptions"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("e", "type", "type a figure", id="assume.type", tooltip="Type a figure."),
        Binding("plus", "scale('1.1')", "+10 %", id="assume.more", tooltip="Ten per cent more."),
        Binding("minus", "scale('0.9')", "-10 %", id="assume.less", tooltip="Ten per cent less."),
        Binding("k", "keep", "keep in rates", id="assume.keep",
                tooltip="Store the changed assumptions in the project's rates."),
        Binding("x", "drop", "drop changes", id="assume.drop", tooltip="As it was."),
        Binding("slash", "filter", "filter", id="assume.filter", tooltip="Show what matches."),
        Binding("escape", "leave", "back", id="assume.back", tooltip="Back to the estimate."),
    ]  # fmt: skip

    def __init__(self, estimate: Estimate) -> None:
        super().__init__()
        self.before = estimate
        self.now = estimate
        self.changed: dict[str, Any] = {}
        self._shown: list[Assumption] = []
        self._filter = ""

    @property
    def rfq(self) -> RfqApp:
        """The app."""
        return cast("RfqApp", self.app)

    def compose(self) -> ComposeResult:
        """Price, list, field."""
        yield Static("", markup=False, id="head")
        yield Input(placeholder="show only assumptions that match", id="filter")
        yield Matrix(id="assumptions", empty="nothing matches")
        with Horizontal(id="form-about"), Vertical():
            yield Static("", markup=False, id="assume-words")
            yield NumberInput(id="assume-value")
        with Vertical(id="foot"):
            yield Status()
            yield KeyLine()

    def on_mount(self) -> None:
        """Fill; the drivers come first, as they move the price most."""
        self._fill()
        self._say_price()
        self.query_one(Matrix).focus()

    def on_resize(self, event: events.Resize) -> None:
        """Fold what does not fit."""
        follow_size(self, event)

    def _ordered(self) -> list[Assumption]:
        rank = {driver.name: place for place, driver in enumerate(self.before.drivers)}
        usable = [one for one in self.before.assumptions if numbers_of(one)]
        return sorted(usable, key=lambda one: rank.get(one.name, len(rank)))

    def _fill(self) -> None:
        words = self._filter.lower().split()
        self._shown = [
            one for one in self._ordered() if all(word in one.name.lower() for word in words)
        ]
        rows = []
        for one in self._shown:
            own = self.changed.get(one.name)
            value = f"{own.low:g} / {own.typical:g} / {own.high:g}" if own else one.value
            rows.append(
                [
                    bits(("~ " if own else "  ") + one.name, "strong" if own else "plain"),
                    bits(value, "strong" if own else "plain"),
                    bits(one.unit, "dim"),
                    bits("typed here" if own else one.basis),
                    bits(one.source, "dim"),
                ]
            )
        self.query_one(Matrix).show(Rows(_COLUMNS, rows))

    def _say_price(self) -> None:
        was, now = self.before, self.now
        moved = now.middle - was.middle
        after = ""
        if self.changed:
            share = moved / was.middle if was.middle else 0.0
            after = f"   was {money(was.middle)}, {moved:+.2f} ({share:+.1%})"
        self.query_one("#head", Static).update(
            lines(
                [
                    (bit(f"should-cost   {now.part}, {now.quantity} pcs, {now.route}", "strong"),),
                    (
                        bit(f"{money(now.middle)} {now.currency}", "strong"),
                        bit(f" ({money(now.low)} to {money(now.high)}){after}"),
                    ),
                ]
            )
        )

    @property
    def here(self) -> Assumption | None:
        """The assumption under the cursor."""
        row = self.query_one(Matrix).row
        return self._shown[row] if row < len(self._shown) else None

    def on_matrix_moved(self) -> None:
        """Say what it is and rests on."""
        one = self.here
        said = f"{one.name}, {one.unit or 'no unit'}: {one.basis}; {one.source}" if one else ""
        self.query_one("#assume-words", Static).update(text(said))

    def on_matrix_chosen(self) -> None:
        """Type a figure."""
        self.action_type()

    def action_type(self) -> None:
        """Type a figure for the assumption under the cursor."""
        one = self.here
        if one is None:
            return
        field = self.query_one(NumberInput)
        own = self.changed.get(one.name)
        field.begin(str(own.typical.normalize()) if own else numbers_of(one)[1])

    def on_number_input_typed(self, message: NumberInput.Typed) -> None:
        """The price moves while the figure is typed."""
        if message.number is not None:
            self._change(message.number)

    def on_number_input_left(self) -> None:
        """Back to the list."""
        self.query_one(Matrix).focus()

    def action_scale(self, factor: str) -> None:
        """Ten per cent more or less, low and high with it."""
        from rfq.tasks.what_if import Assumed

        one = self.here
        if one is None:
            return
        own = self.changed.get(one.name)
        three = (own.low, own.typical, own.high) if own else tuple(map(Decimal, numbers_of(one)))
        low, typical, high = (value * Decimal(factor) for value in three)
        self._set(one.name, Assumed(low, typical, high))

    def _change(self, number: Decimal) -> None:
        from rfq.tasks.what_if import Assumed

        one = self.here
        if one is not None:
            self._set(one.name, Assumed.one(number))

    def _set(self, name: str, value: Any) -> None:
        self.changed[name] = value
        self._fill()
        self._estimate()

    def _estimate(self) -> None:
        from rfq.tasks.what_if import estimate_with

        session = self.rfq.session
        if session is None:
            return
        part = session.project.parts[self.before.part]
        quantity, changed, here = self.before.quantity, dict(self.changed), session.here

        def have(done: Any) -> None:
            if not self.is_attached:
                return
            if done.value is None:
                self.rfq.say(done.problems[0].message, bad=True)
                return
            self.now = done.value
            self._say_price()
            self.rfq.say("")

        self.rfq.begin(
            "estimating", lambda _: estimate_with(here, part, quantity, changed), have,
            group="what-if", quiet=True,
        )  # fmt: skip

    def action_keep(self) -> None:
        """Store the changes in the rates; every estimate uses them from then on."""
        from rfq.tasks.what_if import keep_assumptions

        if not self.changed:
            self.rfq.say("nothing is changed", bad=True)
            return
        changed = dict(self.changed)

        def kept(_: object) -> None:
            self.rfq.say(f"kept in rates.toml: {', '.join(changed)} (u takes it back)")
            self.app.pop_screen()

        self.rfq.change("storing", lambda here: keep_assumptions(here, changed), kept)

    def action_drop(self) -> None:
        """As it was."""
        self.changed.clear()
        self.now = self.before
        self._fill()
        self._say_price()

    def action_filter(self) -> None:
        """Show the filter."""
        field = self.query_one("#filter", Input)
        field.add_class("open")
        field.focus()

    def on_input_changed(self, event: Input.Changed) -> None:
        """Filter as it is typed."""
        if event.input.id == "filter":
            self._filter = event.value
            self._fill()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Back to the list."""
        if event.input.id == "filter":
            self.query_one("#filter", Input).set_class(bool(self._filter), "open")
            self.query_one(Matrix).focus()

    def action_leave(self) -> None:
        """Back; the changes are only kept by k."""
        if self.query_one(NumberInput).has_focus_within or self.query_one("#filter").has_focus:
            self.query_one(Matrix).focus()
            return
        self.app.pop_screen()
        if self.changed:
            self.rfq.say("the changed assumptions were not kept (k keeps them in the rates)")

"""Replies: who has answered, what is unsure, what is missing from whom?"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType

from rfq.model.draft import Draft
from rfq.model.quote import Quote
from rfq.tui import keys
from rfq.tui.cells import bit, bits, count, lines
from rfq.tui.screens.cards import AskCard, ChoiceCard, TextCard
from rfq.tui.screens.stage import Explain, Stage
from rfq.tui.widgets.matrix import Column, Matrix, Rows

_COLUMNS = (
    Column("shop", 14), Column("state", 18), Column("prices", 6, right=True),
    Column("missing", 8, right=True), Column("to settle", 9, right=True),
    Column("received", 10), Column("valid until", 11), Column("file", 20, grows=True),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Reply:
    """A row: a shop's quote, a draft, or nothing yet."""

    shop: str
    draft: Draft | None = None
    quote: Quote | None = None


class RepliesStage(Stage):
    """A row a shop and reply; below it what is missing or to be settled."""

    NAME = "replies"
    HELP_NAME = "replies"
    BINDINGS: ClassVar[list[BindingType]] = keys.bindings("replies")

    def __init__(self) -> None:
        super().__init__()
        self._replies: list[Reply] = []

    def body(self) -> ComposeResult:
        """The list and the lower pane."""
        yield Matrix(id="replies", empty="no shop is asked yet: 2, then e, edits the request")
        yield Explain()

    def on_mount(self) -> None:
        """Fill and focus the list."""
        super().on_mount()
        self.query_one(Matrix).focus()

    def fill(self) -> None:
        """A row for each shop asked, in the newest round; drafts that wait stand first."""
        from rfq.tasks.review import questions_of

        session = self.session
        project, request, number = session.project, session.request, session.round_number
        waiting = [project.drafts[index] for index in session.open_drafts()]
        found = [Reply(draft.shop or "not known", draft) for draft in waiting]
        if request is not None:
            by_sha = {draft.sha256: draft for draft in project.drafts}
            for asked in request.asked:
                quotes = [
                    quote
                    for quote in project.quotes_of(request.id, number, asked.shop)
                    if quote.state == "standing"
                ]
                found += [
                    Reply(asked.shop, by_sha.get(quote.source.sha256), quote) for quote in quotes
                ]
                if not quotes and not any(one.shop == asked.shop for one in waiting):
                    found.append(Reply(asked.shop))
        self._replies = found
        rows = []
        for one in found:
            source = one.quote or one.draft
            valid = one.quote.terms.valid_until if one.quote else None
            open_ = len(questions_of(one.draft)) if one.draft and not one.quote else 0
            received = source.received if source else None
            rows.append(
                [
                    bits(one.shop, "strong"),
                    _state(one, open_),
                    bits(len(source.prices) if source else ""),
                    bits(len(self._missing(one)) or "" if source else ""),
                    bits(open_ or ""),
                    bits(f"{received:%Y-%m-%d}" if received else ""),
                    bits(valid or ""),
                    bits(_file(one), "dim"),
                ]
            )
        self.query_one(Matrix).show(Rows(_COLUMNS, rows))

    def _missing(self, reply: Reply) -> list[str]:
        """Lines asked for that the reply neither prices nor declines."""
        request = self.session.request
        source = reply.quote or reply.draft
        if request is None or source is None:
            return []
        have = {(price.part, price.quantity) for price in source.prices}
        declined = {one.part for one in source.declined}
        return [
            f"{line.part} x {quantity}"
            for line in request.lines
            if line.part in request.parts_of(reply.shop) and line.part not in declined
            for quantity in line.quantities
            if (line.part, quantity) not in have
        ]

    def answer(self) -> str:
        """Who has answered."""
        accepted = sum(one.quote is not None for one in self._replies)
        silent = self.session.silent_shops()
        said = f"replies   round {self.session.round_number}: {accepted} accepted"
        return said + (f", none from {', '.join(silent)}" if silent else ", all shops answered")

    @property
    def here(self) -> Reply | None:
        """The reply under the cursor."""
        row = self.query_one(Matrix).row
        return self._replies[row] if row < len(self._replies) else None

    def on_matrix_moved(self) -> None:
        """Say what is missing and what to settle."""
        from rfq.tasks.review import questions_of

        reply = self.here
        if reply is None:
            self.query_one(Explain).say([""])
            return
        source = reply.quote or reply.draft
        if source is None:
            self.query_one(Explain).say(
                [(bit(f"{reply.shop}: ", "strong"), bit("no reply yet; n takes one in"))]
            )
            return
        rows: list[object] = [
            (bit(f"{reply.shop}: ", "strong"),
             bit(f"{source.form or 'reply'}, {len(source.prices)} prices, "
                 f"{len(source.declined)} declined, {count(len(source.exceptions), 'exception')}"))
        ]  # fmt: skip
        missing = self._missing(reply)
        if missing:
            rows.append((bit("missing  ", "query"), bit(", ".join(missing[:12]))))
        if reply.draft is not None and reply.quote is None:
            rows += [
                (bit("settle   ", "query"), bit(str(one))) for one in questions_of(reply.draft)[:5]
            ]
        rows += [
            (bit("exception  ", "query"), bit(f"{one[0]} {one[1]}"))
            for one in list(dict.fromkeys((e.part, e.text) for e in source.exceptions))[:3]
        ]
        terms = source.terms
        said = (
            f"{terms.incoterm} {terms.place}".strip(),
            terms.payment.text if terms.payment else "",
            terms.lead.text if terms.lead else "",
        )
        rows.append(
            (bit("terms    ", "dim"),
             bit("; ".join(word for word in said if word) or "none read"))
        )  # fmt: skip
        self.query_one(Explain).say(rows)

    def on_matrix_chosen(self) -> None:
        """Review."""
        self.action_review()

    def action_take(self) -> None:
        """Choose a file, or type a path."""
        from rfq.tasks.review import candidates

        known = {Path(draft.file).name for draft in self.session.project.drafts}
        files = candidates(self.session.here)
        rows = [
            (path.name, "taken in" if any(path.name in one for one in known) else "",
             str(path.parent))
            for path in files
        ]  # fmt: skip
        rows.append(("type a path", "", ""))

        def chosen(index: int | None) -> None:
            if index is None:
                return
            if index < len(files):
                self._take(files[index])
                return
            self.app.push_screen(
                AskCard("file of the reply", check=_is_file),
                lambda typed: self._take(Path(typed).expanduser()) if typed else None,
            )

        self.app.push_screen(
            ChoiceCard("which file is the reply?", rows, filtered=len(rows) > 12), chosen
        )

    def _take(self, file: Path, shop: str = "") -> None:
        from rfq.tasks.take_quote import take_into

        request = self.session.request
        if request is None:
            self.rfq.say("no request yet: a reply needs one", bad=True)
            return

        def taken(done: Any) -> None:
            draft = done.value
            if draft is None:
                self.rfq.show_problems(file.name, done.problems)
                return
            self.rfq.say(f"{file.name}: {len(draft.prices)} prices read (u takes it back)")
            self._go_to(draft)
            if not draft.shop:
                self._ask_shop(draft)

        self.rfq.change(
            f"reading {file.name}", lambda here: take_into(here, request, file, shop=shop), taken
        )

    def _go_to(self, draft: Draft) -> None:
        for row, one in enumerate(self._replies):
            if one.draft is not None and one.draft.sha256 == draft.sha256:
                self.query_one(Matrix).go(row)

    def _ask_shop(self, draft: Draft) -> None:
        from rfq.tasks.review import assign_shop

        shops = list(self.session.project.shops.values())
        at = next((i for i, one in enumerate(shops) if one.id in Path(draft.file).name), 0)
        stored = next(
            (one for one in self.session.project.drafts if one.sha256 == draft.sha256), draft
        )

        def chosen(index: int | None) -> None:
            if index is not None:
                shop = shops[index].id
                self.rfq.change(
                    "storing",
                    lambda here: assign_shop(here, stored, shop),
                    lambda _: self.rfq.say(f"reply of {shop}"),
                )

        self.app.push_screen(
            ChoiceCard("whose reply is this?", [(one.id, one.name) for one in shops], at=at), chosen
        )

    def action_review(self) -> None:
        """The reply's own cells beside what was understood."""
        from rfq.tui.screens.review import ReviewScreen

        reply = self.here
        if reply is None or reply.draft is None:
            self.action_take()
            return
        self.app.push_screen(ReviewScreen(reply.draft.sha256))

    def action_accept(self) -> None:
        """Accept the draft as a quote, or say what has to be settled first."""
        reply = self.here
        if reply is None or reply.draft is None or reply.quote is not None:
            self.rfq.say("there is no draft under the cursor to accept", bad=True)
            return
        if not reply.draft.shop:
            self._ask_shop(reply.draft)
            return
        accept(self, reply.draft)

    def why(self) -> list[object]:
        """Each price with its place and how it was read."""
        reply = self.here
        source = (reply.quote or reply.draft) if reply else None
        if source is None:
            return []
        return [
            (bit(f"{p.part} x {p.quantity}: ", "strong"), bit(f"{p.each} {p.currency} a piece; "),
             bit(f"printed {p.printed} per {p.per}, {p.place}; {p.evidence}", "dim"))
            for p in source.prices
        ]  # fmt: skip

    def copy_text(self) -> str:
        """What is missing, to be asked for."""
        return ", ".join(self._missing(self.here)) if self.here else ""

    def source_file(self) -> Path | None:
        """The reply as received."""
        reply = self.here
        if reply is None:
            return None
        path = reply.quote.source.path if reply.quote else reply.draft.file if reply.draft else ""
        return self.session.folder / path if path else None


def accept(screen: Any, draft: Draft) -> None:
    """Accept a stored draft; what stands in the way is shown."""
    from rfq.tasks.take_quote import accept_stored

    app = screen.rfq

    def accepted(done: Any) -> None:
        if done.value is None:
            rows: list[object] = [
                (bit(f"{one.place}: ", "dim"), bit(one.message)) for one in done.problems
            ]
            app.push_screen(TextCard("to settle before it can be accepted", lines(rows)))
            return
        app.say(f"accepted: {done.value.shop}, {len(done.value.prices)} prices (u takes it back)")

    app.change("accepting", lambda here: accept_stored(here, draft), accepted)


def _state(reply: Reply, open_: int) -> Any:
    if reply.quote is not None:
        return bits("accepted, late" if reply.quote.late else "accepted", "good")
    if reply.draft is None:
        return bits("no answer", "dim")
    return bits("to settle", "query") if open_ else bits("read, to accept", "strong")


def _file(reply: Reply) -> str:
    path = reply.quote.source.path if reply.quote else reply.draft.file if reply.draft else ""
    return Path(path).name


def _is_file(typed: str) -> tuple[bool, str]:
    path = Path(typed).expanduser()
    there = bool(typed) and path.is_file()
    return there, str(path.resolve()) if there else "no such file"

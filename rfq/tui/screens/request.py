"""Request: can it go out, and what would each shop get?"""

from __future__ import annotations

from pathlib import Path
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical

from rfq.problems import Problem, Severity
from rfq.tui import keys
from rfq.tui.cells import bit, bits, count, lines, problem_lines
from rfq.tui.fields import blank_request
from rfq.tui.screens.cards import AskCard, TextCard, YesCard
from rfq.tui.screens.findings import finding_rows, sorted_findings
from rfq.tui.screens.jump import jump_to
from rfq.tui.screens.record import RecordScreen
from rfq.tui.screens.stage import Explain, Stage
from rfq.tui.widgets.matrix import Column, Matrix, Rows

_SHOPS = (Column("shop", 12), Column("asked for", 9), Column("", 12, grows=True))


class RequestStage(Stage):
    """Findings at the left, shops at the right, what is under the cursor below."""

    NAME = "request"
    HELP_NAME = "request"
    BINDINGS: ClassVar[list[BindingType]] = keys.bindings("request")

    def body(self) -> ComposeResult:
        """Findings and shops."""
        with Horizontal(classes="halves"):
            with Vertical(classes="half"):
                yield Matrix(id="findings", empty="looking for findings …")
            with Vertical(classes="side slim"):
                yield Matrix(id="shops", empty="no shop is asked yet: e edits the request")
        yield Explain()

    def on_mount(self) -> None:
        """Fill and focus the findings."""
        super().on_mount()
        self.query_one("#findings").focus()

    def _found(self) -> list[Problem]:
        return sorted_findings(self.session.findings or ())

    def fill(self) -> None:
        """Findings and shops."""
        matrix = self.query_one("#findings", Matrix)
        matrix.empty = (
            "looking for findings …" if self.session.findings is None else "nothing found"
        )
        if self.session.request is None:
            matrix.empty = "no request yet: e begins one"
        matrix.show(finding_rows(self._found()))
        rows = []
        request = self.session.request
        if request is not None:
            for asked in request.asked:
                shop = self.session.project.shops.get(asked.shop)
                said = f"{shop.country} {shop.currency}" if shop else "! no such shop"
                count = len(request.parts_of(asked.shop))
                rows.append([bits(asked.shop, "strong"), bits(f"{count} parts"), bits(said)])
        self.query_one("#shops", Matrix).show(Rows(_SHOPS, rows))

    def answer(self) -> str:
        """Whether it can go out."""
        request, found = self.session.request, self.session.findings
        if request is None:
            return "request   none yet"
        head = f"request   {len(request.lines)} parts, {len(request.asked)} shops, {request.state}"
        if found is None:
            return f"{head}; still looking"
        stops = sum(one.severity is Severity.STOP for one in found)
        return f"{head}; {_stops_said(stops)}"

    def on_matrix_moved(self, event: Matrix.Moved) -> None:
        """Explain the finding or the shop under the cursor."""
        if event.matrix.id == "findings":
            problem = self._problem()
            if problem is not None:
                self.query_one(Explain).say([*problem_lines(problem)])
        elif event.matrix.has_focus:
            self._explain_shop()

    def on_descendant_focus(self) -> None:
        """The lower pane follows the side that has the focus."""
        problem = self._problem()
        if self.query_one("#shops").has_focus:
            self._explain_shop()
        elif problem is not None:
            self.query_one(Explain).say([*problem_lines(problem)])

    def _problem(self) -> Problem | None:
        found = self._found()
        row = self.query_one("#findings", Matrix).row
        return found[row] if row < len(found) else None

    def _shop(self) -> str:
        request = self.session.request
        row = self.query_one("#shops", Matrix).row
        return request.asked[row].shop if request and row < len(request.asked) else ""

    def _explain_shop(self) -> None:
        request, name = self.session.request, self._shop()
        shop = self.session.project.shops.get(name)
        if request is None or shop is None:
            return
        self.query_one(Explain).say(
            [
                (bit(f"{shop.name}: ", "strong"), bit(", ".join(request.parts_of(name)))),
                (bit("to       ", "dim"), bit(f"{shop.contact.name} {shop.contact.email}")),
                (bit("quotes   ", "dim"), bit(f"{shop.currency}, {shop.incoterm}, {shop.payment}")),
                (bit("makes    ", "dim"), bit(", ".join(shop.processes))),
            ]
        )

    def on_matrix_chosen(self, event: Matrix.Chosen) -> None:
        """Jump from a finding; preview a shop."""
        if event.matrix.id == "findings":
            self.action_jump()
        else:
            self.action_preview()

    def action_side(self) -> None:
        """Findings or shops."""
        self.turn("#findings", "#shops")

    def action_jump(self) -> None:
        """Go to the field."""
        problem = self._problem()
        if problem is not None:
            jump_to(self.rfq, problem)

    def action_edit(self) -> None:
        """The request's form; a new request where there is none."""
        request = self.session.request
        if request is not None:
            self.app.push_screen(RecordScreen(f"request:{request.id}", f"request {request.id}"))
            return
        from rfq.tasks.edit import save_record

        def answered(typed: str | None) -> None:
            if typed:
                new = blank_request(typed.strip())
                self.rfq.change(
                    "storing", lambda here: save_record(here, new), lambda _: self.action_edit()
                )

        self.app.push_screen(AskCard("name of the request", "2026-01"), answered)

    def action_check(self) -> None:
        """Look again."""
        from rfq.tui.background import findings

        findings(self.rfq, self.session, again=True)
        self.rfq.say("looking for findings …")

    def action_preview(self) -> None:
        """Build the shop's package outside of what counts as sent, and show what is in it."""
        from rfq.tasks.request import make_packages

        name = self._shop()
        if not name:
            self.rfq.say("no shop is asked yet", bad=True)
            return
        folder = self.session.folder

        def run(say: Any) -> Any:
            return make_packages(
                folder, shops=(name,), freeze=False, override="preview", progress=say
            )

        def made(done: Any) -> None:
            rows: list[object] = []
            for package in done.value:
                rows.append((bit(f"{package.shop} would get, in {package.folder}", "strong"),))
                rows += [f"  {file}" for file in package.files]
                rows += ["", (bit("mail draft", "strong"),)]
                rows += _mail_of(package.folder, package.files)
            self.app.push_screen(TextCard(f"preview for {name}", lines(rows)))

        self.rfq.begin("preview", run, made)

    def action_make(self) -> None:
        """Make all packages; a reason is asked for where findings stop the request."""
        found = self.session.findings
        request = self.session.request
        if request is None:
            self.rfq.say("no request yet: e begins one", bad=True)
            return
        stops = [one for one in found or () if one.severity is Severity.STOP]
        if not stops:
            rows = [
                f"{len(request.asked)} shops get {len(request.lines)} parts; "
                "the request is frozen as sent.",
                "Nothing is mailed: each package holds a mail draft for you to send.",
                "The terms are a starting text, to be read by someone qualified.",
            ]
            self.app.push_screen(
                YesCard("Make the packages?", rows), lambda yes: self._make("") if yes else None
            )
            return
        said = f"{count(len(stops), 'finding')} stop{'s' if len(stops) == 1 else ''} the request"
        title = f"{said}. Reason to go on (it is recorded)"
        self.app.push_screen(
            AskCard(title, check=_a_reason), lambda typed: self._make(typed) if typed else None
        )

    def _make(self, reason: str) -> None:
        from rfq.tasks.request import make_packages

        folder = self.session.folder

        def run(say: Any) -> Any:
            return make_packages(folder, override=reason, progress=say)

        def made(done: Any) -> None:
            self.rfq.reload(f"{count(len(done.value), 'package')} made")
            rows: list[object] = [
                (bit(f"{one.shop:<14}", "strong"), bit(f"{len(one.files)} files   {one.zip}"))
                for one in done.value
            ]
            self.app.push_screen(TextCard("packages made", lines(rows)))

        self.rfq.begin("making packages", run, made)

    def why(self) -> list[object]:
        """The finding in full."""
        problem = self._problem()
        return [*problem_lines(problem)] if problem else []

    def copy_text(self) -> str:
        """The finding."""
        problem = self._problem()
        return str(problem) if problem else ""

    def source_file(self) -> Path | None:
        """The newest packages' folder, else the record."""
        request = self.session.request
        if request is None:
            return None
        sent = self.session.folder / "requests" / request.id / "sent"
        file = self.session.project.files.get(f"request:{request.id}", "")
        return sent if sent.is_dir() else self.session.folder / file


def _mail_of(folder: Path, files: tuple[str, ...]) -> list[object]:
    for name in files:
        if name.endswith((".eml", ".txt")) and "mail" in name.lower():
            try:
                found = (folder / name).read_text(encoding="utf-8", errors="replace")
            except OSError:
                continue
            return [*found.splitlines()[:60]]
    return ["(none)"]


def _stops_said(stops: int) -> str:
    if not stops:
        return "nothing stops it"
    return f"{count(stops, 'finding')} stop{'s' if stops == 1 else ''} it"


def _a_reason(typed: str) -> tuple[bool, str]:
    good = len(typed.strip()) >= 8
    return good, "recorded in the request" if good else "say why, in a few words"

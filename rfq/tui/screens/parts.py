"""Parts: is everything said that a shop needs to know?"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import Input

from rfq.model.part import Part
from rfq.tui import keys
from rfq.tui.cells import bit, bits, count, lines, money
from rfq.tui.screens.stage import Explain, Stage
from rfq.tui.widgets.matrix import Column, Matrix, Rows

_COLUMNS = (
    Column("part", 12),
    Column("rev", 3),
    Column("name", 14, grows=True),
    Column("material", 20),
    Column("callouts", 8, right=True),
    Column("finish", 14),
    Column("files", 9),
    Column("should-cost", 11, right=True),
    Column("open", 16),
)
_NUMBER = re.compile(r"[A-Za-z0-9][A-Za-z0-9._+ \-]{0,59}")


class PartsStage(Stage):
    """The list of parts; below it what is said and what is missing of the one under the cursor."""

    NAME = "parts"
    HELP_NAME = "parts"
    BINDINGS: ClassVar[list[BindingType]] = keys.bindings("parts")

    def __init__(self) -> None:
        super().__init__()
        self._filter = ""
        self._shown: list[Part] = []

    def body(self) -> ComposeResult:
        """Filter, list, lower pane."""
        yield Input(placeholder="show only parts that match", id="filter")
        yield Matrix(id="parts", empty="no parts yet: n enters one, i takes in a list")
        yield Explain()

    def on_mount(self) -> None:
        """Fill and focus the list."""
        super().on_mount()
        self.query_one(Matrix).focus()

    def fill(self) -> None:
        """The parts that match."""
        words = self._filter.lower().split()
        self._shown = [
            part
            for part in self.session.project.parts.values()
            if all(word in _searched(part) for word in words)
        ]
        self.query_one(Matrix).show(Rows(_COLUMNS, [self._cells(part) for part in self._shown]))

    def _cells(self, part: Part) -> list[Any]:
        wrong = sum(not callout.spec.ok for callout in part.callouts)
        open_ = f"! {count(wrong, 'callout')} unread" if wrong else ""
        files = " ".join(
            word for word, there in (("pdf", part.drawing), ("step", part.model)) if there
        )
        return [
            bits(part.number, "strong"),
            bits(part.revision),
            bits(part.name),
            bits(f"{part.material} {part.temper}".strip()),
            bits(len(part.callouts)),
            bits(", ".join(finish.name for finish in part.finishes)),
            bits(files, "dim"),
            bits(self._middle(part)),
            bits(open_ or self._of_findings(part), "query" if open_ else "dim"),
        ]

    def _middle(self, part: Part) -> str:
        session = self.session
        line = session.request.line(part.number) if session.request else None
        if line is None or session.estimates is None:
            return ""
        estimate = session.estimates.get((part.number, line.order_first or line.quantities[0]))
        return money(estimate.middle) if estimate else "none"

    def _of_findings(self, part: Part) -> str:
        found = [one for one in self.session.findings or () if one.subject == part.number]
        return count(len(found), "finding") if found else ""

    def answer(self) -> str:
        """How many parts, and how many can be read whole."""
        parts = self.session.project.parts
        shown = f", {len(self._shown)} shown" if self._filter else ""
        return f"parts   {len(parts)}{shown}"

    @property
    def here(self) -> Part | None:
        """The part under the cursor."""
        row = self.query_one(Matrix).row
        return self._shown[row] if row < len(self._shown) else None

    def on_matrix_moved(self) -> None:
        """Say what is under the cursor."""
        part = self.here
        if part is None:
            self.query_one(Explain).say([""])
            return
        unread = [one for one in part.callouts if not one.spec.ok]
        made_of = " ".join(word for word in (part.material, part.temper, part.form) if word)
        rows: list[object] = [
            (
                bit(f"{part.number} {part.revision} {part.name}: ", "strong"),
                bit(f"{made_of}, {count(len(part.callouts), 'callout')}"),
            )
        ]
        rows += [
            (bit(f"!  callout {one.number}: ", "error"), bit(one.spec.problems[0].message))
            for one in unread[:3]
        ]
        rows += [
            (bit(f"{one.code}  ", "dim"), bit(one.message))
            for one in self.session.findings or ()
            if one.subject == part.number
        ][:6]
        if part.loaded:
            rows.append(
                (bit("caution  ", "query"), bit("carries load: a change of material, temper, "
                 "finish or tolerance goes back to the responsible engineer")),
            )  # fmt: skip
        self.query_one(Explain).say(rows)

    def on_matrix_chosen(self) -> None:
        """Open the form."""
        self.action_edit()

    def action_edit(self) -> None:
        """Every field of the part."""
        part = self.here
        if part is not None:
            self.edit(part.number)

    def edit(self, number: str, at: str = "") -> None:
        """Open a part's form on a field."""
        from rfq.tui.screens.record import RecordScreen  # heavy for the first paint

        self.app.push_screen(RecordScreen(f"part:{number}", f"part {number}", at=at))

    def action_new(self) -> None:
        """Ask for the number, store a part, open its form."""
        from rfq.tui.fields import blank_part

        self._ask_number("number of the new part", "", blank_part)

    def action_duplicate(self) -> None:
        """A part like this one under another number; files are not copied."""
        part = self.here
        if part is None:
            return

        def like(number: str) -> Part:
            alone = {"number": number, "drawing": None, "model": None, "files": ()}
            return part.model_copy(update=alone)

        self._ask_number(f"number of a part like {part.number}", part.number, like)

    def _ask_number(self, title: str, value: str, make: Any) -> None:
        from rfq.tasks.edit import save_record

        known = self.session.project.parts

        def check(typed: str) -> tuple[bool, str]:
            number = typed.strip()
            if not _NUMBER.fullmatch(number):
                return False, "letters, digits, point, plus, dash and blank; at most 60"
            if number in known:
                return False, f"{number} is there already"
            return True, f"parts/{number}.toml"

        def answered(typed: str | None) -> None:
            if not typed:
                return
            part = make(typed.strip())
            self.rfq.change(
                "storing", lambda here: save_record(here, part), lambda _: self._stored(part)
            )

        self._ask(title, answered, check, value)

    def _ask(self, title: str, answered: Any, check: Any, value: str = "") -> None:
        from rfq.tui.screens.cards import AskCard  # heavy for the first paint

        self.app.push_screen(AskCard(title, value, check=check), answered)

    def _stored(self, part: Part) -> None:
        self.rfq.say(f"stored: {part.number} (u takes it back)")
        self.go_to(part.number)
        self.edit(part.number, at="name")

    def go_to(self, number: str) -> None:
        """Put the cursor on a part."""
        for row, part in enumerate(self._shown):
            if part.number == number:
                self.query_one(Matrix).go(row)

    def action_take_in(self) -> None:
        """Read a list, or pair a folder of drawings and models."""
        from rfq.tasks.parts import take_parts

        def answered(typed: str | None) -> None:
            if typed:
                source, folder = Path(typed).expanduser(), self.session.folder

                def taken(done: Any) -> None:
                    self.rfq.said(done, f"{len(done.value)} parts taken in (u takes them back)")
                    if done.problems:
                        self.rfq.show_problems("taken in", done.problems)

                self.rfq.change("taking in parts", lambda here: take_parts(folder, source), taken)

        self._ask("parts list (CSV, XLSX) or folder of drawings and models", answered, _exists)

    def action_attach(self) -> None:
        """Copy a file into the project, with its hash."""
        from rfq.tasks.edit import attach_file

        part = self.here
        if part is None:
            return

        def answered(typed: str | None) -> None:
            if typed:
                source = Path(typed).expanduser()
                self.rfq.change(
                    "attaching",
                    lambda here: attach_file(here, part, source),
                    lambda done: self.rfq.say(f"attached to {part.number}: {source.name}"),
                )

        self._ask(f"drawing, STEP model or other file of {part.number}", answered, _is_file)

    def action_measure(self) -> None:
        """Measure the STEP model; show both figures; take all or one."""
        part = self.here
        if part is None or part.model is None:
            self.rfq.say("this part has no STEP model (f attaches one)", bad=True)
            return
        folder, number = self.session.folder, part.number

        def run(*, accept: bool = False, take: tuple[str, ...] = ()) -> Any:
            from rfq.tasks.measure import measure_part

            return measure_part(folder, number, accept=accept, take=take)

        def measured(done: Any) -> None:
            from rfq.tui.screens.cards import ChoiceCard

            if done.value is None:
                self.rfq.show_problems(f"measuring {number}", done.problems)
                return
            rows = [("all figures", "", "", ""), *done.value.rows]

            def chosen(at: int | None) -> None:
                if at is None:
                    return
                what = rows[at][0]
                self.rfq.change(
                    "taking figures",
                    lambda _: run(accept=at == 0, take=(what,) if at else ()),
                    lambda done: self.rfq.said(
                        done, f"{number}: {what} taken from its model (u takes it back)"
                    ),
                )

            heads = ("figure", "typed", "measured", "")
            title = f"{number}: typed and measured; enter takes what is chosen"
            self.app.push_screen(ChoiceCard(title, rows, heads=heads), chosen)
            if done.problems:  # read first what stands against the figures
                self.rfq.show_problems(f"measuring {number}", done.problems)

        self.rfq.begin("measuring", lambda _: run(), measured)

    def action_draw(self) -> None:
        """Draw the part from its model, in small dots."""
        part, here = self.here, self.session.here
        if part is None or part.model is None:
            self.rfq.say("this part has no STEP model (f attaches one)", bad=True)
            return
        columns, rows = max(30, self.app.size.width - 12), max(10, self.app.size.height - 9)

        def drawn(rows_drawn: Any) -> None:
            from rfq.tui.screens.cards import TextCard

            if not rows_drawn:
                self.rfq.say(f"the model of {part.number} cannot be drawn here", bad=True)
                return
            title = f"{part.number} {part.revision}, isometric, from its model"
            self.app.push_screen(TextCard(title, lines(rows_drawn)))

        def run() -> Any:
            from rfq.tasks.measure import drawing_of

            return drawing_of(here, part.number, columns, rows)

        self.rfq.begin("drawing", lambda _: run(), drawn)

    def action_remove(self) -> None:
        """Remove the part, after a question."""
        from rfq.tasks.edit import remove_record

        part = self.here
        if part is None:
            return

        def answered(yes: bool | None) -> None:
            if yes:
                self.rfq.change(
                    "removing",
                    lambda here: remove_record(here, f"part:{part.number}"),
                    lambda _: self.rfq.say(f"{part.number} removed (u brings it back)"),
                )

        from rfq.tui.screens.cards import YesCard

        self.app.push_screen(YesCard(f"Remove part {part.number}?", ()), answered)

    def action_filter(self) -> None:
        """Show the filter."""
        field = self.query_one("#filter", Input)
        field.add_class("open")
        field.focus()

    def on_input_changed(self, event: Input.Changed) -> None:
        """Filter as it is typed."""
        self._filter = event.value
        self.refresh_stage()

    def on_input_submitted(self) -> None:
        """Back to the list."""
        field = self.query_one("#filter", Input)
        field.set_class(bool(self._filter), "open")
        self.query_one(Matrix).focus()

    def why(self) -> list[object]:
        """Each callout with the limits and where they come from."""
        from rfq.tasks.typed import callout_typed, material_cautions, material_typed

        part = self.here
        if part is None:
            return []
        rows: list[object] = [(bit(f"{part.number} {part.name}", "strong"),)]
        rows.append((bit("material   ", "dim"), bit(material_typed(part).words)))
        rows += [(bit("caution    ", "query"), bit(one)) for one in material_cautions(part)]
        for callout in part.callouts:
            said = callout_typed(callout.text, part.general_tolerance)
            rows.append(
                (
                    bit(f"{callout.number:>4}  {callout.text:<24}  ", "strong"),
                    bit(("" if said.good else "! ") + said.words),
                )
            )
        return rows

    def copy_text(self) -> str:
        """The part's number."""
        return self.here.number if self.here else ""

    def source_file(self) -> Path | None:
        """The drawing, else the record."""
        part = self.here
        if part is None:
            return None
        file = part.drawing.path if part.drawing else None
        return self.session.folder / (
            file or self.session.project.files.get(f"part:{part.number}", "")
        )


def _searched(part: Part) -> str:
    return " ".join(
        (part.number, part.name, part.material, part.temper, *(f.name for f in part.finishes))
    ).lower()


def _exists(typed: str) -> tuple[bool, str]:
    path = Path(typed).expanduser()
    there = bool(typed) and path.exists()
    return there, str(path.resolve()) if there else "no such file or folder"


def _is_file(typed: str) -> tuple[bool, str]:
    path = Path(typed).expanduser()
    there = bool(typed) and path.is_file()
    return there, str(path.resolve()) if there else "no such file"

"""Any record, field by field: what stands there, what is understood of it, one key to change it.

Each change is stored as soon as it is entered and is one step of undo, so there is nothing to
lose on leaving. Entries of a list (callouts, lines, shops asked) open as a record of their own.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, cast

from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.screen import Screen
from textual.widgets import Static

from rfq.model.base import Value
from rfq.model.callout import Callout
from rfq.tui import keys
from rfq.tui.cells import Bits, bit, bits, lines, text
from rfq.tui.fields import Field, blank, fields_of, shown, summary
from rfq.tui.screens.edit_field import edit_field
from rfq.tui.screens.stage import follow_size
from rfq.tui.understood import about, understood
from rfq.tui.widgets.key_line import KeyLine
from rfq.tui.widgets.matrix import Column, Matrix, Rows
from rfq.tui.widgets.status import Status

if TYPE_CHECKING:
    from rfq.tui.app import RfqApp

Path_ = tuple[tuple[str, int], ...]  # steps into the record: field and index (-1: no list)


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the form: a field, or an entry of its list."""

    field: Field
    index: int = -1


def inside(record: Value, path: Path_) -> Value | None:
    """Return the nested record at a path, or None where it is gone."""
    here: Any = record
    for name, index in path:
        here = getattr(here, name, None)
        if index >= 0:
            here = here[index] if here is not None and index < len(here) else None
        if here is None:
            return None
    return cast(Value, here)


def put_inside(record: Value, path: Path_, new: Value | None) -> dict[str, Any]:
    """Return the top field that changes when the record at a path is replaced or taken out."""
    (name, index), rest = path[0], path[1:]
    old: Any = getattr(record, name)
    if rest:
        child = old[index] if index >= 0 else old
        changed: Any = child.model_copy(update=put_inside(child, rest, new))
    else:
        changed = new
    if index < 0:
        return {name: changed}
    entries = list(old)
    if changed is None:
        del entries[index]
    elif index >= len(entries):
        entries.append(changed)
    else:
        entries[index] = changed
    return {name: tuple(entries)}


class RecordScreen(Screen[None]):
    """A form over a record of the session.

    Args:
        key: of the record ('part:SB-110'). title: in words. path: into it, for an entry.
        at: field to begin on.
    """

    HELP_NAME: ClassVar[str] = "form"
    BINDINGS: ClassVar[list[BindingType]] = keys.bindings("form")

    def __init__(self, key: str, title: str, path: Path_ = (), at: str = "") -> None:
        super().__init__()
        self.key = key
        self.title_words = title
        self.path = path
        self._at = at
        self._rows: list[Row] = []

    @property
    def rfq(self) -> RfqApp:
        """The app."""
        return cast("RfqApp", self.app)

    @property
    def root(self) -> Value | None:
        """The whole record as it stands in the session."""
        from rfq.tasks.edit import record_at

        session = self.rfq.session
        return record_at(session.here, self.key) if session is not None else None

    @property
    def record(self) -> Value | None:
        """The record or entry shown."""
        root = self.root
        return inside(root, self.path) if root is not None else None

    def compose(self) -> ComposeResult:
        """Title, fields, what the field is about."""
        yield Static(text(self.title_words), markup=False, id="head")
        yield Matrix(id="form-fields")
        yield Static("", markup=False, id="form-about")
        with Vertical(id="foot"):
            yield Status()
            yield KeyLine()

    def on_mount(self) -> None:
        """Fill, and begin on the field asked for."""
        self.refresh_stage()
        self.query_one(Matrix).focus()
        if self._at:
            self.go_to(self._at)

    def on_resize(self, event: events.Resize) -> None:
        """Fold what does not fit."""
        follow_size(self, event)
        self.refresh_stage()

    def go_to(self, name: str) -> None:
        """Put the cursor on a field, or on an entry ('callouts.3')."""
        field, _, index = name.partition(".")
        wanted = int(index.split(".")[0]) if index.split(".")[0].isdigit() else -1
        for number, row in enumerate(self._rows):
            if row.field.name == field and row.index in (wanted, -1):
                self.query_one(Matrix).go(number)
                if row.index == wanted:
                    return

    def refresh_stage(self) -> None:
        """Show the record as the session has it now."""
        record = self.record
        if not self.is_attached:
            return
        if record is None:
            if self.app.screen is self:
                self.app.pop_screen()
                self.rfq.say(f"{self.title_words} is gone")
            return
        self._rows = []
        for field in fields_of(type(record)):
            self._rows.append(Row(field))
            if field.kind == "records":
                count = len(getattr(record, field.name))
                self._rows += [Row(field, index) for index in range(count)]
        self.query_one(Matrix).show(
            Rows(
                _columns(self.size.width),
                [self._cells(record, row) for row in self._rows],
            )
        )

    def _cells(self, record: Value, row: Row) -> list[Bits]:
        value = getattr(record, row.field.name)
        root = self.root
        if row.index >= 0:
            entry = value[row.index]
            said = understood(root, entry, "")
            label = f"  no {entry.number}" if isinstance(entry, Callout) else f"  {row.index + 1}"
            return [bits(label, "dim"), bits(summary(entry)), _said(said)]
        said = understood(root, record, row.field.name)
        role = "strong" if row.field.kind == "records" else "plain"
        return [bits(row.field.label, role), bits(shown(row.field, value)), _said(said)]

    def _here(self) -> Row | None:
        row = self.query_one(Matrix).row
        return self._rows[row] if row < len(self._rows) else None

    def on_matrix_moved(self) -> None:
        """Say what the field is about, and its value in full."""
        row, record = self._here(), self.record
        if row is None or record is None:
            return
        value = getattr(record, row.field.name)
        full = summary(value[row.index]) if row.index >= 0 else shown(row.field, value)
        entry = value[row.index] if row.index >= 0 else record
        good, said = understood(self.root, entry, "" if row.index >= 0 else row.field.name)
        rows: list[object] = [(bit(f"{row.field.label}: ", "strong"), bit(full))]
        if said:
            rows.append((bit("understood  " if good else "!  ", "dim"), bit(said)))
        hint = about(type(record), row.field.name)
        if hint:
            rows.append((bit(hint, "dim"),))
        self.query_one("#form-about", Static).update(lines(rows))

    def on_matrix_chosen(self) -> None:
        """Change the field under the cursor."""
        self.action_edit()

    def action_edit(self) -> None:
        """Change the field, or open the entry, under the cursor."""
        row, record = self._here(), self.record
        if row is None or record is None:
            return
        if row.index >= 0:
            self._open((row.field.name, row.index))
        elif row.field.kind == "records":
            self.action_add()
        elif row.field.kind == "record":
            self._open_one(row.field, record)
        else:
            edit_field(self, record, row.field)

    def action_add(self) -> None:
        """Add an entry to the list under the cursor."""
        row, record = self._here(), self.record
        if row is None or record is None or row.field.kind != "records":
            self.rfq.say("there is no list under the cursor", bad=True)
            return
        assert row.field.item is not None
        new = blank(row.field.item, record)
        if new is None:
            self.rfq.say("an entry of this list comes with what it is about; it is not typed")
            return
        step = (row.field.name, len(getattr(record, row.field.name)))
        root = self.root
        assert root is not None
        self.store(put_inside(root, (*self.path, step), new), lambda: self._open(step))

    def action_remove(self) -> None:
        """Take the entry out, or empty the field."""
        row, record, root = self._here(), self.record, self.root
        if row is None or record is None or root is None:
            return
        if row.index >= 0:
            self.store(put_inside(root, (*self.path, (row.field.name, row.index)), None))
            return
        info = type(record).model_fields[row.field.name]
        if info.is_required():
            self.rfq.say(f"{row.field.label} is needed", bad=True)
            return
        self.change_field(row.field.name, info.get_default(call_default_factory=True))

    def change_field(self, name: str, value: Any) -> None:
        """Store a new value of a field of the record shown."""
        from rfq.tasks.edit import with_fields

        record, root = self.record, self.root
        if record is None or root is None:
            return
        new, wrong = with_fields(record, {name: value})
        if new is None:
            self.rfq.say(wrong, bad=True)
            return
        changed = put_inside(root, self.path, new) if self.path else {name: getattr(new, name)}
        self.store(changed)

    def store(self, changed: dict[str, Any], then: Any = None) -> None:
        """Store top-level fields of the whole record."""
        from rfq.tui.screens.storing import store_fields

        root = self.root
        if root is not None:
            store_fields(self.rfq, self.key, root, changed, then)

    def action_leave(self) -> None:
        """Go back; everything is stored already."""
        self.app.pop_screen()

    def copy_text(self) -> str:
        """The value under the cursor."""
        row, record = self._here(), self.record
        if row is None or record is None:
            return ""
        value = getattr(record, row.field.name)
        return summary(value[row.index]) if row.index >= 0 else shown(row.field, value)

    def source_file(self) -> Path | None:
        """The record's file."""
        session = self.rfq.session
        if session is None:
            return None
        file = session.project.files.get(self.key)
        return session.folder / file if file else None

    def _open(self, step: tuple[str, int]) -> None:
        record = self.record
        if record is None:
            return
        child = inside(record, (step,))
        if child is not None:
            title = f"{self.title_words} · {step[0]}" + (f" {step[1] + 1}" if step[1] >= 0 else "")
            self.app.push_screen(RecordScreen(self.key, title, (*self.path, step)))

    def _open_one(self, field: Field, record: Value) -> None:
        step = (field.name, -1)
        if getattr(record, field.name) is not None:
            self._open(step)
            return
        assert field.item is not None
        new = blank(field.item, record)
        root = self.root
        if new is None or root is None:
            self.rfq.say(f"{field.label} comes with a file (f attaches one)", bad=True)
            return
        self.store(put_inside(root, (*self.path, step), new), lambda: self._open(step))


def _columns(room: int) -> tuple[Column, ...]:
    value = max(26, min(56, (room - 26) // 2))
    return (Column("field", 24), Column("value", value), Column("understood", 18, grows=True))


def _said(found: tuple[bool, str]) -> Bits:
    good, said = found
    return bits(said, "dim") if good else bits(f"! {said}", "error")

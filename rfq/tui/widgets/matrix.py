"""Rows and columns on the line API: heads stay, a cell is asked for only when it is shown.

Used for the comparison (a cell cursor, many columns) and for every list (a row cursor). Promises:
the first paint and a key press cost what is on the screen, not what is in the project.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar, Protocol

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.reactive import reactive
from textual.strip import Strip
from textual.widget import Widget

from rfq.tui.cells import ROLES, Bits, fit, width


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its head, its width, which side its text stands on, whether it takes the rest."""

    title: str
    width: int
    right: bool = False
    grows: bool = False


class Grid(Protocol):
    """What a matrix shows."""

    @property
    def columns(self) -> Sequence[Column]:
        """All columns, the frozen ones first."""

    @property
    def frozen(self) -> int:
        """How many columns stay at the left."""

    def __len__(self) -> int:
        """Number of rows."""

    def cell(self, row: int, column: int) -> Bits:
        """What one cell shows."""


@dataclass(frozen=True, slots=True)
class Rows:
    """A grid of rows already made, for lists."""

    columns: Sequence[Column]
    rows: Sequence[Sequence[Bits]]
    frozen: int = 0

    def __len__(self) -> int:
        return len(self.rows)

    def cell(self, row: int, column: int) -> Bits:
        """The cell as made."""
        return self.rows[row][column]


class Matrix(Widget, can_focus=True):
    """A table with frozen heads and a cursor on a cell or a row.

    Args:
        by_cell: the cursor is on a cell; else on a whole row.
        empty: what to say where there are no rows.
    """

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        *(f"matrix--{role}" for role in ROLES),
        "matrix--cursor",
        "matrix--title",
    }
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1,0)", "up", show=False),
        Binding("down", "move(1,0)", "down", show=False),
        Binding("left", "move(0,-1)", "left", show=False),
        Binding("right", "move(0,1)", "right", show=False),
        Binding("pageup", "page(-1)", "page up", show=False),
        Binding("pagedown", "page(1)", "page down", show=False),
        Binding("home", "edge(-1)", "first", show=False),
        Binding("end", "edge(1)", "last", show=False),
        Binding("enter", "choose", "open", show=False),
    ]
    row: reactive[int] = reactive(0)
    column: reactive[int] = reactive(0)

    class Moved(Message):
        """The cursor is on another row or cell."""

        def __init__(self, matrix: Matrix) -> None:
            super().__init__()
            self.matrix = matrix

        @property
        def control(self) -> Matrix:
            """The matrix."""
            return self.matrix

    class Chosen(Moved):
        """Enter was pressed on a row or cell."""

    def __init__(
        self, *, by_cell: bool = False, empty: str = "nothing here yet", id: str | None = None
    ) -> None:
        super().__init__(id=id)
        self.by_cell = by_cell
        self.empty = empty
        self.top = 0
        self.left = 0
        self._grid: Grid = Rows((), ())

    @property
    def grid(self) -> Grid:
        """What is shown."""
        return self._grid

    def show(self, grid: Grid, *, row: int | None = None) -> None:
        """Show another grid; the cursor stays where it was, or goes to a row."""
        self._grid = grid
        wanted = self.row if row is None else row
        self.set_reactive(Matrix.row, max(0, min(wanted, len(grid) - 1)))
        least = grid.frozen if self.by_cell else 0
        most = max(least, len(grid.columns) - 1)
        self.set_reactive(Matrix.column, max(least, min(self.column, most)))
        self._into_view()
        self.refresh()
        self.post_message(self.Moved(self))

    def on_resize(self) -> None:
        """Keep the cursor in view, and as much to its left as there is room for."""
        self.left = 0
        self._into_view()
        self.refresh()

    # -- the cursor ------------------------------------------------------------------------

    def action_move(self, down: int, right: int) -> None:
        """Move the cursor."""
        if right and not self.by_cell:
            self.left = max(0, min(self.left + right, len(self._grid.columns) - 1))
            self.refresh()
            return
        self._go(self.row + down, self.column + right)

    def action_page(self, way: int) -> None:
        """Move by a screen."""
        self._go(self.row + way * max(1, self._room - 1), self.column)

    def action_edge(self, way: int) -> None:
        """Move to the first or last row."""
        self._go(0 if way < 0 else len(self._grid) - 1, self.column)

    def action_choose(self) -> None:
        """Open what is under the cursor."""
        if len(self._grid):
            self.post_message(self.Chosen(self))

    def go(self, row: int, column: int | None = None) -> None:
        """Put the cursor on a row (and column)."""
        self._go(row, self.column if column is None else column)

    def _go(self, row: int, column: int) -> None:
        row = max(0, min(row, len(self._grid) - 1))
        least = self._grid.frozen if self.by_cell else 0
        column = max(least, min(column, max(least, len(self._grid.columns) - 1)))
        if (row, column) == (self.row, self.column):
            return
        self.row, self.column = row, column
        self._into_view()
        self.refresh()
        self.post_message(self.Moved(self))

    @property
    def _room(self) -> int:
        return max(1, self.size.height - 1)

    def _into_view(self) -> None:
        if self.row < self.top:
            self.top = self.row
        elif self.row >= self.top + self._room:
            self.top = self.row - self._room + 1
        self.top = max(0, min(self.top, max(0, len(self._grid) - self._room)))
        if not self.by_cell or not self.size.width:
            return  # before the first layout every column would seem too wide
        frozen = self._grid.frozen
        offset = self.column - frozen
        self.left = min(self.left, offset)
        while self.left < offset and self.column not in self._shown():
            self.left += 1

    def _shown(self) -> list[int]:
        """Columns wholly on the screen, the frozen ones first."""
        columns = self._grid.columns
        room = self.size.width - 1
        out: list[int] = []
        for index in (
            *range(min(self._grid.frozen, len(columns))),
            *range(self._grid.frozen + self.left, len(columns)),
        ):
            need = columns[index].width + 1
            if out and need > room + 1:
                if not columns[index].grows or room < 8:
                    break
                need = room
            out.append(index)
            room -= need
        return out

    # -- the mouse -------------------------------------------------------------------------

    def on_click(self, event: events.Click) -> None:
        """Put the cursor under the mouse."""
        row = self.top + event.y - 1
        x = event.x - 1
        for index in self._shown():
            x -= self._grid.columns[index].width + 1
            if x < 0:
                self._go(row, index)
                return
        self._go(row, self.column)

    def on_mouse_scroll_down(self) -> None:
        """Move down with the wheel."""
        self._go(self.row + 3, self.column)

    def on_mouse_scroll_up(self) -> None:
        """Move up with the wheel."""
        self._go(self.row - 3, self.column)

    # -- drawing ---------------------------------------------------------------------------

    def _widths(self, shown: Sequence[int]) -> list[int]:
        columns = self._grid.columns
        widths = [columns[index].width for index in shown]
        spare = self.size.width - 1 - sum(widths) - max(0, len(widths) - 1)
        for place, index in enumerate(shown):
            if columns[index].grows:
                widths[place] = max(1, widths[place] + spare)
                break
        return widths

    def render_line(self, y: int) -> Strip:
        """One line of the screen: the head, a row, or what lies below the last."""
        whole = self.size.width
        base = self.rich_style
        if not len(self._grid):
            said = self.empty if y == 0 else ""
            return Strip([Segment(fit(said, whole), base + self._style("dim"))], whole)
        shown = self._shown()
        widths = self._widths(shown)
        if y == 0:
            style = base + self.get_component_rich_style("matrix--title", partial=True)
            return self._line(" ", self._heads(shown, widths), style)
        row = self.top + y - 1
        if row >= len(self._grid):
            return Strip([Segment(" " * whole, base)], whole)
        here = row == self.row
        cursor = base + self.get_component_rich_style("matrix--cursor", partial=True)
        segments = [Segment("▸" if here else " ", cursor if here and self.has_focus else base)]
        for place, index in enumerate(shown):
            marked = here and (index == self.column if self.by_cell else True)
            segments += self._cell(row, index, widths[place], base, cursor if marked else None)
            gap = cursor if here and not self.by_cell else base
            segments.append(Segment(" ", gap))
        return Strip(segments).adjust_cell_length(whole, base)

    def _heads(self, shown: Sequence[int], widths: Sequence[int]) -> str:
        columns = self._grid.columns
        heads = [
            fit(columns[index].title, widths[place], right=columns[index].right)
            for place, index in enumerate(shown)
        ]
        text = " ".join(heads)
        hidden = len(columns) - len(shown)
        more = []
        if len(self._grid) > self._room:
            last = min(self.top + self._room, len(self._grid))
            more.append(f"{self.top + 1}-{last} of {len(self._grid)}")
        if hidden and self.by_cell:
            more.append(f"{hidden} more ◂▸")
        said = "  ".join(more)
        spare = self.size.width - 1 - width(text)
        return text + (said.rjust(spare) if said and spare > len(said) else "")

    def _line(self, first: str, text: str, style: Style) -> Strip:
        whole = self.size.width
        return Strip([Segment(first + fit(text, whole - 1), style)]).adjust_cell_length(
            whole, style
        )

    def _style(self, role: str) -> Style:
        return self.get_component_rich_style(f"matrix--{role}", partial=True)

    def _cell(
        self, row: int, index: int, room: int, base: Style, cursor: Style | None
    ) -> list[Segment]:
        column = self._grid.columns[index]
        found = self._grid.cell(row, index)
        used = sum(width(one.text) for one in found)
        out: list[Segment] = []
        if column.right and used < room:
            out.append(Segment(" " * (room - used), cursor or base))
        left = room
        for one in found:
            if left <= 0:
                break
            size = width(one.text)
            shown = one.text if size <= left else fit(one.text, left)
            left -= min(size, left)
            # Under the cursor the colour gives way; the weight of the role stays readable.
            out.append(Segment(shown, cursor or base + self._style(one.role)))
        if left > 0 and not (column.right and used < room):
            out.append(Segment(" " * left, cursor or base))
        return out

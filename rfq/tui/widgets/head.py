"""The two lines at the top of every stage: where we are and what waits; the answer in words."""

from __future__ import annotations

from collections.abc import Mapping

from rich.text import Text
from textual.widgets import Static

from rfq.tui.cells import fit, plain, width

_SHORT = {"should-cost": "cost"}  # the stage's short word, where the line is narrow
_NARROW = 100


class Head(Static):
    """Stages with the count of what waits in each, and one line that answers the screen."""

    def __init__(self, stages: tuple[str, ...], here: str) -> None:
        super().__init__(markup=False, id="head")
        self._stages = stages
        self._here = here
        self._waiting: Mapping[str, int] = {}
        self._answer = ""
        self._project = ""

    def say(self, answer: str, project: str, waiting: Mapping[str, int]) -> None:
        """Show an answer, the project's name and what waits by stage."""
        self._answer, self._project, self._waiting = plain(answer), plain(project), waiting
        self.refresh()

    def render(self) -> Text:
        """Both lines, cut to the width."""
        room = self.size.width or 80
        gap = " " if room < _NARROW else "   "
        first = Text()
        for number, stage in enumerate(self._stages, 1):
            name = _SHORT.get(stage, stage) if room < _NARROW else stage
            waits = self._waiting.get(stage, 0)
            said = f"{number} {name}" + (f"·{waits}" if waits else "")
            if number > 1:
                first.append(gap)
            first.append(said, "reverse" if stage == self._here else "")
        # The answer comes first; the project's name stands where there is room left.
        free = room - width(self._answer) - 2
        project = self._project if width(self._project) <= free else ""
        spare = room - width(project) - (2 if project else 0)
        second = Text(fit(self._answer, spare), "bold") + Text(("  " + project) if project else "")
        first.truncate(room, overflow="ellipsis")
        return first + Text("\n") + second

"""The app: opens a project, holds the session, starts work, and knows the stages.

What a screen shows lies in its own file; what a key does there too. This class only connects.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any, ClassVar

from textual.app import App, SystemCommand
from textual.binding import BindingType
from textual.screen import Screen
from textual.timer import Timer
from textual.worker import Worker

from rfq.problems import NoProject, Problem, RfqError
from rfq.tasks.done import Done, Stopped
from rfq.tasks.open import Opened, opened
from rfq.tasks.watch import changed_since, really_changed, trace_of
from rfq.tui import keys
from rfq.tui.cells import plain
from rfq.tui.messages import Job, JobDone, JobFailed, JobSaid
from rfq.tui.session import STAGES, Session
from rfq.tui.work import start, words_of

_SETTLE_SECONDS = 0.3
_LOOK_SECONDS = 2.0  # how often the record files are looked at for somebody else's change


def _stage(name: str) -> Callable[[], Screen[Any]]:
    def make() -> Screen[Any]:
        from rfq.tui.screens.stages import make_stage

        return make_stage(name)

    return make


class RfqApp(App[int]):
    """The app on one project folder."""

    TITLE = "rfq"
    CSS_PATH = Path(__file__).with_name("app.tcss")
    ENABLE_COMMAND_PALETTE = True
    MODES: ClassVar[dict[str, str | Callable[[], Screen[Any]]]] = {
        "start": _stage("start"),
        "broken": _stage("broken"),
        **{name: _stage(name) for name in STAGES},
    }
    BINDINGS: ClassVar[list[BindingType]] = keys.bindings("everywhere")

    def __init__(self, folder: Path, *, look: bool = True) -> None:
        super().__init__()
        self.animation_level = "none"  # nothing moves by itself; kinder over a slow line, too
        self.folder = folder
        self.session: Session | None = None
        self.broken: tuple[Problem, ...] = ()
        self.look = look  # compute in the background; off in tests of a single screen
        self.last_words: tuple[str, bool] = ("", False)
        self._jobs: dict[str, tuple[Job, Worker[None]]] = {}
        self._settling: Timer | None = None
        self._settles = False

    # -- opening -----------------------------------------------------------------------------

    def on_mount(self) -> None:
        """Open the folder and show its first screen; everything else comes after the paint."""
        self.open_folder(self.folder)
        if self.look:
            self.set_interval(_LOOK_SECONDS, self.look_at_disk)

    def open_folder(self, folder: Path) -> None:
        """Open a project, or show what is possible where there is none."""
        self.folder = folder
        try:
            here = opened(folder)
        except NoProject:
            self.session = None
            self.switch_mode("start")
            return
        except Stopped as stopped:
            self.broken = stopped.problems
            self.switch_mode("broken")
            return
        except RfqError as trouble:
            self.broken = (Problem("P000", str(trouble)),)
            self.switch_mode("broken")
            return
        self.take(here)
        self.switch_mode("parts")

    def take(self, here: Opened) -> None:
        """Use records as just read; what was computed from older ones is computed again."""
        before = self.session
        self.session = Session(here, trace_of(here.folder))
        if before is not None and before.folder == here.folder:
            self.session.take_over(before)
        self.refresh_stages()
        if self.look and self.session.stale:
            # Several changes in a row are computed once.
            if self._settling is not None:
                self._settling.stop()
            self._settling = self.set_timer(_SETTLE_SECONDS, self.look_through)
            self._settles = True

    def reload(self, words: str = "") -> None:
        """Read the folder again after a change, ours or another person's."""
        try:
            here = opened(self.folder)
        except Stopped as stopped:
            self.broken = stopped.problems
            self.switch_mode("broken")
            return
        except RfqError as trouble:
            self.say(str(trouble), bad=True)
            return
        self.take(here)
        if words:
            self.say(words)

    def look_at_disk(self) -> None:
        """Notice another person's change, and read it, unless a form is open."""
        session = self.session
        if session is None or self._jobs:
            return
        now = trace_of(session.folder)
        paths = changed_since(session.trace, now)
        if not paths:
            return
        session.trace = now
        changed = [path for path in really_changed(session.here, paths) if path.endswith(".toml")]
        if not changed:
            return
        which = ", ".join(changed[:3]) + (f" and {len(changed) - 3} more" if changed[3:] else "")
        self.reload(f"{which} changed on disk and was read again")

    # -- work --------------------------------------------------------------------------------

    def begin(
        self,
        label: str,
        run: Callable[[Callable[[str], None]], Any],
        then: Callable[[Any], object],
        *,
        group: str = "task",
        quiet: bool = False,
        failed: Callable[[tuple[Problem, ...]], object] | None = None,
    ) -> None:
        """Do long work in a thread; ``then`` gets the result on the event loop."""
        job = Job(label, run, then, group, quiet, failed)
        self._jobs[group] = (job, start(self, job))
        if not quiet:
            self.say(f"{label} … (escape stops it)")

    def change(
        self,
        label: str,
        run: Callable[[Opened], Any],
        then: Callable[[Any], object],
    ) -> None:
        """Change the project in a thread and read it again; ``then`` gets what ``run`` returned."""
        session = self.session
        assert session is not None
        here = session.here

        def work(_: object) -> tuple[Any, Opened]:
            done = run(here)
            return done, opened(here.folder)

        def have(found: tuple[Any, Opened]) -> None:
            self.take(found[1])
            then(found[0])

        self.begin(label, work, have)

    def on_job_said(self, message: JobSaid) -> None:
        """Show how far a job is."""
        if not message.job.quiet:
            self.say(f"{message.job.label}: {message.words} (escape stops it)")

    def on_job_done(self, message: JobDone) -> None:
        """Hand a result to whoever asked for it."""
        if self._finish(message.job):
            message.job.then(message.value)

    def on_job_failed(self, message: JobFailed) -> None:
        """Say what is in the way."""
        if not self._finish(message.job):
            return
        if message.job.failed is not None:
            message.job.failed(message.problems or (Problem("", message.words),))
            return
        self.say(message.words, bad=not message.stopped)
        if len(message.problems) > 1:
            self.show_problems(message.job.label, message.problems)

    def _finish(self, job: Job) -> bool:
        running = self._jobs.get(job.group)
        if running is None or running[0] is not job:
            return False  # newer work took its place
        del self._jobs[job.group]
        if not job.quiet:
            self.say("")
        return True

    @property
    def idle(self) -> bool:
        """Whether no work is under way, none is about to begin, and no result is on its way."""
        return not self._jobs and not self._settles

    def stop_work(self) -> bool:
        """Stop the work that was asked for; return whether there was any."""
        stopped = False
        for job, worker in list(self._jobs.values()):
            if not job.quiet:
                worker.cancel()
                stopped = True
        return stopped

    def look_through(self) -> None:
        """Compute in the background what the head lines count."""
        self._settles = False
        if self.session is not None and self.session.request is not None:
            from rfq.tui.background import look_through

            look_through(self, self.session)

    # -- words -------------------------------------------------------------------------------

    def say(self, words: str, *, bad: bool = False) -> None:
        """Show words in the line above the footer of whatever stage is shown."""
        from rfq.tui.widgets.status import Status

        self.last_words = (words, bad)
        for screen in reversed(self.screen_stack):
            for status in screen.query(Status):
                status.say(words, bad=bad)
        if bad and len(words) > max(20, self.size.width - 8):
            self.notify(plain(words), severity="error", markup=False, timeout=12)

    def said(self, done: Done[Any], words: str) -> None:
        """Say that a task is done, with the first thing to settle that came with it."""
        if done.stops:
            self.say(words_of(done.stops), bad=True)
        else:
            self.say(words)

    def refresh_stages(self) -> None:
        """Let every stage that was visited show the session as it is now."""
        for stack in self._screen_stacks.values():
            for screen in stack:
                refresh = getattr(screen, "refresh_stage", None)
                if refresh is not None:
                    refresh()

    def show_problems(self, title: str, problems: tuple[Problem, ...]) -> None:
        """Show several problems over the present screen."""
        from rfq.tui.cells import lines, problem_lines
        from rfq.tui.screens.cards import TextCard

        rows = [row for problem in problems for row in problem_lines(problem)]
        self.push_screen(TextCard(title, lines(rows)))

    # -- keys that work everywhere -------------------------------------------------------------

    def action_stage(self, name: str) -> None:
        """Go to a stage."""
        if self.session is None or len(self.screen_stack) > 1:
            return
        self.switch_mode(name)

    def action_findings(self) -> None:
        """Show all findings."""
        if self.session is not None and len(self.screen_stack) == 1:
            from rfq.tui.screens.findings import FindingsScreen

            self.push_screen(FindingsScreen())

    async def action_back(self) -> None:
        """Stop work, or close what is open."""
        if self.stop_work():
            return
        if len(self.screen_stack) > 1:
            self.pop_screen()

    def action_help(self) -> None:
        """Explain the screen that is shown."""
        from rfq.tui.screens.help import HelpCard

        self.push_screen(HelpCard(getattr(self.screen, "HELP_NAME", "start")))

    def action_undo(self) -> None:
        """Take back the last change."""
        from rfq.tasks.undo import undo_last_change

        if self.session is not None:
            folder = self.session.folder
            self.begin(
                "undo", lambda _: undo_last_change(folder), lambda done: self.reload(done.value)
            )

    def action_read_again(self) -> None:
        """Read the files again."""
        if self.session is None:
            self.open_folder(self.folder)
        else:
            self.reload("read again")

    def action_why(self) -> None:
        """Ask the screen where its figure comes from."""
        self._of_screen("show_why", "There is no figure under the cursor.")

    def action_copy(self) -> None:
        """Copy what is under the cursor."""
        copy = getattr(self.screen, "copy_text", None)
        found = copy() if copy is not None else ""
        if found:
            self.copy_to_clipboard(found)
            self.say(f"copied: {found[:60]}")

    def action_open_source(self) -> None:
        """Open the file the thing under the cursor came from."""
        source = getattr(self.screen, "source_file", None)
        path = source() if source is not None else None
        if path is None:
            self.say("nothing under the cursor came from a file", bad=True)
            return
        self.open_url(path.resolve().as_uri())
        self.say(f"file: {path}")

    def action_export(self) -> None:
        """Write the comparison for other programs."""
        from rfq.tui.screens.offers import ask_export

        if self.session is not None:
            ask_export(self)

    def action_records(self) -> None:
        """Edit shops, rates and settings."""
        if self.session is not None and len(self.screen_stack) == 1:
            from rfq.tui.screens.records import RecordsScreen

            self.push_screen(RecordsScreen())

    def action_open_other(self) -> None:
        """Open another project."""
        from rfq.tui.screens.offers import ask_open

        ask_open(self)

    def _of_screen(self, name: str, otherwise: str) -> None:
        action = getattr(self.screen, name, None)
        if action is None:
            self.say(otherwise)
        else:
            action()

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        """Every task by name, from the table of keys; then the app's own."""
        from rfq.tui.palette import commands

        yield from commands(self)
        yield from super().get_system_commands(screen)


def run_app(folder: Path) -> int:
    """Run the app on a folder until the user leaves; return the exit code."""
    result = RfqApp(folder).run()
    return 0 if result is None else result

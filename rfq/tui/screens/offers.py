"""Questions the app asks from several places: where to put the demo, a new project, an export."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from rfq.tui.screens.cards import AskCard

if TYPE_CHECKING:
    from rfq.tui.app import RfqApp


def ask_demo(app: RfqApp) -> None:
    """Copy the demo to a folder and open it."""
    from rfq.tasks.begin import copy_demo

    def answered(typed: str | None) -> None:
        if typed:
            folder = Path(typed).expanduser()
            app.begin(
                "copying the demo", lambda _: copy_demo(folder), lambda _: app.open_folder(folder)
            )

    app.push_screen(AskCard("folder for the demo", "rfq-demo", check=_empty_folder), answered)


def ask_new(app: RfqApp) -> None:
    """Begin an empty project and open it."""
    from rfq.tasks.new import new_project

    def answered(typed: str | None) -> None:
        if typed:
            folder = Path(typed).expanduser()
            app.begin(
                "making a project", lambda _: new_project(folder), lambda _: app.open_folder(folder)
            )

    app.push_screen(AskCard("folder for the new project", check=_empty_folder), answered)


def ask_open(app: RfqApp) -> None:
    """Open a project that lies elsewhere."""

    def answered(typed: str | None) -> None:
        if typed:
            app.open_folder(Path(typed).expanduser())

    app.push_screen(AskCard("folder of the project", str(app.folder), check=_project), answered)


def ask_export(app: RfqApp) -> None:
    """Write the comparison of the round in five forms."""
    from rfq.tasks.export import export_project

    session = app.session
    assert session is not None
    project, number = session.folder, session.round_

    def answered(typed: str | None) -> None:
        if not typed:
            return
        target = Path(typed).expanduser()

        def then(done: object) -> None:
            written = getattr(done, "written", ())
            app.say(f"{len(written)} files written to {target}; internal, not for shops")

        app.begin("exporting", lambda _: export_project(project, target, round_=number), then)

    app.push_screen(AskCard("folder to write to", str(project / "export")), answered)


def _empty_folder(typed: str) -> tuple[bool, str]:
    if not typed.strip():
        return False, "name a folder"
    folder = Path(typed).expanduser()
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        return False, f"{folder} holds something already; name a new one"
    return True, f"{folder.resolve()}"


def _project(typed: str) -> tuple[bool, str]:
    folder = Path(typed or ".").expanduser()
    if not (folder / "project.toml").is_file():
        return False, f"{folder} holds no project.toml"
    return True, f"{folder.resolve()}"

"""What is computed after the first paint, one after the other: estimates, comparison, findings."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from rfq.tui.session import Session
from rfq.tui.work import words_of

if TYPE_CHECKING:
    from rfq.tui.app import RfqApp


def look_through(app: RfqApp, session: Session) -> None:
    """Begin with the estimates; each result starts the next, and stages show it as it comes."""

    def estimates(_: object) -> Any:
        from rfq.tasks.cost import estimates_of, lines_of

        request = session.request
        assert request is not None
        return estimates_of(session.project, request, lines_of(request))

    def have_estimates(found: Any) -> None:
        if app.session is not session:
            return
        session.estimates, session.estimate_problems = found
        app.refresh_stages()
        compare(app, session, then=lambda: findings(app, session))

    app.begin("estimating", estimates, have_estimates, group="background", quiet=True)


def compare(app: RfqApp, session: Session, *, then: Any = None) -> None:
    """Compare the round looked at."""

    def run(_: object) -> Any:
        from rfq.tasks.compare import compare_opened

        return compare_opened(session.here, round_=session.round_)

    def have(done: Any) -> None:
        if app.session is session:
            session.comparison, session.comparison_problems = done.value, done.problems
            session.comparison_note = ""
            app.refresh_stages()
        if then is not None:
            then()

    def failed(problems: Any) -> None:
        if app.session is session:
            session.comparison = None
            session.comparison_note = words_of(problems)
            app.refresh_stages()
        if then is not None:
            then()

    app.begin("comparing", run, have, group="background", quiet=True, failed=failed)


def findings(app: RfqApp, session: Session) -> None:
    """Look for what is unclear, missing or dear for no reason."""

    def run(_: object) -> Any:
        from rfq.tasks.check import findings as find

        return find(session.here)

    def have(found: Any) -> None:
        if app.session is session:
            session.findings = found
            app.refresh_stages()

    app.begin("checking", run, have, group="background", quiet=True)

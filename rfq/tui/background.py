"""What is computed after the first paint, one after the other: estimates, comparison, findings."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from rfq.tui.session import Session
from rfq.tui.work import words_of

if TYPE_CHECKING:
    from rfq.tui.app import RfqApp


def look_through(app: RfqApp, session: Session) -> None:
    """Begin with the estimates; each result starts the next, and stages show it as it comes."""
    if "estimates" not in session.stale:
        compare(app, session, then=lambda: findings(app, session))
        return

    def estimates(_: object) -> Any:
        from rfq.tasks.cost import estimates_of, lines_of

        request = session.request
        assert request is not None
        return estimates_of(session.project, request, lines_of(request))

    def have_estimates(found: Any) -> None:
        if app.session is not session:
            return
        session.estimates, session.estimate_problems = found
        session.stale.discard("estimates")
        app.refresh_stages()
        compare(app, session, then=lambda: findings(app, session))

    app.begin("estimating", estimates, have_estimates, group="background", quiet=True)


def compare(app: RfqApp, session: Session, *, then: Any = None) -> None:
    """Compare the round looked at."""
    if then is not None and "comparison" not in session.stale:
        then()
        return

    def run(_: object) -> Any:
        from rfq.tasks.compare import compare_opened

        return compare_opened(session.here, round_=session.round_)

    def have(done: Any) -> None:
        if app.session is session:
            session.comparison, session.comparison_problems = done.value, done.problems
            session.comparison_note = ""
            session.stale.discard("comparison")
            app.refresh_stages()
        if then is not None:
            then()

    def failed(problems: Any) -> None:
        if app.session is session:
            session.comparison = None
            session.comparison_note = words_of(problems)
            session.stale.discard("comparison")
            app.refresh_stages()
        if then is not None:
            then()

    app.begin("comparing", run, have, group="background", quiet=True, failed=failed)


def findings(app: RfqApp, session: Session, *, again: bool = False) -> None:
    """Look for what is unclear, missing or dear for no reason."""
    if "findings" not in session.stale and not again:
        return

    def run(_: object) -> Any:
        from rfq.tasks.check import findings as find

        return find(session.here)

    def have(found: Any) -> None:
        if app.session is session:
            session.findings = found
            session.stale.discard("findings")
            app.refresh_stages()

    app.begin("checking", run, have, group="background", quiet=True)

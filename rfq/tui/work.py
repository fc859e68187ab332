"""Long work in threads: progress, cancel, and a result that comes back as a message.

A thread never touches a widget; it posts ``JobSaid``, ``JobDone`` or ``JobFailed`` to the app.
"""

from __future__ import annotations

import tempfile
import traceback
from pathlib import Path
from typing import Any

from textual.app import App
from textual.worker import Worker, get_current_worker

from rfq.problems import Problem, RfqError
from rfq.tasks.done import Stopped
from rfq.tui.messages import Job, JobDone, JobFailed, JobSaid


class Cancelled(Exception):
    """The user stopped the work."""


def start(app: App[Any], job: Job) -> Worker[None]:
    """Begin a job in a thread; newer work of the same group takes the place of older."""
    return app.run_worker(
        lambda: _run(app, job),
        name=job.label,
        group=job.group,
        thread=True,
        exclusive=True,
        exit_on_error=False,
    )


def _run(app: App[Any], job: Job) -> None:
    worker = get_current_worker()

    def say(words: str) -> None:
        if worker.is_cancelled:
            raise Cancelled
        app.post_message(JobSaid(job, words))

    try:
        value = job.run(say)
    except Cancelled:
        app.post_message(JobFailed(job, f"{job.label}: stopped", stopped=True))
        return
    except Stopped as stopped:
        app.post_message(JobFailed(job, words_of(stopped.problems), stopped.problems))
        return
    except (RfqError, OSError) as trouble:
        app.post_message(JobFailed(job, str(trouble)))
        return
    except Exception as fault:  # a bug: said as one, its traceback kept
        app.post_message(JobFailed(job, said_of_fault(fault)))
        return
    if not worker.is_cancelled:
        app.post_message(JobDone(job, value))


def words_of(problems: tuple[Problem, ...]) -> str:
    """Return the first problem in words, and how many more there are."""
    if not problems:
        return "stopped by the data"
    more = f" (and {len(problems) - 1} more)" if len(problems) > 1 else ""
    return f"{problems[0]}{more}"


def said_of_fault(fault: Exception) -> str:
    """Keep a fault's traceback in a log and return a sentence that names it."""
    name = type(fault).__name__
    try:
        with tempfile.NamedTemporaryFile(
            "w", prefix="rfq-fault-", suffix=".log", delete=False, encoding="utf-8"
        ) as log:
            log.write("".join(traceback.format_exception(fault)))
    except OSError:
        return f"A fault in rfq itself, not in your files: {name}: {fault}"
    return f"A fault in rfq itself, not in your files: {name}; details in {Path(log.name)}"

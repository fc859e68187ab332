"""Output, problems in words, exit codes. stdout is data, stderr is words."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterable
from typing import Any

import click

from rfq.problems import Problem, RfqError, Severity

DONE = 0
DATA = 1
USAGE = 2
OUTSIDE = 3
INTERRUPTED = 130

_MARK = {Severity.STOP: "stop", Severity.ASK: "ask ", Severity.NOTE: "note"}
_ESCAPES = {code: f"\\x{code:02x}" for code in [*range(9), *range(11, 32), 127, *range(128, 160)]}


def plain(text: str) -> str:
    """Return text without control characters, so that no file can drive the terminal."""
    return text.translate(_ESCAPES)


def words(text: str = "") -> None:
    """Say something to the user, on stderr."""
    click.echo(plain(text), err=True, color=_colour())


def data(text: str = "") -> None:
    """Write a line of data, on stdout."""
    click.echo(plain(text))


def progress(text: str) -> None:
    """Say what is being done, on one line of the terminal that is written over.

    Where stderr is no terminal only the steps are said, a line each, not every page.
    """
    if sys.stderr.isatty():
        click.echo(f"\r{plain(text)[:78]:<78}", err=True, nl=False)
    elif ": page " not in text:
        words(text)


def progress_done() -> None:
    """Leave the line of ``progress`` clean."""
    if sys.stderr.isatty():
        click.echo("\r" + " " * 78 + "\r", err=True, nl=False)


def as_json(value: Any) -> None:
    """Write a value as JSON on stdout; decimals as strings, dates in ISO form."""
    click.echo(json.dumps(value, indent=1, ensure_ascii=False, default=str))


def problems(found: Iterable[Problem], *, notes: bool = True) -> int:
    """Say the problems, worst first in the order found; return the exit code they call for."""
    code = DONE
    order = {Severity.STOP: 0, Severity.ASK: 1, Severity.NOTE: 2}
    for problem in sorted(found, key=lambda one: order[one.severity]):
        if problem.severity is Severity.STOP:
            code = DATA
        elif problem.severity is Severity.NOTE and not notes:
            continue
        words(f"{_MARK[problem.severity]}  {problem.code}  {problem}")
        if problem.why:
            words(f"            why: {problem.why}")
        if problem.right and problem.right not in problem.message:
            words(f"            right: {problem.right}")
    return code


def problem_json(problem: Problem) -> dict[str, Any]:
    """Return a problem as plain values."""
    return {
        "code": problem.code,
        "severity": problem.severity.value,
        "place": str(problem.place),
        "message": problem.message,
        "why": problem.why,
        "right": problem.right,
        "subject": problem.subject,
        "saving": problem.saving,
    }


def trouble(error: Exception) -> int:
    """Say trouble outside the data in one sentence; a bug leaves its traceback in a log."""
    if isinstance(error, RfqError):
        words(str(error))
        return OUTSIDE
    stopped = getattr(error, "problems", None)
    if isinstance(stopped, tuple) and all(isinstance(one, Problem) for one in stopped):
        return problems(stopped) or DATA  # tasks.done.Stopped, not imported here to stay light
    if isinstance(error, (PermissionError, FileNotFoundError, IsADirectoryError, OSError)):
        name = getattr(error, "filename", "") or ""
        words(f"{name}: {error.strerror or error}" if name else str(error))
        return OUTSIDE
    log = _log(error)
    words(f"This is a fault in rfq itself, not in your files: {type(error).__name__}: {error}")
    words(f"Nothing stored was changed by it. The details are in {log}." if log else "")
    return OUTSIDE


def _log(error: Exception) -> str:
    """Write the traceback to the user's temporary folder; return its path or ''."""
    import tempfile
    import traceback
    from pathlib import Path

    if os.environ.get("RFQ_DEBUG"):
        traceback.print_exception(error, file=sys.stderr)
        return ""
    try:
        path = Path(tempfile.gettempdir()) / f"rfq-fault-{os.getpid()}.log"
        path.write_text("".join(traceback.format_exception(error)), encoding="utf-8")
    except OSError:
        return ""
    return str(path)


def _colour() -> bool | None:
    """Colour only where the terminal and the user want it (https://no-color.org)."""
    return False if os.environ.get("NO_COLOR") else None

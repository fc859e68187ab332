"""The child process: limits itself, measures or draws one STEP file, writes JSON.

``python -m rfq.geometry.kernel_main JOB FILE BODY SECONDS BYTES``; JOB is ``measure``, ``draw`` or
``separate``, FILE a private copy. The answer is ``{"found": ...}`` or ``{"refused": code,
"message": sentence}``. The kernel prints its own messages to standard output, so that descriptor is
turned away before it is loaded.
"""

from __future__ import annotations

import json
import os
import sys
from dataclasses import asdict
from pathlib import Path
from typing import Any

MOST_WRITTEN = 80_000_000
"""Bytes of one separated body's file."""


def limit(seconds: int, memory_bytes: int, file_bytes: int = 0) -> None:
    """Bound processor time, memory and files of this process, where the system can."""
    try:
        import resource
    except ImportError:  # not on Windows: there only the parent's clock holds
        return
    bounds = [
        (resource.RLIMIT_CPU, seconds),
        (resource.RLIMIT_AS, memory_bytes),
        (resource.RLIMIT_FSIZE, file_bytes),  # mostly it has nothing to write but its answer
        (resource.RLIMIT_CORE, 0),
    ]
    for what, bound in bounds:
        _, hard = resource.getrlimit(what)
        if hard != resource.RLIM_INFINITY:
            bound = min(bound, hard)
        try:
            resource.setrlimit(what, (bound, bound))
        except (ValueError, OSError):
            continue


def measured(path: Path, number: int) -> dict[str, Any]:
    """The measured shape of a file as plain data; body ``number``, 0 for everything."""
    from rfq.geometry import kernel
    from rfq.geometry.assemble import assemble

    return asdict(assemble(kernel.load(path), number))


def drawn(path: Path, number: int) -> list[dict[str, Any]]:
    """The views of a file as plain data; body ``number``, 0 for everything."""
    from rfq.geometry import kernel
    from rfq.geometry.views import draw_views

    return [asdict(view) for view in draw_views(kernel.pick(kernel.load(path, pmi=False), number))]


def separated(path: Path, number: int) -> list[dict[str, Any]]:
    """Each different body of a file with its own STEP text; body ``number`` only, 0 for all."""
    from rfq.geometry import kernel
    from rfq.geometry.apart import step_text

    loaded = kernel.load(path, pmi=False)
    if number:
        kernel.pick(loaded, number)
    return [
        {"body": asdict(body), "text": step_text(alike[0], body.name, path.parent)}
        for body, alike in loaded.bodies
        if number in (0, body.number)
    ]


def answer_to(job: str, path: Path, number: int) -> dict[str, Any] | None:
    """``{"found": ...}`` or ``{"refused": code, "message": sentence}``; None: memory ran out."""
    try:
        work = {"measure": measured, "draw": drawn, "separate": separated}[job]
        return {"found": work(path, number)}
    except MemoryError:
        return None
    except ImportError as error:  # the kernel's libraries did not fit into the bound
        if any(word in str(error) for word in ("map segment", "alloc")):
            return None
        raise
    except Exception as error:
        # the kernel's exceptions are its own types; those of ours carry a code
        if "bad_alloc" in str(error) or "OutOfMemory" in type(error).__name__:
            return None
        code = getattr(error, "code", None)
        # its binding turns what else it throws into RuntimeError; ours would be of another type
        foreign = isinstance(error, RuntimeError) or type(error).__module__.startswith("OCP")
        if code is None and not foreign:
            raise
        message = str(error) if code else "makes the geometry kernel fail; export it again"
        return {"refused": code or "G005", "message": message}


def main(arguments: list[str]) -> int:
    """Measure and answer; 0 with an answer, 3 when memory ran out."""
    job, path, body, seconds, memory_bytes = arguments
    answer = os.fdopen(os.dup(1), "w", encoding="utf-8")
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    limit(int(seconds), int(memory_bytes), MOST_WRITTEN if job == "separate" else 0)
    result = answer_to(job, Path(path), int(body))
    if result is None:
        return 3
    json.dump(result, answer)
    answer.close()
    return 0


if __name__ == "__main__":
    status = main(sys.argv[1:])
    sys.stderr.flush()
    os._exit(status)  # the kernel's own tear-down of a half-read file may crash; the answer is out

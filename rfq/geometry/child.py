"""Run the kernel in a child process that may die without harm.

The child sees a private copy of the bytes that were hashed, under a plain name in an empty folder:
a link to another file leads nowhere, and nobody can change the model between hashing and reading.
"""

from __future__ import annotations

import importlib.util
import os
import signal
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from rfq.problems import MissingExtra, TooMuch

Job = Literal["measure", "draw", "separate"]

_PACKAGE_PARENT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True, slots=True)
class Limits:
    """How much one model may cost.

    The kernel needs 0.3 GB of memory and 0.7 GB of addresses for a part of 1 MB.
    """

    file_bytes: int = 80_000_000
    seconds: int = 60
    memory_bytes: int = 3_000_000_000
    grace_seconds: int = 5  # wall clock beyond the processor time, for loading and waiting


def kernel_installed() -> bool:
    """Whether the optional extra is there, without loading it."""
    return importlib.util.find_spec("OCP") is not None


def work_in_children(
    jobs: tuple[Job, ...], data: bytes, name: str, body: int, limits: Limits
) -> dict[Job, bytes | TooMuch | None]:
    """Each job's answer, the jobs side by side in processes of their own.

    Args:
        jobs: what to do with the file.
        data: the STEP file.
        name: its name, for messages.
        body: which body, 0 for everything.
        limits: bounds; each child sets them on itself before it loads the kernel.

    Returns:
        For each job JSON bytes, the trouble when it ran out of time or memory, or None when the
        kernel crashed on the file.

    Raises:
        MissingExtra: the geometry kernel is not installed.
    """
    if not kernel_installed():
        raise MissingExtra(
            "measuring a STEP model needs the optional geometry kernel:"
            " install it with  pip install 'rfq[step]'  (the file itself is enclosed as it is)"
        )
    with tempfile.TemporaryDirectory(prefix="rfq-model-", ignore_cleanup_errors=True) as folder:
        copy = Path(folder) / "model.step"
        copy.write_bytes(data)

        def work(job: Job) -> bytes | TooMuch | None:
            return _run(_command(job, copy, body, limits), name, limits)

        with ThreadPoolExecutor(len(jobs)) as side_by_side:
            return dict(zip(jobs, side_by_side.map(work, jobs), strict=True))


def _run(command: list[str], name: str, limits: Limits) -> bytes | TooMuch | None:
    paths = [str(_PACKAGE_PARENT), os.environ.get("PYTHONPATH", "")]
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(p for p in paths if p)}
    try:
        done = subprocess.run(
            command,
            env=environment,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=limits.seconds + limits.grace_seconds,
            check=False,
        )
    except subprocess.TimeoutExpired:
        return _too_slow(name, limits)
    return _answer(done, name, limits)


def _command(job: Job, copy: Path, body: int, limits: Limits) -> list[str]:
    bounds = [str(limits.seconds), str(limits.memory_bytes)]
    return [sys.executable, "-m", "rfq.geometry.kernel_main", job, str(copy), str(body), *bounds]


def _too_slow(name: str, limits: Limits) -> TooMuch:
    return TooMuch(
        f"{name} was not measured within {limits.seconds} s;"
        " export a lighter model (one part, no threads or engraving modelled)"
    )


def _answer(
    done: subprocess.CompletedProcess[bytes], name: str, limits: Limits
) -> bytes | TooMuch | None:
    if done.returncode == 0 and done.stdout:
        return done.stdout
    if done.returncode == 1:  # an ordinary exception in our own code: a bug keeps its traceback
        raise RuntimeError(done.stderr.decode("utf-8", "replace"))
    killed = -done.returncode
    cpu = getattr(signal, "SIGXCPU", None)
    if killed == cpu:
        return _too_slow(name, limits)
    out_of_memory = done.returncode == 3 or b"bad_alloc" in done.stderr
    if out_of_memory or killed == getattr(signal, "SIGKILL", None):
        return TooMuch(
            f"{name} needs more than {limits.memory_bytes / 1e9:.1f} GB to measure;"
            " export a lighter model (one part, no threads or engraving modelled)"
        )
    return None

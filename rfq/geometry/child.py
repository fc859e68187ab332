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
from dataclasses import dataclass
from pathlib import Path

from rfq.problems import MissingExtra, TooMuch

_PACKAGE_PARENT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True, slots=True)
class Limits:
    """How much one model may cost.

    The kernel needs 0.3 GB of memory and about 2 GB of addresses for a part of 2 MB.
    """

    file_bytes: int = 80_000_000
    seconds: int = 60
    memory_bytes: int = 6_000_000_000


def kernel_installed() -> bool:
    """Whether the optional extra is there, without loading it."""
    return importlib.util.find_spec("OCP") is not None


def measure_in_child(data: bytes, name: str, body: int, limits: Limits) -> bytes | None:
    """The child's answer as JSON bytes, or None when the kernel crashed on the file.

    Args:
        data: the STEP file.
        name: its name, for messages.
        body: which body, 0 for everything.
        limits: bounds; the child sets them on itself before it loads the kernel.

    Raises:
        MissingExtra: the geometry kernel is not installed.
        TooMuch: the file was too large, or the child ran out of time or memory.
    """
    if not kernel_installed():
        raise MissingExtra(
            "measuring a STEP model needs the optional geometry kernel:"
            " install it with  pip install 'rfq[step]'  (the file itself is enclosed as it is)"
        )
    if len(data) > limits.file_bytes:
        raise TooMuch(
            f"{name} has {len(data) / 1e6:.0f} MB; models up to {limits.file_bytes / 1e6:.0f} MB"
            " are measured"
        )
    with tempfile.TemporaryDirectory(prefix="rfq-model-", ignore_cleanup_errors=True) as folder:
        copy = Path(folder) / "model.step"
        copy.write_bytes(data)
        paths = [str(_PACKAGE_PARENT), os.environ.get("PYTHONPATH", "")]
        environment = {**os.environ, "PYTHONPATH": os.pathsep.join(p for p in paths if p)}
        command = [sys.executable, "-m", "rfq.geometry.kernel_main", str(copy), str(body)]
        command += [str(limits.seconds), str(limits.memory_bytes)]
        try:
            done = subprocess.run(
                command,
                cwd=folder,
                env=environment,
                stdin=subprocess.DEVNULL,
                capture_output=True,
                timeout=limits.seconds + 5,
                check=False,
            )
        except subprocess.TimeoutExpired as expired:
            raise _too_slow(name, limits) from expired
    return _answer(done, name, limits)


def _too_slow(name: str, limits: Limits) -> TooMuch:
    return TooMuch(
        f"{name} was not measured within {limits.seconds} s;"
        " export a lighter model (one part, no threads or engraving modelled)"
    )


def _answer(done: subprocess.CompletedProcess[bytes], name: str, limits: Limits) -> bytes | None:
    if done.returncode == 0 and done.stdout:
        return done.stdout
    if done.returncode == 1:  # an ordinary exception in our own code: a bug keeps its traceback
        raise RuntimeError(done.stderr.decode("utf-8", "replace"))
    killed = -done.returncode
    cpu = getattr(signal, "SIGXCPU", None)
    if killed == cpu:
        raise _too_slow(name, limits)
    out_of_memory = done.returncode == 3 or b"bad_alloc" in done.stderr
    if out_of_memory or killed == getattr(signal, "SIGKILL", None):
        raise TooMuch(
            f"{name} needs more than {limits.memory_bytes / 1e9:.1f} GB to measure;"
            " export a lighter model (one part, no threads or engraving modelled)"
        )
    return None

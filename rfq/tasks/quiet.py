"""Keep stdout for data: a compiled library that prints there by itself is sent to nowhere."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def nothing_printed() -> Iterator[None]:
    """While this lasts, what compiled code writes to file descriptor 1 is thrown away.

    HiGHS prints a line of its own on some programs, whatever it is told; on stdout it would end
    up in the middle of our JSON. The app draws on stderr and is not touched.
    """
    sys.stdout.flush()
    try:
        kept = os.dup(1)
    except OSError:  # no stdout at all, as under a service
        yield
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)

"""Ctrl-C goes to every process of a terminal; only the one that was started there is to answer it."""

from __future__ import annotations

import contextlib
import signal
from collections.abc import Iterator


@contextlib.contextmanager
def interrupts_wait() -> Iterator[None]:
    """Hold Ctrl-C back until the end of the block, and for good from threads and processes started in it.

    A system without signal masks goes on without: there it may come in between, with more words on screen.
    """
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)

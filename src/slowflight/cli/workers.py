"""How many processes a command may use, and what it says when it is stopped."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from slowflight.errors import InputError, Interrupted

SCHEDULERS = ("local", "serial")


def workers_of(scheduler: str, *, cores: int) -> int:
    """Return the number of processes; InputError for an unknown word."""
    if scheduler not in SCHEDULERS:
        raise InputError(
            where="--scheduler", found=repr(scheduler), needed="'local' (every core) or 'serial' (one)"
        )
    return cores if scheduler == "local" else 1


@contextmanager
def going_on_later() -> Iterator[None]:
    """Turn Ctrl-C into the news that nothing finished is lost."""
    try:
        yield
    except KeyboardInterrupt:
        raise Interrupted(
            "interrupted; what was finished is kept in runs, the same command goes on from there"
        ) from None

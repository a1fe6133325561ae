"""Where a command computes, and what it says when it is stopped."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager

from slowflight.errors import InputError, Interrupted

SCHEDULER_HELP = (
    "Where to compute: local on every core, serial on one, cluster on a Dask cluster on this machine, or the "
    "address of a Dask scheduler, such as tcp://10.0.0.5:8786."
)
_CLUSTER = re.compile(r"cluster(:[1-9]\d{0,3})?")
_ADDRESS = re.compile(r"(tcp|tls|ws|wss)://[^\s:/]+:\d{1,5}")


def workers_of(scheduler: str, *, cores: int) -> int | str:
    """Return the number of processes here, or the word that says whose workers compute.

    Parameters
    ----------
    scheduler : str
        As the owner wrote it.
    cores : int
        Of this machine.

    Returns
    -------
    int or str

    Raises
    ------
    InputError
        For a word that is none of the known ones and no address.
    """
    if scheduler == "serial":
        return 1
    if scheduler == "local":
        return cores
    if _CLUSTER.fullmatch(scheduler) or _ADDRESS.fullmatch(scheduler):
        return scheduler
    raise InputError(
        where="--scheduler",
        found=repr(scheduler),
        needed="'local' (every core), 'serial' (one), 'cluster' (Dask on this machine; cluster:4 for four "
        "processes) or the address of a Dask scheduler, such as tcp://10.0.0.5:8786",
    )


@contextmanager
def going_on_later() -> Iterator[None]:
    """Turn Ctrl-C into the news that nothing finished is lost."""
    try:
        yield
    except KeyboardInterrupt:
        raise Interrupted(
            "interrupted; what was finished is kept in runs, the same command goes on from there"
        ) from None

"""Compute what is not kept yet, on several cores, keeping each result the moment it is there."""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from typing import Any, Protocol

from threadpoolctl import threadpool_limits

from slowflight.study.store import RunStore


class Case(Protocol):
    """What the pool can compute: frozen, and able to travel to another process."""

    @property
    def key(self) -> str:
        """Hash of all that the result depends on."""

    @property
    def suffix(self) -> str:
        """Ending of its file's name."""

    def compute(self) -> dict[str, Any]:
        """Return the result."""

    def encode(self, result: Mapping[str, Any]) -> bytes:
        """Return the content of a file that says what was computed, from what, and how."""

    def decode(self, content: bytes) -> dict[str, Any]:
        """Return the result from such a file; ValueError where it is none of this case."""


def usable_cores() -> int:
    """Cores this process may run on."""
    affinity = getattr(os, "sched_getaffinity", None)
    return len(affinity(0)) if affinity is not None else os.cpu_count() or 1


def run(
    cases: Sequence[Case],
    store: RunStore,
    *,
    workers: int = 1,
    on_done: Callable[[int, int], None] | None = None,
) -> dict[str, dict[str, Any]]:
    """Bring every case to its result.

    Parameters
    ----------
    cases : sequence of Case
        Alike ones are computed once.
    store : RunStore
        What is there is not computed again; what is computed is kept at once, so that a run that was stopped
        goes on where it was.
    workers : int
        Processes; 1 computes in this one.
    on_done : callable, optional
        Called with the number of cases done and of all cases, first before any is computed.

    Returns
    -------
    dict
        Results by key.

    Raises
    ------
    KeyboardInterrupt
        Passed on after cases not yet begun were called off; those under way are lost, those done are kept.
    """
    wanted = {case.key: case for case in cases}
    results: dict[str, dict[str, Any]] = {}
    for key, case in wanted.items():
        kept = _kept(case, store)
        if kept is not None:
            results[key] = kept

    def tell() -> None:
        if on_done is not None:
            on_done(len(results), len(wanted))

    tell()
    waiting = [case for key, case in wanted.items() if key not in results]

    def take(case: Case, result: Mapping[str, Any]) -> None:
        store.keep(case.key, case.encode(result), suffix=case.suffix)
        results[case.key] = dict(result)
        tell()

    if workers > 1 and len(waiting) > 2:
        # The first here: what has to be compiled is compiled once and not by each worker.
        take(waiting[0], waiting[0].compute())
        _elsewhere(waiting[1:], workers, take)
    else:
        for case in waiting:
            take(case, case.compute())
    return results


def _kept(case: Case, store: RunStore) -> dict[str, Any] | None:
    """Return what is kept; a file that was damaged counts as none, and is computed and written anew."""
    content = store.read(case.key, suffix=case.suffix)
    if content is None:
        return None
    try:
        return case.decode(content)
    except ValueError:
        return None


def _elsewhere(waiting: Sequence[Case], workers: int, take: Callable[[Case, dict[str, Any]], None]) -> None:
    # Spawned, not forked: the same on every system, and threads of this process cannot hang the workers.
    with ProcessPoolExecutor(
        min(workers, len(waiting)), mp_context=multiprocessing.get_context("spawn"), initializer=_alone
    ) as pool:
        futures: dict[Future[dict[str, Any]], Case] = {pool.submit(_compute, case): case for case in waiting}
        try:
            for future in as_completed(futures):
                take(futures[future], future.result())
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise


def _alone() -> None:
    """One thread per worker, or their threads fight over the cores; Ctrl-C is the parent's to answer."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threadpool_limits(limits=1)


def _compute(case: Case) -> dict[str, Any]:
    return case.compute()

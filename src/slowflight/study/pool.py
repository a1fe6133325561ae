"""Compute what is not kept yet, wherever there are workers, keeping each result the moment it is there."""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from typing import Any

from slowflight.errors import Interrupted, Unconverged
from slowflight.study.case import Case, title_of
from slowflight.study.crew import Crew, Outcome
from slowflight.study.crew_dask import DaskCrew
from slowflight.study.crew_here import CrewHere
from slowflight.study.crew_local import LocalCrew
from slowflight.study.store import RunStore

__all__ = ["Case", "Workers", "run", "stream", "usable_cores"]

Workers = int | str
"""Processes on this machine, or whose workers compute: ``"cluster"``, ``"cluster:4"``, ``"tcp://..."``."""

DEATHS_OF_A_CASE = 3  # after so many, the last with nothing else under way, it is named and left out
# After so many without a result between it is not the cases: the workers cannot live at all.
DEATHS_AT_FIRST, DEATHS_IN_A_ROW = 6, 30
GLANCE = 0.5  # how often to look whether to stop [s]


def usable_cores() -> int:
    """Cores this process may run on."""
    affinity = getattr(os, "sched_getaffinity", None)
    return len(affinity(0)) if affinity is not None else os.cpu_count() or 1


def run(
    cases: Sequence[Case],
    store: RunStore,
    *,
    workers: Workers = 1,
    on_done: Callable[[int, int], None] | None = None,
    stopping: Callable[[], bool] | None = None,
) -> dict[str, dict[str, Any]]:
    """Bring every case to its result.

    Parameters
    ----------
    cases, store, workers, on_done, stopping
        As for `stream`.

    Returns
    -------
    dict
        Results by key.

    Raises
    ------
    Unconverged, InputError, Interrupted, KeyboardInterrupt
        As for `stream`.
    """
    return dict(stream(cases, store, workers=workers, on_done=on_done, stopping=stopping))


def stream(
    cases: Sequence[Case],
    store: RunStore,
    *,
    workers: Workers = 1,
    on_done: Callable[[int, int], None] | None = None,
    stopping: Callable[[], bool] | None = None,
) -> Iterator[tuple[str, dict[str, Any]]]:
    """Hand out results one by one: first those that are kept, then each as it is computed and kept.

    Only the cases under way and the result handed out are in memory, whatever their number: a study of a
    million cases may be a sequence that makes each case when it is asked for it.

    Parameters
    ----------
    cases : sequence of Case
        Alike ones are computed once.
    store : RunStore
        What is there is not computed again; what is computed is kept at once, so that a run that was stopped
        goes on where it was. Written by this process only.
    workers : int or str, optional
        A number of processes on this machine, 1 computing in this one; ``"cluster"`` for a Dask cluster on
        this machine, ``"cluster:4"`` for one of four processes; or the address of a Dask scheduler.
    on_done : callable, optional
        Called with the number of cases done and of all cases, first before any is computed.
    stopping : callable, optional
        Asked about twice a second, in one process before each case; true calls off the study.

    Yields
    ------
    key : str
    result : dict
        As read back from its file, so that a result is the same whether it was kept or is new.

    Raises
    ------
    Unconverged
        At the end, where a case has no result because its worker died over it every time; all others are
        kept then.
    InputError
        Where nothing can be written or the workers cannot be used.
    Interrupted
        Where ``stopping`` said so, or the scheduler was lost.
    KeyboardInterrupt
        Passed on. In each of these, cases not begun are called off, those under way are stopped and lost,
        those done are kept.
    """
    store.sweep()
    seen: set[str] = set()
    waiting: deque[int] = deque()
    for number, case in enumerate(cases):
        if case.key in seen:
            continue
        seen.add(case.key)
        kept = _kept(case, store)
        if kept is None:
            waiting.append(number)
        else:
            yield case.key, kept
    total = len(seen)
    del seen
    done = total - len(waiting)

    def tell() -> None:
        if on_done is not None:
            on_done(done, total)

    tell()
    if not waiting:
        return
    crew = _crew(workers, len(waiting))
    try:
        for number, content in _computed(cases, waiting, crew, stopping, one_machine=_is_here(workers)):
            case = cases[number]
            store.keep(case.key, content, suffix=case.suffix)
            done += 1
            tell()
            yield case.key, case.decode(content)
    finally:
        crew.close()


def _is_here(workers: Workers) -> bool:
    return isinstance(workers, int) or workers.startswith("cluster")


def _crew(workers: Workers, number: int) -> Crew:
    if isinstance(workers, str):
        return DaskCrew(workers, cores=usable_cores())
    # For one or two it is not worth while to start processes.
    return LocalCrew(min(workers, number)) if workers > 1 and number > 2 else CrewHere()


def _kept(case: Case, store: RunStore) -> dict[str, Any] | None:
    """Return what is kept; a file that is none of ours or damaged is put aside, and computed anew."""
    content = store.read(case.key, suffix=case.suffix)
    if content is None:
        return None
    try:
        return case.decode(content)
    except ValueError:
        store.set_aside(case.key, suffix=case.suffix)
        return None


def _computed(
    cases: Sequence[Case],
    waiting: deque[int],
    crew: Crew,
    stopping: Callable[[], bool] | None,
    *,
    one_machine: bool,
) -> Iterator[tuple[int, bytes]]:
    deaths = _Deaths(cases)
    flying = 0
    # Where all share a disk the first goes alone: what has to be compiled is compiled once.
    proven = not one_machine
    while waiting or deaths.suspects or flying:
        room = crew.room() if proven else 1
        while waiting and flying < room:
            crew.give(waiting[0], cases[waiting[0]])
            waiting.popleft()
            flying += 1
        if not flying:
            suspect = deaths.suspects.popleft()
            crew.give(suspect, cases[suspect])
            flying = 1
        if stopping is not None and stopping():
            raise Interrupted("stopped; what was finished is kept, the same study goes on from there")
        for outcome in crew.wait(GLANCE):
            flying -= 1
            proven = True
            if outcome.packed is None:
                deaths.note(outcome, waiting)
            elif outcome.packed.content is None:
                raise outcome.packed.rebuilt_error()
            else:
                deaths.none()
                yield outcome.number, outcome.packed.content
    deaths.tell()


class _Deaths:
    """Which cases cost a worker its life, and what to do about it.

    The first time a case is tried again at once, the second time at the end with nothing else under way, so
    that no other case's death is laid at its door; the third time it is given up.
    """

    def __init__(self, cases: Sequence[Case]) -> None:
        self._cases = cases
        self._times: dict[int, int] = {}
        self._failed: list[str] = []
        self._in_a_row, self._allowed = 0, DEATHS_AT_FIRST
        self.suspects: deque[int] = deque()

    def none(self) -> None:
        """There was a result: the workers can live."""
        self._in_a_row, self._allowed = 0, DEATHS_IN_A_ROW

    def note(self, outcome: Outcome, waiting: deque[int]) -> None:
        """Put the case where it is tried again, or give it up."""
        number = outcome.number
        times = self._times[number] = self._times.get(number, 0) + 1
        if times == 1:
            waiting.appendleft(number)
        elif times < DEATHS_OF_A_CASE:
            self.suspects.append(number)
        else:
            self._failed.append(f"{title_of(self._cases[number])}, {outcome.death}")
        self._in_a_row += 1
        if self._in_a_row == self._allowed and waiting:
            raise Unconverged(
                f"{self._in_a_row} workers died one after the other whatever they were given "
                f"({outcome.death}); what was finished is kept"
            )

    def tell(self) -> None:
        """Name the cases that were given up."""
        if self._failed:
            raise Unconverged(
                f"no result for {len(self._failed)} of the cases: {DEATHS_OF_A_CASE} times its process died "
                f"(memory?) over {'; '.join(self._failed)}; the others are kept"
            )

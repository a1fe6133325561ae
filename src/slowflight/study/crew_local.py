"""Processes on this machine, each with one case at a time, so that it is known over which case one died.

The library's own process pool is not used: when one of its processes dies all cases under way are lost
without a word about whose fault it was, and a case under way cannot be stopped.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import pickle
import signal
import threading
from collections.abc import Iterable
from dataclasses import dataclass
from multiprocessing.connection import Connection, wait
from multiprocessing.process import BaseProcess, parent_process

from slowflight.study.case import Case
from slowflight.study.code_version import code_version
from slowflight.study.crew import Outcome
from slowflight.study.interrupts import interrupts_wait
from slowflight.study.work import Packed, compute, use_one_thread

# Spawned, not forked: the same on every system, and threads of this process cannot hang the workers.
_SPAWN = multiprocessing.get_context("spawn")
_GOODBYE = 5.0  # how long a worker may take to leave [s]


@dataclass(eq=False)
class _Worker:
    process: BaseProcess
    pipe: Connection
    number: int | None = None  # of the case in hand


class LocalCrew:
    """So many processes; one that dies is replaced.

    Parameters
    ----------
    workers : int
        Processes.
    """

    def __init__(self, workers: int) -> None:
        self._code = code_version()
        self._workers = [_hired() for _ in range(workers)]

    def room(self) -> int:
        """One for each process."""
        return len(self._workers)

    def give(self, number: int, case: Case) -> None:
        """Hand a case to a process that has none."""
        worker = next(worker for worker in self._workers if worker.number is None)
        message = pickle.dumps((case, self._code))
        try:
            worker.pipe.send_bytes(message)
        except OSError:
            # It died with nothing to do, which is no case's fault.
            worker = self._replace(worker)
            worker.pipe.send_bytes(message)
        worker.number = number

    def wait(self, seconds: float) -> Iterable[Outcome]:
        """Return what the processes have sent, and who died."""
        busy = [worker for worker in self._workers if worker.number is not None]
        # A pipe whose other end is gone is ready too.
        ready = wait([worker.pipe for worker in busy], timeout=seconds)
        return [self._heard(worker) for worker in busy if worker.pipe in ready]

    def close(self) -> None:
        """Send the idle ones home and stop the others."""
        for worker in self._workers:
            if worker.number is not None:
                worker.process.terminate()
            worker.pipe.close()
        for worker in self._workers:
            worker.process.join(_GOODBYE)
            if worker.process.is_alive():
                worker.process.kill()
                worker.process.join()
            worker.process.close()
        self._workers = []

    def _heard(self, worker: _Worker) -> Outcome:
        assert worker.number is not None
        number = worker.number
        try:
            packed: Packed = pickle.loads(worker.pipe.recv_bytes())
        except (EOFError, OSError):
            worker.process.join(_GOODBYE)
            death = _how(worker.process.exitcode)
            self._replace(worker)
            return Outcome(number=number, death=death)
        worker.number = None
        return Outcome(number=number, packed=packed)

    def _replace(self, worker: _Worker) -> _Worker:
        worker.process.kill()
        worker.process.join()
        worker.process.close()
        worker.pipe.close()
        fresh = _hired()
        self._workers[self._workers.index(worker)] = fresh
        return fresh


def _hired() -> _Worker:
    ours, theirs = _SPAWN.Pipe()
    process = _SPAWN.Process(target=_work, args=(theirs,), daemon=True)
    with interrupts_wait():
        process.start()
    theirs.close()  # or the end of the process would not be seen
    return _Worker(process=process, pipe=ours)


def _how(exit_code: int | None) -> str:
    if exit_code is not None and exit_code < 0:
        with contextlib.suppress(ValueError):
            return f"killed by {signal.Signals(-exit_code).name}"
    return f"exit code {exit_code}"


def _work(pipe: Connection) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is the parent's to answer
    threading.Thread(target=_leave_with_parent, daemon=True).start()
    use_one_thread()
    while True:
        try:
            message = pipe.recv_bytes()
        except (EOFError, OSError):
            return
        try:
            case, code = pickle.loads(message)
        except Exception as error:
            packed = Packed(error=(RuntimeError, (f"a case that cannot be unpacked: {error}",), {}))
        else:
            packed = compute(case, code=code, study="")
        try:
            pipe.send_bytes(pickle.dumps(packed))
        except OSError:
            return


def _leave_with_parent() -> None:
    """Do not go on for nobody when the parent was killed."""
    parent = parent_process()
    if parent is not None:
        wait([parent.sentinel])
        os._exit(1)

"""Workers of a Dask scheduler: on this machine, made for the study, or on any number of others.

Dask is an extra and is loaded here only.
"""

from __future__ import annotations

import asyncio
import contextlib
import logging
import queue
import time
import uuid
from collections.abc import Iterable
from concurrent.futures import CancelledError
from typing import Any

from slowflight.errors import InputError, Interrupted
from slowflight.study.case import Case
from slowflight.study.code_version import code_version
from slowflight.study.crew import Outcome
from slowflight.study.interrupts import interrupts_wait
from slowflight.study.work import Packed, compute, stop, use_one_thread

CLUSTER = "cluster"
ADDRESSES = ("tcp://", "tls://", "ws://", "wss://", "ucx://")
_PATIENCE = 30.0  # for a scheduler to answer and a worker to be there [s]
_GLANCE = 2.0  # how old the count of workers may be [s]
_READY_PER_THREAD = 2  # one being computed and one waiting beside it, so that no worker waits for us


def is_dask(where: str) -> bool:
    """Whether a word names a scheduler: ``cluster``, ``cluster:4`` or an address."""
    name, _, number = where.partition(":")
    return where == CLUSTER or (name == CLUSTER and number.isdecimal()) or where.startswith(ADDRESSES)


class DaskCrew:
    """The workers of one scheduler.

    Parameters
    ----------
    where : str
        ``"cluster"`` for one process per core of this machine, ``"cluster:4"`` for four, or the address of a
        scheduler that runs already.
    cores : int
        Of this machine.

    Raises
    ------
    InputError
        Where Dask is not installed, or nothing that can compute is found at the address.
    """

    def __init__(self, where: str, *, cores: int) -> None:
        self._where = where
        self._study = f"slowflight-{uuid.uuid4().hex[:12]}"
        self._code = code_version()
        self._distributed = _distributed()
        self._ready: queue.SimpleQueue[Any] = queue.SimpleQueue()
        self._flying: dict[Any, int] = {}
        self._given = 0
        self._threads, self._counted = 0, 0.0
        self._cluster: Any = None
        try:
            with interrupts_wait():
                if where.startswith(CLUSTER):
                    self._cluster = self._own_cluster(int(where.partition(":")[2] or cores))
                self._client = self._connected(self._cluster or where)
        except BaseException:
            if self._cluster is not None:
                self._cluster.close()
            raise

    def room(self) -> int:
        """Two for each thread of the workers that are there now."""
        if time.monotonic() - self._counted > _GLANCE:
            with contextlib.suppress(Exception):  # the scheduler is lost; `wait` says so
                self._threads = sum(self._client.nthreads().values())
            self._counted = time.monotonic()
        return _READY_PER_THREAD * max(1, self._threads)

    def give(self, number: int, case: Case) -> None:
        """Send a case to the scheduler."""
        self._given += 1
        future = self._client.submit(
            _compute,
            case,
            self._code,
            self._study,
            # A name of its own each time: what is tried again must not be answered from before.
            key=(self._study, self._given),
            pure=False,
        )
        self._flying[future] = number
        future.add_done_callback(self._ready.put)

    def wait(self, seconds: float) -> Iterable[Outcome]:
        """Fetch what is finished, in one go."""
        finished = []
        with contextlib.suppress(queue.Empty):
            finished.append(self._ready.get(timeout=seconds))
            while True:
                finished.append(self._ready.get_nowait())
        if not finished and self._client.status != "running":
            raise self._lost()
        good = [future for future in finished if future.status == "finished"]
        try:
            packs = dict(zip(good, self._client.gather(good), strict=True)) if good else {}
        except (OSError, asyncio.CancelledError, CancelledError):
            raise self._lost() from None
        outcomes = [self._outcome(future, packs.get(future)) for future in finished]
        for future in finished:
            del self._flying[future]
            future.release()  # or the result would stay in the worker's memory
        return outcomes

    def close(self) -> None:
        """Call off what waits, stop what runs, and take the cluster down if it is ours."""
        with contextlib.suppress(Exception), self._quiet():
            if self._flying:
                self._client.cancel(list(self._flying))
                self._client.run(stop, self._study, on_error="ignore")
        self._flying.clear()
        with contextlib.suppress(Exception), self._quiet():
            self._client.close()
        if self._cluster is not None:
            with contextlib.suppress(Exception), self._quiet():
                self._cluster.close()

    def _outcome(self, future: Any, packed: Packed | None) -> Outcome:
        number = self._flying[future]
        if packed is not None:
            return Outcome(number=number, packed=packed)
        if future.status != "error":
            raise self._lost()
        error = future.exception()
        if isinstance(error, self._distributed.scheduler.KilledWorker):
            return Outcome(number=number, death="its worker died")
        raise InputError(
            where=self._where,
            found=f"workers that cannot unpack a case ({type(error).__name__}: {error})",
            needed="workers with the same slowflight and libraries",
            fix="install the same versions there",
        )

    def _lost(self) -> Interrupted:
        return Interrupted(
            f"the scheduler at {self._where} is gone; what was finished is kept, "
            "the same command goes on from there"
        )

    def _own_cluster(self, workers: int) -> Any:
        import dask

        settings = {
            # A case over which a worker died comes back to us, who count, instead of being tried again there.
            "distributed.scheduler.allowed-failures": 0,
            "distributed.scheduler.worker-saturation": 1.0,
            "distributed.admin.log-format": "%(message)s",
        }
        with dask.config.set(settings):
            return self._distributed.LocalCluster(
                n_workers=workers,
                threads_per_worker=1,
                processes=True,
                host="127.0.0.1",
                dashboard_address="127.0.0.1:0",  # any free port: there may be other clusters
                worker_dashboard_address=None,
                silence_logs=logging.CRITICAL,
            )

    def _connected(self, to: Any) -> Any:
        client = None
        try:
            client = self._distributed.Client(to, timeout=_PATIENCE, set_as_default=False)
            client.wait_for_workers(1, timeout=_PATIENCE)
        except (OSError, ValueError, TimeoutError, ImportError) as error:
            found = "a scheduler without workers" if client is not None else f"no scheduler ({error})"
            if client is not None:
                client.close()
            raise InputError(
                where=f"--scheduler {self._where}",
                found=found,
                needed="a Dask scheduler with at least one worker",
                fix="start them with 'dask scheduler' and 'dask worker', or use --scheduler cluster",
            ) from None
        return client

    @contextlib.contextmanager
    def _quiet(self) -> Any:
        """Dask tells of every connection that ends while we are the ones who end it."""
        loggers = [logging.getLogger(name) for name in ("distributed", "tornado.application")]
        before = [logger.level for logger in loggers]
        for logger in loggers:
            logger.setLevel(logging.CRITICAL)
        try:
            yield
        finally:
            for logger, level in zip(loggers, before, strict=True):
                logger.setLevel(level)


def _distributed() -> Any:
    try:
        import distributed
    except ImportError:
        raise InputError(
            where="--scheduler",
            found="no Dask",
            needed="it, to compute on a cluster",
            fix="install it with: pip install 'slowflight[cluster]'",
        ) from None
    return distributed


_alone = False


def _compute(case: Case, code: dict[str, str], study: str) -> Packed:
    global _alone
    if not _alone:
        use_one_thread()
        _alone = True
    return compute(case, code=code, study=study)

"""What a worker does with a case, wherever the worker is: check that it runs the same code, compute, pack.

The result is packed into the bytes of its file here, so that the one process that writes has little to do.
"""

from __future__ import annotations

import contextlib
import ctypes
import os
import pickle
import threading
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from slowflight.study.case import Case, title_of

ONE_THREAD = ("OMP_NUM_THREADS", "MKL_NUM_THREADS", "OPENBLAS_NUM_THREADS", "NUMBA_NUM_THREADS")


@dataclass(frozen=True, kw_only=True)
class Packed:
    """How a case ended.

    Parameters
    ----------
    content : bytes or None
        Of the file; ``None`` where computing raised.
    error : tuple or None
        The exception in parts: any of them can travel so, also one that cannot be rebuilt from its arguments.
    """

    content: bytes | None = None
    error: tuple[type[BaseException], tuple[Any, ...], dict[str, Any]] | None = None

    def rebuilt_error(self) -> BaseException:
        """Return the exception that computing raised."""
        assert self.error is not None
        kind, arguments, facts = self.error
        error = kind.__new__(kind)
        error.args = arguments
        vars(error).update(facts)
        return error


class Stopped(BaseException):
    """Raised inside a computation that its study called off."""


def use_one_thread() -> None:
    """One thread in this worker, or the workers' threads fight over the cores."""
    from threadpoolctl import threadpool_limits

    for name in ONE_THREAD:
        os.environ.setdefault(name, "1")  # for libraries that are loaded later
    threadpool_limits(limits=1)


def compute(case: Case, *, code: Mapping[str, str], study: str) -> Packed:
    """Compute a case and pack its result, or whatever it raised.

    Parameters
    ----------
    case : Case
    code : mapping
        What the asking process would compute with; a worker with other code refuses.
    study : str
        Which study asks, so that it can be called off.

    Returns
    -------
    Packed
    """
    try:
        _refuse_other_code(code)
        with _can_be_stopped(study):
            result = case.compute()
        return Packed(content=case.encode(result))
    except BaseException as error:
        error.add_note(f"while computing {title_of(case)}")
        return Packed(error=_parts(error))


def _refuse_other_code(code: Mapping[str, str]) -> None:
    from slowflight.errors import InputError
    from slowflight.study.code_version import code_version

    here = code_version()
    if here != code:
        differing = [f"{name} {here.get(name)}" for name in code if here.get(name) != code[name]]
        raise InputError(
            where="a worker of the study",
            found=f"other code ({', '.join(differing) or 'more libraries'})",
            needed=", ".join(f"{name} {value}" for name, value in code.items()),
            fix="install the same versions there, or run again if the code was changed meanwhile",
        )


def _parts(error: BaseException) -> tuple[type[BaseException], tuple[Any, ...], dict[str, Any]]:
    parts = (type(error), error.args, dict(vars(error)))
    try:
        pickle.loads(pickle.dumps(parts))
    except Exception:
        return (RuntimeError, (f"{type(error).__name__}: {error}",), {})
    return parts


@dataclass
class _UnderWay:
    study: str
    thread: int
    told: bool = False


_lock = threading.Lock()
_under_way: list[_UnderWay] = []
_called_off: set[str] = set()


@contextlib.contextmanager
def _can_be_stopped(study: str) -> Iterator[None]:
    job = _UnderWay(study, threading.get_ident())
    with _lock:
        if study in _called_off:
            raise Stopped  # it was on its way here when its study was called off
        _under_way.append(job)
    arrived = False
    try:
        yield
    except Stopped:
        arrived = True
        raise
    finally:
        with _lock:
            _under_way.remove(job)
        if job.told and not arrived:
            _await_stop()


def _await_stop() -> None:
    """Take in a stop that is on its way, so that it does not hit what this thread does next."""
    with contextlib.suppress(Stopped):
        for _ in range(1000):
            threading.Event().wait(0.001)


def stop(study: str) -> int:
    """Stop what this process computes for a study, within one step of Python code, and begin no more of it.

    Parameters
    ----------
    study : str

    Returns
    -------
    int
        Computations that were stopped.
    """
    with _lock:
        _called_off.add(study)
        jobs = [job for job in _under_way if job.study == study and not job.told]
        for job in jobs:
            job.told = True
            ctypes.pythonapi.PyThreadState_SetAsyncExc(ctypes.c_ulong(job.thread), ctypes.py_object(Stopped))
    return len(jobs)

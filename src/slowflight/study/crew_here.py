"""No workers: this process computes one case after the other."""

from __future__ import annotations

from collections.abc import Iterable

from threadpoolctl import threadpool_limits

from slowflight.study.case import Case
from slowflight.study.crew import Outcome
from slowflight.study.work import Packed


class CrewHere:
    """Computes when it is waited for; what a case raises goes straight up, with its traceback.

    By one thread, as every worker does: with more, sums are taken in another order and last digits differ.
    """

    def __init__(self) -> None:
        self._next: tuple[int, Case] | None = None
        self._threads = threadpool_limits(limits=1)

    def room(self) -> int:
        """One."""
        return 1

    def give(self, number: int, case: Case) -> None:
        """Remember the case."""
        self._next = (number, case)

    def wait(self, seconds: float) -> Iterable[Outcome]:
        """Compute it, however long it takes."""
        if self._next is None:
            return ()
        (number, case), self._next = self._next, None
        return (Outcome(number=number, packed=Packed(content=case.encode(case.compute()))),)

    def close(self) -> None:
        """Forget it."""
        self._next = None
        self._threads.restore_original_limits()

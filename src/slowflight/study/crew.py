"""Whoever computes: this process, processes beside it, or a cluster; to a study they all look like this."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

from slowflight.study.case import Case
from slowflight.study.work import Packed


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What became of a case that was given to a crew.

    Parameters
    ----------
    number : int
        Under which it was given.
    packed : Packed or None
        ``None`` where the worker died over it.
    death : str
        How, where it did.
    """

    number: int
    packed: Packed | None = None
    death: str = ""


class Crew(Protocol):
    """Workers that are given cases and hand back outcomes, in whatever order they are ready."""

    def room(self) -> int:
        """How many cases it should have in hand at most, now; more would only wait in memory."""

    def give(self, number: int, case: Case) -> None:
        """Hand over a case; returns at once."""

    def wait(self, seconds: float) -> Iterable[Outcome]:
        """Return what has become ready, waiting that long for the first at most."""

    def close(self) -> None:
        """Let everyone go; what is still under way is stopped and lost."""

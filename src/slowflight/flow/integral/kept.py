"""Outer flows kept for the next row of vanes: they depend on shape and angle alone."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from typing import Generic, TypeVar

from slowflight.flow.solution import FloatArray

T = TypeVar("T")

MOST = 60  # outer flows kept, a megabyte or less each


class Kept(Generic[T]):
    """The last few results of a costly computation, found again by the numbers they depend on.

    Results are shared: nobody may write into them.
    """

    def __init__(self) -> None:
        self._found: dict[tuple[bytes, float], T] = {}

    def get(self, shape: Sequence[FloatArray], alpha: float, make: Callable[[], T]) -> T:
        """The result for a shape and an angle of attack [rad], made where it is not kept."""
        digest = hashlib.blake2b(digest_size=16)
        for part in shape:
            digest.update(part.tobytes())
        key = digest.digest(), alpha
        found = self._found.pop(key, None)
        if found is None:
            found = make()
        self._found[key] = found
        while len(self._found) > MOST:
            del self._found[next(iter(self._found))]
        return found

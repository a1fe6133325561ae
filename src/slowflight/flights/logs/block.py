"""A run of rows as a reader hands it on, before flights are told apart."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from slowflight.flights.logs.log import FloatArray, IntArray


@dataclass(frozen=True, kw_only=True, eq=False)
class Block:
    """Consecutive rows of a log.

    Parameters
    ----------
    time : FloatArray
        [s], NaN where a row has none, shape (n,).
    rows : IntArray
        Line of the file, shape (n,).
    channels : mapping of str to FloatArray
        In SI, each of shape (n,); every block of a file has the same channels.
    fresh : bool
        Whether the file itself says that something new begins here: a second header, another track.
    """

    time: FloatArray
    rows: IntArray
    channels: Mapping[str, FloatArray] = field(default_factory=dict)
    fresh: bool = False


@dataclass(kw_only=True)
class Tally:
    """What a reader had to leave out, counted while it streams.

    Parameters
    ----------
    kinds : dict of str to list of int
        By what was wrong: how many, first line, last line.
    """

    kinds: dict[str, list[int]] = field(default_factory=dict)

    def note(self, kind: str, line: int, count: int = 1) -> None:
        """Count one more."""
        seen = self.kinds.setdefault(kind, [0, line, line])
        seen[0] += count
        seen[2] = line

    def take(self) -> dict[str, list[int]]:
        """Hand over what was counted and begin again."""
        taken, self.kinds = self.kinds, {}
        return taken

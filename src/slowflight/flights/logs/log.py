"""A log as the flights room knows it: channels in SI on one time base, each value traceable to its line."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

import slowflight
from slowflight.errors import InputError

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
FlagArray = npt.NDArray[np.uint8]

# Why a value is missing; flags add up. The value itself becomes NaN, the raw file keeps what was written.
SPIKE, STUCK, OUTSIDE, OTHER_UNIT, BLANK, NO_FIX = 1, 2, 4, 8, 16, 32


@dataclass(frozen=True, kw_only=True)
class Step:
    """One thing that was done to the numbers of a log.

    Parameters
    ----------
    what : str
        In a sentence that an owner understands.
    by : str
        Function that did it.
    channel : str
        Channel, or "" where it concerns whole lines.
    count : int
        How many values or lines it concerns.
    first_row, last_row : int or None
        First and last line of the raw file concerned.
    settings : tuple of (str, float)
        Thresholds used.
    version : str
        Of this package.
    """

    what: str
    by: str
    channel: str = ""
    count: int = 0
    first_row: int | None = None
    last_row: int | None = None
    settings: tuple[tuple[str, float], ...] = ()
    version: str = slowflight.__version__


@dataclass(frozen=True, kw_only=True, eq=False)
class Log:
    """One flight out of one file.

    Parameters
    ----------
    source : str
        Name of the raw file, which is never altered.
    kind : str
        ``"table"``, ``"gpx"``, ``"nmea"`` or ``"igc"``, or ``"joined"``.
    part : int
        Which flight of the file, from 1.
    time : FloatArray
        Seconds since 1970-01-01 UTC, or since the recorder's own zero where `absolute` is false, shape (n,).
    absolute : bool
        Whether the time is known to be UTC.
    rows : IntArray
        Line of the raw file, the first being 1, shape (n,).
    channels : mapping of str to FloatArray
        SI values by channel name, NaN where nothing usable was recorded, each of shape (n,).
    flags : mapping of str to FlagArray
        Why values were rejected, by channel; a channel without an entry had none rejected.
    history : tuple of Step
        Everything that was done, in order.
    """

    source: str
    kind: str
    part: int
    time: FloatArray
    absolute: bool
    rows: IntArray
    channels: Mapping[str, FloatArray]
    flags: Mapping[str, FlagArray] = field(default_factory=dict)
    history: tuple[Step, ...] = ()

    def __len__(self) -> int:
        return int(self.time.size)

    def has(self, *names: str) -> bool:
        """Whether each channel is there and has at least one value."""
        return all(name in self.channels and bool(np.isfinite(self.channels[name]).any()) for name in names)

    def channel(self, name: str) -> FloatArray:
        """Return a channel; InputError where the log has none of that name."""
        if not self.has(name):
            raise InputError(
                where=f"{self.source}, flight {self.part}",
                found=f"no {name.replace('_', ' ')}; it has {', '.join(sorted(self.channels)) or 'nothing'}",
                needed=f"a column of {name.replace('_', ' ')}",
                fix="give that column its channel in the saved mapping",
            )
        return self.channels[name]

    @property
    def interval(self) -> float:
        """Usual time from row to row [s]; NaN with fewer than two rows."""
        return float(np.median(np.diff(self.time))) if len(self) > 1 else math.nan

    def between(self, start: float, stop: float) -> Log:
        """Return the rows from `start` to `stop` [s], both included."""
        first, last = np.searchsorted(self.time, [start, stop + 1e-9])
        return self.rows_of(slice(int(first), int(last)))

    def rows_of(self, part: slice) -> Log:
        """Return some of the rows, as views."""
        return replace(
            self,
            time=self.time[part],
            rows=self.rows[part],
            channels={name: values[part] for name, values in self.channels.items()},
            flags={name: values[part] for name, values in self.flags.items()},
        )

    def done(self, *steps: Step, **changes: object) -> Log:
        """Return the log with changes and the steps that made them at the end of its history."""
        return replace(self, history=(*self.history, *steps), **changes)  # type: ignore[arg-type]


def gaps(log: Log, *, longer_than: float | None = None) -> list[tuple[float, float]]:
    """Return stretches without rows.

    Parameters
    ----------
    log : Log
        With rising time.
    longer_than : float, optional
        Shortest stretch that counts [s]; 2.5 times the usual interval without it.

    Returns
    -------
    list of (float, float)
        Times of the last row before and the first after each [s].
    """
    step = np.diff(log.time)
    limit = 2.5 * log.interval if longer_than is None else longer_than
    return [(float(log.time[i]), float(log.time[i + 1])) for i in np.flatnonzero(step > limit)]

"""Tell the flights of one file apart, in a stream whose memory does not grow with the file."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from slowflight.flights.logs.block import Block
from slowflight.flights.logs.log import FloatArray

# Common practice, no source: nobody lands, shuts down and starts again within ten minutes.
LONGEST_PAUSE = 600.0  # [s]
# A flight with more rows than this is handed on in parts, so that memory stays bounded.
MOST_ROWS = 1_000_000
STILL = 10.0  # a slower aircraft may be on the ground [m/s]


def stretches(blocks: Iterator[Block], *, most_rows: int = MOST_ROWS) -> Iterator[tuple[list[Block], str]]:
    """Group blocks into flights.

    Parameters
    ----------
    blocks : iterator of Block
        In the order of the file.
    most_rows : int, optional
        Largest number of rows handed on together.

    Yields
    ------
    blocks : list of Block
        Those of one flight, cut where flights meet inside a block.
    why : str
        ``"end"`` where the flight is whole, ``"long"`` where more of it follows.

    Notes
    -----
    A flight ends where the recorder paused for more than ten minutes, where its clock goes back by more than
    that, or where the file begins anew; but not where the aircraft flew straight on: there a clock was set.
    """
    held: list[Block] = []
    count = 0
    for whole in blocks:
        for block in _cut(whole):
            if held and (block.fresh or _apart(held[-1], block)):
                yield held, "end"
                held, count = [], 0
            elif count + block.time.size > most_rows and held:
                yield held, "long"
                held, count = [], 0
            held.append(block)
            count += block.time.size
    if held:
        yield held, "end"


def _cut(block: Block) -> Iterator[Block]:
    step = np.diff(block.time)
    places = [
        int(i) + 1
        for i in np.flatnonzero(np.abs(step) > LONGEST_PAUSE)
        if not flew_on(block, int(i), int(i) + 1, block)
    ]
    start = 0
    for stop in [*places, block.time.size]:
        part = slice(start, stop)
        yield Block(
            time=block.time[part],
            rows=block.rows[part],
            channels={name: values[part] for name, values in block.channels.items()},
            fresh=block.fresh and start == 0,
        )
        start = stop


def _apart(before: Block, after: Block) -> bool:
    if not (before.time.size and after.time.size):
        return False
    step = after.time[0] - before.time[-1]
    return bool(abs(step) > LONGEST_PAUSE) and not flew_on(before, before.time.size - 1, 0, after)


def flew_on(before: Block, last: int, first: int, after: Block) -> bool:
    """Whether two neighboring rows are moments of one flight, whatever the clock says.

    Parameters
    ----------
    before, after : Block
        Which hold the rows; they may be one block.
    last, first : int
        The row in each.

    Returns
    -------
    bool
        True where the aircraft moved, and position, or else height and speed, hardly changed.
    """
    speeds = [
        (_at(before.channels, name, last), _at(after.channels, name, first))
        for name in ("ground_speed", "indicated_airspeed", "true_airspeed")
    ]
    pair = next(((a, b) for a, b in speeds if np.isfinite(a) and np.isfinite(b)), None)
    if pair is None or min(pair) < STILL or abs(pair[0] - pair[1]) > 8.0:
        return False
    here = [_at(before.channels, name, last) for name in ("latitude", "longitude")]
    there = [_at(after.channels, name, first) for name in ("latitude", "longitude")]
    if np.all(np.isfinite([*here, *there])):
        north, east = there[0] - here[0], (there[1] - here[1]) * np.cos(here[0])
        return bool(6.37e6 * np.hypot(north, east) < 50.0 + 15.0 * max(pair))
    for name in ("pressure_altitude", "altitude"):
        a, b = _at(before.channels, name, last), _at(after.channels, name, first)
        if np.isfinite(a) and np.isfinite(b):
            return bool(abs(a - b) < 50.0)
    return False


def _at(channels: dict[str, FloatArray] | object, name: str, place: int) -> float:
    values = channels.get(name) if hasattr(channels, "get") else None
    return float(values[place]) if values is not None else float("nan")

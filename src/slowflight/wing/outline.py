"""Plane geometry of an outline drawn as straight segments: lengths, area, turns and crossings.

Pure functions of two coordinate arrays; what makes an outline an airfoil is decided in `section`.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]

IntArray = npt.NDArray[np.intp]

# Segments in a run with one bounding box, and pairs of runs handled at once (some 50 MB).
_RUN = 16
_RUNS_AT_ONCE = 1024


def segment_lengths(x: FloatArray, y: FloatArray) -> FloatArray:
    """Length of each segment, shape (n - 1,), in the unit of the coordinates."""
    return np.hypot(np.diff(x), np.diff(y))


def enclosed_area(x: FloatArray, y: FloatArray) -> float:
    """Area inside the outline closed by a straight line, positive where it runs counterclockwise."""
    return 0.5 * float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))


def turns(x: FloatArray, y: FloatArray) -> FloatArray:
    """Change of heading at each inner point, shape (n - 2,) [rad], positive to the left."""
    dx, dy = np.diff(x), np.diff(y)
    along = dx[:-1] * dx[1:] + dy[:-1] * dy[1:]
    across = dx[:-1] * dy[1:] - dy[:-1] * dx[1:]
    return np.arctan2(across, along)


def first_crossing(x: FloatArray, y: FloatArray) -> tuple[int, int] | None:
    """Find two segments that cross.

    Parameters
    ----------
    x, y : FloatArray
        The outline, shape (n,), in any unit.

    Returns
    -------
    tuple of (int, int) or None
        Indices of the first points of the two segments, the smaller first; ``None`` where none cross or
        touch. Neighbors do not count, nor do the first and last where the outline closes.
    """
    closed = x[0] == x[-1] and y[0] == y[-1]
    start = np.column_stack((x[:-1], y[:-1]))
    end = np.column_stack((x[1:], y[1:]))
    low, high = np.minimum(start, end), np.maximum(start, end)
    for first, second in _neighbors(low, high):
        touching = np.all((low[first] <= high[second]) & (low[second] <= high[first]), axis=1)
        one, other = first[touching], second[touching]
        crossing = _side(start[one], end[one], start[other]) * _side(start[one], end[one], end[other]) <= 0
        crossing &= (
            _side(start[other], end[other], start[one]) * _side(start[other], end[other], end[one]) <= 0
        )
        crossing &= ~(closed & (one == 0) & (other == x.size - 2))
        if np.any(crossing):
            where = int(np.argmax(crossing))
            return int(one[where]), int(other[where])
    return None


def _neighbors(low: FloatArray, high: FloatArray) -> Iterator[tuple[IntArray, IntArray]]:
    """Pairs of segments whose runs of `_RUN` have overlapping boxes, some at a time, later one second."""
    count = low.shape[0]
    begins = np.arange(0, count, _RUN)
    run_low, run_high = np.minimum.reduceat(low, begins), np.maximum.reduceat(high, begins)
    overlaps = np.all((run_low[:, None] <= run_high[None]) & (run_low[None] <= run_high[:, None]), axis=2)
    rows, columns = np.nonzero(np.triu(overlaps))
    within = np.arange(_RUN)
    for batch in range(0, rows.size, _RUNS_AT_ONCE):
        chosen = slice(batch, batch + _RUNS_AT_ONCE)
        first = begins[rows[chosen], None, None] + within[None, :, None]
        second = begins[columns[chosen], None, None] + within[None, None, :]
        wanted = (second > first + 1) & (second < count)
        first, second = np.broadcast_arrays(first, second)
        yield first[wanted], second[wanted]


def _side(start: FloatArray, end: FloatArray, point: FloatArray) -> FloatArray:
    """On which side of the line from start to end each point lies."""
    along, off = end - start, point - start
    return np.asarray(along[:, 0] * off[:, 1] - along[:, 1] * off[:, 0])

"""Plane geometry of an outline drawn as straight segments: lengths, area, turns and crossings.

Pure functions of two coordinate arrays; what makes an outline an airfoil is decided in `section`.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]

# Rows of the segment-against-segment table handled at once: 5,000 points stay below 50 MB.
_ROWS_AT_ONCE = 128


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
        Indices of the first points of the two segments, the smaller first; ``None`` where none cross.
        Segments that only share an end point do not count.
    """
    count = x.size - 1
    start = np.column_stack((x[:-1], y[:-1]))
    end = np.column_stack((x[1:], y[1:]))
    low, high = np.minimum(start, end), np.maximum(start, end)
    for begin in range(0, count, _ROWS_AT_ONCE):
        stop = min(begin + _ROWS_AT_ONCE, count)
        overlaps = np.all(
            (low[begin:stop, None, :] <= high[None, :, :]) & (low[None, :, :] <= high[begin:stop, None, :]),
            axis=2,
        )
        rows, columns = np.nonzero(overlaps)
        rows += begin
        later = columns > rows + 1
        rows, columns = rows[later], columns[later]
        crossing = (
            _side(start[rows], end[rows], start[columns]) * _side(start[rows], end[rows], end[columns]) < 0
        ) & (
            _side(start[columns], end[columns], start[rows]) * _side(start[columns], end[columns], end[rows])
            < 0
        )
        if np.any(crossing):
            where = int(np.argmax(crossing))
            return int(rows[where]), int(columns[where])
    return None


def _side(start: FloatArray, end: FloatArray, point: FloatArray) -> FloatArray:
    """On which side of the line from start to end each point lies."""
    along, off = end - start, point - start
    return np.asarray(along[:, 0] * off[:, 1] - along[:, 1] * off[:, 0])

"""Carrying a state from one grid about a section to another, line by line in the grids' own directions."""

from __future__ import annotations

import numpy as np
from scipy.interpolate import RegularGridInterpolator

from slowflight.flow.rans.grid import Grid
from slowflight.flow.solution import FloatArray


def carried_over(q: FloatArray, *, source: Grid, target: Grid) -> FloatArray:
    """Interpolate a state between grids of the same shape and different numbers of cells.

    Parameters
    ----------
    q : FloatArray
        State on ``source``, shape (n, unknowns).
    source, target : Grid
        Grids of one section, both with or both without a blunt trailing edge.

    Returns
    -------
    FloatArray
        State on ``target``, shape (m, unknowns).
    """
    a, b = source.size, target.size
    body, wake = split(q, source)
    new_body = _resampled(body, (b.around, b.across), wall="below")
    rows = [
        (0, a.across, b.across),
        (a.across, a.across + a.base, b.base),
        (a.across + a.base, None, b.across),
    ]
    walls = ("none", "ahead", "none")
    parts = [
        _resampled(wake[:, start:end], (b.wake, count), wall=wall)
        for (start, end, count), wall in zip(rows, walls, strict=True)
        if count
    ]
    new_wake = np.concatenate(parts, axis=1)
    return np.concatenate((new_body.reshape(-1, q.shape[1]), new_wake.reshape(-1, q.shape[1])))


def split(q: FloatArray, grid: Grid) -> tuple[FloatArray, FloatArray]:
    """A state's values as (around, across, ...) on the body block and (wake, rows, ...) on the wake block."""
    s = grid.size
    count = s.around * s.across
    body = q[:count].reshape(s.around, s.across, *q.shape[1:])
    return body, q[count:].reshape(s.wake, 2 * s.across + s.base, *q.shape[1:])


def _resampled(values: FloatArray, shape: tuple[int, int], *, wall: str) -> FloatArray:
    padded = np.pad(values, ((1, 1), (1, 1), (0, 0)), mode="edge")
    if wall == "below":
        padded[:, 0, 1:] = 0.0
    elif wall == "ahead":
        padded[0, :, 1:] = 0.0
    places = [np.concatenate(([0.0], np.arange(n) + 0.5, [float(n)])) / n for n in values.shape[:2]]
    wanted = np.meshgrid(*((np.arange(n) + 0.5) / n for n in shape), indexing="ij")
    return np.asarray(RegularGridInterpolator(places, padded)(np.stack(wanted, axis=-1)))

"""Carrying a state from one grid about two bodies to another, block by block in the grids' own directions."""

from __future__ import annotations

import numpy as np
from scipy.interpolate import RegularGridInterpolator

from slowflight.flow.rans.bodies_grid import BodiesGrid
from slowflight.flow.solution import FloatArray


def block_states(q: FloatArray, grid: BodiesGrid) -> list[FloatArray]:
    """A state's values on each block, shape (columns, rows, ...)."""
    sizes = [(b.shape[0] - 1, b.shape[1] - 1) for b in grid.blocks]
    parts = np.split(q, np.cumsum([a * b for a, b in sizes])[:-1])
    return [part.reshape(*size, *q.shape[1:]) for part, size in zip(parts, sizes, strict=True)]


def carried_over_bodies(q: FloatArray, *, source: BodiesGrid, target: BodiesGrid) -> FloatArray:
    """Interpolate a state between grids of the same blocks and different numbers of cells.

    Where a block ends the nearest value is held: what the next block or the skin says there is left to the
    first steps on the new grid.

    Parameters
    ----------
    q : FloatArray
        State on ``source``, shape (n, 4).
    source, target : BodiesGrid

    Returns
    -------
    FloatArray
        State on ``target``, shape (m, 4).
    """
    found = []
    for values, block in zip(block_states(q, source), target.blocks, strict=True):
        padded = np.pad(values, ((1, 1), (1, 1), (0, 0)), mode="edge")
        places = [np.concatenate(([0.0], np.arange(n) + 0.5, [float(n)])) / n for n in values.shape[:2]]
        counts = [n - 1 for n in block.shape[:2]]
        wanted = np.meshgrid(*((np.arange(n) + 0.5) / n for n in counts), indexing="ij")
        taken = RegularGridInterpolator(places, padded)(np.stack(wanted, axis=-1))
        found.append(np.asarray(taken).reshape(-1, q.shape[1]))
    return np.concatenate(found)
